// Arcs for figures, where they are asked for.
#include "figure_arcs.hpp"

#include "burin/motion/arc_fitting.hpp"

namespace burin {

Toolpath with_arcs(Toolpath path, const FigureOrder& order) { return order.arcs ? fitted_arcs(std::move(path), order.tolerance) : path; }

}  // namespace burin
