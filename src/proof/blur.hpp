#pragma once
// What lies near each cell, as a mean or as a range; inside the room only.
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"

namespace burin::proving {

/// Gaussian of standard deviation `sigma` mm, cut off at four of them; beyond the grid there is nothing.
void blur(Grid<float>& cells, double sigma, const Crew& crew);

/// The lowest and highest value within `reach` cells to every side.
struct Spread {
    Grid<float> lowest, highest;
};
[[nodiscard]] Spread spread_of(const Grid<float>& cells, int reach, const Crew& crew);

}  // namespace burin::proving
