#pragma once
// What programs of other hands use and ours do not: drilling cycles, arcs in the planes ZX and YZ. Inside the room only.
#include <optional>
#include <string>
#include <vector>

#include "burin/base/point.hpp"

namespace burin {

/// A cycle of NISTIR 6556, 3.5.16, as its words stand in force.
struct Cycle {
    int g = 0;     ///< 81, 82, 83, 85, 86, 89
    double r = 0;  ///< height from which it drills, z its bottom; work coordinates
    double z = 0;
    double peck = 0;         ///< Q
    double dwell_s = 0;      ///< P
    double initial = 0;      ///< height at which the cycles began
    bool back_to_r = false;  ///< G99
};

/// One move of a cycle; `dwell_s`: waits there; `spindle`: −1 stops it, 1 starts it, before the move.
struct CycleStep {
    Point3 to;
    bool rapid = true;
    double dwell_s = 0;
    int spindle = 0;
};

/// The moves of one hole at (x, y), from where the machine stands. Pecks come out to r and go back to 0.254 mm above where they were.
/// Empty, with `wrong` saying why: the bottom lies above r, a peck of 0.
[[nodiscard]] std::vector<CycleStep> cycle_steps(const Cycle& cycle, const Point3& at, const Point& hole, std::string& wrong);

/// Ends of the chords, within 0.0005 mm, of an arc in the plane ZX (18) or YZ (19); `centre` counts from `from`, along the plane's first
/// and second axis. The third axis goes in proportion. Empty, with `wrong`: radii that differ by more than `slack`.
[[nodiscard]] std::vector<Point3> plane_arc(const Point3& from, const Point3& to, int plane, const Point& centre, bool clockwise,
                                            double slack, std::string& wrong);

}  // namespace burin
