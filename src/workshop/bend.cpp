// Bend of a bit under the cutting force: a cantilever of several diameters (beam theory).
// δ = F/E · ∫ x²/I(x) dx, x the distance from the force towards the collet; in closed form where I is constant by parts.
// The core of the fluted part is taken as 0.8 of its diameter and carbide's E as 600 GPa (both from memory).
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/workshop/feeds.hpp"

namespace burin {
namespace {

constexpr double carbide_n_mm2 = 600000;
constexpr double core_ratio = 0.8;

double second_moment(double diameter) { return std::numbers::pi * std::pow(diameter, 4) / 64; }
double cube(double v) { return v * v * v; }

// ∫ x²/I dx over a cone's height, by Simpson's rule; x from the force. Cost: 200 widths.
double cone_integral(const Bit& bit, double from, double to) {
    constexpr int steps = 200;
    const double step = (to - from) / steps;
    const auto term = [&](double z) { return (z - from) * (z - from) / second_moment(core_ratio * bit.width_at(z)); };
    double sum = term(to);  // term(from) is 0
    for (int i = 1; i < steps; ++i) sum += (i % 2 == 1 ? 4 : 2) * term(from + i * step);
    return sum * step / 3;
}

}  // namespace

double stepped_bend(double force, double diameter, double slim, double shank, double rest) {
    const double slim_part = cube(slim) / second_moment(core_ratio * diameter);
    const double shank_part = (cube(slim + rest) - cube(slim)) / second_moment(shank);
    return force / (3 * carbide_n_mm2) * (slim_part + shank_part);
}

double bend_of(const Bit& bit, double force, double h) {
    const BitSpec& s = bit.spec();
    const double at = std::clamp(h, 0.0, s.cutting_length);
    const double slim = s.cutting_length - at, rest = std::max(0.0, s.stick_out - s.cutting_length);
    if (s.shape != BitShape::vee && s.shape != BitShape::taper) return stepped_bend(force, s.diameter, slim, s.shank, rest);
    const double cone = std::clamp(bit.tip_height() - at, 0.0, slim);  // of the slim part; a cylinder follows, then the shank
    const double cone_part = cone > 0 ? cone_integral(bit, at, at + cone) : 0;
    const double cylinder_part = (cube(slim) - cube(cone)) / second_moment(core_ratio * s.diameter) / 3;
    const double shank_part = (cube(slim + rest) - cube(slim)) / second_moment(s.shank) / 3;
    return force / carbide_n_mm2 * (cone_part + cylinder_part + shank_part);
}

}  // namespace burin
