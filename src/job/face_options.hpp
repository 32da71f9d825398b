#pragma once
/// The options of facing, a part of the one table.
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

[[nodiscard]] std::vector<Option> face_options();

}  // namespace burin
