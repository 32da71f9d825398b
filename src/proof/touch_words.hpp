#pragma once
// Lines of a probing program as words, read by the proof itself; inside the room only.
#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace burin::proving {

/// A value as it is reckoned when its line runs: a sum of numbers and parameters.
struct TouchValue {
    double number = 0;
    std::vector<int> plus;  ///< parameters, "#5061"; none is ever taken off
};

enum class TouchVerb : std::uint8_t { none, rapid, feed, probe, set_l20, set_l2, set_g92, clear_g92 };

struct TouchLine {
    std::uint32_t line = 0;
    TouchVerb verb = TouchVerb::none;
    std::array<std::optional<TouchValue>, 3> axes;
    double feed = 0;                                                         ///< said on this line; 0: none
    bool absolute = false, relative = false;                                 ///< G90, G91 said
    bool metric = false, plane = false, per_minute = false, offset = false;  ///< G21, G17, G94, G54 said
    bool spindle_off = false, pause = false, ends = false;
    std::string wrong;  ///< what this reader does not take; empty: nothing
};

/// Lines that hold words; comments are passed over. Never throws on any bytes; at most 10,000 lines are read.
[[nodiscard]] std::vector<TouchLine> touch_lines(std::string_view text);

}  // namespace burin::proving
