#pragma once
/// What is cut: figures to reckon from, colours to show it in, what to beware of.
#include <array>
#include <string>
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

/// How dark a surface looks for what is done to it: x the amount, rising strictly; y the darkness, 0 (bare) … 1, never falling.
/// At least two points, or none; straight between them.
struct ToneCurve {
    std::vector<Point> points;
    [[nodiscard]] bool empty() const { return points.empty(); }
};
/// The darkness that `amount` gives; below the first and beyond the last point theirs. An empty curve: amount itself, 0 … 1.
[[nodiscard]] double darkness_for(const ToneCurve& curve, double amount);
/// The least amount that gives `darkness`; what is darker than the last point has that point's. Inverse of darkness_for.
[[nodiscard]] double amount_for(const ToneCurve& curve, double darkness);

enum class Grain { none, straight, rings, fibres, speckle, cells };

struct Material {
    std::string name, title;
    double chip_load_1 = 0, chip_load_3 = 0;  ///< mm a flute, for diameters at work of 1 mm and 3 mm; 0: not for a spindle
    double kc1 = 0, kc_exponent = 0;          ///< specific force kc1 · h^(−exponent) N/mm² (Kienzle)
    double pass_ratio = 0;                    ///< depth per pass ÷ diameter
    double most_pass = 0;                     ///< greatest depth per pass, mm; 0: none
    std::array<double, 3> colour{};           ///< sRGB 0 … 1 of the untouched surface
    std::array<double, 3> cut_colour{};       ///< of a fresh cut
    std::array<double, 3> burnt_colour{33 / 255.0, 20 / 255.0, 13 / 255.0};  ///< where the beam has burnt it as dark (or light) as it gets
    Grain grain = Grain::none;
    double gloss = 0;       ///< 0 dull … 1
    double mu_per_mm = 0;   ///< light attenuation for plates seen against the light; 0: opaque
    ToneCurve groove_tone;  ///< amount: share of the surface that grooves or dots cover; empty: darkness is that share (Murray–Davies)
    ToneCurve burn_tone;    ///< amount: exposure, J/mm²: beam power ÷ (speed × line spacing); empty: unknown
    bool for_spindle = true, for_laser = true;
    std::string spindle_note, laser_note;  ///< why not, or what to know
    std::vector<std::string> cautions;
    std::string source;  ///< where the figures come from
};

/// Share of the light that a colour sends back: linear (IEC 61966-2-1), weighted (ITU-R BT.709).
[[nodiscard]] double luminance(const std::array<double, 3>& srgb);
/// Chip load for a diameter at work: straight line between 1 and 3 mm, in proportion below, constant above.
[[nodiscard]] double chip_load(const Material& material, double diameter_at_work);
/// Specific cutting force at a chip of thickness h mm, N/mm².
[[nodiscard]] double specific_force(const Material& material, double h);

}  // namespace burin
