#pragma once
/// What the page says of a photo that became grooves or dots.
#include <string>

#include "burin/report/report.hpp"

namespace burin::page {

/// The section on its tones: what is covered as seen from afar, and what cannot be shown. Empty where there are none.
[[nodiscard]] std::string tone_section(const JobReport& report);

}  // namespace burin::page
