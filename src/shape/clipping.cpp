/// Booleans of loops on the lattice by the library Clipper (Vatti 1992).
///
/// A sweep pays for every corner with the number of segments that its line passes, so loops whose boxes do not meet are clipped
/// apart. Cost: n log n in practice for n corners and crossings. Nothing else in Burin sees Clipper.
#include <algorithm>
#include <cmath>
#include <numeric>
#include <polyclipping/clipper.hpp>

#include "burin/base/error.hpp"
#include "lattice.hpp"

namespace burin {
namespace {

namespace lib = ClipperLib;

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
        for (LatticeLoop& loop : clipped_together(clip, ours, theirs, rule)) all.push_back(std::move(loop));
    }
    return all;
}

}  // namespace burin
