#pragma once
/// What a Gerber file is made of: its commands, its apertures, its macros.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// One command; a macro with all its parts.
struct GerberCommand {
    std::vector<std::string> parts;
    std::size_t line = 1;
    bool extended = false;  ///< stood between percent signs
};

[[nodiscard]] Error gerber_error(std::size_t line, const std::string& sentence);
[[nodiscard]] std::vector<GerberCommand> gerber_commands(std::string_view bytes);
/// The whole text is one finite number, or Error.
[[nodiscard]] double gerber_number(std::string_view text, std::size_t line);
/// Numbers parted by `by`.
[[nodiscard]] std::vector<double> gerber_numbers(std::string_view text, char by, std::size_t line);

[[nodiscard]] Loop gerber_disc(Point at, double diameter, double chord);
/// What a disc covers on its way.
[[nodiscard]] Loop gerber_capsule(Point from, Point to, double diameter, double chord);
/// C, R, O, P with a hole where it has one; `unit` mm.
[[nodiscard]] Region gerber_shape(char kind, const std::vector<double>& sizes, double unit, double chord, std::size_t line);
/// A macro with its parameters; `macro.parts` after the name.
[[nodiscard]] Region gerber_macro(const GerberCommand& macro, std::vector<double> values, double unit, double chord, std::size_t line);

}  // namespace burin
