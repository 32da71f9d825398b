#pragma once
/// What grooves that swell with the tone have in common; inside the room only.
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/base/point.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

/// depth_for_width for many widths: straight between 2048 of them.
class Depths {
public:
    Depths(const Bit& bit, double limit);
    [[nodiscard]] double at(double width) const;

private:
    static constexpr int count = 2048;
    double widest_;
    std::vector<double> depths_;
};

/// Between the centres of cells, the outermost going on to the border.
[[nodiscard]] double value_at(const Grid<float>& grid, const Point& p);

/// Few points, none left out farther than `tolerance` from the line, in space (Douglas and Peucker 1973).
[[nodiscard]] std::vector<Point3> thinned(const std::vector<Point3>& points, double tolerance);

/// What is wanted beyond what grooves cover, over a window (mirrored at the border); nothing where it cannot be shown.
[[nodiscard]] Grid<float> missing(const Grid<float>& coverage, const Grid<float>& covered, double least, double most, double window,
                                  const Crew& crew);

}  // namespace burin
