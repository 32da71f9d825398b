#pragma once
// Whether a board's copper still joins what its artwork joins; inside the room only.
#include <vector>

#include "figure.hpp"

namespace burin::proving {

/// The copper that is left against the artwork, `c.figure.board`: "no short", "no break", "tracks keep their width"; fills Proof::nets.
/// Cost: some passes over the cells of the stock, four grids of its size.
[[nodiscard]] std::vector<Check> check_nets(const FigureCase& c, Proof& proof);

}  // namespace burin::proving
