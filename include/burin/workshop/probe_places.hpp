#pragma once
/// Where the top of a stock is measured.
#include <vector>

#include "burin/workshop/stock.hpp"

namespace burin {

/// Places of the stock's top at most `apart` mm from their neighbours, `inset` mm and more inside its edge, in an order with short ways:
/// rows to and fro; where the outline is not straight, first the rows inside, then once round along the edge, so that the edge is measured
/// too. Throws Error: usage, where nothing is left between the edges or the places would be more than `most`.
[[nodiscard]] std::vector<Point> probe_places(const Stock& stock, double apart, double inset, std::size_t most = 1000);

}  // namespace burin
