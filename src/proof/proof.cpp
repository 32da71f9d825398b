// The proof: texts in, verdict out. Reads every program back, reckons its time, replays all on one model of the stock, compares
// what is left with the design, and holds everything against the promises. The strategies' code plays no part in it: what it has
// in common with them is the shape of the bit.
#include "burin/proof/proof.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "burin/base/error.hpp"
#include "figure.hpp"
#include "morphology.hpp"
#include "promises.hpp"
#include "removal.hpp"
#include "way.hpp"

namespace burin {
namespace {

/// mm: a sliver that rounding leaves beside a groove cut level by level is no strip.
constexpr double least_strip = 0.1;

using namespace proving;

constexpr double most_cells = 16e6;

/// A model of the stock before it takes any memory.
struct Cells {
    int width = 0, height = 0;
    double side = 0;
    Point origin;
};

/// The design's cells, or, for a free program, cells over the stock.
Cells cells_for(const ProofTask& task) {
    const Box& stock = task.stock.bounds;
    if (task.design) {
        const Box have = task.design->bounds();
        const double slack = task.design->cell();
        if (!have.holds(stock.lo, slack) || !have.holds(stock.hi, slack))
            throw Error(Fault::refused,
                        "The design does not cover the whole stock, so it cannot be proved. Give the design and the stock the same place "
                        "and size.");
        return {task.design->width(), task.design->height(), task.design->cell(), task.design->origin()};
    }
    const double cell =
        task.figure ? figure_cell(task) : std::max(task.cell > 0 ? task.cell : 0.1, std::sqrt(stock.width() * stock.height() / most_cells));
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / cell - 1e-9))); };
    return {count(stock.width()), count(stock.height()), cell, stock.lo};
}

void fill_figures(const Way& way, double top, ProgramFigures& figures) {
    figures.file = way.asked->file;
    figures.lines = way.read.lines;
    figures.bytes = way.asked->text.size();
    figures.time_s = way.time_s;
    for (std::size_t leg = 0; leg < way.legs.size(); ++leg)
        (way.kinds[leg].rapid ? figures.rapid_length : figures.cut_length) += distance(way.from(leg), way.legs[leg].to);
    for (double volume : way.volumes) figures.removed_mm3 += volume;
    figures.passes = way.passes;
    for (PassFigures& pass : figures.passes) pass.z += top;
}

/// Where there is no stock the surface is the design's, so that nothing there is a fault.
void fill_outside(HeightMap& surface, const HeightMap* design, const Stock& stock) {
    for (int j = 0; j < surface.height(); ++j) {
        int i = 0;
        const auto fill_up_to = [&](int end) {
            for (; i < end; ++i) surface(i, j) = design ? (*design)(i, j) : 0.0F;
        };
        for (const auto& [from, to] : stock_columns(surface, stock, j)) {
            fill_up_to(from);
            i = to;
        }
        fill_up_to(surface.width());
    }
}

std::vector<Way> read_all(const ProofTask& task, double cell, const Crew& crew) {
    std::vector<Way> ways(task.programs.size());
    in_parallel(crew, static_cast<int>(ways.size()), [&](int k) {
        const auto n = static_cast<std::size_t>(k);
        ways[n] = way_of(task.programs[n], task, cell);
    });
    return ways;
}

/// 1 and 2.
void hold_against_design(const ProofTask& task, Proof& proof, const Crew& crew) {
    proof.reach = reach_of(task.programs.back().bit, *task.design, crew);
    const Comparison seen = compare(proof.surface, *task.design, proof.reach, crew);
    proof.deepest_gouge = std::max(0.0, static_cast<double>(seen.gouge.value));
    proof.left_standing = std::max(0.0, static_cast<double>(seen.standing.value));
    proof.left_standing_rms = seen.standing_rms;
    std::vector<Way> ways;
    if (proof.deepest_gouge > surface_slack || proof.left_standing > task.scallop + surface_slack)
        ways = read_all(task, proof.surface.cell(), crew);  // to find the line that did it
    proof.checks.push_back(check_below(ways, proof.surface, *task.design, seen, crew));
    proof.checks.push_back(check_standing(ways, proof.surface, proof.reach, seen, task.scallop));
}

}  // namespace

Proof prove(const ProofTask& task, const Crew& crew) {
    Proof proof;
    const std::size_t count = task.programs.size();
    const Cells cells = cells_for(task);
    const bool whole = task.lift <= 0;
    const bool keep_outs = !task.stock.keep_outs.empty();
    const bool against_design = task.design && whole && count > 0;

    crew.say("proof", 0.0);
    std::vector<Way> ways = read_all(task, cells.side, crew);

    crew.say("proof", 0.2);
    std::vector<double> may;
    for (const ProofProgram& program : task.programs) may.push_back(program.most_at_once + height_slack);
    proof.surface = HeightMap(cells.width, cells.height, cells.side, cells.origin);
    const std::vector<Replay> replays = remove_stock(proof.surface, task, ways, std::max(task.allowance, least_strip), may, crew);
    fill_outside(proof.surface, task.design, task.stock);

    if (task.figure && whole && count > 0) {
        crew.say("proof", 0.7);
        proof.checks = check_figure({*task.figure, task, ways, proof.surface, crew}, proof);
    }
    crew.say("proof", 0.8);
    proof.programs.resize(count);
    std::vector<std::array<Check, 6>> checks(count);             // in the order in which they are told
    in_parallel(crew, static_cast<int>(count) * 6, [&](int k) {  // each fills figures of its own
        const auto n = static_cast<std::size_t>(k / 6);
        ProgramFigures& figures = proof.programs[n];
        auto& of_this = checks[n];
        switch (k % 6) {
            case 0:
                if (whole) of_this[0] = check_at_once(ways, n, replays[n], figures);
                break;
            case 1:
                of_this[1] = check_crash(ways[n], replays[n], task, figures);
                break;
            case 2:
                of_this[2] = check_inside(ways[n], task, figures);
                break;
            case 3:
                if (keep_outs) of_this[3] = check_keep_outs(ways[n], task);
                break;
            case 4:
                of_this[4] = check_time(ways[n].asked->file, ways[n].time_s, ways[n].read.lines);
                of_this[5] = check_text(ways[n].asked->file, ways[n].read);
                break;
            default:
                fill_figures(ways[n], task.top, figures);
        }
    });
    ways.clear();  // the reach needs room
    if (against_design) {
        crew.say("proof", 0.9);
        hold_against_design(task, proof, crew);
    }
    for (std::size_t k = 0; k < count; ++k) {
        const ProgramFigures& figures = proof.programs[k];
        for (std::size_t n = whole ? 0 : 1; n < 6; ++n)
            if (n != 3 || keep_outs) proof.checks.push_back(std::move(checks[k][n]));
        proof.most_at_once = std::max(proof.most_at_once, figures.most_at_once);
        proof.largest_section = std::max(proof.largest_section, figures.largest_section);
        proof.rapids_in_stock += figures.rapids_in_stock;
        proof.inside_travel = proof.inside_travel && figures.inside_travel;
    }
    proof.holds = count > 0 && std::all_of(proof.checks.begin(), proof.checks.end(), [](const Check& c) { return c.ok; });
    crew.say("proof", 1.0);
    return proof;
}

}  // namespace burin
