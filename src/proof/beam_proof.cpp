// The proof of a beam: texts in, verdict out. Reads every program back, reckons its time, lays its light on cells, and holds all against
// the promises. Shares nothing with the strategies.
#include <algorithm>
#include <array>
#include <cmath>

#include "beam_checks.hpp"
#include "beam_light.hpp"
#include "blur.hpp"
#include "burin/base/error.hpp"
#include "burin/proof/beam.hpp"

namespace burin {
namespace {

using namespace proving;

constexpr double most_cells = 4e6;

/// Light over the stock, spread by the spot: with 1/e² at half its diameter, the standard deviation is a quarter of it.
Grid<float> exposure_of(const BeamRules& rules, const std::vector<BeamWay>& ways) {
    const Box& box = rules.task.stock.bounds;
    const double cell =
        rules.task.cell > 0 ? rules.task.cell : std::max(rules.spot / 2, std::sqrt(box.width() * box.height() / most_cells));
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / cell - 1e-9))); };
    Grid<float> light(count(box.width()), count(box.height()), cell, box.lo);
    lay_light(light, ways, rules.crew);
    blur(light, rules.spot / 4, rules.crew);
    return light;
}

void fill_numbers(const BeamWay& way, const Laser& laser, BeamNumbers& numbers, ProgramFigures& figures) {
    figures.file = way.asked->file;
    figures.lines = way.read.lines;
    figures.bytes = way.asked->text.size();
    figures.time_s = way.timing.total_s;
    for (const std::uint32_t line : way.asked->pass_lines) figures.passes.emplace_back().first_line = line;
    std::size_t next = 0;
    const auto& moves = way.read.track.moves;
    for (std::size_t k = 0; k < moves.size(); ++k) {
        const Move& move = moves[k];
        const double length = way.length(k), seconds = static_cast<double>(way.timing.move_s[k]);
        if (move.kind == MoveKind::rapid) {
            figures.rapid_length += length;
        } else {
            (burns(move) ? numbers.burnt_length : numbers.dark_length) += length;
        }
        if (burns(move)) {
            numbers.burnt_s += seconds;
            const double lit_s = way.scaled[k] ? length * 60 / static_cast<double>(move.feed) : seconds;
            numbers.energy_j += laser.power_w * move.power / laser.scale * lit_s;
            numbers.constant_power |= !way.scaled[k];
        }
        while (next < figures.passes.size() && figures.passes[next].first_line <= move.line) ++next;
        if (next == 0) continue;
        PassFigures& pass = figures.passes[next - 1];
        pass.time_s += seconds;
        if (!burns(move)) continue;
        pass.length += length;
        pass.z = std::min(pass.z, move.to.z);
    }
    figures.cut_length = numbers.burnt_length;
    numbers.most_power = way.read.most_power;
}

std::vector<BeamWay> read_all(const BeamTask& task, const Crew& crew) {
    std::vector<BeamWay> ways(task.programs.size());
    in_parallel(crew, static_cast<int>(ways.size()), [&](int k) {
        const auto n = static_cast<std::size_t>(k);
        ways[n] = beam_way_of(task.programs[n], task.machine);
    });
    return ways;
}

void check_program(const BeamRules& rules, const BeamWay& way, BeamProof& proof, std::size_t n, std::array<Check, 8>& checks) {
    ProgramFigures& figures = proof.proof.programs[n];
    checks[0] = check_dark(way);
    checks[1] = check_standing_beam(way);
    checks[2] = check_steady(rules, way);
    checks[3] = check_scale(rules, way);
    checks[4] = check_pace(rules, way, proof.programs[n].pace);
    checks[5] = check_beam_inside(rules, way, figures);
    checks[6] = check_time(way.asked->file, way.timing.total_s, way.read.lines);
    checks[7] = check_text(way.asked->file, way.read);
    fill_numbers(way, rules.laser, proof.programs[n], figures);
}

}  // namespace

BeamProof prove_beam(const BeamTask& task, const Crew& crew) {
    if (!task.machine.laser)
        throw Error(Fault::usage,
                    "The machine has no laser, so nothing can be burnt with it. Choose a machine with a [laser] in its file.");
    const Laser& laser = *task.machine.laser;
    if (!(laser.scale > 0 && laser.power_w > 0 && laser.spot_mm > 0))
        throw Error(Fault::usage, "The machine's laser has no scale, power or spot. Give each a value above 0 in its file.");
    if (laser.scale > 65535)
        throw Error(Fault::usage,
                    "The machine's laser has a scale above 65535, which no program is written for. Give a smaller one in its file.");
    const BeamRules rules{task, laser, task.spot > 0 ? task.spot : laser.spot_mm, crew};
    BeamProof result;
    Proof& proof = result.proof;
    proof.beam = true;

    crew.say("proof", 0.0);
    const std::vector<BeamWay> ways = read_all(task, crew);
    crew.say("proof", 0.2);
    result.programs.resize(ways.size());
    proof.programs.resize(ways.size());
    std::vector<std::array<Check, 8>> checks(ways.size());
    in_parallel(crew, static_cast<int>(ways.size()), [&](int k) {
        const auto n = static_cast<std::size_t>(k);
        check_program(rules, ways[n], result, n, checks[n]);
    });
    crew.say("proof", 0.5);
    if (task.exposure) proof.checks.push_back(check_tones(rules, ways, result.worst_tone));
    crew.say("proof", 0.7);
    if (task.exposure || !task.figures.empty()) proof.checks.push_back(check_outside(rules, ways));
    if (!task.figures.empty()) proof.checks.push_back(check_left_out(rules, ways));
    if (task.board)
        for (Check& check : check_coating(rules, ways, proof)) proof.checks.push_back(std::move(check));
    crew.say("proof", 0.9);
    result.exposure = exposure_of(rules, ways);
    for (std::size_t n = 0; n < ways.size(); ++n) {
        for (Check& check : checks[n]) proof.checks.push_back(std::move(check));
        if (!task.stock.keep_outs.empty()) proof.checks.push_back(check_beam_keep_outs(rules, ways[n]));
        proof.inside_travel = proof.inside_travel && proof.programs[n].inside_travel;
    }
    proof.holds = !ways.empty() && std::all_of(proof.checks.begin(), proof.checks.end(), [](const Check& c) { return c.ok; });
    crew.say("proof", 1.0);
    return result;
}

}  // namespace burin
