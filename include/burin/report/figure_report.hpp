#pragma once
/// What became of a drawing, for the page and report.json: what was traced, what was lost, what a groove will look like.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/point.hpp"
#include "burin/design/figure.hpp"
#include "burin/shape/region.hpp"
#include "burin/workshop/bit.hpp"
#include "burin/workshop/material.hpp"

namespace burin {

/// Filled in by the job. `drawn` and `dropped` as the tracing gave them: mm from the lower left corner of what was traced.
struct FigureReport {
    Region drawn;         ///< the traced lines
    Region dropped;       ///< specks that were taken away, holes that were filled
    Box picture_box;      ///< where the whole picture lies in those millimetres; without a size: lines alone are shown
    FigureDesign design;  ///< in work coordinates
    Region unreached;     ///< of `design.may`: what none of the bits can enter, at the stock top
    std::optional<std::array<double, 3>> fill;  ///< sRGB 0 … 1: grooves will be filled or painted in this colour
};

/// A place of the figure that the bit cannot enter for being too narrow.
struct ThinPlace {
    Point at;            ///< middle of its widest part
    double width = 0;    ///< there, mm
    double area = 0;     ///< mm²
    bool whole = false;  ///< a figure of which nothing at all is cut
};
/// What is lost to the bit's width.
struct FigureLosses {
    double area = 0, share = 0;   ///< mm²; of all that may be taken
    std::vector<ThinPlace> thin;  ///< the narrowest first
    int corners = 0;              ///< that stay rounded: what else is lost
    double entering = 0;          ///< mm: the width that the slimmest bit needs to enter
    [[nodiscard]] double narrowest() const { return thin.empty() ? entering : thin.front().width; }
};
/// `bits`: all that cut the figure. A vee needs its tip's diameter, any other its width at the floor. The width of a lost piece is
/// that of the largest circle in it (medial axis, Blum 1967); what is short and much narrower than the bit is a corner.
[[nodiscard]] FigureLosses losses_of(const FigureReport& figure, const std::vector<Bit>& bits, const Crew& crew);

/// Width won or lost by a vee's groove where the stock lies so much higher or lower: 2 tan(θ/2) a mm (plane geometry). Empty for
/// bits whose width does not change with depth where they work.
[[nodiscard]] std::optional<double> width_lost(const Bit& bit, double unevenness);

/// How a bare groove will stand out from the top in even light from all sides.
struct GrooveContrast {
    double top = 0, groove = 0;                                       ///< share of the light that comes back, 0 … 1
    double top_lightness = 0, lightness = 0;                          ///< L*, ISO/CIE 11664-4
    [[nodiscard]] double darker() const { return 1 - groove / top; }  ///< below 0: lighter
};
/// A groove swallows light: of what its walls send out, the share F = opening ⁄ length of the walls leaves directly (crossed
/// strings, Hottel 1954), the rest falls on them again, so that ρF ⁄ (1 − ρ(1 − F)) comes back in all (cavity with grey walls, Gouffé
/// 1945; both from memory). ρ from the material's colours, which are typical only. Empty where the figure has a wide floor.
[[nodiscard]] std::optional<GrooveContrast> groove_contrast(const FigureDesign& design, const Bit& bit, const Material& material);

}  // namespace burin
