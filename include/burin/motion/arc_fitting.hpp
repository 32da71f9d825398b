#pragma once
/// Runs of short lines become arcs.
#include "burin/motion/track.hpp"

namespace burin {

/// The same way with runs of three or more level feed moves that lie on a circle replaced by arcs (little more than a half circle each at
/// most): no corner of a run and no middle of its lines is farther than `tolerance` mm from its arc, nor the arc from them. Ends of runs
/// stay where they were; a run never goes over the beginning of a pass, an event, a change of feed, or a place where a rapid comes down
/// below 0. Radii from 0.05 to 2000 mm. Cost: the moves, times the moves in an arc. Throws Error (usage) unless tolerance is above 0.
[[nodiscard]] Toolpath fitted_arcs(Toolpath path, double tolerance);

}  // namespace burin
