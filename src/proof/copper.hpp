#pragma once
// Questions about copper on cells; inside the room only. A set of cells is what has a value above 0.
#include <cstdint>
#include <functional>
#include <optional>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/shape/region.hpp"

namespace burin::proving {

using Cells = Grid<std::int32_t>;

/// The number of the figure (from 1) in which a cell's centre lies; 0: in none.
[[nodiscard]] Cells figures_on(const Region& region, const HeightMap& like);

/// Connected pieces of the cells above 0, numbered from 1; cells of different values are apart. `corners`: cells that share a corner
/// alone hang together too. `sizes[n]`: cells of piece n.
[[nodiscard]] Cells pieces_of(const Cells& cells, bool corners, std::vector<std::size_t>& sizes);

/// The nearest cell above 0 for every cell, as its place in the grid; −1 where there is none. Exact (lower envelope of parabolas,
/// Felzenszwalb and Huttenlocher 2012).
[[nodiscard]] Cells nearest_cells(const Cells& cells, const Crew& crew);

/// Distance of two cells by their places in the grid, in cells.
[[nodiscard]] double apart(const Cells& grid, std::int32_t a, std::int32_t b);

/// The middle of the shortest way (sideways and up and down) from one set of cells to another over those allowed; empty: there is
/// none. Found breadth first.
[[nodiscard]] std::optional<Point> middle_of_way(const Cells& grid, const std::function<bool(std::int32_t)>& from,
                                                 const std::function<bool(std::int32_t)>& to,
                                                 const std::function<bool(std::int32_t)>& over);

/// A neck: where a piece is narrowest between two wider places.
struct Neck {
    double width = 0;  ///< mm
    Point at;
};
/// The narrowest neck of all pieces (cells of different values are apart). Places flow together from the widest down; two that meet
/// at a width, and are both wider by a good part elsewhere, have a neck there (persistence of the distance's maxima, Edelsbrunner,
/// Letscher and Zomorodian 2002).
[[nodiscard]] std::optional<Neck> narrowest_neck(const Cells& pieces, const Crew& crew);

}  // namespace burin::proving
