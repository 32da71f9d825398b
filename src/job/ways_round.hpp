#pragma once
/// Where the axis of a bit must not go because of keep-outs, for the rapids of a plan.
#include <vector>

#include "burin/motion/detour.hpp"
#include "burin/workshop/bit.hpp"
#include "burin/workshop/keep_out.hpp"

namespace burin {

/// Every keep-out that the bit, its shank or its collet would meet at a height, grown by the widest of those and `way_clearance`; keeps
/// copies. Circles count as the squares round them.
[[nodiscard]] Obstacles obstacles_of(std::vector<KeepOut> keep_outs, const Bit& bit);
inline constexpr double way_clearance = 0.5;  ///< mm; our choice, no source

}  // namespace burin
