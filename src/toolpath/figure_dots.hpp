#pragma once
/// Dots: places where the tip goes straight down and up again; inside the room only.
#include <vector>

#include "burin/base/crew.hpp"
#include "figure_entry.hpp"

namespace burin {

/// All dots down to their depth, in a short order, as one pass. Between dots near each other the tip travels `hop` above the stock, at the
/// pen's safe height otherwise. Throws Error (refused) where the bit does not cut at its centre.
void cut_dots(Pen& pen, const std::vector<Point3>& dots, double hop, const CutRules& rules, const Crew& crew);

}  // namespace burin
