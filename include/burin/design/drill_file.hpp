#pragma once
/// Holes and slots of a circuit board as numerical-control drill files have them (Excellon's format and XNC, from memory).
#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

/// A hole, or a slot that a bit of the diameter cuts from `at` to `to`; mm, the file's own coordinates.
struct DrilledHole {
    Point at;
    std::optional<Point> to;
    double diameter = 0;
    bool plated = true;  ///< false where the file says so
    std::size_t line = 0;
};

struct DrillFile {
    std::vector<DrilledHole> holes;
    std::vector<std::string> remarks;
};

/// What the reader is told where the file does not say it.
struct DrillHints {
    std::optional<bool> inch;
    std::optional<bool> leading_zeros_kept;  ///< false: the trailing ones are
    std::optional<int> whole_digits, fraction_digits;
};

/// Whether the bytes look like such a file: its header's first statement among the first lines.
[[nodiscard]] bool looks_like_drill_file(std::string_view bytes);

/// Tools, holes, slots (G85), straight and curved routs, repeated holes, both conventions of zeros, inches and millimetres. What only moves
/// the machine is passed over. Throws Error (input) with the line: no header, tools without a size, unknown statements, relative
/// coordinates, numbers that do not fit the format; and, asking for the hint by its option, where units or zeros are not said.
[[nodiscard]] DrillFile read_drill_file(std::string_view bytes, const DrillHints& hints = {});

}  // namespace burin
