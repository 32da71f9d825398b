#pragma once
/// Figures in the plane: outer lines with holes, their booleans and offsets, in millimetres.
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

/// A closed line; the first point is not repeated at the end.
using Loop = std::vector<Point>;

/// A line that may be closed.
struct Polyline {
    std::vector<Point> points;
    bool closed = false;
};

/// One connected piece: what its outer line encloses less its holes.
struct Figure {
    Loop outer;               ///< counter-clockwise
    std::vector<Loop> holes;  ///< clockwise, inside outer
    friend bool operator==(const Figure&, const Figure&) = default;
};

/// What loops enclose: where they wind round a place an odd number of times, any number but 0, more often counter-clockwise than
/// clockwise.
enum class FillRule { even_odd, nonzero, positive };

/// Connected figures that neither cross themselves nor each other: valid from construction. Lines may touch in corners that both
/// have. Points lie on a lattice of `Region::lattice` mm, within ± 10 m of the origin; figures and loops stand in an order that
/// depends on the geometry only, from left to right, and each loop begins at its leftmost corner.
class Region {
public:
    static constexpr double lattice = 1.0 / 131072;  ///< mm; 32 bits then reach ± 16 m

    Region() = default;
    /// What the loops enclose by the rule; crossings are resolved, what has no area is dropped.
    /// Throws Error (refused) where a point is not a number or lies farther out than the lattice reaches.
    explicit Region(const std::vector<Loop>& loops, FillRule rule = FillRule::even_odd);

    [[nodiscard]] const std::vector<Figure>& figures() const { return figures_; }
    [[nodiscard]] bool empty() const { return figures_.empty(); }
    [[nodiscard]] double area() const;              ///< mm²
    [[nodiscard]] Box bounds() const;               ///< of an empty region: a box of no size at 0, 0
    [[nodiscard]] std::vector<Loop> loops() const;  ///< outer lines and holes, in the figures' order
    [[nodiscard]] std::size_t points() const;       ///< corners of all lines
    /// Whether p lies inside; on the line itself: either. Cost: all corners; for many places see EdgeSearch.
    [[nodiscard]] bool holds(const Point& p) const;
    friend bool operator==(const Region&, const Region&) = default;

private:
    friend struct RegionMaker;
    std::vector<Figure> figures_;
};

/// The box round a loop; of no corners, a box at the origin.
[[nodiscard]] Box box_of(const Loop& loop);
/// What a loop encloses: its area, below 0 where it runs clockwise (the shoelace formula), and its centroid. It must have an area.
struct LoopMass {
    double area = 0;
    Point centroid;
};
[[nodiscard]] LoopMass mass_of(const Loop& loop);

/// Counter-clockwise from the lower left.
[[nodiscard]] Loop corners_of(const Box& box);
[[nodiscard]] Region rectangle(const Box& box);
[[nodiscard]] Region united(const Region& a, const Region& b);
[[nodiscard]] Region common(const Region& a, const Region& b);
[[nodiscard]] Region without(const Region& a, const Region& b);
/// Mirrored in x, then turned about 0, 0 (radians, counter-clockwise; quarter turns are exact), then shifted.
[[nodiscard]] Region moved(const Region& a, double rotate, bool mirror, Point to);

/// Grown by d mm, or shrunk where d is negative; arcs round corners become chords whose ends lie on the arc and which leave it by
/// at most `tolerance` (at least some 10⁻⁵ mm). Throws Error (usage) where d is not a number or tolerance is not above 0.
[[nodiscard]] Region offset_by(const Region& a, double d, double tolerance = 0.002);
/// Opening by a disc of radius r: what such a disc covers when it goes everywhere inside (Serra 1982). May leave `a` by up to
/// `tolerance` beside corners that point inwards.
[[nodiscard]] Region opened_by(const Region& a, double r, double tolerance = 0.002);
/// The same figures with fewer corners: no corner and no point of the old lines farther than `tolerance` mm from the new ones, but for
/// loops and necks narrower than that, which may go (Douglas and Peucker 1973). Corners that stay are corners that were.
[[nodiscard]] Region simplified(const Region& a, double tolerance);

}  // namespace burin
