#pragma once
// Figures known on paper, planned and then replayed slowly.
#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/toolpath/figures.hpp"
#include "check.hpp"
#include "replay.hpp"

namespace burin::test {

inline Loop rectangle(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

/// A circle as chords within a thousandth, counter-clockwise.
inline Loop disc(double x, double y, double r) {
    const int n = static_cast<int>(std::ceil(std::numbers::pi / std::acos(1 - 0.001 / r)));
    Loop loop;
    for (int k = 0; k < n; ++k)
        loop.push_back({x + r * std::cos(2 * std::numbers::pi * k / n), y + r * std::sin(2 * std::numbers::pi * k / n)});
    return loop;
}

inline Loop star(double x, double y, double r, double q, int n) {
    Loop loop;
    for (int k = 0; k < 2 * n; ++k) {
        const double a = std::numbers::pi * k / n + 0.3, radius = k % 2 == 0 ? r : q;
        loop.push_back({x + radius * std::cos(a), y + radius * std::sin(a)});
    }
    return loop;
}

inline ReliefBit bit_of(const char* sizes, double depth_per_pass) { return {Bit::parse(sizes), 400, 120, depth_per_pass}; }

/// What a plan does to whole stock of `side` × `side` mm.
struct Cut {
    HeightMap surface;
    std::vector<Seen> seen;

    Cut(const FigurePlan& plan, const FigureOrder& order, double side, double cell = 0.05)
        : surface(static_cast<int>(std::lround(side / cell)), static_cast<int>(std::lround(side / cell)), cell, {0, 0}, 0.F) {
        for (const ReliefToolpath& path : plan.paths) {
            const ReliefBit& bit = order.bits[path.bit];
            seen.push_back(replay(bit.bit, path.path.track, {bit.depth_per_pass, order.allowance, bit.plunge}, surface));
        }
    }
    /// Promises 3 and 4, with what the replay's cells add (common practice, no source: the promises of every job).
    void keeps(const FigurePlan& plan, const FigureOrder& order) const {
        for (std::size_t k = 0; k < seen.size(); ++k) {
            const ReliefBit& bit = order.bits[plan.paths[k].bit];
            CHECK(seen[k].most_at_once <= bit.depth_per_pass + 0.05);
            CHECK(seen[k].section <= 1.12);
            CHECK(seen[k].peck <= bit.depth_per_pass + 0.01);
            CHECK(seen[k].rapid_in_stock <= 0.005);
            CHECK(seen[k].slanted_rapids == 0);
            CHECK(seen[k].fast_descents == 0);
            const auto& moves = plan.paths[k].path.track.moves;
            REQUIRE(!moves.empty());
            CHECK(moves.back().kind == MoveKind::rapid);
            CHECK(moves.back().to.z >= order.safe_height - 1e-9);
        }
    }
    /// Over all cells: how far what `lowest` and `highest` say is left is exceeded.
    template <class Limits>
    double worst(const Limits& limits) const {
        double most = 0;
        for (int j = 0; j < surface.height(); ++j)
            for (int i = 0; i < surface.width(); ++i) {
                const Point p = surface.centre(i, j);
                const auto [lowest, highest] = limits(p);
                const double z = static_cast<double>(surface(i, j));
                most = std::max({most, lowest - z, z - highest});
            }
        return most;
    }
    [[nodiscard]] double volume() const {
        double sum = 0;
        for (const float z : surface.values()) sum -= static_cast<double>(z);
        return sum * surface.cell() * surface.cell();
    }
};

/// Sideways slack of promises 1 and 2 for figures, mm, with half a thousandth for rounding; and up and down.
constexpr double sideways = 0.0305, upright = 0.0205;

}  // namespace burin::test
