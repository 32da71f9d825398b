#pragma once
/// How far places are from the line round a region.
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// The signed distance of every cell's centre from the region's line, mm, exact to the line's segments where it is at most
/// `reach`; farther away it is ± `reach`. Positive inside. The grid given says which cells; its values are not read.
[[nodiscard]] Grid<float> edge_distance(const Region& region, const Grid<float>& cells, double reach, const Crew& crew);

/// The nearest point of the region's line to `p`.
[[nodiscard]] Point nearest_on_edge(const Region& region, Point p);

}  // namespace burin
