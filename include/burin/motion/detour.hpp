#pragma once
/// Ways round what stands on the table.
#include <cstddef>
#include <functional>
#include <vector>

#include "burin/motion/track.hpp"

namespace burin {

/// The rectangles, in plan, that the tool's axis must not enter at a height (mm, work coordinates).
using Obstacles = std::function<std::vector<Box>(double z)>;

/// A level rapid that could enter an obstacle, run straight or with each axis by itself, goes round it at the same height: along X and Y on
/// the shortest such way, its corners cut where nothing is met. A rapid with no way round, or that begins or ends in an obstacle, stays as
/// it is. All else stays too; passes and events keep their moves. Returns how many rapids go round.
/// Cost: the rapids × the obstacles; each that goes round: the square of the obstacles, and its logarithm.
std::size_t go_round(Toolpath& path, const Obstacles& obstacles);

}  // namespace burin
