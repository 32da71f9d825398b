/// Figures with holes that are valid from construction: booleans, offsets, opening.
///
/// Every result goes one way: Clipper's loops, on the lattice → a check, exact, for crossings that the rounding of corners to the
/// lattice has left, which become corners and go through Clipper again (snap rounding, Hobby 1999; seldom more than once) → loops cut
/// where they touch themselves, holes given to their figures. Cost: n log n in practice.
#include "burin/shape/region.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "lattice.hpp"

namespace burin {
namespace {

constexpr int tries = 12;

}  // namespace

LatticePoint on_lattice(const Point& p) {
    if (!std::isfinite(p.x) || !std::isfinite(p.y))
        throw Error(Fault::refused, "A corner of a figure is not a number. This is a fault in what drew the figure: please report it.");
    const double x = std::round(p.x / Region::lattice), y = std::round(p.y / Region::lattice);
    constexpr auto limit = static_cast<double>(lattice_limit);
    if (std::abs(x) > limit || std::abs(y) > limit)
        throw Error(Fault::refused,
                    fmt::format("A corner of a figure lies at {:.0f}, {:.0f} mm. Figures must stay within 10 m of the work zero: give the "
                                "job a smaller width or place it nearer.",
                                p.x, p.y));
    return {static_cast<std::int64_t>(x), static_cast<std::int64_t>(y)};
}

namespace {

Region within_reach(Region region) {
    const Box box = region.bounds();
    (void)on_lattice(box.lo), (void)on_lattice(box.hi);  // throws
    return region;
}

}  // namespace

Region RegionMaker::from_loops(LatticeLoops loops, FillRule rule) {
    // What a tracer or a rectangle gives needs no clipping.
    if (!cross_more_often(loops, 0) && free_of_crossings(loops) && turned_round_material(loops, rule))
        return within_reach(from_figures(figures_of(loops)));
    return from_clipped(clipped(Clip::unite, loops, {}, rule));
}

Region RegionMaker::from_clipped(LatticeLoops loops) {
    // Strips that were clipped apart lie on each other along their borders: once those have the same corners, they cancel out.
    for (int k = 0; !free_of_crossings(loops) && !free_of_crossings(loops); ++k) {
        // Rounding moves corners, corners meet other lines, and so on: where that does not end, a coarser lattice ends it.
        if (k >= tries / 2)
            for (LatticeLoop& loop : loops)
                for (LatticePoint& p : loop) p = {(p.x + 8) >> 4 << 4, (p.y + 8) >> 4 << 4};
        if (k == tries)
            throw Error(Fault::refused,
                        "The figures' lines cross too closely to be told apart. Simplify the drawing, or raise its smoothing.");
        loops = clipped(Clip::unite, loops, {}, FillRule::positive);
    }
    return within_reach(from_figures(figures_of(loops)));
}

LatticeLoops RegionMaker::loops(const Region& region) {
    LatticeLoops loops;
    const auto add = [&](const Loop& loop) {
        LatticeLoop& out = loops.emplace_back();
        out.reserve(loop.size());
        for (const Point& p : loop) out.push_back(on_lattice(p));
    };
    for (const Figure& figure : region.figures()) {
        add(figure.outer);
        for (const Loop& hole : figure.holes) add(hole);
    }
    return loops;
}

Region::Region(const std::vector<Loop>& loops, FillRule rule) {
    LatticeLoops lattice_loops;
    lattice_loops.reserve(loops.size());
    for (const Loop& loop : loops) {
        LatticeLoop& out = lattice_loops.emplace_back();
        out.reserve(loop.size());
        for (const Point& p : loop) out.push_back(on_lattice(p));
    }
    *this = RegionMaker::from_loops(std::move(lattice_loops), rule);
}

namespace {

/// Shoelace sum about the loop's first corner, so that a small figure far out keeps its digits.
double signed_area(const Loop& loop) {
    double sum = 0;
    const Point o = loop.front();
    for (std::size_t k = 1; k + 1 < loop.size(); ++k)
        sum += (loop[k].x - o.x) * (loop[k + 1].y - o.y) - (loop[k].y - o.y) * (loop[k + 1].x - o.x);
    return sum / 2;
}

/// Ends of the raw lines are rounded to the lattice, which leaves a splinter of a step or two here and there.
Region without_crumbs(const Region& a) {
    const auto crumb = [](const Loop& loop) {
        double length = 0;
        for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) length += distance(loop[before], loop[k]);
        return 2 * std::abs(signed_area(loop)) < 3 * Region::lattice * length;
    };
    std::vector<Figure> figures = a.figures();
    std::erase_if(figures, [&](const Figure& figure) { return crumb(figure.outer); });
    for (Figure& figure : figures) std::erase_if(figure.holes, crumb);
    return RegionMaker::from_figures(std::move(figures));
}

/// How often the loop's line crosses the ray from p to the right, odd or even.
bool odd_crossings(const Loop& loop, const Point& p) {
    bool odd = false;
    for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) {
        const Point &a = loop[before], &b = loop[k];
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) odd = !odd;
    }
    return odd;
}

}  // namespace

double Region::area() const {
    double sum = 0;
    for (const Figure& figure : figures_) {
        sum += signed_area(figure.outer);
        for (const Loop& hole : figure.holes) sum += signed_area(hole);
    }
    return sum;
}

Box Region::bounds() const {
    if (figures_.empty()) return {};
    Box box{figures_.front().outer.front(), figures_.front().outer.front()};
    for (const Figure& figure : figures_)
        for (const Point& p : figure.outer) {
            box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
            box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
        }
    return box;
}

