// The proof of figures on 160 × 100 mm in cells of 0.05 mm: 160 rounded stars of 300 corners each, pocketed, incised and followed.
#include <benchmark/benchmark.h>

#include <cmath>
#include <numbers>
#include <string>

#include "burin/program/rs274.hpp"
#include "burin/proof/proof.hpp"
#include "burin/toolpath/figures.hpp"

namespace {

using namespace burin;

Region stars() {
    std::vector<Loop> loops;
    for (int j = 0; j < 10; ++j)
        for (int i = 0; i < 16; ++i) {
            Loop& loop = loops.emplace_back();
            constexpr int corners = 300;
            for (int k = 0; k < corners; ++k) {
                const double angle = 2 * std::numbers::pi * k / corners, r = 2.9 + 1.3 * std::cos(5 * angle);
                loop.push_back({10 + 9.3 * i + r * std::cos(angle), 8 + 9.2 * j + r * std::sin(angle)});
            }
        }
    return Region(loops);
}

/// A figure, its programs' text, and what the proof is asked.
struct Job {
    FigureDesign figure;
    std::vector<std::string> texts;
    ProofTask task;

    Job(FigureDesign design, const char* bit, FigurePlan (*plan)(const FigureDesign&, const FigureOrder&, const Crew&))
        : figure(std::move(design)) {
        FigureOrder order;
        order.bits = {{Bit::parse(bit), 500, 150, 1.0}};
        task.machine.travel = {240, 150, 60};
        task.machine.rapid = {2000, 2000, 800};
        task.machine.acceleration = {100, 100, 50};
        task.stock = make_stock(Outline::rectangle, 160, 100, 12, Anchor::lower_left);
        task.figure = &figure;
        for (const ReliefToolpath& path : plan(figure, order, {}).paths) {
            ProgramStyle style;
            style.plunge = 150;
            texts.push_back(write_program(path.path, style).text);
        }
        for (const std::string& text : texts) task.programs.push_back({"1-cut.nc", text, order.bits[0].bit, 500, 150, 1.0, 3, {}});
    }
};

void prove_job(benchmark::State& state, const Job& job) {
    Crew crew;
    crew.threads = 2;
    bool holds = false;
    for (auto _ : state) holds = prove(job.task, crew).holds;
    state.SetLabel(holds ? "proved" : "broken");
}

void prove_pocket(benchmark::State& state) {
    FigureDesign design;
    design.may = design.traced = stars();
    design.floor = -1.5;
    static const Job job(design, "flat:1.0", plan_pocket);
    prove_job(state, job);
}
void prove_incised(benchmark::State& state) {
    FigureDesign design;
    design.may = design.traced = stars();
    design.floor = -5;
    design.half_angle = std::numbers::pi / 6;
    static const Job job(design, "vee:60:0.1:6.35", plan_incised);
    prove_job(state, job);
}
void prove_grooves(benchmark::State& state) {
    FigureDesign design;
    design.floor = -0.6;
    for (const Loop& loop : stars().loops()) {
        Groove& groove = design.grooves.emplace_back();
        groove.closed = true;
        for (const Point& p : loop) groove.tip.push_back({p.x, p.y, design.floor});
    }
    static const Job job(design, "vee:60:0.1:3.175", plan_grooves);
    prove_job(state, job);
}

BENCHMARK(prove_pocket)->Unit(benchmark::kMillisecond)->UseRealTime()->MeasureProcessCPUTime();
BENCHMARK(prove_incised)->Unit(benchmark::kMillisecond)->UseRealTime()->MeasureProcessCPUTime();
BENCHMARK(prove_grooves)->Unit(benchmark::kMillisecond)->UseRealTime()->MeasureProcessCPUTime();

}  // namespace
