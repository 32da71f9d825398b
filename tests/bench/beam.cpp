// Programs of a beam: a picture of 100 × 100 mm in rows 0.1 mm apart, its power changing every tenth of a millimetre, written, read
// and proved.
#include "burin/proof/beam.hpp"

#include <benchmark/benchmark.h>

#include <cmath>
#include <string>

#include "burin/program/rs274.hpp"

namespace {

using namespace burin;

constexpr int cells = 1000;

int power_at(int i, int j) { return static_cast<int>(std::lround(500 + 400 * std::sin(0.02 * i) * std::cos(0.03 * j))); }

Toolpath rows() {
    Toolpath path;
    const auto add = [&](double x, double y, MoveKind kind, int power) {
        Move& move = path.track.moves.emplace_back();
        move.to = {x, y, 0};
        move.kind = kind;
        move.feed = kind == MoveKind::rapid ? 0.0F : 1500.0F;
        move.power = static_cast<std::uint16_t>(power);
    };
    for (int j = 0; j < cells; ++j) {
        const bool back = j % 2 != 0;
        const double y = 10 + 0.1 * (j + 0.5), way = back ? -0.1 : 0.1, from = back ? 110 : 10;
        add(from - 10 * way, y, MoveKind::rapid, 0);
        add(from, y, MoveKind::feed, 0);
        for (int k = 0; k < cells; ++k) add(from + (k + 1) * way, y, MoveKind::feed, power_at(back ? cells - 1 - k : k, j));
        add(from + (cells + 10) * way, y, MoveKind::feed, 0);
    }
    return path;
}
ProgramStyle beam_style() {
    ProgramStyle style;
    style.tool = ToolKind::beam;
    return style;
}
const std::string& text() {
    static const std::string written = write_program(rows(), beam_style()).text;
    return written;
}

void beam_writing(benchmark::State& state) {
    const Toolpath path = rows();
    std::size_t bytes = 0;
    for (auto _ : state) bytes += write_program(path, beam_style()).text.size();
    state.SetBytesProcessed(static_cast<std::int64_t>(bytes));
}
BENCHMARK(beam_writing)->Unit(benchmark::kMillisecond);

void beam_reading(benchmark::State& state) {
    for (auto _ : state) benchmark::DoNotOptimize(read_program(text(), ToolKind::beam).track.moves.data());
    state.SetBytesProcessed(static_cast<std::int64_t>(text().size()) * static_cast<std::int64_t>(state.iterations()));
}
BENCHMARK(beam_reading)->Unit(benchmark::kMillisecond);

void beam_proof(benchmark::State& state) {
    BeamTask task;
    task.machine.travel = {400, 400, 0};
    task.machine.rapid = {6000, 6000, 600};
    task.machine.acceleration = {500, 500, 50};
    task.machine.lines_per_s = 524;
    task.machine.laser = Laser{};
    task.stock = make_stock(Outline::rectangle, 120, 120, 3, Anchor::lower_left);
    task.programs = {{"burn.nc", text(), {}, false}};
    Grid<float> wanted(cells, cells, 0.1, {10, 10});
    for (int j = 0; j < cells; ++j)
        for (int i = 0; i < cells; ++i) wanted(i, j) = static_cast<float>(5 * power_at(i, j) / 1000.0 / (25 * 0.1));
    task.exposure = &wanted;
    Crew crew;
    crew.threads = static_cast<int>(state.range(0));
    for (auto _ : state) {
        const BeamProof proof = prove_beam(task, crew);
        if (!proof.proof.holds) state.SkipWithError("the proof does not hold");
    }
}
BENCHMARK(beam_proof)->ArgName("threads")->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
