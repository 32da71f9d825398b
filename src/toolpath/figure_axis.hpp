#pragma once
/// The ways of a vee bit along a medial axis; inside the room only.
#include <vector>

#include "burin/shape/medial_axis.hpp"
#include "figure_entry.hpp"

namespace burin {

struct AxisCut {
    double tan = 1;      ///< of the bit's half angle
    double tip = 0;      ///< diameter of its flat tip, mm
    double deepest = 1;  ///< mm: deeper places are left to the floor
};

/// Lines that together go over every part of the axis where the tip can enter (radius at least half the tip's) and the floor does not
/// begin (radius little more than the deepest one), at the height at which the bit just touches the figure's line:
/// z = −(radius − tip/2) / tan. Few lines: short arms are gone into and out again, so that the bit stays down. Points without
/// edges come as lines of one point.
[[nodiscard]] std::vector<TipLine> lines_over(const MedialAxis& axis, const AxisCut& cut);

}  // namespace burin
