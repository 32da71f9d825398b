/// Where the segments of loops cross or touch, exactly, and the corners that this calls for.
///
/// Segments are sorted into the squares of a grid with about as many squares as segments; those that share a square are compared
/// with whole numbers. Rounding a crossing to the lattice moves the lines by up to half a step, so that the caller repeats until
/// nothing crosses (snap rounding, Hobby 1999). Cost: n for segments of like lengths, n √n for long ones.
#include <algorithm>

#include "squares.hpp"

namespace burin {
namespace {

struct Corner {
    std::uint32_t segment;
    LatticePoint at;
};

std::int64_t rounded_quotient(wide a, wide b) {
    if (b < 0) a = -a, b = -b;
    const wide half = b / 2;
    return static_cast<std::int64_t>(a >= 0 ? (a + half) / b : -((-a + half) / b));
}

LatticePoint crossing(const LatticeSegment& s, const LatticeSegment& t) {
    const LatticePoint d = s.b - s.a, e = t.b - t.a;
    const wide above = cross(t.a - s.a, e), below = cross(d, e);
    return {s.a.x + rounded_quotient(above * d.x, below), s.a.y + rounded_quotient(above * d.y, below)};
}

/// p, known to lie on the line of s, lies between its ends.
bool between(const LatticeSegment& s, const LatticePoint& p) {
    return p != s.a && p != s.b && p.x >= s.left() && p.x <= s.right() && p.y >= s.low() && p.y <= s.high();
}

bool cross(const LatticeSegment& s, const LatticeSegment& t) {
    if (s.right() < t.left() || t.right() < s.left() || s.high() < t.low() || t.high() < s.low()) return false;
    return turn(s.a, s.b, t.a) * turn(s.a, s.b, t.b) < 0 && turn(t.a, t.b, s.a) * turn(t.a, t.b, s.b) < 0;
}

/// Notes the corners that segments i and j need because of each other; false where they cross or lie on each other.
bool compare(const std::vector<LatticeSegment>& segments, std::uint32_t i, std::uint32_t j, std::vector<Corner>& corners) {
    const LatticeSegment &s = segments[i], &t = segments[j];
    if (s.right() < t.left() || t.right() < s.left() || s.high() < t.low() || t.high() < s.low()) return true;
    const int ta = turn(s.a, s.b, t.a), tb = turn(s.a, s.b, t.b);
    if (ta * tb > 0) return true;
    const int sa = turn(t.a, t.b, s.a), sb = turn(t.a, t.b, s.b);
    if (sa * sb > 0) return true;
    if (ta * tb < 0 && sa * sb < 0) {
        const LatticePoint p = crossing(s, t);
        corners.push_back({i, p});
        corners.push_back({j, p});
        return false;
    }
    const std::size_t before = corners.size();
    if (ta == 0 && between(s, t.a)) corners.push_back({i, t.a});
    if (tb == 0 && between(s, t.b)) corners.push_back({i, t.b});
    if (sa == 0 && between(t, s.a)) corners.push_back({j, s.a});
    if (sb == 0 && between(t, s.b)) corners.push_back({j, s.b});
    const bool on_one_line = ta == 0 && tb == 0;
    if (!on_one_line) return true;
    return corners.size() == before && !(s.a == t.a && s.b == t.b);
}

void drop_repeated(LatticeLoops& loops) {
    for (LatticeLoop& loop : loops) {
        loop.erase(std::unique(loop.begin(), loop.end()), loop.end());
        while (loop.size() > 1 && loop.front() == loop.back()) loop.pop_back();
    }
    std::erase_if(loops, [](const LatticeLoop& loop) { return loop.size() < 3; });
}

/// Puts the corners in between, in order along their segments.
void insert_corners(LatticeLoops& loops, const std::vector<LatticeSegment>& segments, std::vector<Corner> corners) {
    const auto along = [&](const Corner& c) {
        const LatticeSegment& s = segments[c.segment];
        const LatticePoint d = s.b - s.a, e = c.at - s.a;
        return static_cast<wide>(d.x) * e.x + static_cast<wide>(d.y) * e.y;
    };
    std::sort(corners.begin(), corners.end(), [&](const Corner& a, const Corner& b) {
        if (a.segment != b.segment) return a.segment < b.segment;
        const wide ka = along(a), kb = along(b);
        return ka != kb ? ka < kb : a.at < b.at;
    });
    auto next = corners.begin();
    std::uint32_t segment = 0;
    for (LatticeLoop& loop : loops) {
        LatticeLoop longer;
        for (const LatticePoint& p : loop) {
            longer.push_back(p);
            for (; next != corners.end() && next->segment == segment; ++next) longer.push_back(next->at);
            ++segment;
        }
        loop = std::move(longer);
    }
}

std::vector<LatticeSegment> segments_of(const LatticeLoops& loops) {
    std::vector<LatticeSegment> segments;
    for (const LatticeLoop& loop : loops)
        for (std::size_t k = 0; k < loop.size(); ++k) segments.push_back({loop[k], loop[k + 1 == loop.size() ? 0 : k + 1]});
    return segments;
}

}  // namespace

bool cross_more_often(const LatticeLoops& loops, std::size_t most) {
    const std::vector<LatticeSegment> segments = segments_of(loops);
    const Squares squares = sorted_into_squares(segments);
    std::size_t crossings = 0;
    for (std::size_t k = 0; k + 1 < squares.first.size(); ++k)
        for (std::uint32_t i = squares.first[k]; i < squares.first[k + 1]; ++i)
            for (std::uint32_t j = i + 1; j < squares.first[k + 1]; ++j)
                if (cross(segments[squares.entries[i]], segments[squares.entries[j]]) && ++crossings > most) return true;
    return false;
}

bool free_of_crossings(LatticeLoops& loops) {
    drop_repeated(loops);
    const std::vector<LatticeSegment> segments = segments_of(loops);
    if (segments.empty()) return true;
    const Squares squares = sorted_into_squares(segments);
    std::vector<Corner> corners;
    bool free = true;
    for (std::size_t k = 0; k + 1 < squares.first.size(); ++k)
        for (std::uint32_t i = squares.first[k]; i < squares.first[k + 1]; ++i)
            for (std::uint32_t j = i + 1; j < squares.first[k + 1]; ++j)
                if (!compare(segments, squares.entries[i], squares.entries[j], corners)) free = false;
    if (!corners.empty()) {
        insert_corners(loops, segments, std::move(corners));
        drop_repeated(loops);
    }
    return free;
}

}  // namespace burin
