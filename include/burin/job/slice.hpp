#pragma once
/// The slice that is there: from its photo to a file that --stock takes.
#include "burin/job/order.hpp"

namespace burin {

/// slice.toml (the piece, see workshop/traced_piece.hpp), straight.png (the photo as from straight above), slice.png (the same with the
/// lines drawn on it) and report.json. The order's argument is the photo; one of --distance, --marks with --marks-size, or --marks-size
/// alone (printed marks) says how it lies. Throws Error: usage, input (photo, drawn outline), refused as find_slice.
[[nodiscard]] Finished make_slice(const Order& order, const PresetFolders& presets, const Crew& crew);

/// "212,940,1412,952,100": two places in a photo, pixels from its upper left corner, and the mm between them.
struct KnownDistance {
    Point a, b;
    double mm = 0;
};
[[nodiscard]] KnownDistance parse_distance(std::string_view text);
/// "100,900,1500,910,1480,90,120,80": four places, likewise. Both throw Error (usage).
[[nodiscard]] std::array<Point, 4> parse_marks(std::string_view text);
/// Points of a drawn outline: a line each, two numbers parted by a comma, a semicolon or blanks; empty lines, a first line of words and
/// lines that begin with # are passed over. 3 to 20,000 points. Throws Error (input) with the line.
[[nodiscard]] std::vector<Point> read_outline(std::string_view text, const std::string& origin);

}  // namespace burin
