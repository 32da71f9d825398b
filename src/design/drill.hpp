#pragma once
/// Holes that a bit drills; inside the room only.
#include "burin/design/figure.hpp"

namespace burin {

/// Fills in floor, grooves (points) and notes of a design whose `traced` holds round figures: those of the bit's size are drilled, others
/// are left to other cuts and told. Throws Error (refused) where a figure is not round, or none has the bit's size.
void drill_holes(FigureDesign& design, const FigureWishes& wishes, const Bit& bit);

}  // namespace burin
