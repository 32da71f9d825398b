#pragma once
/// Exact weighted Voronoi cells over a raster; inside the room only. Lengths here are cells of the raster, from its outer corner.
#include <cstdint>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/base/point.hpp"

namespace burin::dots {

/// What a part of the raster holds: the integral of its values, and of its values times x and y.
struct Mass {
    double sum = 0, x = 0, y = 0;
    void add(const Mass& m) { sum += m.sum, x += m.x, y += m.y; }
};

/// A raster with the sums of all its squares of 2, 4, 8 … cells.
class Pyramid {
public:
    explicit Pyramid(Grid<float> values);
    [[nodiscard]] const Grid<float>& values() const { return values_; }
    [[nodiscard]] int levels() const { return static_cast<int>(sums_.size()); }  ///< the highest is one square over all
    /// The square (i, j) of 2^level cells; nothing beyond the raster.
    [[nodiscard]] Mass mass(int level, int i, int j) const;

private:
    struct Level {
        int width = 0, height = 0;
        std::vector<Mass> squares;
    };
    Grid<float> values_;
    std::vector<Level> sums_;  // of levels 1 …
};

/// What each site's Voronoi cell holds of the raster, cells cut where the borders run through them.
[[nodiscard]] std::vector<Mass> cell_masses(const Pyramid& raster, const std::vector<Point>& sites, const Crew& crew);

/// `count` places at equal steps of the raster's mass along a Hilbert curve, anywhere in their cells.
[[nodiscard]] std::vector<Point> places_by_mass(const Pyramid& raster, std::size_t count);

}  // namespace burin::dots
