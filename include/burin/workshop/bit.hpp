#pragma once
/// The cutting bit: one function gives its shape, everything else follows from it.
#include <string>
#include <string_view>

namespace burin {

enum class BitShape { flat, ball, vee, taper, bull, drill };

/// What a bit is, before it is checked. Lengths mm, angles radians.
struct BitSpec {
    BitShape shape = BitShape::flat;
    double diameter = 0;        ///< of the cutting part, at its widest
    double tip = 0;             ///< vee: diameter of its flat tip; taper: diameter of its ball; bull: radius of its corner
    double angle = 0;           ///< vee, drill: included angle; taper: angle of one side to the axis
    double cutting_length = 0;  ///< 0: reckoned (the smaller of 4 × diameter and stick-out; vee, taper: at least the cone)
    double stick_out = 18;      ///< from the collet to the tip
    double shank = 3.175;       ///< diameter
    int flutes = 2;
    bool centre_cutting = true;
    friend bool operator==(const BitSpec&, const BitSpec&) = default;
};

/// A bit that can be used: positive sizes, tip no wider than the diameter, angle below 180 degrees.
class Bit {
public:
    /// Throws Error (usage) that says which size is impossible. `name` is the bit as the user gave it.
    Bit(const BitSpec& spec, std::string name);

    /// "flat:3.175", "ball:1.0", "vee:60:0.1:3.175", "taper:0.5:10:3.175", "bull:3.175:0.5" (degrees, mm).
    /// Throws Error (usage) naming the part that is wrong.
    [[nodiscard]] static Bit parse(std::string_view text);
    /// Whether text looks like a shape with sizes (and is not a preset's name or a file).
    [[nodiscard]] static bool looks_like_sizes(std::string_view text);

    [[nodiscard]] const BitSpec& spec() const { return spec_; }
    [[nodiscard]] const std::string& name() const { return name_; }
    /// The sizes in the notation of parse; drills as "drill:D".
    [[nodiscard]] std::string sizes() const;
    [[nodiscard]] BitShape shape() const { return spec_.shape; }
    [[nodiscard]] double radius() const { return spec_.diameter / 2; }
    [[nodiscard]] double diameter() const { return spec_.diameter; }

    /// Height of the bit's surface above its lowest point, at distance r ≤ radius() from the axis. Convex, rising.
    [[nodiscard]] double rise(double r) const;
    /// Width of the bit at height h ≥ 0 above its lowest point (the diameter at work): sup { 2r : rise(r) ≤ h }.
    [[nodiscard]] double width_at(double h) const;
    /// Section of a full slot of depth h: the integral of width_at from 0 to h.
    [[nodiscard]] double section(double h) const;
    /// Radius of the round tip (ball, taper, bull's corner); 0 where the tip is flat or sharp.
    [[nodiscard]] double round_radius() const;
    /// Diameter by which stepovers and cells are reckoned: ball its diameter, taper and vee their tip's, flat, bull and
    /// drill their diameter.
    [[nodiscard]] double tip_diameter() const;
    /// Height above the tip at which the full diameter is reached.
    [[nodiscard]] double tip_height() const { return rise(radius()); }

private:
    BitSpec spec_;
    std::string name_;
};

/// Scallop left between two lines spaced s along the surface by a round tip of radius r: r − √(r² − s²/4) (plane
/// geometry; Machinery's Handbook, milling). s ≥ 2r gives r.
[[nodiscard]] double scallop_height(double r, double s);
/// Its inverse: 2 √(2 r h − h²).
[[nodiscard]] double scallop_stepover(double r, double h);

}  // namespace burin
