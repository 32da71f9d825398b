#pragma once
/// Where a ray leaves a region.
#include <cstdint>
#include <vector>

#include "burin/shape/region.hpp"

namespace burin {

/// A region's edges sorted into square cells, for short looks around.
class EdgeCells {
public:
    explicit EdgeCells(const Region& region);
    /// The first place on an edge from `from` along the unit vector `way`, at most `reach` away; `from` itself where there is none.
    [[nodiscard]] Point leaves(const Point& from, const Point& way, double reach) const;

private:
    struct Edge {
        Point a, b;
    };
    std::vector<Edge> edges_;
    std::vector<std::uint32_t> first_, held_;
    Point corner_;
    double side_ = 1;
    int columns_ = 0, rows_ = 0;
};

}  // namespace burin
