/// Elliptical arcs: from endpoints to a centre (SVG 2, appendix B.2.4 and B.2.5, out-of-range radii). Cost: 1.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "svg_path.hpp"

namespace burin {

Point EllipseArc::at(double t) const {
    const double x = rx * std::cos(t), y = ry * std::sin(t);
    return {centre.x + std::cos(phi) * x - std::sin(phi) * y, centre.y + std::sin(phi) * x + std::cos(phi) * y};
}

std::optional<EllipseArc> arc_between(const Point& from, double rx, double ry, double turn_deg, bool large, bool sweep, const Point& to) {
    if (from == to || rx == 0 || ry == 0) return std::nullopt;
    EllipseArc arc;
    arc.rx = std::abs(rx), arc.ry = std::abs(ry);
    arc.phi = std::fmod(turn_deg, 360.0) * std::numbers::pi / 180;
    const double cos = std::cos(arc.phi), sin = std::sin(arc.phi);
    // B.2.4, step 1: half of the way, in the ellipse's own directions.
    const double dx = (from.x - to.x) / 2, dy = (from.y - to.y) / 2;
    const double x = cos * dx + sin * dy, y = -sin * dx + cos * dy;
    // B.2.5: radii too small for the way grow until they just reach.
    const double reach = (x / arc.rx) * (x / arc.rx) + (y / arc.ry) * (y / arc.ry);
    if (reach > 1) arc.rx *= std::sqrt(reach), arc.ry *= std::sqrt(reach);
    // Step 2: the centre, in units of the radii, where the ellipse is a circle of radius 1.
    const double u = x / arc.rx, v = y / arc.ry;
    const double off = std::sqrt(std::max(0.0, 1 / (u * u + v * v) - 1)) * (large == sweep ? -1 : 1);
    const double cu = off * v, cv = -off * u;
    // Step 3: back to where it lies.
    const double cx = arc.rx * cu, cy = arc.ry * cv;
    arc.centre = {cos * cx - sin * cy + (from.x + to.x) / 2, sin * cx + cos * cy + (from.y + to.y) / 2};
    // Step 4: the angles.
    arc.from = std::atan2(v - cv, u - cu);
    arc.sweep = std::atan2(-v - cv, -u - cu) - arc.from;
    if (sweep && arc.sweep < 0) arc.sweep += 2 * std::numbers::pi;
    if (!sweep && arc.sweep > 0) arc.sweep -= 2 * std::numbers::pi;
    if (!std::isfinite(arc.centre.x) || !std::isfinite(arc.centre.y) || !std::isfinite(arc.sweep)) return std::nullopt;
    return arc;
}

}  // namespace burin
