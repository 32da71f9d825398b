#pragma once
/// Lines followed by the tip; inside the room only.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "figure_entry.hpp"

namespace burin {

/// Lines whose ends meet at one height made one; chains that come back to their beginning are closed.
[[nodiscard]] std::vector<TipLine> joined_lines(std::vector<TipLine> lines);

/// All lines down to their depth, in a short order, one pass of that name.
void cut_lines(Pen& pen, std::vector<TipLine> lines, const CutRules& rules, const std::string& what, const Crew& crew);

}  // namespace burin
