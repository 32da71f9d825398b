#pragma once
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

/// What the command slice has of its own.
[[nodiscard]] std::vector<Option> slice_options();

}  // namespace burin
