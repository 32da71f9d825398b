#pragma once
/// Grooves round copper; inside the room only.
#include "burin/base/crew.hpp"
#include "burin/design/figure.hpp"

namespace burin {

/// Fills in floor, grooves, board and notes of a design whose `traced` is the copper; `field` bounds what is cleared. Throws Error
/// (refused) where two pieces would stay joined, with the places and what opens them.
void isolate(FigureDesign& design, const Region& field, const FigureWishes& wishes, const Bit& bit, const Crew& crew);

}  // namespace burin
