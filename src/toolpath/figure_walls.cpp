// Last passes along walls.
//
// Roughing leaves a strip of the allowance g beside the wall. Its skimming is free in height (promise 3) as long as the strip is
// nowhere wider than g, which is so where every place of the tip's line has a roughed place within g; and bounded by its section:
// over half a bit diameter of way, strip × depth ≤ m × diameter. Where the line turns by φ into a corner, besides its length × the
// strip left w, the bit's rim sweeps the crescent between two discs shifted by w/cos(φ/2): 2 r w tan(φ/2) (plane geometry).
// Cost: a look at the nearest roughed place each 0.25 mm.
#include "figure_walls.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double sample = 0.25;    // mm
constexpr double share = 0.8;      // of the section that may be taken
constexpr double end_hair = 0.04;  // mm
constexpr double overlap = 1.0;    // mm

double turn_at(const Point3& a, const Point3& b, const Point3& c) {
    const double ux = b.x - a.x, uy = b.y - a.y, vx = c.x - b.x, vy = c.y - b.y;
    return std::atan2(ux * vy - uy * vx, ux * vx + uy * vy);
}

/// The roughed lines beside the line, if the strip between is nowhere wider than the allowance; else empty.
std::vector<std::size_t> strip_beside(const Rail& rail, const LineIndex& rough, const WallOrder& order) {
    const double reach = 0.95 * order.allowance;
    std::vector<std::size_t> beside;
    if (!(order.left > 0) || rough.empty()) return beside;
    bool narrow = true;
    double last = 0;
    const auto look = [&](const Point3& p) {
        const auto found = rough.nearest(flat(p), reach);
        narrow = found.has_value();
        if (narrow && (beside.empty() || beside.back() != found->line)) beside.push_back(found->line);
    };
    rail.walk(0, rail.length(), [&](const Point3& p, double s) {
        for (double between = last + sample; between < s - sample / 2 && narrow; between += sample) look(rail.at(between));
        if (narrow) look(p);
        last = s;
    });
    if (!narrow) return {};
    std::sort(beside.begin(), beside.end());
    beside.erase(std::unique(beside.begin(), beside.end()), beside.end());
    return beside;
}

/// The greatest area swept off a strip of width `left` over half a diameter of way.
double largest_strip(const Rail& rail, bool closed, const WallOrder& order) {
    const auto& points = rail.points();
    const double window = order.rules.diameter / 2;
    struct Corner {
        double s, area;
    };
    std::vector<Corner> corners;
    double s = 0;
    for (std::size_t k = 1; k < points.size(); ++k) {
        s += distance(flat(points[k - 1]), flat(points[k]));
        const bool last = k + 1 == points.size();
        if (last && !closed) break;
        const double turn = turn_at(points[k - 1], points[k], last ? points[1] : points[k + 1]);
        // Either way round: a turn away from the wall costs nothing, but is taken as one towards it.
        corners.push_back({s, order.rules.diameter * order.left * std::tan(std::min(std::abs(turn), 2.5) / 2)});
    }
    if (closed)  // once more, for what follows the last one
        for (std::size_t k = 0, n = corners.size(); k < n; ++k) corners.push_back({corners[k].s + s, corners[k].area});
    double most = 0, sum = 0;
    for (std::size_t k = 0, first = 0; k < corners.size(); ++k) {
        sum += corners[k].area;
        while (corners[k].s - corners[first].s > window) sum -= corners[first++].area;
        most = std::max(most, sum);
    }
    return order.left + most / window;
}

}  // namespace

double half_at(const Bit& bit, double floor) { return bit.width_at(-floor) / 2; }

double wall_allowance(double allowance, double diameter) { return std::min(0.9 * allowance, 0.25 * diameter); }

std::vector<Wall> plan_walls(const std::vector<Polyline>& lines, const LineIndex& rough, const WallOrder& order) {
    std::vector<Wall> walls;
    for (const Polyline& line : lines) {
        const Rail rail(at_height(line.points, 0), line.closed);
        Wall wall{line.points, line.closed, {}, false, {}, {}};
        double step = order.rules.step;
        if (std::vector<std::size_t> beside = strip_beside(rail, rough, order); !beside.empty()) {
            const double strip = largest_strip(rail, line.closed, order);
            const double deep = share * order.rules.most * order.rules.diameter / strip;
            if (deep >= step) step = deep, wall.skimmed = true, wall.beside = std::move(beside);
        }
        wall.levels = levels_to(order.floor, step);
        walls.push_back(std::move(wall));
    }
    return walls;
}

