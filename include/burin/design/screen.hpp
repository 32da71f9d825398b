#pragma once
/// A photo as grooves that swell with the tone: lines, crossed lines, waves, rings, a spiral.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/figure.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

enum class ScreenKind { lines, crossed, waves, rings, spiral };

struct ScreenWishes {
    ScreenKind kind = ScreenKind::lines;
    double pitch = 1;           ///< mm between the middles of neighbouring grooves
    double angle = 0;           ///< of the lines, radians; waves: of their middle
    double wave_length = 0;     ///< waves: mm; 0: eight pitches
    double wave_height = 0;     ///< waves: mm from the middle to a crest; 0: 1.2 pitches
    double least_depth = 0.05;  ///< mm: shallower grooves are left out
    double most_depth = 2;      ///< mm, no deeper than the bit's cone or the stock
    double tolerance = 0.005;   ///< mm that the tip's line may leave the exact one
    double steepest = 1;        ///< rise ÷ way of the tip at most
};

struct Screen {
    std::vector<Groove> grooves;
    double least = 0, most = 0;  ///< share of the surface that the shallowest and the deepest groove cover
};

/// Depth at which the groove of a bit is `width` wide at the stock top, at most `limit`. (Plane geometry.)
[[nodiscard]] double depth_for_width(const Bit& bit, double width, double limit);

/// Grooves whose width at the stock top, at every place, is the coverage there times the distance to the next groove; `coverage` 0 … 1 on
/// its grid; crossed lines share it, 1 − √(1 − a) each. Where less than half of the shallowest groove would do there is none; where the
/// groove begins and ends the tip comes and goes at `steepest`. Only within the grid.
/// Cost: pitch × length of lines; the share that the grooves cover is reckoned three times.
/// Throws Error (refused): the bit does not swell (flat), the picture is bare, the pitch is no wider than the shallowest groove.
[[nodiscard]] Screen make_screen(const Grid<float>& coverage, const ScreenWishes& wishes, const Bit& bit, const Crew& crew);

}  // namespace burin
