#pragma once
/// What the sheet says of a stock that is faced: how it is measured, held and zeroed.
#include <string>

#include "burin/report/report.hpp"

namespace burin::page {

/// Steps of the set-up, each the inside of a list's item. All want report.face.
[[nodiscard]] std::string face_stock_step(const JobReport& report);
[[nodiscard]] std::string face_zero_step(const JobReport& report);
/// How a stock is held of which the whole top is cut.
[[nodiscard]] std::string face_hold_words(const JobReport& report);

}  // namespace burin::page
