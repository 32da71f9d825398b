#pragma once
/// How much of each cell grooves cover; inside the room only.
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/figure.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

/// Share of every cell of `like` that lies, at the stock top, within the grooves that the bit cuts with its tip on the lines: to a
/// sixteenth of a cell, right on average over many.
[[nodiscard]] Grid<float> covered_share(const std::vector<Groove>& grooves, const Bit& bit, const Grid<float>& like, const Crew& crew);

}  // namespace burin
