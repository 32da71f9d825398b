// Offsets by the bit over 256 × 160 mm, and the whole plan of a relief of that size. Two threads, as on the machine that the
// numbers are asked of.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>

#include "burin/motion/timing.hpp"
#include "burin/toolpath/offset.hpp"
#include "burin/toolpath/relief.hpp"

namespace {

using namespace burin;

Crew hands() {
    Crew crew;
    crew.threads = 2;
    return crew;
}

/// An invented landscape, 2 mm deep: hills, a terrace, a tower, ripples and grain; toolpath.py draws the same.
double landscape(double x, double y) {
    double z = -1.1 + 0.5 * std::sin(x / 19) * std::cos(y / 13) + 0.15 * std::sin(x / 3.1 + y / 4.3) +
               0.03 * std::sin(2.3 * x) * std::sin(1.9 * y);
    if (y > 100 + 12 * std::sin(x / 25)) z -= 0.4;
    if (const double r = std::hypot(x - 90, y - 70); r < 30) z += 0.5 * std::sqrt(1 - r * r / 900);
    if (std::abs(x - 180) < 9 - y / 20 && y < 130 && y > 20) z = -0.1 - 0.002 * (x - 180) * (x - 180);
    return std::clamp(z, -2.0, 0.0);
}

HeightMap design(double cell, double margin) {
    const int edge = static_cast<int>(std::lround(margin / cell));
    const int width = static_cast<int>(std::lround(256 / cell)), height = static_cast<int>(std::lround(160 / cell));
    HeightMap map(width + 2 * edge, height + 2 * edge, cell, {-margin, -margin}, 0.F);
    for (int j = edge; j < edge + height; ++j)
        for (int i = edge; i < edge + width; ++i) {
            const Point c = map.centre(i, j);
            map(i, j) = static_cast<float>(landscape(c.x, c.y));
        }
    return map;
}

void offset(benchmark::State& state, const char* bit, double cell) {
    const HeightMap map = design(cell, 0);
    const Bit b = Bit::parse(bit);
    for (auto _ : state) benchmark::DoNotOptimize(offset_for(b, map, hands()));
}

void sweep(benchmark::State& state, const char* bit, double cell) {
    const HeightMap map = design(cell, 0);
    const Bit b = Bit::parse(bit);
    for (auto _ : state) benchmark::DoNotOptimize(swept_by(b, map, hands()));
}

void relief(benchmark::State& state) {
    const HeightMap map = design(0.1, 2);
    ReliefOrder order;
    order.bits = {{Bit::parse("flat:3.175"), 800, 200, 1.0}, {Bit::parse("ball:1.0"), 500, 150, 0.5}};
    std::size_t moves = 0;
    double cutting = 0;
    for (auto _ : state) {
        const ReliefPlan plan = plan_relief(map, order, hands());
        moves = 0, cutting = 0;
        for (const ReliefToolpath& path : plan.paths) {
            moves += path.path.track.moves.size();
            Point3 at = path.path.track.start;
            for (const Move& move : path.path.track.moves) {
                if (move.kind != MoveKind::rapid) cutting += distance(at, move.to);
                at = move.to;
            }
        }
    }
    state.counters["moves"] = static_cast<double>(moves);
    state.counters["cut_m"] = cutting / 1000;
}

}  // namespace

BENCHMARK_CAPTURE(offset, ball_3_175_at_0_1, "ball:3.175", 0.1)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK_CAPTURE(offset, ball_3_175_at_0_05, "ball:3.175", 0.05)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK_CAPTURE(offset, ball_1_at_0_1, "ball:1.0", 0.1)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK_CAPTURE(offset, flat_3_175_at_0_1, "flat:3.175", 0.1)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK_CAPTURE(sweep, ball_1_at_0_1, "ball:1.0", 0.1)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK(relief)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
