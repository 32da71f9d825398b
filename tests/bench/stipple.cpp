// A photo as dots: their places and sizes, the way over them, one line through them. Two threads, as on the machine that the numbers
// are asked of.
#include "burin/design/stipple.hpp"

#include <benchmark/benchmark.h>

#include <cmath>

#include "burin/design/one_line.hpp"
#include "burin/toolpath/figures.hpp"

namespace {

using namespace burin;

Crew hands() {
    Crew crew;
    crew.threads = 2;
    return crew;
}

/// Hills and bare ground, 150 × 100 mm.
const Grid<float>& landscape() {
    static const Grid<float> made = [] {
        Grid<float> grid(1500, 1000, 0.1, {0, 0}, 0.0F);
        for (int j = 0; j < grid.height(); ++j)
            for (int i = 0; i < grid.width(); ++i) {
                const double x = i / 1500.0, y = j / 1000.0;
                const double v = 0.45 + 0.5 * std::sin(9 * x + 3 * std::sin(5 * y)) * std::cos(7 * y + x);
                grid(i, j) = v < 0.05 ? 0.0F : static_cast<float>(v);
            }
        return grid;
    }();
    return made;
}

StippleWishes twenty_thousand() {
    StippleWishes wishes;
    wishes.dots = 20'000;
    wishes.most = 1.2;
    return wishes;
}

void dots_by_size(benchmark::State& state) {
    for (auto _ : state) benchmark::DoNotOptimize(stipple(landscape(), twenty_thousand(), hands()));
}

void dots_by_number(benchmark::State& state) {
    StippleWishes wishes = twenty_thousand();
    wishes.dots = 0;
    wishes.least = wishes.most = 0.62;
    std::size_t count = 0;
    for (auto _ : state) count = stipple(landscape(), wishes, hands()).dots.size();
    state.counters["dots"] = static_cast<double>(count);
}

std::vector<Point> places() {
    std::vector<Point> all;
    for (const Dot& dot : stipple(landscape(), twenty_thousand(), hands()).dots) all.push_back(dot.at);
    return all;
}

void way_over_20000_dots(benchmark::State& state) {
    const std::vector<Point> all = places();
    for (auto _ : state) benchmark::DoNotOptimize(short_order(all, {0, 0}, hands()));
}

void one_line_through_20000_places(benchmark::State& state) {
    const std::vector<Point> all = places();
    std::vector<Point> stops;
    for (const std::size_t k : short_order(all, {0, 0}, hands())) stops.push_back(all[k]);
    const Bit bit = Bit::parse("vee:60:0.1:3.175");
    for (auto _ : state) benchmark::DoNotOptimize(one_line(uncrossed(stops, hands()), landscape(), {}, bit, hands()));
}

}  // namespace

BENCHMARK(dots_by_size)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK(dots_by_number)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK(way_over_20000_dots)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
BENCHMARK(one_line_through_20000_places)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime()->UseRealTime();
