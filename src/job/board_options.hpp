#pragma once
/// The options of a circuit board, a part of the one table.
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

[[nodiscard]] std::vector<Option> board_options();

}  // namespace burin
