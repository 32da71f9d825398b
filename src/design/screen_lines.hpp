#pragma once
/// The middles of a screen's grooves; inside the room only.
#include <vector>

#include "burin/base/point.hpp"
#include "burin/design/screen.hpp"

namespace burin {

/// A line in even steps, with the distance to its neighbours at each.
struct ScreenLine {
    std::vector<Point> points;
    std::vector<double> pitch;
    bool closed = false;
};

/// The lines of the screen within `field`, symmetrical about its middle.
[[nodiscard]] std::vector<ScreenLine> screen_lines(const Box& field, const ScreenWishes& wishes, double step);

}  // namespace burin
