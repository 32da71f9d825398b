#pragma once
/// The options of programs that are made of a program, a part of the one table.
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

[[nodiscard]] std::vector<Option> rework_options();

}  // namespace burin
