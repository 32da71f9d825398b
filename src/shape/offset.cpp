/// Lines at a distance from loops (Chen and McMains, Polygon Offsetting by Computing Winding Numbers, 2005).
///
/// Each segment sweeps a strip to its outer side, each corner that opens to that side a sector; the raw line runs round all of them,
/// so that it winds round a place once for the figure (grown; shrunk: less once) and once for each strip and sector there. At a corner that
/// closes to that side the line goes back to the corner itself to get from the one strip to the next. Straight across would
/// leave out the triangle of the corner and the two ends; where both strips hold all of that triangle, each of such triangles at a place
/// comes with a strip of its own, and the way back, which makes every fine curve a comb of spikes, is spared.
/// Cost: n.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "lattice.hpp"

namespace burin {
namespace {

struct Direction {
    double x, y, length;
};

LatticeLoop raw_offset(const LatticeLoop& loop, double distance, double chord_angle) {
    const std::size_t n = loop.size();
    std::vector<Direction> along(n);
    for (std::size_t k = 0; k < n; ++k) {
        const LatticePoint d = loop[(k + 1) % n] - loop[k];
        const double length = std::hypot(static_cast<double>(d.x), static_cast<double>(d.y));
        along[k] = {static_cast<double>(d.x) / length, static_cast<double>(d.y) / length, length};
    }
    LatticeLoop out;
    const auto put = [&](const LatticePoint& p, double nx, double ny) {
        const LatticePoint q{p.x + std::llround(distance * nx), p.y + std::llround(distance * ny)};
        if (out.empty() || out.back() != q) out.push_back(q);
    };
    for (std::size_t k = 0; k < n; ++k) {
        const Direction &in = along[(k + n - 1) % n], &on = along[k];
        const double sin = in.x * on.y - in.y * on.x, cos = in.x * on.x + in.y * on.y;
        put(loop[k], in.y, -in.x);
        if (sin * distance > 0 || (sin == 0 && cos < 0)) {
            const double angle = sin == 0 ? std::copysign(std::numbers::pi, distance) : std::atan2(sin, cos),
                         chords = std::ceil(std::abs(angle) / chord_angle);
            for (int i = 1; i < chords; ++i) {
                const double a = angle * i / chords, c = std::cos(a), s = std::sin(a);
                put(loop[k], in.y * c + in.x * s, -in.x * c + in.y * s);
            }
        } else if (cos < 0 || std::min(in.length, on.length) < std::abs(distance * sin) * 1.000001 + 2) {
            put(loop[k], 0, 0);
        }
        put(loop[k], on.y, -on.x);
    }
    return out;
}

}  // namespace

LatticeLoops raw_offset(const LatticeLoops& loops, double distance, double tolerance) {
    const double chord_angle = 2 * std::acos(std::max(1 - tolerance / std::abs(distance), 0.5));
    LatticeLoops out;
    out.reserve(loops.size());
    for (const LatticeLoop& loop : loops) out.push_back(raw_offset(loop, distance, chord_angle));
    return out;
}

}  // namespace burin
