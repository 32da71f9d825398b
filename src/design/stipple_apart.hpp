#pragma once
/// Dots that must not run together; inside the room only.
#include <vector>

#include "burin/design/stipple.hpp"

namespace burin::dots {

/// Pushes apart those whose rims lie nearer than `gap`, two by two, until none do or `rounds` are over. None leaves the picture, or goes
/// where it is bare. One after the other, so always the same.
void push_apart(std::vector<Dot>& dots, const Grid<float>& coverage, double gap, int rounds, const Crew& crew);

/// What pushing could not mend: the larger of two becomes smaller, down to `least`; where that is not enough the later one goes.
/// Returns how many dots were touched.
int make_room(std::vector<Dot>& dots, double gap, double least);

}  // namespace burin::dots
