// Cycles as their moves, arcs of other planes as chords (NISTIR 6556, 3.5.3 and 3.5.16).
#include "read_wide.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace burin {
namespace {

constexpr double back_down = 0.254;  // mm above the last peck: 0.01 in, NISTIR 6556, G83
constexpr double chord = 0.0005;     // mm
constexpr double most_pecks = 10000;

void peck(const Cycle& cycle, const Point& hole, std::vector<CycleStep>& steps) {
    for (double low = cycle.r; low > cycle.z;) {
        if (low < cycle.r) steps.push_back({{hole.x, hole.y, std::min(cycle.r, low + back_down)}});
        low = std::max(cycle.z, low - cycle.peck);
        steps.push_back({{hole.x, hole.y, low}, false});
        if (low > cycle.z) steps.push_back({{hole.x, hole.y, cycle.r}});
    }
}

}  // namespace

std::vector<CycleStep> cycle_steps(const Cycle& cycle, const Point3& at, const Point& hole, std::string& wrong) {
    if (cycle.z > cycle.r) wrong = "has a cycle whose bottom lies above its height R.";
    if (cycle.g == 83 && !(cycle.peck > 0 && (cycle.r - cycle.z) / cycle.peck < most_pecks)) wrong = "has G83 without a sensible peck Q.";
    if (!wrong.empty()) return {};
    std::vector<CycleStep> steps;
    if (at.z < cycle.r) steps.push_back({{at.x, at.y, cycle.r}});
    const double high = std::max(at.z, cycle.r), out = cycle.back_to_r ? cycle.r : std::max(cycle.initial, cycle.r);
    steps.push_back({{hole.x, hole.y, high}});
    if (high > cycle.r) steps.push_back({{hole.x, hole.y, cycle.r}});
    if (cycle.g == 83)
        peck(cycle, hole, steps);
    else
        steps.push_back({{hole.x, hole.y, cycle.z}, false});
    if (cycle.g == 82 || cycle.g == 86 || cycle.g == 89) steps.back().dwell_s = cycle.dwell_s;
    steps.push_back({{hole.x, hole.y, out}, cycle.g != 85 && cycle.g != 89});
    if (cycle.g == 86) steps.back().spindle = -1;
    return steps;
}

std::vector<Point3> plane_arc(const Point3& from, const Point3& to, int plane, const Point& centre, bool clockwise, double slack,
                              std::string& wrong) {
    // (u, v, w): right-handed, w the plane's normal.
    const auto turned = [&](const Point3& p) { return plane == 18 ? Point3{p.z, p.x, p.y} : Point3{p.y, p.z, p.x}; };
    const auto back = [&](const Point3& p) { return plane == 18 ? Point3{p.y, p.z, p.x} : Point3{p.z, p.x, p.y}; };
    const Point3 a = turned(from), b = turned(to), middle{a.x + centre.x, a.y + centre.y, 0};
    const double first = std::hypot(a.x - middle.x, a.y - middle.y), last = std::hypot(b.x - middle.x, b.y - middle.y);
    if (!(first > 0) || std::abs(first - last) > slack + 1e-9) {
        wrong = first > 0 ? fmt::format("has an arc whose two radii differ by {:.4f} mm; {:.4f} is allowed.", std::abs(first - last), slack)
                          : "has an arc of radius 0.";
        return {};
    }
    constexpr double turn = 2 * std::numbers::pi;
    const double begin = std::atan2(a.y - middle.y, a.x - middle.x);
    double sweep = std::atan2(b.y - middle.y, b.x - middle.x) - begin;
    if (clockwise) sweep = -sweep;
    if (sweep <= 1e-9) sweep += turn;
    const double step = 2 * std::acos(std::max(0.0, 1 - std::min(chord, first) / first));
    const int count = static_cast<int>(std::clamp(std::ceil(sweep / step), 2.0, 20000.0));  // a huge radius has no step
    std::vector<Point3> points;
    for (int k = 1; k < count; ++k) {
        const double t = static_cast<double>(k) / count, angle = begin + (clockwise ? -1 : 1) * sweep * t, r = first + (last - first) * t;
        points.push_back(back({middle.x + r * std::cos(angle), middle.y + r * std::sin(angle), a.z + (b.z - a.z) * t}));
    }
    points.push_back(to);
    return points;
}

}  // namespace burin
