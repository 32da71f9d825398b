#pragma once
/// Ways over a region of one level that leave no part of it farther than the bit's radius.
#include <vector>

#include "burin/base/grid.hpp"
#include "contours.hpp"

namespace burin {

struct WayOrder {
    double stepover = 1;      ///< mm; at most 0.95 × the bit's radius
    double tolerance = 0.02;  ///< of thinning, mm
    double feed = 1000;       ///< mm/min
};

/// For each connected piece of the region either loops that follow its edge inwards, or its edge and straight lines along
/// the rows, whichever takes less time. `inside` is distance_inside(region). Loops are closed; chains of lines are open and
/// lie wholly inside.
[[nodiscard]] std::vector<Contour> ways_over(const Grid<std::uint8_t>& region, const HeightMap& inside, const WayOrder& order);

/// Whether every cell on the straight way from a to b belongs to the region.
[[nodiscard]] bool way_is_clear(const Grid<std::uint8_t>& region, const Point& a, const Point& b);

}  // namespace burin
