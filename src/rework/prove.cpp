// Three runs on the model of the stock: the old program, what of it was done, and what was done with the new programs. What the first
// does is the measure for the last. Cost: three proofs, and one pass over the cells.
#include "burin/rework/prove.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double surface_apart = 0.01;  // mm: roundings of a coordinate and of arcs, far below a cell
constexpr double light_apart = 0.02;    // as the tones of a burnt photo
constexpr std::size_t checks_each = 5, beam_checks_each = 8;

template <class... Lists>
std::vector<ProofProgram> together(const Lists&... lists) {
    std::vector<ProofProgram> all;
    (all.insert(all.end(), lists.begin(), lists.end()), ...);
    return all;
}

/// What the old programs do is allowed to the new ones.
void widen(std::vector<ProofProgram>& programs, const ReworkTask& task, const Proof& whole, std::vector<std::string>& remarks) {
    for (ProofProgram& program : programs) {
        double at_once = program.most_at_once, plunge = program.plunge;
        for (std::size_t n = 0; n < task.whole.size(); ++n) {
            const ProofProgram& old = task.whole[n];
            if (old.bit.name() != program.bit.name()) continue;
            const ProgramFigures& seen = whole.programs[task.earlier.size() + n];
            at_once = std::max({at_once, seen.most_at_once, seen.largest_peck, old.most_at_once * seen.largest_section});
            plunge = std::max(plunge, seen.fastest_down);
        }
        const auto tell = [&](const std::string& sentence) {
            if (std::find(remarks.begin(), remarks.end(), sentence) == remarks.end()) remarks.push_back(sentence);
        };
        if (at_once > 1.1 * program.most_at_once)
            tell(fmt::format(
                "The old program itself takes as much with {} as a pass of {:.2f} mm, more than the {:.2f} mm that are reckoned "
                "for it; the new one takes no more than it does.",
                program.bit.name(), at_once, program.most_at_once));
        if (plunge > 1.01 * program.plunge)
            tell(
                fmt::format("The old program itself goes down into the stock at {:.0f} mm/min with {}, faster than the {:.0f} mm/min that "
                            "are reckoned for it.",
                            plunge, program.bit.name(), program.plunge));
        program.most_at_once = at_once, program.plunge = plunge;
    }
}

struct Apart {
    double most = 0;
    Point where;
};
Apart apart(const Grid<float>& a, const Grid<float>& b) {
    Apart found;
    for (int j = 0; j < a.height(); ++j)
        for (int i = 0; i < a.width(); ++i)
            if (const double d = std::abs(static_cast<double>(a(i, j)) - static_cast<double>(b(i, j))); d > found.most)
                found = {d, a.centre(i, j)};
    return found;
}

/// The figures and checks of the new programs alone, and why they may not be run.
void keep_new(const ReworkTask& task, std::size_t each, const Proof& whole, Check same, ReworkProof& result) {
    Proof& proof = result.proof;
    const std::size_t before = proof.programs.size() - task.made.size();
    proof.programs.erase(proof.programs.begin(), proof.programs.begin() + static_cast<std::ptrdiff_t>(before));
    // Checks of single programs come last, in their order.
    const std::size_t first = proof.checks.size() - each * task.made.size();
    proof.checks.erase(proof.checks.begin(), proof.checks.begin() + static_cast<std::ptrdiff_t>(first));
    proof.checks.insert(proof.checks.begin(), std::move(same));
    proof.most_at_once = proof.largest_section = 0;
    proof.rapids_in_stock = 0;
    proof.inside_travel = true;
    for (const ProgramFigures& figures : proof.programs) {
        proof.most_at_once = std::max(proof.most_at_once, figures.most_at_once);
        proof.largest_section = std::max(proof.largest_section, figures.largest_section);
        proof.rapids_in_stock += figures.rapids_in_stock;
        proof.inside_travel = proof.inside_travel && figures.inside_travel;
    }
    for (const Check& check : proof.checks) {
        if (check.ok) continue;
        const auto theirs = std::find_if(whole.checks.begin(), whole.checks.end(),
                                         [&](const Check& old) { return !old.ok && !old.file.empty() && old.name == check.name; });
        std::string sentence = check.file.empty() ? check.detail : fmt::format("{}, line {}: {}", check.file, check.line, check.detail);
        if (theirs != whole.checks.end())
            sentence += fmt::format(
                " The old program breaks this by itself ({}, line {}): mend it, or give the programs that ran before it "
                "and its stock as they are.",
                theirs->file, theirs->line);
        result.broken.push_back(std::move(sentence));
    }
    proof.holds = result.holds = result.broken.empty();
}

