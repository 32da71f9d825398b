#pragma once
/// What lies round a set of points: the convex hull, the smallest circle.
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

/// Corners of the convex hull, anticlockwise, the lowest of the leftmost first, no three on a line; points that all lie on one line give
/// its two ends, one point itself, none nothing. Exact but for the rounding of a cross product. Cost: n log n.
/// (Andrew 1979, "Another efficient algorithm for convex hulls in two dimensions".)
[[nodiscard]] std::vector<Point> convex_hull(std::vector<Point> points);

struct Circle {
    Point centre;
    double radius = 0;
};
/// The smallest circle that holds all points, to about 1e-9 of its size. No points: radius 0 about the origin. Cost: about n, after the
/// points are shuffled in an order that is always the same. (Welzl 1991, "Smallest enclosing disks".)
[[nodiscard]] Circle smallest_circle(const std::vector<Point>& points);

/// A convex polygon (anticlockwise) with few corners that holds `hull` and goes nowhere farther than `tolerance` mm from it: sides are left
/// out and their neighbours drawn out to meet. Fewer than four corners come back as they are. Cost: n times the corners that meet.
[[nodiscard]] std::vector<Point> simplified_outwards(const std::vector<Point>& hull, double tolerance);

/// A convex polygon (anticlockwise) that lies round `hull` at least `by` mm away, and at most 4 % farther at its corners, which are rounded
/// by chords. A line or a point is grown likewise. `by` 0: as it is.
[[nodiscard]] std::vector<Point> grown_hull(const std::vector<Point>& hull, double by);

}  // namespace burin
