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
};

enum class FillRule { even_odd, nonzero };

/// Connected figures that neither cross themselves nor each other: valid from construction. Its points lie on a lattice of
/// `Region::lattice` mm, within ± 10 m of the origin; figures and loops stand in an order that depends on the geometry only.
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

private:
    std::vector<Figure> figures_;
};

[[nodiscard]] Region united(const Region& a, const Region& b);
[[nodiscard]] Region common(const Region& a, const Region& b);
[[nodiscard]] Region without(const Region& a, const Region& b);
[[nodiscard]] Region moved(const Region& a, double rotate, bool mirror,
                           Point to);  ///< mirror in x, then turn about 0, 0 (radians), then shift

/// Grown by d mm, or shrunk where d is negative; corners outside become arcs whose chords leave them by at most `tolerance` inwards.
[[nodiscard]] Region offset_by(const Region& a, double d, double tolerance = 0.002);
/// Opening by a disc of radius r: what such a disc covers when it goes everywhere inside. (Serra 1982.)
[[nodiscard]] Region opened_by(const Region& a, double r, double tolerance = 0.002);

}  // namespace burin
