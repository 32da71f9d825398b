// Drawings traced: four and twenty megapixels of waving strokes, clean and as a grainy, unevenly lit scan. Two threads, as on the
// machine that the numbers are asked of.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cmath>

#include "burin/design/trace.hpp"

namespace {

using namespace burin;

Crew hands() {
    Crew crew;
    crew.threads = 2;
    return crew;
}

/// Waving rings 40 pixels apart, strokes of 16, with anti-aliased edges.
Picture rings(int width, int height, bool scan) {
    Picture p;
    p.width = width;
    p.height = height;
    unsigned grain = 1;
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const double dx = x - width * 0.5, dy = y - height * 0.5;
            const double r = std::hypot(dx, dy) + 8 * std::sin(17 * std::atan2(dy, dx));
            double v = 1 - 0.9 * std::clamp(8.5 - std::abs(std::fmod(r + 400, 40.0) - 20), 0.0, 1.0);
            if (scan) {
                grain = grain * 1664525U + 1013904223U;
                v = v * (0.45 + 0.55 * x / width) + 0.1 * ((grain >> 8) / 16777216.0 - 0.5);
            }
            p.samples.push_back(static_cast<std::uint16_t>(std::lround(std::clamp(v, 0.0, 1.0) * 255) * 257));
        }
    return p;
}

void tracing(benchmark::State& state, int width, int height, bool scan) {
    const Picture picture = rings(width, height, scan);
    TraceWishes wishes;
    wishes.width = width / 24.0;
    std::size_t points = 0;
    for (auto _ : state) points = trace_drawing(picture, wishes, hands()).region.points();
    state.counters["points"] = static_cast<double>(points);
}

void middles(benchmark::State& state) {
    TraceWishes wishes;
    wishes.width = 80;
    const Region ink = trace_drawing(rings(2000, 2000, false), wishes, hands()).region;
    std::size_t lines = 0;
    for (auto _ : state) lines = middle_lines(ink, hands()).size();
    state.counters["lines"] = static_cast<double>(lines);
}

BENCHMARK_CAPTURE(tracing, four_megapixels, 2000, 2000, false)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(tracing, twenty_megapixels, 5000, 4000, false)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(tracing, twenty_megapixel_scan, 5000, 4000, true)->Unit(benchmark::kMillisecond);
BENCHMARK(middles)->Unit(benchmark::kMillisecond);

}  // namespace
