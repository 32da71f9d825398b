#pragma once
/// Figures one by one, on all threads; inside the room only.
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// The region of one figure.
[[nodiscard]] Region alone(const Figure& figure);

/// The figures shrunk by d ≥ 0 mm, each by itself, in their order; what vanishes is left out.
[[nodiscard]] std::vector<Figure> shrunk(const Region& region, double d, double tolerance, const Crew& crew);

/// The loops of figures, outer lines and holes.
[[nodiscard]] std::vector<Loop> loops_of(const std::vector<Figure>& figures);

/// What a disc of radius r cannot reach inside the figures, but for strips thinner than `least` mm.
[[nodiscard]] Region out_of_reach(const Region& region, double r, double least, const Crew& crew);

/// A crew of one that stops when the other does: for jobs that run beside each other already.
[[nodiscard]] Crew single(const Crew& crew);

}  // namespace burin
