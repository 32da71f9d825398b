#pragma once
// The stock from above, for drawings.
#include <vector>

#include "burin/workshop/stock.hpp"

namespace burin {

/// Its corners; round and oval stock as 72 of them.
[[nodiscard]] std::vector<Point> stock_outline(const Stock& stock);

}  // namespace burin
