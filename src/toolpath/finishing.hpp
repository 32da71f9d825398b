#pragma once
/// Finishing: what is too much for its lines is opened first, then the lines, then what they leave.
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/toolpath/relief.hpp"
#include "pen.hpp"

namespace burin {

/// `stock` as the bits before left it; becomes what this bit leaves.
void finish(Pen& pen, const ReliefBit& bit, const HeightMap& design, const ReliefOrder& order, HeightMap& stock, const Crew& crew);

}  // namespace burin
