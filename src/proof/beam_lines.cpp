// Lines to be followed: their pieces, and what is near them. Cost: the squares they pass.
#include "beam_lines.hpp"

#include <algorithm>
#include <cmath>

#include "beam_way.hpp"

namespace burin::proving {

Across across(const Point& a, const Point& b, double r, double y) {
    Across found;
    for (const Point& end : {a, b}) {
        const double up = y - end.y;
        if (std::abs(up) > r) continue;
        const double half = std::sqrt(r * r - up * up);
        found.add(end.x - half);
        found.add(end.x + half);
    }
    const double length = distance(a, b);
    if (!(length > 0) || a.y == b.y) return found;
    const Point side{-(b.y - a.y) / length * r, (b.x - a.x) / length * r};
    for (const double s : {-1.0, 1.0}) {  // the two lines beside it
        const double share = (y - a.y - s * side.y) / (b.y - a.y);
        if (share >= 0 && share <= 1) found.add(a.x + s * side.x + share * (b.x - a.x));
    }
    return found;
}

double length_within(const Point& p, const Point& a, const Point& b, double r) {
    const double length = distance(a, b);
    if (!(length > 0)) return 0;
    const Point u{(b.x - a.x) / length, (b.y - a.y) / length};
    const double along = (p.x - a.x) * u.x + (p.y - a.y) * u.y, aside = (p.x - a.x) * u.y - (p.y - a.y) * u.x;
    if (std::abs(aside) >= r) return 0;
    const double half = std::sqrt(r * r - aside * aside);
    return std::max(0.0, std::min(length, along + half) - std::max(0.0, along - half));
}

std::vector<Stretch> stretches_of(const BeamFigure& figure) {
    std::vector<Stretch> all;
    const auto add = [&](const std::vector<Point>& points, bool closed) {
        for (std::size_t k = 1; k < points.size(); ++k) all.push_back({points[k - 1], points[k]});
        if (closed && points.size() > 2) all.push_back({points.back(), points.front()});
        if (points.size() == 1) all.push_back({points[0], points[0]});
    };
    for (const Loop& loop : figure.region.loops()) add(loop, true);
    for (const Polyline& line : figure.lines) add(line.points, line.closed);
    return all;
}

LineSearch::LineSearch(const BeamFigure& figure, double reach)
    : reach_(reach), stretches_(stretches_of(figure)), squares_(std::max(0.5, reach)) {
    for (std::size_t k = 0; k < stretches_.size(); ++k) squares_.put(stretches_[k], reach, k);
}

double LineSearch::distance_of(const Point& p) const {
    double least = reach_;
    if (const auto* here = squares_.at(p))
        for (const std::size_t k : *here) {
            const auto& [a, b] = stretches_[k];
            least = std::min(least, distance_from({p.x, p.y, 0}, {a.x, a.y, 0}, {b.x, b.y, 0}));
        }
    return least;
}

}  // namespace burin::proving
