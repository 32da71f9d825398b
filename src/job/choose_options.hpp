#pragma once
#include <string_view>
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

/// What the command choose has of its own.
[[nodiscard]] std::vector<Option> choose_options();

/// Whether it takes an option that others have too.
[[nodiscard]] bool choose_takes(std::string_view name);

}  // namespace burin
