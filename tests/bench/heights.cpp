// From pictures to heights at the size of a large relief, 2560 × 1600 cells, and Poisson's equation on four megapixels of
// handy and of awkward sizes. Two threads, as on the machine that the numbers are asked of.
#include "burin/design/heights.hpp"

#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>

#include "burin/shape/filters.hpp"
#include "burin/shape/poisson.hpp"

namespace {

using namespace burin;

Crew hands() {
    Crew crew;
    crew.threads = 2;
    return crew;
}

/// A photo-like picture: soft shades, edges, texture.
const Picture& sample() {
    static const Picture picture = [] {
        Picture p;
        p.width = 2560;
        p.height = 1600;
        unsigned grain = 1;
        for (int y = 0; y < p.height; ++y)
            for (int x = 0; x < p.width; ++x) {
                grain = grain * 1664525U + 1013904223U;
                const double round = std::hypot(x - 1200.0, y - 800.0) < 600 ? 0.35 : 0;
                const double v =
                    0.3 + 0.15 * std::sin(x * 0.004) * std::cos(y * 0.006) + round + 0.04 * std::sin(x * 0.2) + (grain >> 24) * 0.0002;
                p.samples.push_back(static_cast<std::uint16_t>(std::clamp(v, 0.0, 1.0) * 65535));
            }
        return p;
    }();
    return picture;
}

void heights(benchmark::State& state, HeightsKind kind, double smooth, double steepest) {
    HeightsWishes wishes;
    wishes.kind = kind;
    wishes.width = 256;
    wishes.height = 160;
    wishes.smooth = smooth;
    wishes.steepest_deg = steepest;
    for (auto _ : state) benchmark::DoNotOptimize(make_heights(sample(), wishes, hands()));
}

void poisson(benchmark::State& state) {
    const int width = static_cast<int>(state.range(0)), height = static_cast<int>(state.range(1));
    HeightMap bend(width, height, 1);
    for (int j = 0; j < height; ++j)
        for (int i = 0; i < width; ++i)
            bend(i, j) = static_cast<float>(std::sin(i * 0.01) * std::cos(j * 0.013) + 0.1 * ((i * 7 + j * 13) % 11 - 5));
    for (auto _ : state) benchmark::DoNotOptimize(solve_poisson(bend, hands()));
}

}  // namespace

BENCHMARK_CAPTURE(heights, map, HeightsKind::map, 0, 90)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(heights, tone, HeightsKind::tone, 0, 90)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(heights, tone_smooth, HeightsKind::tone, 0.5, 90)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(heights, tone_steepest, HeightsKind::tone, 0, 60)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(heights, sculpt, HeightsKind::sculpt, 0, 90)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK_CAPTURE(heights, dome, HeightsKind::dome, 0, 90)->Unit(benchmark::kMillisecond)->UseRealTime();
BENCHMARK(poisson)->Args({2000, 2000})->Args({2003, 1999})->Args({2039, 2053})->Unit(benchmark::kMillisecond)->UseRealTime();
