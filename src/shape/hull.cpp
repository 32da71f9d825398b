// Convex hull, smallest circle, and what is made of a hull so that a machine can walk it.
#include "burin/shape/hull.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <optional>

namespace burin {
namespace {

double cross(const Point& a, const Point& b, const Point& c) { return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x); }
Point middle(const Point& a, const Point& b) { return {(a.x + b.x) / 2, (a.y + b.y) / 2}; }

double distance_to_segment(const Point& p, const Point& a, const Point& b) {
    const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    const double t = square > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / square, 0.0, 1.0) : 0;
    return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

bool holds(const Circle& circle, const Point& p) { return distance(circle.centre, p) <= circle.radius * (1 + 1e-12) + 1e-12; }
Circle on_two(const Point& a, const Point& b) { return {middle(a, b), distance(a, b) / 2}; }
/// Through three points; on a line: about the two farthest apart.
Circle on_three(const Point& a, const Point& b, const Point& c) {
    const double bx = b.x - a.x, by = b.y - a.y, cx = c.x - a.x, cy = c.y - a.y, twice = 2 * (bx * cy - by * cx);
    if (std::abs(twice) < 1e-14 * (bx * bx + by * by + cx * cx + cy * cy)) {
        const Circle ab = on_two(a, b), bc = on_two(b, c), ca = on_two(c, a);
        return ab.radius >= bc.radius && ab.radius >= ca.radius ? ab : bc.radius >= ca.radius ? bc : ca;
    }
    const double b2 = bx * bx + by * by, c2 = cx * cx + cy * cy;
    const Point centre{a.x + (cy * b2 - by * c2) / twice, a.y + (bx * c2 - cx * b2) / twice};
    return {centre, distance(centre, a)};
}

/// Where the line of side i meets that of side j; empty where they do not meet ahead.
std::optional<Point> meeting(const std::vector<Point>& hull, std::size_t i, std::size_t j) {
    const std::size_t n = hull.size();
    const Point &a = hull[i % n], &b = hull[(i + 1) % n], &c = hull[j % n], &d = hull[(j + 1) % n];
    const Point u{b.x - a.x, b.y - a.y}, v{d.x - c.x, d.y - c.y};
    const double turn = u.x * v.y - u.y * v.x, along = u.x * v.x + u.y * v.y;
    if (!(turn > 0) || !(along > 0)) return {};  // less than a quarter turn only: else it would lie far out
    const double t = ((c.x - a.x) * v.y - (c.y - a.y) * v.x) / turn;
    return Point{a.x + t * u.x, a.y + t * u.y};
}

/// Whether sides i and j may meet in place of all sides between them.
std::optional<Point> near_meeting(const std::vector<Point>& hull, std::size_t i, std::size_t j, double tolerance) {
    const auto at = meeting(hull, i, j);
    if (!at) return {};
    double nearest = 1e300;
    for (std::size_t k = i + 1; k < j; ++k)
        nearest = std::min(nearest, distance_to_segment(*at, hull[k % hull.size()], hull[(k + 1) % hull.size()]));
    return nearest <= tolerance ? at : std::nullopt;
}

}  // namespace

std::vector<Point> convex_hull(std::vector<Point> points) {
    std::sort(points.begin(), points.end(), [](const Point& a, const Point& b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
    points.erase(std::unique(points.begin(), points.end()), points.end());
    if (points.size() < 3) return points;
    std::vector<Point> hull;
    const auto chain = [&](auto first, auto last) {
        const std::size_t base = hull.size();
        for (auto at = first; at != last; ++at) {
            while (hull.size() >= base + 2 && cross(hull[hull.size() - 2], hull.back(), *at) <= 0) hull.pop_back();
            hull.push_back(*at);
        }
        hull.pop_back();  // the other chain begins there
    };
    chain(points.begin(), points.end());
    chain(points.rbegin(), points.rend());
    return hull;
}

Circle smallest_circle(const std::vector<Point>& points) {
    std::vector<Point> p = points;
    std::uint64_t state = 1854;  // any order will do that nobody chose
    for (std::size_t k = p.size(); k > 1; --k) {
        state = state * 6364136223846793005U + 1442695040888963407U;
        std::swap(p[k - 1], p[static_cast<std::size_t>((state >> 33U) % k)]);
    }
    if (p.empty()) return {};
    Circle circle{p[0], 0};
    for (std::size_t i = 1; i < p.size(); ++i) {
        if (holds(circle, p[i])) continue;
        circle = {p[i], 0};
        for (std::size_t j = 0; j < i; ++j) {
            if (holds(circle, p[j])) continue;
            circle = on_two(p[i], p[j]);
            for (std::size_t k = 0; k < j; ++k)
                if (!holds(circle, p[k])) circle = on_three(p[i], p[j], p[k]);
        }
    }
    return circle;
}

std::vector<Point> simplified_outwards(const std::vector<Point>& hull, double tolerance) {
    const std::size_t n = hull.size();
    if (n < 4) return hull;
    std::vector<Point> corners;
    for (std::size_t side = 0; side < n;) {  // side n is side 0 again
        std::size_t next = side + 1;
        Point corner = hull[next % n];
        while (next + 1 <= n) {
            const auto farther = near_meeting(hull, side, next + 1, tolerance);
            if (!farther) break;
            ++next;
            corner = *farther;
        }
        corners.push_back(corner);
        side = next;
    }
    if (corners.size() < 3) return hull;
    std::rotate(corners.begin(), corners.end() - 1, corners.end());  // begins where the hull does
    return corners;
}

std::vector<Point> grown_hull(const std::vector<Point>& hull, double by) {
    const std::size_t n = hull.size();
    if (!(by > 0) || n == 0) return hull;
    constexpr double most_step = std::numbers::pi / 6;
    const auto heading = [&](std::size_t k) {  // of the side that leaves corner k
        const Point &a = hull[k % n], &b = hull[(k + 1) % n];
        return std::atan2(b.y - a.y, b.x - a.x);
    };
    std::vector<Point> out;
    for (std::size_t k = 0; k < n; ++k) {
        double turn = n == 1 ? 2 * std::numbers::pi : heading(k) - heading(k + n - 1);
        while (turn <= 1e-12) turn += 2 * std::numbers::pi;
        const double normal = (n == 1 ? 0 : heading(k + n - 1)) - std::numbers::pi / 2;
        const auto steps = static_cast<int>(std::ceil(turn / most_step - 1e-9));
        const double step = turn / steps, far = by / std::cos(step / 2);  // the chords touch the circle from outside
        for (int s = 0; s < steps; ++s) {
            const double angle = normal + step * (s + 0.5);
            out.push_back({hull[k].x + far * std::cos(angle), hull[k].y + far * std::sin(angle)});
        }
    }
    return out;
}

}  // namespace burin
