#pragma once
/// UTF-8 as RFC 3629 has it.
#include <cstddef>
#include <string_view>

namespace burin {

/// Bytes of the well-formed sequence at `at`, 1 to 4; 0: there is none (truncated, longer than it must be, half of a UTF-16 pair, beyond
/// the last code point). `at` lies within the text.
[[nodiscard]] std::size_t utf8_length(std::string_view text, std::size_t at);
/// The code point of the well-formed sequence of `length` bytes at `at`.
[[nodiscard]] char32_t utf8_code(std::string_view text, std::size_t at, std::size_t length);
/// Whether all of it is well-formed.
[[nodiscard]] bool is_utf8(std::string_view text);

}  // namespace burin