std::vector<Loop> Region::loops() const {
    std::vector<Loop> all;
    for (const Figure& figure : figures_) {
        all.push_back(figure.outer);
        all.insert(all.end(), figure.holes.begin(), figure.holes.end());
    }
    return all;
}

std::size_t Region::points() const {
    std::size_t sum = 0;
    for (const Figure& figure : figures_) {
        sum += figure.outer.size();
        for (const Loop& hole : figure.holes) sum += hole.size();
    }
    return sum;
}

bool Region::holds(const Point& p) const {
    bool odd = false;
    for (const Figure& figure : figures_) {
        odd ^= odd_crossings(figure.outer, p);
        for (const Loop& hole : figure.holes) odd ^= odd_crossings(hole, p);
    }
    return odd;
}

Region united(const Region& a, const Region& b) {
    return RegionMaker::from_clipped(clipped(Clip::unite, RegionMaker::loops(a), RegionMaker::loops(b), FillRule::positive));
}

Region common(const Region& a, const Region& b) {
    return RegionMaker::from_clipped(clipped(Clip::intersect, RegionMaker::loops(a), RegionMaker::loops(b), FillRule::positive));
}

Region without(const Region& a, const Region& b) {
    return RegionMaker::from_clipped(clipped(Clip::subtract, RegionMaker::loops(a), RegionMaker::loops(b), FillRule::positive));
}

Region moved(const Region& a, double rotate, bool mirror, Point to) {
    if (!std::isfinite(rotate)) throw Error(Fault::usage, "A figure cannot be turned by an angle that is not a number.");
    std::vector<Loop> loops = a.loops();
    double cos = std::cos(rotate), sin = std::sin(rotate);
    // Quarter turns are exact: what is square stays square.
    const double quarters = std::round(rotate / (std::numbers::pi / 2));
    if (std::abs(rotate - quarters * (std::numbers::pi / 2)) < 1e-12 * std::max(1.0, std::abs(quarters)))
        cos = std::round(cos), sin = std::round(sin);
    for (Loop& loop : loops)
        for (Point& p : loop) {
            const double x = mirror ? -p.x : p.x;
            p = {cos * x - sin * p.y + to.x, sin * x + cos * p.y + to.y};
        }
    return Region(loops, FillRule::even_odd);
}

namespace {

/// In one step, or where its lines would cross very often in two of half the way: growing twice is growing by the sum, and what has
/// flowed together in the first step is out of the way in the second. `halvings` are left.
Region offset_in_steps(const Region& a, double d, double tolerance, int halvings) {
    if (a.empty()) return a;
    if (const Box box = a.bounds(); - 2 * d > std::min(box.width(), box.height())) return {};
    constexpr auto limit = static_cast<double>(lattice_limit) * 2;
    const double distance = std::clamp(d / Region::lattice, -limit, limit), allowed = tolerance / Region::lattice;
    // A quarter of the tolerance for fewer corners pays many times over.
    LatticeLoops loops;
    for (const Loop& loop : a.loops()) {
        LatticeLoop& out = loops.emplace_back();
        for (const Point& p : with_fewer_corners(loop, tolerance / 4)) out.push_back(on_lattice(p));
    }
    const double chord_tolerance = std::max(0.75 * allowed, 1.0);
    LatticeLoops raw = raw_offset(loops, distance, chord_tolerance);
    std::size_t corners = 0;
    for (const LatticeLoop& loop : raw) corners += loop.size();
    if (!cross_more_often(raw, 2 * corners)) return without_crumbs(RegionMaker::from_loops(std::move(raw), FillRule::positive));
    if (halvings > 0) return offset_in_steps(offset_in_steps(a, d / 2, tolerance / 2, halvings - 1), d / 2, tolerance / 2, halvings - 1);
    return without_crumbs(RegionMaker::from_clipped(
        clipped(d > 0 ? Clip::unite : Clip::subtract, loops, swept_band(loops, distance, chord_tolerance), FillRule::positive)));
}

}  // namespace

Region offset_by(const Region& a, double d, double tolerance) {
    if (!std::isfinite(d) || !(tolerance > 0))
        throw Error(Fault::usage, "A figure is grown or shrunk by a number of mm, with a tolerance above 0.");
    constexpr int most_halvings = 4;
    return d == 0 ? a : offset_in_steps(a, d, tolerance, most_halvings);
}

Region opened_by(const Region& a, double r, double tolerance) {
    if (!(r >= 0)) throw Error(Fault::usage, "A figure is opened by a disc of radius 0 or more.");
    if (r == 0) return a;
    return offset_by(offset_by(a, -r, tolerance / 2), r, tolerance / 2);
}

Box box_of(const Loop& loop) {
    if (loop.empty()) return {};
    Box box{loop[0], loop[0]};
    for (const Point& p : loop) {
        box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
        box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
    }
    return box;
}

LoopMass mass_of(const Loop& loop) {
    double twice = 0, x = 0, y = 0;
    const Point o = loop.front();  // sums of small numbers keep their digits
    for (std::size_t k = 0; k < loop.size(); ++k) {
        const Point a{loop[k].x - o.x, loop[k].y - o.y}, b{loop[(k + 1) % loop.size()].x - o.x, loop[(k + 1) % loop.size()].y - o.y};
        const double cross = a.x * b.y - b.x * a.y;
        twice += cross, x += (a.x + b.x) * cross, y += (a.y + b.y) * cross;
    }
    return {twice / 2, {o.x + x / (3 * twice), o.y + y / (3 * twice)}};
}

Loop corners_of(const Box& box) { return {box.lo, {box.hi.x, box.lo.y}, box.hi, {box.lo.x, box.hi.y}}; }

Region rectangle(const Box& box) { return Region({corners_of(box)}); }

}  // namespace burin
