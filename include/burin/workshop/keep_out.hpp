#pragma once
/// Where the tool must not go: a clamp, a screw, a stop.
#include <cstddef>
#include <string>

#include "burin/base/point.hpp"

namespace burin {

/// Of one job or one machine, at most.
inline constexpr std::size_t most_keep_outs = 100;

/// A box or a cylinder that stands on the machine's table and reaches up to `height` above the stock top (z = 0; below 0: it
/// ends beneath it). Work coordinates, mm. Whatever is below that height counts as filled.
class KeepOut {
public:
    enum class Shape { box, circle };

    /// Throws Error (usage) where a corner, or the height, is not a number within 100 m, or the first corner is not the lower left one.
    [[nodiscard]] static KeepOut box(std::string name, const Box& sides, double height);
    /// Throws Error (usage) where a size is not a number within 100 m, or the diameter not above 0.
    [[nodiscard]] static KeepOut circle(std::string name, const Point& centre, double diameter, double height);

    [[nodiscard]] const std::string& name() const { return name_; }
    [[nodiscard]] Shape shape() const { return shape_; }
    /// The rectangle, or that round the circle.
    [[nodiscard]] const Box& bounds() const { return bounds_; }
    [[nodiscard]] double height() const { return height_; }

private:
    KeepOut(std::string name, Shape shape, const Box& bounds, double height);

    std::string name_;
    Shape shape_;
    Box bounds_;
    double height_;
};

}  // namespace burin
