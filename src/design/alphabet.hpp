#pragma once
#include <optional>
#include <string_view>

#include "burin/base/point.hpp"

namespace burin {

/// A letter on a grid whose capitals are 20 high: how wide it is, what stays free on both sides, and its strokes.
struct LineLetter {
    double width = 0, left = 0, right = 0;
    std::string_view strokes, mark;  ///< the mark's count from `mark_at`
    Point mark_at;
};
/// Empty: the alphabet lacks it.
[[nodiscard]] std::optional<LineLetter> line_letter(char32_t c);
/// How much closer two letters stand than their sides say.
[[nodiscard]] double line_kerning(char32_t first, char32_t second);

inline constexpr double line_capitals = 20;

}  // namespace burin
