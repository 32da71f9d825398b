#pragma once
/// How large a figure may become inside a region.
#include <optional>

#include "burin/base/crew.hpp"
#include "burin/shape/region.hpp"

namespace burin {

struct InsideFit {
    double scale = 0;  ///< 0: nothing fits
    Point at;          ///< where the hull's 0, 0 lies
    double turn = 0;   ///< radians, counter-clockwise
};

struct InsideWishes {
    std::optional<Point> at;  ///< fixed; empty: wherever it becomes largest
    bool turning = false;     ///< turns it too, where that gains at least half a per cent
};

/// The largest scale at which a convex polygon (counter-clockwise corners round an origin of its own), turned and shifted, lies inside the
/// region: exact for each place (the first of its corners to meet the region's line, or of the line's corners to meet its sides, as it
/// grows from its middle), and a search over places and turns: a lattice of places, turns of 5°, then ever smaller steps. It may miss the
/// best of many places that are nearly as good. Cost: corners × corners for each place, some thousand places for each turn.
[[nodiscard]] InsideFit largest_inside(const Region& region, const Loop& hull, const InsideWishes& wishes, const Crew& crew);

}  // namespace burin
