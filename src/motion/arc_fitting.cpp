// Arcs from runs of short lines. A run is made longer move by move as long as the circle through its first, middle and last corner
// keeps the tolerance: corners off the circle, and middles of lines, which lie r (1 − cos h) inside it (plane geometry), and the turn
// goes one way. The last run that did is taken.
// Cost: O(moves × moves in an arc).
#include "burin/motion/arc_fitting.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <set>
#include <utility>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double least_radius = 0.05, most_radius = 2000;  // mm
constexpr double widest = 1.02 * std::numbers::pi;         // radians in one arc: two of them make a circle
constexpr std::size_t least_moves = 3, most_moves = 400;

struct Circle {
    Point centre;
    double radius = 0;
};

std::optional<Circle> through(const Point& a, const Point& b, const Point& c) {
    const double bx = b.x - a.x, by = b.y - a.y, cx = c.x - a.x, cy = c.y - a.y, det = 2 * (bx * cy - by * cx);
    const double b2 = bx * bx + by * by, c2 = cx * cx + cy * cy;
    if (std::abs(det) < 1e-12 * (b2 + c2)) return std::nullopt;
    const double x = (cy * b2 - by * c2) / det, y = (bx * c2 - cx * b2) / det;
    const double radius = std::hypot(x, y);
    if (!(radius >= least_radius && radius <= most_radius)) return std::nullopt;
    return Circle{{a.x + x, a.y + y}, radius};
}

/// The circle of corners first … last, if they keep to one.
std::optional<Circle> circle_of(const std::vector<Point>& corners, std::size_t first, std::size_t last, double tolerance) {
    const auto circle = through(corners[first], corners[(first + last) / 2], corners[last]);
    if (!circle) return std::nullopt;
    const Point& o = circle->centre;
    double sweep = 0, way = 0;
    for (std::size_t k = first; k <= last; ++k) {
        const double r = distance(o, corners[k]);
        if (std::abs(r - circle->radius) > tolerance) return std::nullopt;
        if (k == first) continue;
        const Point middle{(corners[k - 1].x + corners[k].x) / 2, (corners[k - 1].y + corners[k].y) / 2};
        if (std::abs(distance(o, middle) - circle->radius) > tolerance) return std::nullopt;
        const double ax = corners[k - 1].x - o.x, ay = corners[k - 1].y - o.y, bx = corners[k].x - o.x, by = corners[k].y - o.y;
        const double turn = std::atan2(ax * by - ay * bx, ax * bx + ay * by);
        if (way != 0 && turn * way <= 0) return std::nullopt;
        way = turn, sweep += std::abs(turn);
    }
    if (way == 0 || sweep > widest) return std::nullopt;
    return circle;
}

}  // namespace

Toolpath fitted_arcs(Toolpath path, double tolerance) {
    if (!(tolerance > 0)) throw Error(Fault::usage, "Arcs cannot be fitted with a tolerance of 0. Give one above 0 mm.");
    const Track& track = path.track;
    const std::size_t count = track.moves.size();
    std::vector<std::uint8_t> breaks(count + 1, 0);  // no run goes on over the beginning of this move
    for (const Pass& pass : path.passes) breaks[std::min(pass.first, count)] = 1;
    for (const Event& event : track.events) breaks[std::min(event.before, count)] = 1;

    // Where a rapid comes down, the bit must have been exactly, for a slot is no wider than the bit: lines that end there stay lines,
    // whose ends are written with as many decimals as the rapid's.
    std::set<std::pair<double, double>> footholds;
    for (std::size_t k = 1; k < count; ++k)
        if (const Move& m = track.moves[k]; m.kind == MoveKind::rapid && m.to.z < track.moves[k - 1].to.z && m.to.z < 0)
            footholds.insert({m.to.x, m.to.y});
    std::vector<std::uint8_t> stays(count, 0);
    for (std::size_t k = 0; k < count; ++k) stays[k] = footholds.count({track.moves[k].to.x, track.moves[k].to.y}) > 0 ? 1 : 0;

    Track fitted;
    fitted.start = track.start, fitted.arcs = track.arcs;
    std::vector<std::size_t> now(count + 1);  // where each move went to
    std::vector<Point> corners;
    for (std::size_t k = 0; k < count;) {
        now[k] = fitted.moves.size();
        const Point3 from = k == 0 ? track.start : track.moves[k - 1].to;
        corners.assign(1, flat(from));
        std::size_t end = k;
        const Move& first = track.moves[k];
        const auto goes_on = [&](std::size_t n) {
            const Move& m = track.moves[n];
            return m.kind == MoveKind::feed && !stays[n] && m.to.z == from.z && m.feed == first.feed && m.running == first.running &&
                   (n == k || !breaks[n]) && distance(corners.back(), flat(m.to)) > 1e-6;
        };
        std::optional<Circle> best;
        std::size_t best_end = k;
        while (end < count && end - k < most_moves && goes_on(end)) {
            corners.push_back(flat(track.moves[end].to));
            ++end;
            if (end - k < least_moves) continue;
            const auto circle = circle_of(corners, 0, corners.size() - 1, tolerance);
            if (!circle) break;
            best = circle, best_end = end;
        }
        if (!best) {
            fitted.moves.push_back(first);
            ++k;
            continue;
        }
        const Point& a = corners[0];
        const Point& b = corners[1];
        const bool left = (a.x - best->centre.x) * (b.y - best->centre.y) - (a.y - best->centre.y) * (b.x - best->centre.x) > 0;
        Move arc = track.moves[best_end - 1];
        arc.kind = left ? MoveKind::arc_ccw : MoveKind::arc_cw;
        arc.arc = static_cast<std::uint32_t>(fitted.arcs.size());
        fitted.arcs.push_back({best->centre});
        for (std::size_t n = k; n < best_end; ++n) now[n] = fitted.moves.size();
        fitted.moves.push_back(arc);
        k = best_end;
    }
    now[count] = fitted.moves.size();
    for (Event event : track.events) {
        event.before = now[std::min(event.before, count)];
        fitted.events.push_back(event);
    }
    for (Pass& pass : path.passes) pass.first = now[std::min(pass.first, count)];
    path.track = std::move(fitted);
    return path;
}

}  // namespace burin
