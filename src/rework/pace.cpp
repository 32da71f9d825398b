// Points of all that is cut, their hull, and the way round it. Cost: the moves, and n log n of what is kept of them.
#include "burin/rework/pace.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"

namespace burin {
namespace {

constexpr double most_outwards = 0.02;  // mm
constexpr double chord = 0.001;         // mm
constexpr double corner_turn = 20;      // degrees from which a corner is one to stop at

/// Keeps the hull of what it is given, without keeping all of it.
class Gathered {
public:
    void take(const Point& p) {
        points_.push_back(p);
        if (points_.size() > most) points_ = convex_hull(std::move(points_));
    }
    std::vector<Point> hull() { return convex_hull(std::move(points_)); }

private:
    static constexpr std::size_t most = 1 << 16;
    std::vector<Point> points_;
};

/// The part of a straight way below the stock's top.
void take_below(const Point3& a, const Point3& b, Gathered& gathered) {
    if (a.z >= 0 && b.z >= 0) return;
    const auto at_top = [&] {
        const double t = a.z / (a.z - b.z);
        return Point{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
    };
    gathered.take(a.z < 0 ? flat(a) : at_top());
    gathered.take(b.z < 0 ? flat(b) : at_top());
}

void take_program(const ReadProgram& program, WorkExtent& extent, Gathered& gathered) {
    const bool beam = program.tool == ToolKind::beam;
    Point3 from = program.track.start;
    for (const Move& move : program.track.moves) {
        extent.highest = std::max(extent.highest, move.to.z);
        extent.deepest = std::min(extent.deepest, move.to.z);
        const auto take = [&](const Point3& a, const Point3& b) {
            if (!beam) return take_below(a, b, gathered);
            if (move.power == 0) return;
            gathered.take(flat(a));
            gathered.take(flat(b));
        };
        if (move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw) {
            for (const Point3& p : arc_points(from, move, program.track.arcs[move.arc], chord)) {
                take(from, p);
                from = p;
            }
        } else {
            take(from, move.to);
        }
        from = move.to;
    }
}

std::vector<Point> box_of(const std::vector<Point>& hull, double grow) {
    Box box{hull.front(), hull.front()};
    for (const Point& p : hull) {
        box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
        box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
    }
    box = {{box.lo.x - grow, box.lo.y - grow}, {box.hi.x + grow, box.hi.y + grow}};
    return {box.lo, {box.hi.x, box.lo.y}, box.hi, {box.lo.x, box.hi.y}};
}

/// By how much the way turns at a corner, degrees.
double turn_at(const std::vector<Point>& corners, std::size_t k) {
    const std::size_t n = corners.size();
    const Point &a = corners[(k + n - 1) % n], &b = corners[k], &c = corners[(k + 1) % n];
    const Point u{b.x - a.x, b.y - a.y}, v{c.x - b.x, c.y - b.y};
    return std::abs(std::atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y)) * 180 / std::numbers::pi;
}

void walk(const PaceOrder& order, Pace& pace) {
    Track& track = pace.path.track;
    const auto& corners = pace.corners;
    const bool round = order.by == PaceBy::circle;
    track.start = {corners[0].x - 1, corners[0].y, order.z};  // nobody knows it; but the way to the first corner must be told
    if (round) track.arcs.push_back({pace.circle.centre});
    const auto stop_at = [&](std::size_t k) {
        if (!order.stops || !(round || turn_at(corners, k) >= corner_turn)) return;
        track.events.push_back({track.moves.size(), EventKind::pause, 0, 0});
        ++pace.stops;
    };
    pace.path.passes = {{0, order.z, "outline"}};
    track.moves.push_back({.to = {corners[0].x, corners[0].y, order.z}, .kind = MoveKind::rapid, .running = false});
    for (std::size_t k = 0; k < corners.size(); ++k) {
        stop_at(k);
        const Point& to = corners[(k + 1) % corners.size()];
        Move move{.to = {to.x, to.y, order.z}, .kind = order.rapid ? MoveKind::rapid : MoveKind::feed, .running = false};
        if (round) move.kind = MoveKind::arc_ccw;
        if (!order.rapid) move.feed = static_cast<float>(order.feed), move.power = order.power;
        track.moves.push_back(move);
    }
}

}  // namespace

WorkExtent extent_of(std::span<const ReadProgram> programs) {
    WorkExtent extent;
    Gathered gathered;
    for (const ReadProgram& program : programs) take_program(program, extent, gathered);
    extent.hull = gathered.hull();
    return extent;
}

Pace plan_pace(const WorkExtent& extent, const PaceOrder& order) {
    if (extent.hull.empty())
        throw Error(Fault::refused,
                    "The programs cut nothing below the stock's top and burn nothing, so there is no outline. Give those that cut.");
    if (order.rapid && order.by == PaceBy::circle)
        throw Error(Fault::usage, "A circle cannot be walked by rapids, which go along straight lines only: leave --walk out.");
    if (order.rapid && order.power > 0) throw Error(Fault::usage, "A rapid must be dark: leave --walk out, or --pilot.");
    Pace pace;
    switch (order.by) {
        case PaceBy::box:
            pace.corners = box_of(extent.hull, order.grow);
            break;
        case PaceBy::hull:
            pace.corners = simplified_outwards(grown_hull(extent.hull, order.grow), most_outwards);
            break;
        case PaceBy::circle: {
            pace.circle = smallest_circle(extent.hull);
            pace.circle.radius += order.grow;
            const auto [centre, radius] = pace.circle;
            pace.corners = {
                {centre.x + radius, centre.y}, {centre.x, centre.y + radius}, {centre.x - radius, centre.y}, {centre.x, centre.y - radius}};
            break;
        }
    }
    double length = 0;
    for (std::size_t k = 0; k < pace.corners.size(); ++k) length += distance(pace.corners[k], pace.corners[(k + 1) % pace.corners.size()]);
    if (length < 0.1)
        throw Error(Fault::refused, "All that is cut lies in one place, so there is nothing to walk round. Give --grow, such as --grow 5.");
    walk(order, pace);
    return pace;
}

}  // namespace burin
