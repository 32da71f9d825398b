#pragma once
// Light laid down on cells; inside the room only.
#include <vector>

#include "beam_way.hpp"
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"

namespace burin::proving {

/// Adds to each cell the light of all burning programs' lines, as thin as they are, J/mm²: shared between the four nearest cells so that
/// what lies between two is theirs by distance. What falls beyond the grid is lost.
void lay_light(Grid<float>& cells, const std::vector<BeamWay>& ways, const Crew& crew);

}  // namespace burin::proving
