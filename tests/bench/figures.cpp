// Figures in the plane: regions, offsets, openings, distances from the line and medial axes. Two threads, as on the machine that
// the numbers are asked of.
#include <benchmark/benchmark.h>

#include <cmath>
#include <numbers>

#include "burin/shape/edge_distance.hpp"
#include "burin/shape/medial_axis.hpp"
#include "burin/shape/region.hpp"

namespace {

using namespace burin;

Crew hands() {
    Crew crew;
    crew.threads = 2;
    return crew;
}

/// A rosette whose petals are notched: convex and concave all round, with necks.
Loop rosette(Point centre, double radius, int corners, int petals) {
    Loop loop;
    for (int k = 0; k < corners; ++k) {
        const double a = 2 * std::numbers::pi * k / corners;
        const double r = radius * (1 + 0.15 * std::sin(petals * a) + 0.03 * std::sin(7 * petals * a + 1));
        loop.push_back({centre.x + r * std::cos(a), centre.y + r * std::sin(a)});
    }
    return loop;
}

std::vector<Loop> rosettes(int across, int corners) {
    std::vector<Loop> loops;
    for (int j = 0; j < across; ++j)
        for (int i = 0; i < across; ++i) loops.push_back(rosette({20.0 * i, 20.0 * j}, 8, corners, 8));
    return loops;
}

void region_of_100000_corners(benchmark::State& state) {
    const std::vector<Loop> loops{rosette({0, 0}, 60, 100'000, 40)};
    for (auto _ : state) benchmark::DoNotOptimize(Region(loops));
}

void region_of_10000_specks(benchmark::State& state) {
    const std::vector<Loop> loops = rosettes(100, 12);
    for (auto _ : state) benchmark::DoNotOptimize(Region(loops));
}

void offset(benchmark::State& state, double d) {
    const Region region({rosette({0, 0}, 60, 10'000, 40)});
    for (auto _ : state) benchmark::DoNotOptimize(offset_by(region, d));
}

void opening(benchmark::State& state) {
    const Region region({rosette({0, 0}, 60, 10'000, 40)});
    for (auto _ : state) benchmark::DoNotOptimize(opened_by(region, 1));
}

void axis_of_one(benchmark::State& state) {
    const Region region({rosette({0, 0}, 60, 100'000, 40)});
    for (auto _ : state) benchmark::DoNotOptimize(medial_axis(region, 0.005, hands()));
}

void axis_of_a_hundred(benchmark::State& state) {
    const Region region(rosettes(10, 1000));
    for (auto _ : state) benchmark::DoNotOptimize(medial_axis(region, 0.005, hands()));
}

void distances(benchmark::State& state, double reach) {
    const Region region({rosette({0, 0}, 60, 30'000, 40)});
    const Grid<float> cells(4096, 4096, 0.04, {-80, -80});
    for (auto _ : state) benchmark::DoNotOptimize(edge_distance(region, cells, reach, hands()));
}

}  // namespace

BENCHMARK(region_of_100000_corners)->Unit(benchmark::kMillisecond);
BENCHMARK(region_of_10000_specks)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(offset, outwards_by_1, 1.0)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(offset, inwards_by_1, -1.0)->Unit(benchmark::kMillisecond);
BENCHMARK(opening)->Unit(benchmark::kMillisecond);
BENCHMARK(axis_of_one)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK(axis_of_a_hundred)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK_CAPTURE(distances, of_16_million_cells_within_0_3, 0.3)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK_CAPTURE(distances, of_16_million_cells_within_3, 3.0)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
