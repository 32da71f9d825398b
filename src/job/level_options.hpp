#pragma once
// The part of the option table that belongs to stock that is not flat; inside the room only.
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

[[nodiscard]] std::vector<Option> level_options();

}  // namespace burin
