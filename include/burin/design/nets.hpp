#pragma once
/// What the copper of a board joins, from one side to the other.
#include <cstddef>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"

namespace burin {

struct NetList {
    std::size_t top = 0, bottom = 0;  ///< pieces of copper
    std::size_t holes = 0;
    std::size_t joining = 0;     ///< holes that meet copper on both sides
    std::size_t nets = 0;        ///< pieces that belong together, through holes, count once
    std::vector<Point> missing;  ///< holes that meet no copper at all
};

/// Copper of both sides as seen from above, and the middles of the holes through them. A hole belongs to the piece that its middle lies in.
/// Cost: corners × holes.
[[nodiscard]] NetList net_list(const Region& top, const Region& bottom, const std::vector<Point>& holes);

}  // namespace burin
