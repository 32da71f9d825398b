#pragma once
/// How far places are from the line round a region.
#include <memory>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// The signed distance of every cell's centre from the region's line, mm, exact to the line's segments where it is at most
/// `reach`; farther away it is ± `reach`. Positive inside. The grid given says which cells; its values are not read.
[[nodiscard]] Grid<float> edge_distance(const Region& region, const Grid<float>& cells, double reach, const Crew& crew);

/// The nearest point of the region's line to `p`. Throws Error (refused) for an empty region. Cost: all segments.
[[nodiscard]] Point nearest_on_edge(const Region& region, Point p);

/// Answers many questions about one region's line. Making it costs a pass over the segments, a question about as much as there are segments
/// nearby.
class EdgeSearch {
public:
    explicit EdgeSearch(const Region& region);
    ~EdgeSearch();
    EdgeSearch(EdgeSearch&&) noexcept;
    EdgeSearch& operator=(EdgeSearch&&) noexcept;

    struct Nearest {
        Point at;
        double distance = 0;  ///< mm, never negative
    };
    /// Throws Error (refused) for an empty region.
    [[nodiscard]] Nearest nearest(const Point& p) const;
    /// Whether p lies inside; on the line itself: either.
    [[nodiscard]] bool holds(const Point& p) const;
    /// Distance from the line, positive inside; throws like `nearest`.
    [[nodiscard]] double depth(const Point& p) const { return holds(p) ? nearest(p).distance : -nearest(p).distance; }

private:
    struct Sorted;
    std::unique_ptr<const Sorted> sorted_;
};

}  // namespace burin
