#pragma once
/// Lines of equal value in a grid of floats, and lines with fewer points.
#include <cstdint>
#include <functional>
#include <span>
#include <vector>

#include "burin/base/grid.hpp"

namespace burin {

/// A line of equal value. Closed lines do not repeat their first point; open ones end where the field's edge or the mask
/// ends them.
struct Contour {
    std::vector<Point> points;
    bool closed = true;
    int ring = 0;  ///< index of its value
};

/// Contours of `field` at values[0], values[1], … (rising), larger values on the left of the way, linear between cell
/// centres (marching squares; the saddle is decided by its mean). Squares with a corner where `mask` (same cells; may be
/// null) is 0 are left out. Order: by the place where a contour is met first, rows upwards. The line goes at most the
/// share `most` of the way from the lower of two neighbours to the higher. Cost: cells + n log n of the
/// crossings.
[[nodiscard]] std::vector<Contour> contours_at(const HeightMap& field, std::span<const float> values, const Grid<std::uint8_t>* mask,
                                               double most = 1);

/// Fewer points, none of the dropped ones farther than `tolerance` from the line that is left. O(n).
[[nodiscard]] std::vector<Point> thinned(const std::vector<Point>& points, bool closed, double tolerance);

/// Distance in mm of every cell centre inside `mask` (≠ 0) to the nearest centre outside; 0 outside. The outermost cells of
/// the mask are outside: nothing is known of the world beyond. Exact Euclidean (OpenCV).
[[nodiscard]] HeightMap distance_inside(const Grid<std::uint8_t>& mask);

/// Cells within `radius` mm of a cell of the mask.
[[nodiscard]] Grid<std::uint8_t> grown(Grid<std::uint8_t> mask, double radius);

[[nodiscard]] double length_of(const std::vector<Point>& points, bool closed);

}  // namespace burin
