#pragma once
/// The steps of programs that set the work zero; inside the room only.
#include <string>
#include <vector>

#include "burin/program/zeroing.hpp"
#include "burin/proof/touch.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

inline constexpr double zero_back_off = 2;   ///< mm between the two touches
inline constexpr double zero_away = 10;      ///< mm above the plate at the end
inline constexpr double corner_start = 5;    ///< mm from the plate's middle at which the bit may stand
inline constexpr double corner_look = 12;    ///< mm over which a side is looked for
inline constexpr double corner_clear = 6;    ///< mm beside the plate where the bit goes down
inline constexpr double corner_lower = 200;  ///< mm/min down beside the plate

/// Twice down onto the plate, then away.
[[nodiscard]] std::vector<ZeroStep> plate_steps(const TouchTask& task);
/// Likewise, then twice against each of two sides; the bit goes down `drop` mm below the plate's top beside it.
[[nodiscard]] std::vector<ZeroStep> corner_steps(const TouchTask& task, double drop);
/// The place where the bit stands becomes X0 Y0 and `task.plate` above Z0.
[[nodiscard]] std::vector<ZeroStep> here_steps(const TouchTask& task);
/// How far below the plate's top its sides are touched: past the curve of the bit's tip. Throws Error (refused) where the plate is too
/// thin, or the bit does not cut so far up.
[[nodiscard]] double corner_drop(const Bit& bit, double plate);

}  // namespace burin
