#pragma once
// The arc of a move as equal steps of the angle; inside the room only.
#include <cmath>

#include "burin/motion/track.hpp"

namespace burin {

struct Chords {
    Point3 from, to;
    Point centre;
    double angle = 0, sweep = 0;  ///< radians; sweep > 0 is counter-clockwise
    double first_radius = 0, last_radius = 0;
    int count = 2;

    /// End of chord k, 1 … count.
    [[nodiscard]] Point3 end(int k) const {
        if (k >= count) return to;
        const double share = static_cast<double>(k) / count;
        const double a = angle + sweep * share, r = first_radius + (last_radius - first_radius) * share;
        return {centre.x + r * std::cos(a), centre.y + r * std::sin(a), from.z + (to.z - from.z) * share};
    }
};

[[nodiscard]] Chords chords_of(const Point3& from, const Move& move, const Arc& arc, double tolerance);

}  // namespace burin
