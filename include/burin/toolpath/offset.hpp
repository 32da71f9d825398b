#pragma once
/// Grey-scale morphology with the shape of a bit (Serra 1982, ch. XII).
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

/// Lowest position of the bit's tip over every cell so that no part of the bit goes below `target`.
///
/// T(c) = max over cells k closer than the radius of target(k) − rise(|k − c|). Exact over cell centres; between them a
/// wall may move sideways by up to one cell. `wider` (mm) grows the bit sideways by that much (allowance beside walls).
/// Outside the grid there is nothing. Cost: cells × cells under the bit, less what pruning saves.
[[nodiscard]] HeightMap offset_for(const Bit& bit, const HeightMap& target, const Crew& crew, double wider = 0);

/// What is left when the bit's tip has been at `tips` over every cell: S(x) = min over cells c closer than the radius of
/// tips(c) + rise(|x − c|). Cells where the bit never was hold a large number. The adjoint erosion of offset_for.
[[nodiscard]] HeightMap swept_by(const Bit& bit, const HeightMap& tips, const Crew& crew);

/// The highest (lowest) value within `radius` mm of every cell.
[[nodiscard]] HeightMap dilated_by_disc(const HeightMap& heights, double radius, const Crew& crew);
[[nodiscard]] HeightMap eroded_by_disc(const HeightMap& heights, double radius, const Crew& crew);

}  // namespace burin
