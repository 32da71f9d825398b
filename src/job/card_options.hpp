#pragma once
/// The options of a test card, a part of the one table.
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

[[nodiscard]] std::vector<Option> card_options();

}  // namespace burin
