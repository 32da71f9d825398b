/// A polygon that grows from its middle t meets the region's line first either with a corner (a ray from t crosses an edge) or with a side
/// (a corner v of the line has gauge g(v − t) = max over sides of n·(v − t) / d, the factor at which the polygon reaches it; Minkowski's
/// functional). The least of all these is the factor at t; a search over t and the turn does the rest.
#include "burin/shape/fit_inside.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <vector>

#include "burin/shape/edge_distance.hpp"

namespace burin {
namespace {

constexpr std::size_t most_corners = 60;  // of the hull, while places are searched
constexpr double worth_turning = 1.005;
constexpr int turns = 72;

Point middle_of(const Loop& hull) {
    double area = 0, x = 0, y = 0;
    for (std::size_t k = 0; k < hull.size(); ++k) {
        const Point &a = hull[k], &b = hull[(k + 1) % hull.size()];
        const double cross = a.x * b.y - b.x * a.y;
        area += cross, x += (a.x + b.x) * cross, y += (a.y + b.y) * cross;
    }
    return std::abs(area) > 1e-12 ? Point{x / (3 * area), y / (3 * area)} : Point{};
}

Point turned(const Point& p, double turn) {
    return {p.x * std::cos(turn) - p.y * std::sin(turn), p.x * std::sin(turn) + p.y * std::cos(turn)};
}

/// The hull about its middle at one turn, and its sides as n·x ≤ 1.
struct Grown {
    std::vector<Point> corners, sides;
    Grown(const Loop& hull, const Point& middle, double turn, std::size_t most) {
        const std::size_t step = (hull.size() + most - 1) / most;
        for (std::size_t k = 0; k < hull.size(); k += step) corners.push_back(turned({hull[k].x - middle.x, hull[k].y - middle.y}, turn));
        for (std::size_t k = 0; k < corners.size(); ++k) {
            const Point &a = corners[k], &b = corners[(k + 1) % corners.size()];
            const double reach = (b.y - a.y) * a.x - (b.x - a.x) * a.y;  // n·a for the outward normal n of the side
            if (reach > 1e-12) sides.push_back({(b.y - a.y) / reach, (a.x - b.x) / reach});
        }
    }
};

struct Line {
    std::vector<std::array<Point, 2>> edges;
    EdgeSearch inside;
    Box box;
    explicit Line(const Region& region) : inside(region), box(region.bounds()) {
        for (const Loop& loop : region.loops())
            for (std::size_t k = 0; k < loop.size(); ++k) edges.push_back({loop[k], loop[(k + 1) % loop.size()]});
    }
};

/// The factor at t; anything below `enough` counts as 0, which is known sooner.
double room_at(const Line& line, const Grown& grown, const Point& t, double enough) {
    if (!line.box.holds(t) || !line.inside.holds(t)) return 0;
    double room = 1e9;
    for (const auto& edge : line.edges) {
        const Point v{edge[0].x - t.x, edge[0].y - t.y};
        double gauge = 0;
        for (const Point& n : grown.sides) gauge = std::max(gauge, n.x * v.x + n.y * v.y);
        room = std::min(room, gauge);
        if (room <= enough) return 0;
    }
    for (const auto& edge : line.edges) {
        const Point a{edge[0].x - t.x, edge[0].y - t.y}, e{edge[1].x - edge[0].x, edge[1].y - edge[0].y};
        const double across = a.x * e.y - a.y * e.x;
        for (const Point& p : grown.corners) {
            const double slope = p.x * e.y - p.y * e.x;
            if (slope == 0) continue;
            const double s = across / slope, u = (a.x * p.y - a.y * p.x) / slope;
            if (s > -1e-9 && s < room && u >= 0 && u <= 1) room = std::max(0.0, s);  // 0: t lies on the line itself
        }
        if (room <= enough) return 0;
    }
    return room;
}

struct Try {
    double room = 0;
    Point t;
    double turn = 0;
};

/// Ever smaller steps in all eight directions, and both ways round where `turning`.
void climb(const Line& line, const Loop& hull, const Point& middle, double step, bool turning, Try& best) {
    for (double swing = turning ? 0.05 : 0; step > 2e-3; step /= 2, swing /= 2)
        for (bool better = true; better;) {
            better = false;
            for (int turn = turning ? -1 : 0; turn <= (turning ? 1 : 0); ++turn) {
                const double angle = best.turn + turn * swing;
                const Grown grown(hull, middle, angle, most_corners);
                const Point from = best.t;
                for (int d = 0; d < 9; ++d) {
                    const Point t{from.x + (d % 3 - 1) * step, from.y + (d / 3 - 1) * step};
                    const double room = room_at(line, grown, t, best.room * (1 + 1e-7));
                    if (room > 0) best = {room, t, angle}, better = true;
                }
                if (better) break;
            }
        }
}

Try best_at_turn(const Line& line, const Loop& hull, const Point& middle, double turn) {
    constexpr int n = 17;
    const Grown grown(hull, middle, turn, most_corners);
    Try best{0, {}, turn};
    for (int k = 0; k < n * n; ++k) {
        const Point t{line.box.lo.x + line.box.width() * (k % n + 0.5) / n, line.box.lo.y + line.box.height() * (k / n + 0.5) / n};
        if (const double room = room_at(line, grown, t, best.room); room > 0) best = {room, t, turn};
    }
    if (best.room > 0) climb(line, hull, middle, std::max(line.box.width(), line.box.height()) / n / 2, false, best);
    return best;
}

/// The place is given: larger ones are tried until one sticks out.
Try at_place(const Line& line, const Loop& hull, const Point& middle, const Point& at, double turn) {
    const Grown grown(hull, middle, turn, hull.size());
    const Point off = turned(middle, turn);
    double low = 0, high = 1e5;
    for (int k = 0; k < 60; ++k) {
        const double s = (low + high) / 2;
        (room_at(line, grown, {at.x + s * off.x, at.y + s * off.y}, 0) >= s ? low : high) = s;
    }
    return {low, {at.x + low * off.x, at.y + low * off.y}, turn};
}

}  // namespace

InsideFit largest_inside(const Region& region, const Loop& hull, const InsideWishes& wishes, const Crew& crew) {
    if (region.empty() || hull.size() < 3) return {};
    const Line line(region);
    const Point middle = middle_of(hull);
    std::vector<Try> tries(wishes.turning ? turns : 1);
    in_parallel(crew, static_cast<int>(tries.size()), [&](int k) {
        crew.check();
        const double turn = std::remainder(2 * std::numbers::pi * k / turns, 2 * std::numbers::pi);
        tries[static_cast<std::size_t>(k)] =
            wishes.at ? at_place(line, hull, middle, *wishes.at, turn) : best_at_turn(line, hull, middle, turn);
    });
    Try best = tries.front();
    if (wishes.turning) {
        Try other = best;
        for (const Try& one : tries)
            if (one.room > other.room * (1 + 1e-6)) other = one;
        if (!wishes.at && other.room > 0) climb(line, hull, middle, 0.5, true, other);
        if (other.room > best.room * worth_turning) best = other;
    }
    if (!(best.room > 0)) return {};
    if (!wishes.at) best.room = room_at(line, Grown(hull, middle, best.turn, hull.size()), best.t, 0);
    const Point off = turned(middle, best.turn);
    return {best.room, {best.t.x - best.room * off.x, best.t.y - best.room * off.y}, best.turn};
}

}  // namespace burin
