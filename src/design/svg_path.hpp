#pragma once
/// Outlines of an SVG's elements, in the element's own coordinates.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/shape/widen.hpp"
#include "svg_transform.hpp"

namespace burin {

/// An elliptical arc by its centre (SVG 2, B.2.1): the point at angle t is centre + turn by phi of (rx cos t, ry sin t).
struct EllipseArc {
    Point centre;
    double rx = 0, ry = 0, phi = 0;  ///< radians
    double from = 0, sweep = 0;      ///< radians; sweep is positive from x to y
    [[nodiscard]] Point at(double t) const;
};
/// From endpoints and flags (SVG 2, B.2.4 and B.2.5). Nothing where the radii or the way are 0: the arc is a straight line then, or none.
[[nodiscard]] std::optional<EllipseArc> arc_between(const Point& from, double rx, double ry, double turn_deg, bool large, bool sweep,
                                                    const Point& to);

struct PathPiece {
    enum class Kind { line, cubic, arc } kind = Kind::line;
    Point first, second;  ///< handles of a cubic
    Point to;
    EllipseArc arc;
};
struct SubPath {
    Point start;
    std::vector<PathPiece> steps;
    bool closed = false;
};
using SvgPath = std::vector<SubPath>;

struct PathReading {
    SvgPath path;
    std::optional<std::size_t> broken_at;  ///< place in the data up to which it was read (SVG 2, 9.5.4)
};
[[nodiscard]] PathReading read_path_data(std::string_view data);

void add_line(SubPath& path, const Point& to);
void add_cubic(SubPath& path, const Point& first, const Point& second, const Point& to);
void add_quadratic(SubPath& path, const Point& from, const Point& handle, const Point& to);
/// A straight line where there is no arc.
void add_arc(SubPath& path, const Point& from, double rx, double ry, double turn_deg, bool large, bool sweep, const Point& to);

[[nodiscard]] SvgPath ellipse_path(const Point& centre, double rx, double ry);
[[nodiscard]] SvgPath rectangle_path(double x, double y, double width, double height, double rx, double ry);
[[nodiscard]] SvgPath line_path(const std::vector<Point>& points, bool closed);

/// Chords that leave the curves by at most `tolerance` in the path's unit; corners on curves are smooth. Counts the points down and
/// gives nothing more when none are left.
[[nodiscard]] std::vector<CentreLine> flattened(const SvgPath& path, double tolerance, std::size_t& points_left);

}  // namespace burin
