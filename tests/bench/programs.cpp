// Timing, writing and reading of programs, on the kind of track that finishing a relief makes: lines 0.1 mm apart, a point
// every tenth of a millimetre or two, heights that change all the time.
#include <benchmark/benchmark.h>

#include <cmath>

#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"

namespace {

using namespace burin;

Toolpath finishing_lines(int lines, int points) {
    Toolpath path;
    Point3 at{0, 0, 3};
    const auto add = [&](const Point3& to, float feed, MoveKind kind) {
        Move move;
        move.to = at = to;
        move.feed = feed;
        move.kind = kind;
        path.track.moves.push_back(move);
    };
    add({0, 0, 3}, 0, MoveKind::rapid);
    add({1, 1, 3}, 0, MoveKind::rapid);
    for (int j = 0; j < lines; ++j)
        for (int k = 0; k < points; ++k) {
            const int i = j % 2 == 0 ? k : points - 1 - k;
            const double x = 1 + 0.157 * i, y = 1 + 0.1 * j;
            const double z = -1.5 + std::sin(x * 0.7) * std::cos(y * 0.5) + 0.2 * std::sin(x * 9 + y);
            add({x, y, z}, k == 0 ? 150.0F : z < at.z - 0.06 ? 300.0F : 600.0F, MoveKind::feed);
        }
    add({at.x, at.y, 3}, 0, MoveKind::rapid);
    return path;
}
const Toolpath& sample() {
    static const Toolpath path = finishing_lines(1000, 1000);
    return path;
}

void motion_timing(benchmark::State& state) {
    Machine machine;
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 50};
    machine.planned_moves = static_cast<int>(state.range(0));
    for (auto _ : state) benchmark::DoNotOptimize(reckon_time(sample().track, machine).total_s);
    state.counters["moves/s"] =
        benchmark::Counter(static_cast<double>(sample().track.moves.size()), benchmark::Counter::kIsIterationInvariantRate);
}
BENCHMARK(motion_timing)->Arg(16)->Arg(1000)->Unit(benchmark::kMillisecond);

void program_writing(benchmark::State& state) {
    ProgramStyle style;
    style.inch = state.range(0) != 0;
    style.plunge = 150;
    std::size_t bytes = 0;
    for (auto _ : state) {
        const WrittenProgram program = write_program(sample(), style);
        bytes += program.text.size();
        benchmark::DoNotOptimize(program.text.data());
    }
    state.SetBytesProcessed(static_cast<std::int64_t>(bytes));
}
BENCHMARK(program_writing)->ArgName("inch")->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

/// A spiral of short arcs, as figures with round contours make them.
Toolpath arcs(int count) {
    Toolpath path;
    Point3 at{20, 0, 3};
    const auto add = [&](const Point3& to, MoveKind kind) {
        Move& move = path.track.moves.emplace_back();
        move.to = at = to;
        move.feed = kind == MoveKind::rapid ? 0.0F : 400.0F;
        move.kind = kind;
        move.arc = static_cast<std::uint32_t>(path.track.arcs.size()) - 1;
    };
    add(at, MoveKind::rapid);
    for (int k = 0; k < count; ++k) {
        const double turn = 0.1 + 0.3 * (k % 7), a = std::atan2(at.y, at.x), b = a + turn;
        const double radius = std::hypot(at.x, at.y);
        path.track.arcs.push_back({{0, 0}});
        add({radius * std::cos(b), radius * std::sin(b), -1}, MoveKind::arc_ccw);
    }
    return path;
}
const std::string& text_to_read(bool of_arcs) {
    static const std::string lines = write_program(sample(), {}).text, rounds = write_program(arcs(300000), {}).text;
    return of_arcs ? rounds : lines;
}

void program_reading(benchmark::State& state) {
    const std::string& text = text_to_read(state.range(0) != 0);
    for (auto _ : state) {
        const ReadProgram program = read_program(text);
        benchmark::DoNotOptimize(program.track.moves.data());
    }
    state.SetBytesProcessed(static_cast<std::int64_t>(text.size()) * static_cast<std::int64_t>(state.iterations()));
}
BENCHMARK(program_reading)->ArgName("arcs")->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

}  // namespace
