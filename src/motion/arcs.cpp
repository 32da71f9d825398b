// Arcs as chords. A chord over the angle 2h lies r (1 − cos h) = 2 r sin²(h/2) inside its circle (plane geometry), so the
// widest step that stays within a tolerance t is 2h = 4 asin √(t / 2r); the arc is cut into equal steps no wider.
// Cost: a sine and a cosine for each chord.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"
#include "chords.hpp"

namespace burin {

Chords chords_of(const Point3& from, const Move& move, const Arc& arc, double tolerance) {
    if (!(tolerance > 0)) throw Error(Fault::usage, "An arc cannot be cut into chords with a tolerance of 0. Give one above 0 mm.");
    constexpr double pi = std::numbers::pi, no_angle = 1e-9;
    constexpr double most_chords = 1e8;
    const Point a{from.x - arc.centre.x, from.y - arc.centre.y}, b{move.to.x - arc.centre.x, move.to.y - arc.centre.y};
    Chords chords{from, move.to, arc.centre, std::atan2(a.y, a.x), 0, std::hypot(a.x, a.y), std::hypot(b.x, b.y), 2};
    chords.sweep = std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y);
    // Nothing between start and end means all the way round (NISTIR 6556, arcs by their centre).
    if (move.kind == MoveKind::arc_ccw && chords.sweep <= no_angle) chords.sweep += 2 * pi;
    if (move.kind == MoveKind::arc_cw && chords.sweep >= -no_angle) chords.sweep -= 2 * pi;
    const double radius = std::max(chords.first_radius, chords.last_radius);
    const double step = radius > tolerance ? 4 * std::asin(std::sqrt(tolerance / (2 * radius))) : pi;
    chords.count = std::max(2, static_cast<int>(std::min(std::ceil(std::abs(chords.sweep) / step), most_chords)));
    return chords;
}

std::vector<Point3> arc_points(const Point3& from, const Move& move, const Arc& arc, double tolerance) {
    const Chords chords = chords_of(from, move, arc, tolerance);
    std::vector<Point3> points;
    points.reserve(static_cast<std::size_t>(chords.count));
    for (int k = 1; k <= chords.count; ++k) points.push_back(chords.end(k));
    return points;
}

}  // namespace burin