void cut_wall(Pen& pen, const Wall& wall, const LineIndex& rough, const WallOrder& order) {
    TipLine line{at_height(wall.points, order.floor), wall.closed, true, wall.begin};
    if (!wall.skimmed || !wall.closed) {
        CutRules rules = order.rules;
        if (wall.skimmed) rules.engaged = std::min(1.0, 2 * order.left / rules.diameter);
        cut_levels(pen, line, wall.levels, rules);
        return;
    }
    const Rail rail(line.tip, true);
    const double lead = std::min(1.5 * order.rules.diameter, rail.length() / 3);
    const auto foot = [&](const Point3& p) {
        const auto found = rough.nearest(flat(p), 2 * order.allowance);
        return found ? found->at : flat(p);
    };
    double s = rail.nearest(wall.begin ? *wall.begin : flat(pen.at())).s;
    for (const double z : wall.levels) {
        const auto beside = rough.nearest(flat(rail.at(s)), 2 * order.allowance);
        const Point from = beside ? beside->corner : flat(rail.at(s));
        s = rail.nearest(from).s;
        pen.approach(from, z + order.rules.clearance);
        pen.cut({from.x, from.y, z});
        // In from the side, nearer and nearer to the wall.
        for (double gone = 0; gone < lead - 1e-9;) {
            gone = std::min(lead, gone + sample);
            const Point3 on = rail.at(s + gone);
            const Point off = foot(on);
            const double in = gone / lead;
            pen.cut({off.x + (on.x - off.x) * in, off.y + (on.y - off.y) * in, z});
        }
        rail.walk(s + lead, s + 2 * lead + rail.length() + std::min(overlap, rail.length() / 4), [&](const Point3& p, double) {
            pen.cut({p.x, p.y, z});
        });
        const Point out = foot(pen.at());
        pen.cut({out.x, out.y, z});
        s = rail.nearest(out).s;
    }
}

std::vector<Polyline> along_line(const std::vector<Loop>& loops, const LineIndex& traced, double away) {
    std::vector<Polyline> lines;
    for (const Loop& loop : loops) {
        const std::size_t n = loop.size();
        std::vector<bool> near(n, true);
        for (std::size_t k = 0; k < n && !traced.empty(); ++k) {
            // Of the side that begins here.
            const Point &a = loop[k], &b = loop[(k + 1) % n];
            near[k] = traced.nearest({(a.x + b.x) / 2, (a.y + b.y) / 2}, away + 0.02).has_value();
        }
        const auto gap = std::find(near.begin(), near.end(), false);
        if (gap == near.end()) {
            lines.push_back({loop, true});
            continue;
        }
        // A hair on at either end, so that the bit comes round the end as well.
        const auto on = [](const Point& from, const Point& to) {
            const double length = distance(from, to), share = length > 0 ? std::min(1.0, end_hair / length) : 0;
            return Point{from.x + (to.x - from.x) * share, from.y + (to.y - from.y) * share};
        };
        const auto first = static_cast<std::size_t>(gap - near.begin());
        Polyline part;
        for (std::size_t m = 1; m <= n; ++m) {
            const std::size_t k = (first + m) % n, next = (k + 1) % n;
            if (near[k]) {
                if (part.points.empty()) part.points = {on(loop[k], loop[(k + n - 1) % n]), loop[k]};
                part.points.push_back(loop[next]);
            } else if (!part.points.empty()) {
                part.points.push_back(on(loop[k], loop[next]));
                lines.push_back(std::move(part));
                part = {};
            }
        }
    }
    return lines;
}

void check_depth(const Bit& bit, double depth) {
    if (depth > bit.spec().cutting_length + 1e-6)
        throw Error(Fault::refused,
                    fmt::format("The figure is {:.2f} mm deep, but the bit {} cuts on {:.2f} mm of its length only. Take a bit that cuts "
                                "longer, or less depth.",
                                depth, bit.name(), bit.spec().cutting_length));
}

}  // namespace burin
