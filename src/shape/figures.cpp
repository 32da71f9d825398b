/// Figures from loops that do not cross: loops are parted where they touch, turned into outer lines and holes, and nested.
///
/// Where several loops pass one corner, each way in goes on by the way out next to it across the material, so that what hangs
/// together by a corner only falls into figures of its own; a way that comes back to a corner it has passed is cut off there.
/// A hole belongs to the line next below its leftmost corner, found with whole numbers among the segments of that corner's column.
/// Cost: n log n, plus for each loop the segments of a column.
#include <algorithm>
#include <numeric>

#include "lattice.hpp"

namespace burin {
namespace {

constexpr std::uint32_t none = ~std::uint32_t{0};

/// Segments as links from corner to corner; `place` is the same number for corners at the same point.
struct Links {
    std::vector<LatticePoint> at;
    std::vector<std::uint32_t> next, before, place;
    std::vector<char> gone;
};

Links links_of(const LatticeLoops& loops) {
    Links links;
    for (const LatticeLoop& loop : loops) {
        const auto first = static_cast<std::uint32_t>(links.at.size()), n = static_cast<std::uint32_t>(loop.size());
        for (std::uint32_t k = 0; k < n; ++k) {
            links.at.push_back(loop[k]);
            links.next.push_back(first + (k + 1) % n);
            links.before.push_back(first + (k + n - 1) % n);
        }
    }
    links.gone.assign(links.at.size(), 0);
    return links;
}

/// Corners at one point, more than one of them.
using Meeting = std::vector<std::uint32_t>;

std::vector<Meeting> meetings_of(Links& links) {
    std::vector<std::uint32_t> order(links.at.size());
    std::iota(order.begin(), order.end(), 0U);
    std::sort(order.begin(), order.end(),
              [&](std::uint32_t a, std::uint32_t b) { return std::pair(links.at[a], a) < std::pair(links.at[b], b); });
    links.place.resize(order.size());
    std::vector<Meeting> meetings;
    for (std::size_t k = 0; k < order.size();) {
        std::size_t end = k;
        for (; end < order.size() && links.at[order[end]] == links.at[order[k]]; ++end) links.place[order[end]] = order[k];
        if (end - k > 1)
            meetings.emplace_back(order.begin() + static_cast<std::ptrdiff_t>(k), order.begin() + static_cast<std::ptrdiff_t>(end));
        k = end;
    }
    return meetings;
}

/// The segment from corner k to its next, and one that runs back over it, enclose nothing: both go.
void cancel_opposites(Links& links, const std::vector<Meeting>& meetings) {
    std::vector<std::uint32_t> meeting_at(links.at.size(), none);
    for (std::uint32_t m = 0; m < meetings.size(); ++m) meeting_at[links.place[meetings[m].front()]] = m;
    for (const Meeting& meeting : meetings)
        for (const std::uint32_t k : meeting) {
            const std::uint32_t other_end = meeting_at[links.place[links.next[k]]];
            if (links.gone[k] || other_end == none) continue;
            for (const std::uint32_t back : meetings[other_end])
                if (!links.gone[back] && links.place[links.next[back]] == links.place[k]) {
                    links.gone[k] = links.gone[back] = 1;
                    break;
                }
        }
}

/// A segment's end at a meeting, with its direction away from there.
struct Way {
    LatticePoint towards;
    std::uint32_t link;
    bool in;
};

bool clockwise_before(const Way& a, const Way& b) {
    const auto half = [](const LatticePoint& d) { return d.y > 0 || (d.y == 0 && d.x > 0) ? 0 : 1; };
    if (half(a.towards) != half(b.towards)) return half(a.towards) > half(b.towards);
    if (const wide c = cross(a.towards, b.towards); c != 0) return c < 0;
    return std::pair(a.in, a.link) < std::pair(b.in, b.link);
}

/// Goes on from each way in by the way out next to it clockwise: material lies between them.
void join_across_material(Links& links, const Meeting& meeting) {
    std::vector<Way> ways;
    for (const std::uint32_t k : meeting) {
        const std::uint32_t from = links.before[k];
        if (!links.gone[from]) ways.push_back({links.at[from] - links.at[k], from, true});
        if (!links.gone[k]) ways.push_back({links.at[links.next[k]] - links.at[k], k, false});
    }
    std::sort(ways.begin(), ways.end(), clockwise_before);
    std::vector<std::uint32_t> open;
    for (int round = 0; round < 2; ++round)
        for (Way& way : ways) {
            if (way.link == none) continue;
            if (way.in) {
                if (round == 0) open.push_back(way.link);
            } else if (!open.empty()) {
                links.next[open.back()] = way.link;
                open.pop_back();
                way.link = none;
            }
        }
}

struct SimpleLoop {
    LatticeLoop points;
    bool outer;
    std::uint32_t leftmost;  ///< the first in order of x, then y
};

/// Keeps corners that turn and corners where others meet.
LatticeLoop without_straight_corners(const LatticeLoop& loop, const std::vector<char>& met) {
    LatticeLoop kept;
    const std::size_t n = loop.size();
    for (std::size_t k = 0; k < n; ++k)
        if (met[k] || turn(kept.empty() ? loop[(k + n - 1) % n] : kept.back(), loop[k], loop[(k + 1) % n]) != 0) kept.push_back(loop[k]);
    return kept;
}

std::vector<SimpleLoop> simple_loops(const LatticeLoops& loops) {
    Links links = links_of(loops);
    const std::vector<Meeting> meetings = meetings_of(links);
    cancel_opposites(links, meetings);
    std::vector<char> is_meeting(links.at.size(), 0);
    for (const Meeting& meeting : meetings) {
        const auto left = std::count_if(meeting.begin(), meeting.end(), [&](std::uint32_t k) { return !links.gone[k]; });
        is_meeting[links.place[meeting.front()]] = left > 1;
    }
    // A link's `next` is the link that goes on from its end: for a plain corner the corner itself.
    for (const Meeting& meeting : meetings) join_across_material(links, meeting);

    std::vector<SimpleLoop> simple;
    std::vector<std::uint32_t> way, depth(links.at.size(), none);
    std::vector<char> met;
    LatticeLoop points;
    const auto cut_off = [&](std::size_t from) {
        points.clear(), met.clear();
        for (std::size_t k = from; k < way.size(); ++k) {
            points.push_back(links.at[way[k]]);
            met.push_back(is_meeting[links.place[way[k]]]);
            depth[links.place[way[k]]] = none;
        }
        way.resize(from);
        points = without_straight_corners(points, met);
        if (points.size() < 3) return;
        const wide area = doubled_area(points);
        if (area == 0) return;
        const auto least = std::min_element(points.begin(), points.end());
        simple.push_back({points, area > 0, static_cast<std::uint32_t>(least - points.begin())});
    };
    for (std::uint32_t start = 0; start < links.at.size(); ++start) {
        for (std::uint32_t k = start; !links.gone[k]; k = links.next[k]) {
            links.gone[k] = 1;
            if (const std::uint32_t seen = depth[links.place[k]]; seen != none) cut_off(seen);
            depth[links.place[k]] = static_cast<std::uint32_t>(way.size());
            way.push_back(k);
        }
        if (!way.empty()) cut_off(0);
    }
    return simple;
}

/// A segment that is not upright, from left to right; `material_above` as its loop runs.
struct Floor {
    LatticePoint left, right;
    std::uint32_t loop;
    bool material_above;
};

/// Whether s lies below t right after x, where both are.
bool lower(const Floor& s, const Floor& t, std::int64_t x) {
    const LatticePoint ds = s.right - s.left, dt = t.right - t.left;
    const wide ys = static_cast<wide>(s.left.y) * ds.x + static_cast<wide>(x - s.left.x) * ds.y;
    const wide yt = static_cast<wide>(t.left.y) * dt.x + static_cast<wide>(x - t.left.x) * dt.y;
    const wide a = ys * dt.x, b = yt * ds.x;
    if (a != b) return a < b;
    return cross(ds, dt) > 0;
}

/// Answers which segment lies next below a loop, right of its leftmost corner.
class Floors {
public:
    explicit Floors(const std::vector<SimpleLoop>& loops) {
        for (std::uint32_t l = 0; l < loops.size(); ++l)
            for (std::size_t k = 0, n = loops[l].points.size(); k < n; ++k) {
                const LatticePoint a = loops[l].points[k], b = loops[l].points[(k + 1) % n];
                if (a.x < b.x) floors_.push_back({a, b, l, true});
                if (a.x > b.x) floors_.push_back({b, a, l, false});
            }
        left_ = floors_.front().left.x;
        std::int64_t right = left_;
        for (const Floor& f : floors_) left_ = std::min(left_, f.left.x), right = std::max(right, f.right.x);
        const std::int64_t columns = std::clamp(static_cast<std::int64_t>(floors_.size() / 4), std::int64_t{1}, std::int64_t{8192});
        step_ = (right - left_) / columns + 1;
        first_.assign(static_cast<std::size_t>(columns) + 1, 0);
        for (const Floor& f : floors_)
            for (std::size_t c = column(f.left.x); c <= column(f.right.x); ++c) ++first_[c + 1];
        std::partial_sum(first_.begin(), first_.end(), first_.begin());
        entries_.resize(first_.back());
        std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
        for (std::uint32_t k = 0; k < floors_.size(); ++k)
            for (std::size_t c = column(floors_[k].left.x); c <= column(floors_[k].right.x); ++c) entries_[next[c]++] = k;
    }
    [[nodiscard]] const Floor* below(const SimpleLoop& loop) const {
        const std::size_t n = loop.points.size();
        const LatticePoint p = loop.points[loop.leftmost], a = loop.points[(loop.leftmost + 1) % n],
                           b = loop.points[(loop.leftmost + n - 1) % n];
        const Floor own{p, cross(a - p, b - p) > 0 ? a : b, none, false};  // the lower of the two that leave the corner
        const Floor* highest = nullptr;
        const std::size_t c = column(p.x);
        for (std::uint32_t e = first_[c]; e < first_[c + 1]; ++e) {
            const Floor& f = floors_[entries_[e]];
            if (f.left.x > p.x || f.right.x <= p.x || std::min(f.left.y, f.right.y) > p.y) continue;
            if (lower(f, own, p.x) && (!highest || lower(*highest, f, p.x))) highest = &f;
        }
        return highest;
    }

private:
    [[nodiscard]] std::size_t column(std::int64_t x) const { return static_cast<std::size_t>((x - left_) / step_); }
    std::vector<Floor> floors_;
    std::int64_t left_ = 0, step_ = 1;
    std::vector<std::uint32_t> first_, entries_;
};

/// In millimetres, beginning at the leftmost corner.
Loop finished(const SimpleLoop& loop) {
    Loop out;
    out.reserve(loop.points.size());
    for (std::size_t k = 0; k < loop.points.size(); ++k) out.push_back(in_mm(loop.points[(loop.leftmost + k) % loop.points.size()]));
    return out;
}

bool starts_before(const Loop& a, const Loop& b) {
    return std::lexicographical_compare(a.begin(), a.end(), b.begin(), b.end(),
                                        [](const Point& p, const Point& q) { return p.x != q.x ? p.x < q.x : p.y < q.y; });
}

/// The loops' order from left to right, so that the loop below comes before; of those that begin in one corner, the lower first.
std::vector<std::uint32_t> from_left(const std::vector<SimpleLoop>& loops) {
    std::vector<std::uint32_t> order(loops.size());
    std::iota(order.begin(), order.end(), 0U);
    std::stable_sort(order.begin(), order.end(), [&](std::uint32_t a, std::uint32_t b) {
        return loops[a].points[loops[a].leftmost] < loops[b].points[loops[b].leftmost];
    });
    return order;
}

}  // namespace

bool turned_round_material(LatticeLoops& loops, FillRule rule) {
    Links links = links_of(loops);
    if (links.at.empty() || !meetings_of(links).empty()) return links.at.empty();
    std::vector<SimpleLoop> simple;
    for (const LatticeLoop& loop : loops) {
        const wide area = doubled_area(loop);
        if (area == 0) return false;
        simple.push_back({loop, area > 0, static_cast<std::uint32_t>(std::min_element(loop.begin(), loop.end()) - loop.begin())});
    }
    const Floors floors(simple);
    std::vector<char> within(simple.size(), 0);  // an odd number of other loops
    for (const std::uint32_t l : from_left(simple)) {
        const Floor* floor = floors.below(simple[l]);
        // Above a floor lies the inside of its loop where the loop runs to the right there and counter-clockwise as a whole, or neither.
        if (floor) within[l] = within[floor->loop] ^ static_cast<char>(floor->material_above == simple[floor->loop].outer);
        if (simple[l].outer == !within[l]) continue;
        if (rule != FillRule::even_odd) return false;
        std::reverse(loops[l].begin(), loops[l].end());
    }
    return true;
}

std::vector<Figure> figures_of(const LatticeLoops& loops) {
    const std::vector<SimpleLoop> simple = simple_loops(loops);
    std::vector<Figure> figures;
    if (simple.empty()) return figures;
    const std::vector<std::uint32_t> order = from_left(simple);
    std::vector<std::uint32_t> figure_of(simple.size(), none);
    std::vector<std::uint32_t> below(simple.size(), none);
    const Floors floors(simple);
    for (const std::uint32_t l : order) {
        const Floor* floor = floors.below(simple[l]);
        // What contradicts its surroundings (an outer line within material, a hole outside) is a crumb of the lattice.
        if (simple[l].outer) {
            if (floor && floor->material_above) continue;
            figure_of[l] = static_cast<std::uint32_t>(figures.size());
            figures.push_back({finished(simple[l]), {}});
        } else if (floor && floor->material_above) {
            below[l] = floor->loop;
        }
    }
    for (const std::uint32_t l : order) {
        if (simple[l].outer || below[l] == none) continue;
        std::uint32_t to = below[l];
        for (std::size_t k = 0; k < simple.size() && !simple[to].outer && below[to] != none; ++k) to = below[to];
        if (figure_of[to] != none) figures[figure_of[to]].holes.push_back(finished(simple[l]));
    }
    for (Figure& figure : figures) std::sort(figure.holes.begin(), figure.holes.end(), starts_before);
    std::sort(figures.begin(), figures.end(), [](const Figure& a, const Figure& b) { return starts_before(a.outer, b.outer); });
    return figures;
}

}  // namespace burin
