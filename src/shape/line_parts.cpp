/// Lines cut at a region's lines, segment by segment. Cost: segments near the region times its corners.
#include "burin/shape/line_parts.hpp"

#include <algorithm>

namespace burin {
namespace {

/// Shares of the segment a–b at which it crosses the region's lines.
std::vector<double> crossings(const Point& a, const Point& b, const std::vector<Loop>& loops) {
    std::vector<double> shares;
    const Box box{{std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}};
    const double dx = b.x - a.x, dy = b.y - a.y;
    for (const Loop& loop : loops)
        for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) {
            const Point &p = loop[before], &q = loop[k];
            if (std::max(p.x, q.x) < box.lo.x || std::min(p.x, q.x) > box.hi.x || std::max(p.y, q.y) < box.lo.y ||
                std::min(p.y, q.y) > box.hi.y)
                continue;
            const double cross = dx * (q.y - p.y) - dy * (q.x - p.x);
            if (cross == 0) continue;
            const double along = ((p.x - a.x) * (q.y - p.y) - (p.y - a.y) * (q.x - p.x)) / cross;
            const double other = ((p.x - a.x) * dy - (p.y - a.y) * dx) / cross;
            if (along > 0 && along < 1 && other >= 0 && other <= 1) shares.push_back(along);
        }
    std::sort(shares.begin(), shares.end());
    return shares;
}

/// Whether the line lies wholly beside the box.
bool beside(const std::vector<Point>& points, const Box& box) {
    const auto all = [&](auto condition) { return std::all_of(points.begin(), points.end(), condition); };
    return all([&](const Point& p) { return p.x < box.lo.x; }) || all([&](const Point& p) { return p.x > box.hi.x; }) ||
           all([&](const Point& p) { return p.y < box.lo.y; }) || all([&](const Point& p) { return p.y > box.hi.y; });
}

/// A closed line cut open ends where it began: its last part and its first are one.
void join_ends(std::vector<ValuedLine>& parts, const Point& start) {
    if (parts.size() < 2 || parts.front().line.points.front() != start || parts.back().line.points.back() != start) return;
    ValuedLine& last = parts.back();
    last.line.points.insert(last.line.points.end(), parts.front().line.points.begin() + 1, parts.front().line.points.end());
    last.values.insert(last.values.end(), parts.front().values.begin() + 1, parts.front().values.end());
    parts.front() = std::move(last);
    parts.pop_back();
}

}  // namespace

std::vector<ValuedLine> line_parts(const ValuedLine& line, const Region& region, bool within) {
    const std::vector<Point>& points = line.line.points;
    const auto wanted = [&](const Point& p) { return region.holds(p) == within; };
    std::vector<ValuedLine> parts;
    if (region.empty() || beside(points, region.bounds()) || points.size() == 1) {
        const bool outside = region.empty() || points.size() > 1;
        if (outside ? !within : wanted(points[0])) parts.push_back(line);
        return parts;
    }
    const std::vector<Loop> loops = region.loops();
    bool open = false, whole = true;
    const std::size_t segments = points.size() - (line.line.closed ? 0 : 1);
    for (std::size_t k = 0; k < segments; ++k) {
        const std::size_t next = (k + 1) % points.size();
        const Point &a = points[k], &b = points[next];
        const auto at = [&](double t) { return t == 0 ? a : t == 1 ? b : Point{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)}; };
        std::vector<double> shares = crossings(a, b, loops);
        shares.insert(shares.begin(), 0.0);
        shares.push_back(1.0);
        for (std::size_t s = 0; s + 1 < shares.size(); ++s) {
            if (!wanted(at((shares[s] + shares[s + 1]) / 2))) {
                open = whole = false;
                continue;
            }
            const auto value = [&](double t) { return line.values[k] + t * (line.values[next] - line.values[k]); };
            if (!open) {
                ValuedLine& part = parts.emplace_back();
                part.line.points.push_back(at(shares[s]));
                part.values.push_back(value(shares[s]));
            }
            open = true;
            if (s + 2 < shares.size() && wanted(at((shares[s + 1] + shares[s + 2]) / 2))) continue;  // a corner of the region touched
            parts.back().line.points.push_back(at(shares[s + 1]));
            parts.back().values.push_back(value(shares[s + 1]));
        }
    }
    if (whole) return std::vector<ValuedLine>(1, line);
    if (line.line.closed) join_ends(parts, points.front());
    return parts;
}

}  // namespace burin
