#pragma once
/// How long a track takes: trapezoids with limited look-ahead.
#include <vector>

#include "burin/motion/track.hpp"
#include "burin/workshop/machine.hpp"

namespace burin {

struct Timing {
    double total_s = 0;           ///< moves and dwells
    double dwell_s = 0;
    std::vector<float> move_s;    ///< for each move of the track
};

/// Axis limits, corner speed from a circle tangent to both moves within the machine's corner tolerance, `planned_moves`
/// known ahead with the last of them able to stop, at least 1 ÷ lines_per_s a line; starts at rest at Track::start;
/// comes to rest at every event. Arcs go as chords within 0.0005 mm, one line for the rate. O(moves × look-ahead) at
/// worst. (Kinematics; the corner rule is common practice, no source.)
[[nodiscard]] Timing reckon_time(const Track& track, const Machine& machine);

/// Chords of the arc that `move` is, starting at `from`, ending at move.to, each within `tolerance` of the circle.
[[nodiscard]] std::vector<Point3> arc_points(const Point3& from, const Move& move, const Arc& arc, double tolerance);

}  // namespace burin
