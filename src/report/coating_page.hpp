#pragma once
/// What the page says of a circuit board whose coating is burnt off; inside the room only.
#include <string>

#include "burin/report/burn_report.hpp"

namespace burin::page {

/// The section on copper and coating, with what comes after the beam. Empty where there is no board.
[[nodiscard]] std::string coating_section(const BurnReport& report);

}  // namespace burin::page
