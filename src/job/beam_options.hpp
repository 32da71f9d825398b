#pragma once
/// The options of a beam, a part of the one table.
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

[[nodiscard]] std::vector<Option> beam_options();

}  // namespace burin
