#pragma once
/// Clearing a figure's floor: ways from which the bit leaves nothing standing; inside the room only.
#include <cstddef>
#include <string>
#include <vector>

#include "figure_entry.hpp"

namespace burin {

struct ClearOrder {
    CutRules rules;
    double stepover = 1;       ///< from the tip's way to any place of the region at most this
    double tolerance = 0.005;  ///< mm, for offsets
    bool conventional = false;
    bool raster = false;
    double row_inset = 0;  ///< rows end so far inside the edge; row_inset + stepover / 2 must be within the bit's reach
};

/// Clears the region (places of the tip) down to each of the levels, each of its figures to the last before the next. One
/// entered where nothing but a straight plunge fits is left out when the bit does not plunge; their number is returned. `above`: what
/// stands there before.
std::size_t clear_region(Pen& pen, const Region& tips, const std::vector<double>& levels, const ClearOrder& order, const Crew& crew,
                         double above = 0);

/// The way sideways that leaves no more than `scallop` standing at the tip: for a flat bit nine tenths of its radius.
[[nodiscard]] double clearing_step(const Bit& bit, double scallop);

}  // namespace burin
