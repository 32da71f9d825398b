#pragma once
/// Text before it meets a font: lines of checked characters, cut into runs of one direction and one script.
#include <hb.h>

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace burin {

/// Lines of code points. Throws Error (usage): bytes that are no UTF-8 (RFC 3629), control characters, more than `most` characters,
/// nothing but blanks.
[[nodiscard]] std::vector<std::u32string> lines_of(std::string_view text, std::size_t most);

/// Part of a line, [begin, end), that is shaped at once.
struct TextRun {
    std::size_t begin = 0, end = 0;
    bool right_to_left = false;
    hb_script_t script = HB_SCRIPT_COMMON;
};

/// The line's runs as they stand from left to right (UAX 9).
[[nodiscard]] std::vector<TextRun> runs_of(const std::u32string& line);

[[nodiscard]] std::string utf8(char32_t c);
/// "'ß' (U+00DF)"; marks stand on a dotted circle, what cannot be shown is told by its code alone.
[[nodiscard]] std::string shown(char32_t c);
/// White space of any width, and what is never seen (joiners, marks of direction).
[[nodiscard]] bool blank(char32_t c);
/// Whether letters of this script hang together by strokes.
[[nodiscard]] bool joined_up(hb_script_t script);

}  // namespace burin
