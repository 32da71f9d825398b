#pragma once
/// How long a track takes: trapezoids with limited look-ahead.
#include <string>
#include <vector>

#include "burin/motion/track.hpp"
#include "burin/workshop/machine.hpp"

namespace burin {

struct Timing {
    double total_s = 0;  ///< moves and dwells
    double dwell_s = 0;
    std::vector<float> move_s;  ///< for each move of the track
    /// Where speeds were asked for: the least speed anywhere on each move, at its ends too, mm/s; at most its length ÷ the time that the
    /// line rate takes; 0 for what goes nowhere.
    std::vector<float> least_mm_s;
};

/// Axis limits, corner speed from a circle tangent to both moves within the machine's corner tolerance, `planned_moves`
/// known ahead with the last of them able to stop, at least 1 ÷ lines_per_s a line; starts at rest at Track::start;
/// comes to rest at every event. Arcs go as chords within 0.0005 mm, one line for the rate. A move that goes nowhere is no
/// move for corners and look-ahead, only a line for the rate. O(moves), whatever the look-ahead. Throws Error (usage) on a
/// machine that cannot be: no planned moves, an axis without speed or acceleration.
/// (Kinematics; the corner rule is common practice, no source.)
[[nodiscard]] Timing reckon_time(const Track& track, const Machine& machine, bool speeds = false);

/// "1 h 05 min", "12 min 30 s", "45 s"; what is no time: "unknown".
[[nodiscard]] std::string duration_text(double seconds);

/// Ends of the chords of the arc that `move` is, from `from` (not among them) to move.to (the last), each chord within
/// `tolerance` mm of the circle about arc.centre through `from`; at least two. An arc that ends where it starts is a full
/// circle. A radius that changes on the way, as rounding makes it, changes in proportion to the angle, as z does.
[[nodiscard]] std::vector<Point3> arc_points(const Point3& from, const Move& move, const Arc& arc, double tolerance);

}  // namespace burin
