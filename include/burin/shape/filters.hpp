#pragma once
/// Filters over height maps and pictures on a grid. Lengths in mm, so that a result does not depend on the cells.
#include <cstdint>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"

namespace burin {

/// Which cells of a grid count: 1, or 0. An empty mask counts all.
using Mask = Grid<std::uint8_t>;

/// Mean over a square window of half-width `radius` mm, cells on its rim by the share that lies in it. Near the border
/// the window shrinks evenly on both sides, so that a plane stays a plane. Cost: the same for any radius.
[[nodiscard]] HeightMap window_mean(const HeightMap& map, double radius, const Crew& crew);

/// Levels what is smaller than `radius` mm and weaker than `contrast` (in the map's units); edges stronger than that
/// stay where and as steep as they are. A plane stays a plane. radius ≤ half a cell: the map as it is.
/// The guided filter with the map as its own guide (He, Sun, Tang 2010).
[[nodiscard]] HeightMap edge_preserving(const HeightMap& map, double radius, double contrast, const Crew& crew);

/// The same with a contrast of its own for each cell's window, on the map's cells.
[[nodiscard]] HeightMap edge_preserving(const HeightMap& map, double radius, const HeightMap& contrast, const Crew& crew);

/// Values at two shares (0 … 1) of the counted cells in order of size, and the least and greatest of them.
struct Range {
    double low = 0, high = 0, least = 0, greatest = 0;
};
/// To 1/65536 of the span between least and greatest. NaN is not allowed. All zero where no cell counts.
[[nodiscard]] Range percentiles(const HeightMap& map, const Mask& counted, double low, double high, const Crew& crew);

/// Gives the cells that do not count values that go on smoothly from those that do (means over growing blocks); 0
/// everywhere where none counts.
void fill_uncounted(HeightMap& map, const Mask& counted, const Crew& crew);

/// Means of 2 × 2 cells (fewer at an odd border); the cells are twice as large.
[[nodiscard]] HeightMap halved(const HeightMap& map, const Crew& crew);

/// The lower envelope of cones that stand on every cell: h(x) = min over y of (h(y) + |x − y| tan steepest), so that no
/// slope is steeper than `steepest_deg` and nothing is raised.
/// Accuracy: each result is the value of one such cone, so never too low; it is too high by less than a tenth of a cell
/// times the slope, because a cell asks its neighbours' cones instead of all (vector distance propagation, Danielsson
/// 1980, with weights). Cost: one pass, then a few visits to each cell that changes; two
/// grids beside the map's.
/// steepest_deg ≥ 90: nothing happens. Throws Error (usage) unless it is above 0.
void lay_back(HeightMap& map, double steepest_deg, const Crew& crew);

}  // namespace burin
