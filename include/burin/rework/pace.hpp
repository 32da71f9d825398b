#pragma once
/// The outline of what programs cut or burn, and the way round it above the stock.
#include <span>
#include <string_view>
#include <vector>

#include "burin/motion/track.hpp"
#include "burin/program/rs274.hpp"
#include "burin/shape/hull.hpp"

namespace burin {

/// All that programs cut below the stock's top, or burn: what lies round it in the plane.
struct WorkExtent {
    std::vector<Point> hull;  ///< of the tip's or the beam's way, anticlockwise
    double highest = 0;       ///< greatest z of any move, mm
    double deepest = 0;       ///< lowest, mm
};
/// Spindle: moves below z = 0, rapids too, cut off at the top; beam: moves that are lit. Arcs count as chords within 0.001 mm.
[[nodiscard]] WorkExtent extent_of(std::span<const ReadProgram> programs);

enum class PaceBy { box, circle, hull };

struct PaceOrder {
    PaceBy by = PaceBy::box;
    double grow = 0;          ///< mm farther out
    double z = 5;             ///< height of the walk; a beam's: 0, for its head does not move in z
    double feed = 1000;       ///< mm/min
    bool rapid = false;       ///< in place of feed; not along a circle
    bool stops = false;       ///< waits at each corner (circle: at its four ends along the axes; hull: where it turns by 20° or more)
    std::uint16_t power = 0;  ///< of a beam; with feed only
};

struct Pace {
    std::vector<Point> corners;  ///< anticlockwise, not closed; circle: its four ends along the axes
    Circle circle;               ///< by circle only
    Toolpath path;               ///< goes to the first corner, round, and back to it
    int stops = 0;
};
/// A hull gets few corners: it may lie up to 0.02 mm farther out. Throws Error: refused, where nothing is cut; usage, for a circle by
/// rapids or power on a rapid.
[[nodiscard]] Pace plan_pace(const WorkExtent& extent, const PaceOrder& order);

}  // namespace burin
