#pragma once
/// What the sheet, the drawings and the page share: colours, text made safe, numbers a person reads.
#include <array>
#include <string>
#include <string_view>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"

namespace burin::ink {

/// One colour a program, in running order; more programs begin again.
inline constexpr std::array<std::string_view, 5> program_colours{"#a4551e", "#17506b", "#4d6b1f", "#6d3f73", "#7a6a12"};
inline constexpr std::string_view rapid_colour = "#c2452d";
[[nodiscard]] inline std::string_view program_colour(std::size_t k) { return program_colours[k % program_colours.size()]; }

/// Text for HTML and XML, content or quoted attribute: & < > " ' as entities, control characters dropped, bytes that
/// are not UTF-8 replaced by U+FFFD (HTML Living Standard, 13.1; XML 1.0, 2.2).
[[nodiscard]] std::string escaped(std::string_view text);
/// At most `decimals` decimals, no trailing zeros, never "-0": "0.3", "12".
[[nodiscard]] std::string number(double value, int decimals = 2);
/// Whole numbers in groups of three, parted by a narrow no-break space: "12 345".
[[nodiscard]] std::string grouped(double value);
/// One of the figures at the head of a page: a name and its value, made safe.
[[nodiscard]] std::string fact(std::string_view name, std::string_view value);
/// A region's lines as path data of an SVG, mm; y of the work coordinates turned into y of the drawing by a minus.
[[nodiscard]] std::string outline_path(const Region& region);
/// RFC 4648 base64.
[[nodiscard]] std::string base64(std::string_view bytes);

}  // namespace burin::ink
