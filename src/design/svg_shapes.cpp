/// SVG's basic shapes as paths (SVG 2, chapter 10), and paths as chords.
///
/// A cubic cut into n equal shares of its parameter leaves its chords by at most 3/4 of its largest second difference over n² (Wang 1984);
/// an arc's chord of angle t leaves it by at most r (1 − cos t/2), r the longer radius. Cost: the points.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "svg_path.hpp"

namespace burin {

SvgPath ellipse_path(const Point& centre, double rx, double ry) {
    SubPath path;
    path.start = {centre.x + rx, centre.y};
    PathPiece whole{PathPiece::Kind::arc, {}, {}, path.start, {centre, rx, ry, 0, 0, 2 * std::numbers::pi}};
    path.steps.push_back(whole);
    path.closed = true;
    return {path};
}

SvgPath rectangle_path(double x, double y, double width, double height, double rx, double ry) {
    rx = std::min(rx, width / 2), ry = std::min(ry, height / 2);
    if (!(rx > 0) || !(ry > 0)) return line_path({{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}, true);
    SubPath path;
    path.start = {x + rx, y};
    path.closed = true;
    const auto side = [&](const Point& from, const Point& corner_end) {
        add_line(path, from);
        add_arc(path, from, rx, ry, 0, false, true, corner_end);
    };
    side({x + width - rx, y}, {x + width, y + ry});
    side({x + width, y + height - ry}, {x + width - rx, y + height});
    side({x + rx, y + height}, {x, y + height - ry});
    side({x, y + ry}, {x + rx, y});
    return {path};
}

SvgPath line_path(const std::vector<Point>& points, bool closed) {
    if (points.empty()) return {};
    SubPath path;
    path.start = points.front();
    for (std::size_t k = 1; k < points.size(); ++k) add_line(path, points[k]);
    path.closed = closed;
    return {path};
}

namespace {

int cubic_chords(const Point& a, const PathPiece& c, double tolerance) {
    const auto second = [](const Point& p, const Point& q, const Point& r) { return std::hypot(p.x - 2 * q.x + r.x, p.y - 2 * q.y + r.y); };
    const double bend = std::max(second(a, c.first, c.second), second(c.first, c.second, c.to));
    return static_cast<int>(std::clamp(std::ceil(std::sqrt(0.75 * bend / tolerance)), 1.0, 1e6));
}

int arc_chords(const EllipseArc& arc, double tolerance) {
    const double share = std::clamp(1 - tolerance / std::max(arc.rx, arc.ry), 0.5, 1 - 1e-12);
    return static_cast<int>(std::clamp(std::ceil(std::abs(arc.sweep) / (2 * std::acos(share))), 1.0, 1e6));
}

Point on_cubic(const Point& a, const PathPiece& c, double t) {
    const double s = 1 - t, w0 = s * s * s, w1 = 3 * s * s * t, w2 = 3 * s * t * t, w3 = t * t * t;
    return {w0 * a.x + w1 * c.first.x + w2 * c.second.x + w3 * c.to.x, w0 * a.y + w1 * c.first.y + w2 * c.second.y + w3 * c.to.y};
}

Point unit(const Point& from, const Point& to) {
    const double length = distance(from, to);
    return length > 0 ? Point{(to.x - from.x) / length, (to.y - from.y) / length} : Point{};
}

/// Directions at both ends of a curve; of a straight line none, its chord is exact.
std::pair<Point, Point> end_directions(const Point& from, const PathPiece& step) {
    if (step.kind == PathPiece::Kind::line) return {};
    if (step.kind == PathPiece::Kind::cubic) {
        const Point first = step.first == from ? step.second : step.first, second = step.second == step.to ? step.first : step.second;
        return {unit(from, first == from ? step.to : first), unit(second == step.to ? from : second, step.to)};
    }
    const auto direction_at = [&](double t) {
        const EllipseArc& a = step.arc;
        const double x = -a.rx * std::sin(t), y = a.ry * std::cos(t), way = a.sweep < 0 ? -1 : 1;
        const Point along{way * (std::cos(a.phi) * x - std::sin(a.phi) * y), way * (std::sin(a.phi) * x + std::cos(a.phi) * y)};
        return unit({0, 0}, along);
    };
    return {direction_at(step.arc.from), direction_at(step.arc.from + step.arc.sweep)};
}

/// Appends the chords' ends; false where there are no points left for them.
bool add_chords(CentreLine& line, const PathPiece& step, double tolerance, std::size_t& points_left) {
    const Point from = line.line.points.back();
    const int chords = step.kind == PathPiece::Kind::cubic ? cubic_chords(from, step, tolerance)
                       : step.kind == PathPiece::Kind::arc ? arc_chords(step.arc, tolerance)
                                                           : 1;
    if (points_left < static_cast<std::size_t>(chords)) {
        points_left = 0;
        return false;
    }
    points_left -= static_cast<std::size_t>(chords);
    const auto [leaves, arrives] = end_directions(from, step);
    line.after.back() = leaves;
    for (int k = 1; k < chords; ++k) {
        const double t = static_cast<double>(k) / chords;
        line.line.points.push_back(step.kind == PathPiece::Kind::cubic ? on_cubic(from, step, t)
                                                                       : step.arc.at(step.arc.from + t * step.arc.sweep));
        line.smooth.push_back(1);
        line.before.emplace_back(), line.after.emplace_back();
    }
    line.line.points.push_back(step.to);
    line.smooth.push_back(0);
    line.before.push_back(arrives), line.after.emplace_back();
    return true;
}

}  // namespace

std::vector<CentreLine> flattened(const SvgPath& path, double tolerance, std::size_t& points_left) {
    std::vector<CentreLine> lines;
    for (const SubPath& sub : path) {
        if (sub.steps.empty() && !sub.closed) continue;  // a lone "move to" paints nothing
        CentreLine line;
        line.line.closed = sub.closed;
        line.line.points.push_back(sub.start);
        line.smooth.push_back(0);
        line.before.emplace_back(), line.after.emplace_back();
        for (const PathPiece& step : sub.steps)
            if (!add_chords(line, step, tolerance, points_left)) return {};
        lines.push_back(std::move(line));
    }
    return lines;
}

}  // namespace burin
