#pragma once
#include <vector>

#include "burin/job/options.hpp"

namespace burin {

/// What the commands machine, zero and pace have of their own.
[[nodiscard]] std::vector<Option> setup_options();

/// "4,4:96,76": two places, at least 5 mm apart. Throws Error (usage).
struct DatumDots {
    Point first, second;
};
[[nodiscard]] DatumDots parse_dots(std::string_view text);

}  // namespace burin
