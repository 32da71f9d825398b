#pragma once
/// From a contour's dense points to a line with true corners and smooth curves.
#include <cstdint>
#include <span>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// How far a line may be moved, pixels.
struct Slack {
    double smooth = 0.2;  ///< by smoothing
    double thin = 0.05;   ///< by leaving points out
    double noise = 0.02;  ///< of the points, across the line, as measured
};

/// A closed line of dense points (about one a pixel) on which corners have been put in.
struct CorneredLine {
    std::vector<Point> points;
    std::vector<std::uint8_t> corner;  ///< 1: a corner, which stays where it is
};

/// Points that know the line best: crossings marked askew go; where a line's edge is hard, those between its steps. `marks` as in
/// contour.hpp; hard lines come back with points a pixel apart.
[[nodiscard]] std::vector<Point> sure_points(std::span<const Point> points, std::span<const std::uint8_t> marks, bool hard);

/// Noise of points across their line, pixels: by the median of their second differences. 0 for fewer than 40 points.
[[nodiscard]] double noise_of(std::span<const Point> points);

/// Puts corners where two smooth runs of points meet at an angle and their extensions cross next to the line: contours
/// round corners off by up to a pixel, the runs beside them do not.
[[nodiscard]] CorneredLine with_corners(std::vector<Point> points, const Slack& slack, bool hard);

/// Smooths between corners, no point moving by more than slack.smooth (Taubin 1995: without shrinking).
void smooth(CorneredLine& line, const Slack& slack);

/// Few points, none left out farther than `tolerance` from the line (Douglas and Peucker 1973); corners stay, and on curves the line
/// encloses what the points did.
[[nodiscard]] Loop thinned(const CorneredLine& line, double tolerance);

}  // namespace burin
