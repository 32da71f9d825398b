/// Booleans of loops on the lattice by the library Clipper (Vatti 1992).
///
/// A sweep pays for every corner with the number of segments that its line passes, so loops whose boxes do not meet are clipped
/// apart, and what is still large is cut into upright strips. Cost: n log n in practice for n corners and crossings. Nothing else in Burin
/// sees Clipper.
#include <algorithm>
#include <cmath>
#include <numeric>
#include <polyclipping/clipper.hpp>

#include "burin/base/error.hpp"
#include "lattice.hpp"

namespace burin {
namespace {

namespace lib = ClipperLib;

constexpr std::int64_t everywhere = 4 * lattice_limit;

lib::Paths to_paths(const LatticeLoops& loops) {
    lib::Paths paths;
    paths.reserve(loops.size());
    for (const LatticeLoop& loop : loops) {
        lib::Path& path = paths.emplace_back();
        path.reserve(loop.size());
        for (const LatticePoint& p : loop) path.emplace_back(static_cast<lib::cInt>(p.x), static_cast<lib::cInt>(p.y));
    }
    return paths;
}

LatticeLoops from_paths(const lib::Paths& paths) {
    LatticeLoops loops;
    loops.reserve(paths.size());
    for (const lib::Path& path : paths) {
        LatticeLoop& loop = loops.emplace_back();
        loop.reserve(path.size());
        for (const lib::IntPoint& p : path) loop.push_back({p.X, p.Y});
    }
    return loops;
}

lib::ClipType type_of(Clip clip) {
    switch (clip) {
        case Clip::intersect:
            return lib::ctIntersection;
        case Clip::subtract:
            return lib::ctDifference;
        case Clip::unite:
            break;
    }
    return lib::ctUnion;
}

lib::PolyFillType fill_of(FillRule rule) {
    switch (rule) {
        case FillRule::even_odd:
            return lib::pftEvenOdd;
        case FillRule::nonzero:
            return lib::pftNonZero;
        case FillRule::positive:
            break;
    }
    return lib::pftPositive;
}

[[noreturn]] void give_up() {
    throw Error(Fault::refused,
                "The figures are too tangled to be sorted into outer lines and holes. Simplify the drawing, or raise its smoothing.");
}

LatticeLoops clipped_together(Clip clip, const LatticeLoops& a, const LatticeLoops& b, FillRule rule) {
    lib::Paths result;
    try {
        lib::Clipper clipper;
        const bool some_a = clipper.AddPaths(to_paths(a), lib::ptSubject, true);
        const bool some_b = clipper.AddPaths(to_paths(b), lib::ptClip, true);
        if (!some_a && !some_b) return {};  // nothing with an area
        if (!clipper.Execute(type_of(clip), result, fill_of(rule), lib::pftPositive)) give_up();
    } catch (const lib::clipperException&) {
        give_up();
    }
    return from_paths(result);
}

struct LoopBox {
    LatticePoint lo, hi;
    std::uint32_t loop;  ///< loops of b are counted on from those of a
};

std::vector<LoopBox> boxes_of(const LatticeLoops& a, const LatticeLoops& b) {
    std::vector<LoopBox> boxes;
    std::uint32_t number = 0;
    for (const LatticeLoops* loops : {&a, &b})
        for (const LatticeLoop& loop : *loops) {
            if (!loop.empty()) {
                LoopBox box{loop.front(), loop.front(), number};
                for (const LatticePoint& p : loop) {
                    box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
                    box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
                }
                boxes.push_back(box);
            }
            ++number;
        }
    return boxes;
}

/// Groups of loops whose boxes meet, each in the order of the loops, the groups by their first.
std::vector<std::vector<std::uint32_t>> groups_of(std::vector<LoopBox> boxes, std::size_t loops) {
    std::vector<std::uint32_t> parent(loops);
    std::iota(parent.begin(), parent.end(), 0U);
    const auto root = [&](std::uint32_t k) {
        while (parent[k] != k) k = parent[k] = parent[parent[k]];
        return k;
    };
    std::sort(boxes.begin(), boxes.end(),
              [](const LoopBox& p, const LoopBox& q) { return std::pair(p.lo.x, p.loop) < std::pair(q.lo.x, q.loop); });
    std::vector<LoopBox> open;
    for (const LoopBox& box : boxes) {
        std::size_t still = 0;
        for (const LoopBox& other : open) {
            if (other.hi.x < box.lo.x) continue;
            open[still++] = other;
            if (other.lo.y <= box.hi.y && box.lo.y <= other.hi.y) {
                const std::uint32_t first = root(other.loop), second = root(box.loop);
                parent[std::max(first, second)] = std::min(first, second);
            }
        }
        open.resize(still);
        open.push_back(box);
    }
    std::vector<std::uint32_t> group_of(loops, 0);
    std::vector<std::vector<std::uint32_t>> groups;
    for (std::uint32_t k = 0; k < loops; ++k) {
        const std::uint32_t first = root(k);
        if (first == k) {
            group_of[k] = static_cast<std::uint32_t>(groups.size());
            groups.emplace_back();
        }
        groups[group_of[first]].push_back(k);
    }
    return groups;
}

std::size_t corners_of(const LatticeLoops& loops) {
    std::size_t sum = 0;
    for (const LatticeLoop& loop : loops) sum += loop.size();
    return sum;
}

/// What of a loop lies on one side of an upright line (as Sutherland and Hodgman 1974 cut), with what lies beyond in place of each way
/// beyond the line: out and back at half a right angle, so that no two of them lie on each other, as they would along the
/// line. Round places on that side it winds as the loop does. Where it meets the line is the same for both sides.
LatticeLoop cut_at(const LatticeLoop& loop, std::int64_t x, bool keep_right) {
    LatticeLoop kept;
    const auto inside = [&](const LatticePoint& p) { return keep_right ? p.x >= x : p.x <= x; };
    const std::size_t n = loop.size();
    std::size_t first = 0;
    while (first < n && !inside(loop[first])) ++first;
    if (first == n) return kept;
    bool beyond = false;
    const auto put = [&](LatticePoint p) {  // a copy: it may be one of those kept
        if (beyond) {
            const LatticePoint from = kept.back();
            const std::int64_t out = std::abs(p.y - from.y) / 2 + 1;
            kept.push_back({keep_right ? x - out : x + out, from.y + (p.y - from.y) / 2});
            beyond = false;
        }
        kept.push_back(p);
    };
    for (std::size_t k = 0; k < n; ++k) {
        const LatticePoint &a = loop[(first + k) % n], &b = loop[(first + k + 1) % n];
        if (inside(a)) put(a);
        if (inside(a) == inside(b)) continue;
        if (a.x != x && b.x != x) {
            const LatticePoint &left = a.x < b.x ? a : b, &right = a.x < b.x ? b : a;
            const double share = static_cast<double>(x - left.x) / static_cast<double>(right.x - left.x);
            put({x, left.y + std::llround(share * static_cast<double>(right.y - left.y))});
        }
        beyond = beyond || inside(a);
    }
    if (beyond) put(kept.front());
    return kept;
}

LatticeLoops cut_at(const LatticeLoops& loops, std::int64_t x, bool keep_right) {
    LatticeLoops kept;
    for (const LatticeLoop& loop : loops) {
        const auto [least, most] = std::minmax_element(loop.begin(), loop.end());
        if (keep_right ? most->x <= x : least->x >= x) continue;
        kept.push_back((keep_right ? least->x >= x : most->x <= x) ? loop : cut_at(loop, x, keep_right));
    }
    return kept;
}

/// Loops between two upright lines.
LatticeLoops cut_out(const LatticeLoops& loops, std::int64_t from, std::int64_t to) { return cut_at(cut_at(loops, from, true), to, false); }

/// A sweep looks at every segment beside every corner, so many corners are halved by an upright line until they are few. The strips
/// meet along the line, each with its own side of it. Clipper is not at its best where segments lie on each other, so lines are
/// cut a little outside the strip, each operand elsewhere, and what sticks out is taken off in the end.
void clip_in_strips(Clip clip, const LatticeLoops& a, const LatticeLoops& b, FillRule rule, std::int64_t from, std::int64_t to,
                    LatticeLoops& out) {
    constexpr std::size_t many = 60'000, few = 15'000;
    constexpr std::int64_t margin = 1000, narrow = 100 * margin;
    const bool whole = from == -everywhere && to == everywhere;
    if (corners_of(a) + corners_of(b) > (whole ? many : few)) {
        std::vector<std::int64_t> xs;
        for (const LatticeLoops* loops : {&a, &b})
            for (const LatticeLoop& loop : *loops)
                for (const LatticePoint& p : loop) xs.push_back(p.x);
        const auto middle = xs.begin() + static_cast<std::ptrdiff_t>(xs.size() / 2);
        std::nth_element(xs.begin(), middle, xs.end());
        if (const std::int64_t x = *middle; x - from > narrow && to - x > narrow) {
            for (const auto& [lo, hi] : {std::pair(from, x), std::pair(x, to)})
                clip_in_strips(clip, cut_out(a, lo - margin, hi + margin), cut_out(b, lo - 2 * margin, hi + 2 * margin), rule, lo, hi, out);
            return;
        }
    }
    LatticeLoops part = clipped_together(clip, a, b, rule);
    if (!whole) {
        constexpr std::int64_t high = everywhere;
        const LatticeLoop strip{{from, -high}, {to, -high}, {to, high}, {from, high}};
        part = clipped_together(Clip::intersect, part, {strip}, FillRule::positive);
        for (int k = 0; k < 4 && !free_of_crossings(part); ++k) part = clipped_together(Clip::unite, part, {}, FillRule::positive);
    }
    for (LatticeLoop& loop : part) out.push_back(std::move(loop));
}

}  // namespace

LatticeLoops clipped(Clip clip, const LatticeLoops& a, const LatticeLoops& b, FillRule rule) {
    LatticeLoops all, ours, theirs;
    for (const std::vector<std::uint32_t>& group : groups_of(boxes_of(a, b), a.size() + b.size())) {
        ours.clear(), theirs.clear();
        for (const std::uint32_t k : group)
            if (k < a.size())
                ours.push_back(a[k]);
            else
                theirs.push_back(b[k - a.size()]);
        if (ours.empty() && clip != Clip::unite) continue;
        clip_in_strips(clip, ours, theirs, rule, -everywhere, everywhere, all);
    }
    return all;
}

}  // namespace burin
