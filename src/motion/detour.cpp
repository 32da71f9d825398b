// Rapids round keep-outs. A rapid stays within the rectangle that its ends span, whether the axes arrive together or each by itself: where
// that rectangle is free, so is the rapid. Ways are looked for on the lattice of all sides of the obstacles and both ends (a shortest
// rectilinear way lies on it: Larson and Li 1981, from memory), by Dijkstra's rule.
#include "burin/motion/detour.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <queue>

namespace burin {
namespace {

/// Whether a rapid from a to b stays out of every obstacle; to run along a side is allowed.
bool free(const Point& a, const Point& b, const std::vector<Box>& obstacles) {
    const Box spanned{{std::min(a.x, b.x), std::min(a.y, b.y)}, {std::max(a.x, b.x), std::max(a.y, b.y)}};
    return std::none_of(obstacles.begin(), obstacles.end(), [&](const Box& box) {
        return spanned.lo.x < box.hi.x && spanned.hi.x > box.lo.x && spanned.lo.y < box.hi.y && spanned.hi.y > box.lo.y;
    });
}

std::vector<double> sorted_once(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    values.erase(std::unique(values.begin(), values.end()), values.end());
    return values;
}

/// The lattice on which a way is looked for.
struct Lattice {
    std::vector<double> x, y;
    [[nodiscard]] std::size_t size() const { return x.size() * y.size(); }
    [[nodiscard]] Point at(std::size_t k) const { return {x[k % x.size()], y[k / x.size()]}; }
    [[nodiscard]] std::size_t of(const Point& p) const {
        const auto i = std::lower_bound(x.begin(), x.end(), p.x) - x.begin(), j = std::lower_bound(y.begin(), y.end(), p.y) - y.begin();
        return static_cast<std::size_t>(j) * x.size() + static_cast<std::size_t>(i);
    }
    /// The neighbours of a place.
    [[nodiscard]] std::vector<std::size_t> beside(std::size_t k) const {
        const std::size_t i = k % x.size(), j = k / x.size();
        std::vector<std::size_t> found;
        if (i > 0) found.push_back(k - 1);
        if (i + 1 < x.size()) found.push_back(k + 1);
        if (j > 0) found.push_back(k - x.size());
        if (j + 1 < y.size()) found.push_back(k + x.size());
        return found;
    }
};

Lattice lattice_of(const Point& a, const Point& b, const std::vector<Box>& obstacles) {
    std::vector<double> x{a.x, b.x}, y{a.y, b.y};
    for (const Box& box : obstacles) {
        x.insert(x.end(), {box.lo.x, box.hi.x});
        y.insert(y.end(), {box.lo.y, box.hi.y});
    }
    return {sorted_once(std::move(x)), sorted_once(std::move(y))};
}

/// The way's corners without what can be left out; the ends stay.
std::vector<Point> shortened(const std::vector<Point>& way, const std::vector<Box>& obstacles) {
    std::vector<Point> out{way.front()};
    for (std::size_t k = 0; k + 1 < way.size();) {
        std::size_t next = way.size() - 1;
        while (next > k + 1 && !free(way[k], way[next], obstacles)) --next;
        out.push_back(way[next]);
        k = next;
    }
    return out;
}

/// Corners of the way round, both ends among them; empty: there is none.
std::vector<Point> way_round(const Point& a, const Point& b, const std::vector<Box>& obstacles) {
    const Lattice lattice = lattice_of(a, b, obstacles);
    const std::size_t start = lattice.of(a), end = lattice.of(b);
    std::vector<double> length(lattice.size(), std::numeric_limits<double>::infinity());
    std::vector<std::size_t> before(lattice.size(), lattice.size());
    using Reached = std::pair<double, std::size_t>;
    std::priority_queue<Reached, std::vector<Reached>, std::greater<>> open;
    length[start] = 0;
    open.push({0, start});
    while (!open.empty() && open.top().second != end) {
        const auto [far, here] = open.top();
        open.pop();
        if (far > length[here]) continue;
        for (const std::size_t next : lattice.beside(here)) {
            const Point p = lattice.at(here), q = lattice.at(next);
            const double whole = far + distance(p, q);
            if (whole >= length[next] || !free(p, q, obstacles)) continue;
            length[next] = whole, before[next] = here;
            open.push({whole, next});
        }
    }
    if (before[end] == lattice.size()) return {};
    std::vector<Point> way;
    for (std::size_t k = end; k != start; k = before[k]) way.push_back(lattice.at(k));
    way.push_back(a);
    std::reverse(way.begin(), way.end());
    way.back() = b;
    return shortened(way, obstacles);
}

}  // namespace

std::size_t go_round(Toolpath& path, const Obstacles& obstacles) {
    Track& track = path.track;
    std::vector<Move> moves;
    std::vector<std::size_t> place(track.moves.size() + 1);  // where each move went
    std::size_t count = 0;
    Point3 at = track.start;
    for (std::size_t k = 0; k < track.moves.size(); ++k) {
        place[k] = moves.size();
        const Move& move = track.moves[k];
        if (move.kind == MoveKind::rapid && move.to.z == at.z && flat(move.to) != flat(at)) {
            const std::vector<Box> boxes = obstacles(at.z);
            if (!free(flat(at), flat(move.to), boxes)) {
                const std::vector<Point> way = way_round(flat(at), flat(move.to), boxes);
                count += way.empty() ? 0 : 1;
                for (std::size_t n = 1; n + 1 < way.size(); ++n) {
                    moves.push_back(move);
                    moves.back().to = {way[n].x, way[n].y, at.z};
                }
            }
        }
        moves.push_back(move);
        at = move.to;
    }
    if (count == 0) return 0;
    place.back() = moves.size();
    track.moves = std::move(moves);
    for (Event& event : track.events) event.before = place[event.before];
    for (Pass& pass : path.passes) pass.first = place[pass.first];
    return count;
}

}  // namespace burin
