#pragma once
/// A photo as one line that wanders through the dots of a stippling and swells with the tone.
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/base/point.hpp"
#include "burin/design/figure.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

/// Lengths mm.
struct LineWishes {
    double least = 0.3, most = 0.8;  ///< widths of the groove at the stock top
    double darkest = 0.75;           ///< share above which turns run together
    double tolerance = 0.005;        ///< that the tip's line may leave the exact one
    double steepest = 1;             ///< rise ÷ way of the tip at most
};

struct OneLine {
    Groove groove;               ///< open
    double length = 0;           ///< mm
    double pitch = 0;            ///< mm between turns beside each other, on average
    double least = 0, most = 0;  ///< share of the surface that can be shown
};

/// Turns crossing parts of an open line round until none cross: what lies between is gone through the other way, which makes the line
/// shorter each time (Croes 1958). Points on each other's line count as crossing as little as ends do.
[[nodiscard]] std::vector<Point> uncrossed(std::vector<Point> line, const Crew& crew);

/// The line through `stops`, in their order: corners rounded where no other stop lies within the rounding, so that a line that
/// does not cross itself still does not; as wide, at every place, as makes it cover `coverage` (0 … 1) together with its neighbours, as
/// deep as makes the bit so wide. Nowhere narrower than `least`, where the picture is bare too: it is one line. Its ends rise to the stock
/// top. Throws Error: refused, where the bit does not swell, or there are fewer than three stops; stopped. Cost: the share that the line
/// covers is reckoned five times.
[[nodiscard]] OneLine one_line(const std::vector<Point>& stops, const Grid<float>& coverage, const LineWishes& wishes, const Bit& bit,
                               const Crew& crew);

}  // namespace burin
