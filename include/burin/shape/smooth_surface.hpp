#pragma once
/// A smooth surface through measured points.
#include <cstddef>
#include <span>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/base/point.hpp"

namespace burin {

/// The surface of least bending through all points (a thin plate spline: Duchon 1977; a plane where the points lie on one). Beyond the
/// points' convex hull it goes on level from the nearest place of it, for a spline runs away there.
class SmoothSurface {
public:
    /// Points: 3 to 1000, no two within 0.001 mm in plan, not all on one line (within a thousandth of their extent). Throws Error (input)
    /// that names which, by their index from 0. Cost: a third of points³ multiplications; 1000 points take about half a second.
    explicit SmoothSurface(std::vector<Point3> points);

    /// Cost: a logarithm for each point.
    [[nodiscard]] double at(const Point& p) const;
    /// Whether p lies within the convex hull of the points.
    [[nodiscard]] bool measured(const Point& p) const;
    [[nodiscard]] std::span<const Point3> points() const { return points_; }
    [[nodiscard]] double lowest() const { return lowest_; }    ///< of the points, mm
    [[nodiscard]] double highest() const { return highest_; }  ///< likewise
    /// How far each point lies above the surface through all the others (leave-one-out residuals, Rippa 1999), mm.
    [[nodiscard]] std::span<const double> surprises() const { return surprises_; }

private:
    [[nodiscard]] Point nearest_measured(const Point& p) const;
    std::vector<Point3> points_;
    std::vector<Point> hull_;  // counter-clockwise
    std::vector<double> weights_, surprises_;
    double level_ = 0, slope_x_ = 0, slope_y_ = 0;
    Point middle_;
    double scale_ = 1, lowest_ = 0, highest_ = 0;
};

/// Heights of a surface over a box, by cells of `cell` mm.
[[nodiscard]] HeightMap sampled(const SmoothSurface& surface, const Box& box, double cell, const Crew& crew);
/// Between the centres of a map's cells in proportion (bilinear); beyond the outermost centres as at them.
[[nodiscard]] double height_at(const HeightMap& map, const Point& p);

}  // namespace burin