Check same_piece(bool ok, const std::string& kept, const std::string& broken) {
    Check check;
    check.name = "the same piece as the whole program";
    check.ok = ok;
    check.detail = ok ? kept : broken;
    return check;
}

ProofTask task_of(const ReworkTask& task, std::vector<ProofProgram> programs, double breakthrough) {
    ProofTask of;
    of.machine = task.machine;
    of.stock = task.stock;
    of.cell = task.cell;
    of.breakthrough = breakthrough;
    of.programs = std::move(programs);
    return of;
}

}  // namespace

ReworkProof prove_rework(const ReworkTask& task, const Crew& crew) {
    ReworkProof result;
    const Proof whole = prove(task_of(task, together(task.earlier, task.whole), 0), crew);
    double deepest = 0;
    for (const ProgramFigures& figures : whole.programs) deepest = std::max(deepest, -figures.lo.z);
    const double through = std::max(0.0, std::min(deepest - task.stock.thickness, task.machine.spoilboard));
    if (through > 0)
        result.remarks.push_back(
            fmt::format("The old program cuts {:.2f} mm into the board below the stock, and so may the new one.", through));
    std::vector<ProofProgram> made = task.made;
    widen(made, task, whole, result.remarks);
    if (!task.done.empty() || !task.earlier.empty())
        result.left = prove(task_of(task, together(task.earlier, task.done), through), crew).surface;
    else
        result.left = whole.surface.like(0.0F);
    result.proof = prove(task_of(task, together(task.earlier, task.done, made), through), crew);
    const Apart found = apart(result.proof.surface, whole.surface);
    result.most_apart = found.most, result.apart_at = found.where;
    keep_new(
        task, checks_each, whole,
        same_piece(found.most <= surface_apart,
                   fmt::format("With what was done the surface is that of the whole program, within {:.4f} mm.", found.most),
                   fmt::format("Near x {:.2f} y {:.2f} the surface would be {:.2f} mm off that of the whole program. This is a fault of "
                               "burin, please report it; cut nothing with these programs.",
                               found.where.x, found.where.y, found.most)),
        result);
    return result;
}

ReworkProof prove_beam_rework(const ReworkTask& task, const Crew& crew) {
    ReworkProof result;
    const auto run = [&](const std::vector<ProofProgram>& programs) {
        BeamTask of;
        of.machine = task.machine;
        of.stock = task.stock;
        for (const ProofProgram& program : programs) of.programs.push_back({program.file, program.text, {}, false});
        return prove_beam(of, crew);
    };
    const BeamProof whole = run(together(task.earlier, task.whole));
    result.light_left =
        task.earlier.empty() && task.done.empty() ? whole.exposure.like(0.0F) : run(together(task.earlier, task.done)).exposure;
    result.beam = run(together(task.earlier, task.done, task.made));
    result.proof = result.beam.proof;
    const std::size_t before = result.beam.programs.size() - task.made.size();
    result.beam.programs.erase(result.beam.programs.begin(), result.beam.programs.begin() + static_cast<std::ptrdiff_t>(before));
    const Apart found = apart(result.beam.exposure, whole.exposure);
    const auto most = static_cast<double>(*std::max_element(whole.exposure.values().begin(), whole.exposure.values().end()));
    result.most_apart = most > 0 ? found.most / most : 0, result.apart_at = found.where;
    keep_new(
        task, beam_checks_each, whole.proof,
        same_piece(result.most_apart <= light_apart,
                   fmt::format("With what was done the light on the stock is that of the whole program, within {:.2f} % of its greatest.",
                               100 * result.most_apart),
                   fmt::format("Near x {:.2f} y {:.2f} the light would be off that of the whole program by {:.1f} % of its greatest: the "
                               "beam would start there without its run-up. Go back to an earlier place.",
                               found.where.x, found.where.y, 100 * result.most_apart)),
        result);
    result.beam.proof = result.proof;
    return result;
}

}  // namespace burin
