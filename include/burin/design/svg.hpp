#pragma once
/// Figures from drawings in Scalable Vector Graphics.
#include <functional>
#include <optional>
#include <string>
#include <string_view>

#include "burin/design/drawing.hpp"
#include "burin/shape/region.hpp"

namespace burin {

struct SvgWishes {
    double width = 0, height = 0;  ///< mm of the page; one that is 0 follows the other, both 0: the size the file gives itself
    bool trim = false;             ///< the page is what is painted, not what the file says
    bool follow_strokes = false;   ///< dark strokes become lines to be followed, and are not widened
    double tolerance = 0.002;      ///< mm that chords may leave curves
};

/// A piece of text in one style.
struct SvgText {
    std::string text;                   ///< UTF-8, white space as it is to be set
    std::string family = "sans-serif";  ///< as the file lists them: names with commas between
    double size = 0;                    ///< mm of the em on the page; for transforms that stretch, of a square as large
    bool bold = false, italic = false;
};
/// Its letters: mm, y up, the baseline's start at 0, 0.
struct SvgLettering {
    Region region;
    double advance = 0;  ///< mm to where the next piece starts
};
/// Sets a piece of text; nothing where it cannot (no such font): the reader then names the text in a warning and leaves it out.
using SvgLetters = std::function<std::optional<SvgLettering>(const SvgText&)>;

/// Largest file that is read. Whoever reads the file from a medium should stop there: read_file(path, "drawing", svg_most_bytes).
constexpr std::size_t svg_most_bytes = std::size_t{64} << 20;

/// Whether the bytes begin as an SVG does (after a byte-order mark, an XML declaration, comments and a DOCTYPE): for telling it from a
/// picture.
[[nodiscard]] bool looks_like_svg(std::string_view bytes);

/// The drawing's ink as it is seen on white paper: dark paint adds, light opaque paint takes away what lies below it, in the order of
/// painting; half of the way from black to white (coded BT.709 luma) parts dark from light. Gradients count as the mean of their stops.
/// What runs over the page is cut off there. Nothing outside the bytes is ever looked up. What is not supported is left out, and
/// a warning names it with its line in the file.
/// Supported, of SVG 2 (W3C 2018): path, basic shapes, g, a, svg, symbol, use, defs, switch, text and tspan through `letters`, clipPath;
/// transforms, viewBox, preserveAspectRatio and units; fill and stroke with all of their properties, opacity; attributes, `style`, and
/// sheets of simple selectors (element, class, id). Throws Error (input): no SVG, broken, compressed, too large, nested too deep, too many
/// elements or points, entities that build on each other or on files, `use` that comes back to itself, coordinates that are no numbers or
/// absurdly large; the sentence names the line. Error (usage): both sizes 0 and none in the file, wishes that are none. Error (refused):
/// nothing is painted. Cost: 20,000 paths in some seconds.
[[nodiscard]] Drawing read_svg(std::string_view bytes, const std::string& name, const SvgWishes& wishes, const SvgLetters& letters = {});

}  // namespace burin
