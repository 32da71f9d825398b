#pragma once
#include <cmath>

#include "burin/base/point.hpp"

namespace burin {

/// How one line lies: straight, or on a circle about (0, 0).
struct Baseline {
    double start = 0;   // along the line: where its place 0 lies, mm (on an arc: from the middle on)
    double y = 0;       // straight
    double radius = 0;  // arc
    bool below = false;

    /// From the letter's own place (its middle at `along`, mm) to the plane.
    [[nodiscard]] Point place(const Point& p, double along) const {
        if (radius == 0) return {start + along + p.x, y + p.y};
        const double angle = (below ? 1 : -1) * (start + along) / radius, up = below ? p.y - radius : p.y + radius;
        return {std::cos(angle) * p.x - std::sin(angle) * up, std::sin(angle) * p.x + std::cos(angle) * up};
    }
};

}  // namespace burin
