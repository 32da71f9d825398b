#pragma once
/// A pen drawn along a line: strokes of a given width, with caps and joins.
#include <cstdint>
#include <vector>

#include "burin/shape/region.hpp"

namespace burin {

enum class Cap { butt, round, square };   ///< how an open line ends: at its end, with half a disc, half a width farther
enum class Join { miter, round, bevel };  ///< how corners are filled; miters longer than the limit become bevels

struct Pen {
    double width = 1;  ///< mm, > 0
    Cap cap = Cap::butt;
    Join join = Join::miter;
    double miter_limit = 4;  ///< most length of a miter in widths
};

/// A line to be widened. Corners that only come from flattening a curve are joined round, whatever the pen says.
struct CentreLine {
    Polyline line;
    std::vector<std::uint8_t> smooth;  ///< one for each point; empty: no corner is smooth
    std::vector<Point> before, after;  ///< unit directions in which a curve comes to each point and leaves it, where its chord is not
                                       ///< exact enough; 0, 0, or empty: along the chord
};

/// Loops that wind a positive number of times round just the places the pen covers (SVG 2, 13.5: strips beside the segments, joins, caps);
/// they may cross. A line without length gives a dot where its cap is round, a square along x where it is square, else nothing. Arcs
/// become chords that leave them by at most `tolerance`, in the unit of the line.
/// Cost: the corners, and the chords of round joins and caps.
[[nodiscard]] std::vector<Loop> pen_loops(const CentreLine& line, const Pen& pen, double tolerance);

/// The same as a region. Throws Error (usage) where the width or tolerance is not above 0, (refused) as Region does.
[[nodiscard]] Region widened(const Polyline& line, const Pen& pen, double tolerance = 0.002);

}  // namespace burin
