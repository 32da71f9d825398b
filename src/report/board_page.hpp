#pragma once
/// What the page says of a circuit board; inside the room only.
#include <string>

#include "burin/report/report.hpp"

namespace burin::page {

/// The section on copper, grooves and what is at risk. Empty where the figure is no board.
[[nodiscard]] std::string board_section(const JobReport& report);

}  // namespace burin::page
