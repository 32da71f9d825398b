#pragma once
/// Steep walls: passes that follow them level by level.
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "pen.hpp"

namespace burin {

/// Cells where `stock` stands above `reach` by more than `most`, measured along the normal of the reach, the lowest stock
/// within half a cell counting (a wall may stand one cell aside, and half of that is kept in hand for the grid).
[[nodiscard]] Grid<std::uint8_t> left_standing(const HeightMap& stock, const HeightMap& reach, double most, const Crew& crew);

struct WallOrder {
    double drop = 0.1;  ///< between levels, mm
    double tolerance = 0.005;
    double clearance = 0.5;
};

/// Follows the lines of equal tip height within `where` (cells of the axis), levels from the top down, nearest next.
/// `meets` as in write_lines. `reached` receives, for every cell, the lowest height at which the tip passed within half a
/// cell of its centre (untouched elsewhere), to predict what is left. Returns the number of lines written.
std::size_t follow_walls(Pen& pen, const HeightMap& tips, const HeightMap& meets, const Grid<std::uint8_t>& where, const WallOrder& order,
                         HeightMap& reached);

}  // namespace burin
