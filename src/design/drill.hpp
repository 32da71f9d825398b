#pragma once
/// Holes that a bit drills; inside the room only.
#include "burin/design/figure.hpp"

namespace burin {

/// Fills in floor, grooves and notes of a design whose `traced` holds round figures and slots with round ends: those of the bit's size are
/// drilled, by a flat bit wider ones and slots are milled; others are left to other cuts and told. Throws Error (refused) where a figure is
/// no such hole, or none can be made.
void drill_holes(FigureDesign& design, const FigureWishes& wishes, const Bit& bit);

}  // namespace burin
