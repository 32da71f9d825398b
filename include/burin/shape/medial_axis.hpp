#pragma once
/// The medial axis of a region (Blum 1967): centres of the discs that touch its line at least twice.
#include <cstdint>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// A piece of the axis between two nodes; along it the radius changes as the points say (curved pieces come as several points).
struct AxisEdge {
    std::uint32_t from = 0, to = 0;  ///< into MedialAxis::nodes
};
struct AxisNode {
    Point at;
    double radius = 0;  ///< mm of the largest disc round `at` that fits; 0 in a corner of the figure
};
struct MedialAxis {
    std::vector<AxisNode> nodes;
    std::vector<AxisEdge> edges;  ///< chords; between their ends place and radius leave the exact axis by at most the tolerance
};

/// The inner medial axis of every figure, from the Voronoi diagram of its segments (Boost.Polygon; exact, no raster). Arms
/// into convex corners reach the corner (radius 0); none go into concave ones. Figures run in parallel; same result on any
/// number of threads. `tolerance` mm bounds how far parabolic pieces may leave their chords.
/// Cost: n log n; 100,000 segments of one figure in about 2 s of one core.
[[nodiscard]] MedialAxis medial_axis(const Region& region, double tolerance, const Crew& crew);

/// The axis without the arms that shape nothing, such as those into the corners between two chords of a curve: the discs round what
/// is left cover all but a rim of at most `tolerance` mm of what they covered. Arms go from their ends inwards; rings stay. What
/// shrinks to a point (a disc's axis) stays as a node without edges.
[[nodiscard]] MedialAxis pruned(const MedialAxis& axis, double tolerance);

}  // namespace burin
