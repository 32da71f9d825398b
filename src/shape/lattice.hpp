#pragma once
/// Figures on the whole-numbered lattice on which all of their geometry is decided exactly.
#include <cstdint>
#include <vector>

#include "burin/shape/region.hpp"

namespace burin {

__extension__ typedef __int128 wide;  // products of two differences of 33 bits, and their sums

struct LatticePoint {
    std::int64_t x = 0, y = 0;
    friend bool operator==(const LatticePoint&, const LatticePoint&) = default;
    friend bool operator<(const LatticePoint& a, const LatticePoint& b) { return a.x != b.x ? a.x < b.x : a.y < b.y; }
};
using LatticeLoop = std::vector<LatticePoint>;
using LatticeLoops = std::vector<LatticeLoop>;

constexpr std::int64_t lattice_limit = 10'000LL * 131'072;  // 10 m

inline LatticePoint operator-(const LatticePoint& a, const LatticePoint& b) { return {a.x - b.x, a.y - b.y}; }
inline wide cross(const LatticePoint& a, const LatticePoint& b) { return static_cast<wide>(a.x) * b.y - static_cast<wide>(a.y) * b.x; }
inline int sign(wide v) { return (v > 0) - (v < 0); }
/// 1: c lies left of the line from a to b, −1: right of it, 0: on it.
inline int turn(const LatticePoint& a, const LatticePoint& b, const LatticePoint& c) { return sign(cross(b - a, c - a)); }
/// Twice the area, positive where the loop runs counter-clockwise.
inline wide doubled_area(const LatticeLoop& loop) {
    wide sum = 0;
    for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) sum += cross(loop[before], loop[k]);
    return sum;
}

/// Throws Error (refused) where a point is not a number or lies beyond the limit.
[[nodiscard]] LatticePoint on_lattice(const Point& p);
[[nodiscard]] inline Point in_mm(const LatticePoint& p) {
    return {static_cast<double>(p.x) * Region::lattice, static_cast<double>(p.y) * Region::lattice};
}

enum class Clip { unite, intersect, subtract };

/// What `a` encloses by `rule`, with what `b` encloses by the positive rule. Outer loops of the result run counter-clockwise,
/// holes clockwise. Corners are rounded to the lattice, so that loops may touch and, rarely, cross by a lattice step. Large results come in
/// parts that lie on each other along upright lines, in opposite directions.
[[nodiscard]] LatticeLoops clipped(Clip clip, const LatticeLoops& a, const LatticeLoops& b, FillRule rule);

/// The loop without corners that lie within `tolerance` mm of the rest. At least two corners stay; it may come to cross itself.
[[nodiscard]] Loop with_fewer_corners(const Loop& loop, double tolerance);

/// The lines at `distance` lattice steps outside the loops (material left of every segment), as they come, with their crossings:
/// they wind a positive number of times round just the places that belong to the offset figures. Corners on arcs lie on them; chords
/// leave them by at most `tolerance` steps.
[[nodiscard]] LatticeLoops raw_offset(const LatticeLoops& loops, double distance, double tolerance);

/// What the segments sweep when they are moved outwards by `distance` steps, and the sectors at their corners: raw_offset's other
/// half, without what the loops enclose, united bit by bit. For lines with very many crossings.
[[nodiscard]] LatticeLoops swept_band(const LatticeLoops& loops, double distance, double tolerance);

/// Whether the loops' segments cross more than `most` times (crossings may be counted more than once). Stops counting there.
[[nodiscard]] bool cross_more_often(const LatticeLoops& loops, std::size_t most);

/// Whether the loops are free of crossings. Where they touch, the corner of the one becomes a corner of the other too; where they
/// cross, both get the lattice point nearest to the crossing as a corner, and the answer is false. Segments that lie on each
/// other count as crossing unless they run in opposite directions from end to end.
[[nodiscard]] bool free_of_crossings(LatticeLoops& loops);

/// True where no corner is met twice and the rule gives each loop one side that is material, which then is its left (loops are turned
/// round for it). The loops are free of crossings.
[[nodiscard]] bool turned_round_material(LatticeLoops& loops, FillRule rule);

/// Connected figures from loops that are free of crossings, material to the left of every segment.
[[nodiscard]] std::vector<Figure> figures_of(const LatticeLoops& loops);

/// The point nearest to p of the segment from a to b, which are not the same.
[[nodiscard]] Point nearest_on(const Point& a, const Point& b, const Point& p);

/// Into the region's private parts, for those who have figures known to be valid.
struct RegionMaker {
    [[nodiscard]] static Region from_figures(std::vector<Figure> figures) {
        Region region;
        region.figures_ = std::move(figures);
        return region;
    }
    /// From any loops.
    [[nodiscard]] static Region from_loops(LatticeLoops loops, FillRule rule);
    /// From loops as Clipper gives them.
    [[nodiscard]] static Region from_clipped(LatticeLoops loops);
    [[nodiscard]] static LatticeLoops loops(const Region& region);
};

}  // namespace burin
