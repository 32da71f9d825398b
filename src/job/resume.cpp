/// A program stopped in the middle: the rest of it, from a place that is surely cut.
#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <memory>

#include "burin/base/error.hpp"
#include "burin/job/rework.hpp"
#include "burin/program/text_lines.hpp"
#include "reworked.hpp"

namespace burin {
namespace {

/// How many moves are done, and how the person said so.
std::size_t done_as_told(const RunOptions& run, const OldProgram& old, const Machine& machine, std::string& told) {
    const int given = (run.stopped_line ? 1 : 0) + (run.stopped_share ? 1 : 0) + (run.stopped_below ? 1 : 0);
    if (given == 0)
        throw Error(Fault::usage,
                    "Where the program stopped was not said. Give --line N (the last line that the controller showed), --share PERCENT (of "
                    "the time), or --below Z (a height, such as --below -1.5).");
    if (given > 1) throw Error(Fault::usage, "--line, --share and --below say the same thing in three ways: give one of them.");
    if (run.stopped_line) {
        const auto line = static_cast<std::uint32_t>(*run.stopped_line);
        told = fmt::format(
            "Line {} was the last that the controller had answered. It may have held {} moves in its memory that it had not "
            "made yet: those count as not done.",
            line, machine.planned_moves);
        return done_by_line(old, line, machine.planned_moves);
    }
    if (run.stopped_share) {
        told = fmt::format("{} % of the program's time was over, which is {} of {}, as the time is reckoned.", *run.stopped_share,
                           duration_text(*run.stopped_share / 100 * old.timing.total_s), duration_text(old.timing.total_s));
        return done_by_share(old, *run.stopped_share / 100);
    }
    told = fmt::format("All before the first cut at Z{} or below it is done.", *run.stopped_below);
    return done_by_height(old, *run.stopped_below);
}

/// Whether anything was cut, or lit, before a move.
bool anything_done(const OldProgram& old, std::size_t done) {
    for (std::size_t k = 0; k < done; ++k) {
        const Move& move = old.read.track.moves[k];
        if (move.kind == MoveKind::rapid) continue;
        if (old.read.tool == ToolKind::beam ? move.power > 0 : move.to.z < 0) return true;
    }
    return false;
}

std::vector<std::string> steps_of(const Reworked& given, const Rest& rest, const std::string& file) {
    std::vector<std::string> steps;
    const std::string entry = fmt::format("X{:.2f} Y{:.2f}", rest.entry.x, rest.entry.y);
    if (given.beam) {
        steps = {
            fmt::format("Laser off. Switch the laser off before you open the enclosure; eyewear on as long as it has power. Let fumes "
                        "clear, look for "
                        "embers."),
            fmt::format("Leave the piece where it is. If it has moved, or steps were lost, the new lines will lie beside the old ones: "
                        "then begin a "
                        "new "
                        "piece."),
            fmt::format("Zero. X0 Y0 must be the very point that it was before, {}: go there with the pilot beam and look.",
                        given.report.zero),
            fmt::format("Look. Go to {} with the beam dark: it must be the end of what is burnt, or a little before it.", entry),
            fmt::format("Run {}. It starts dark, {:.1f} mm before the place, and lights the beam at speed. Stay with it.", file,
                        rest.run_in),
            fmt::format(
                "One line twice. What the controller had burnt beyond the place that you gave is burnt a second time, and comes out darker "
                "there.")};
        return steps;
    }
    steps = {
        fmt::format("Stop and look. Switch the spindle off and wait until it stands. Find out why it stopped before you go on: a bit that "
                    "has worked "
                    "loose or broken, a piece that has moved, a cable that was pulled."),
        "Leave the piece where it is. If it has moved, even by a little, go on only after the zero is found again on it.",
        fmt::format("Same bit. Put in {}, the same as before, sharp and whole; touch off Z again if you have taken it out.",
                    tool_words(given, rest)),
        fmt::format("Bring the zero back. X0 Y0 must be the very point that it was before, {}, and Z0 the stock's top where it was touched "
                    "off: use datum dots, a corner, or a groove that is cut, and check two of them.",
                    given.report.zero),
        fmt::format("Check by hand, spindle off. Go to {} at Z{:.1f}, then down slowly to {:.1f} mm above Z{:.2f}: the tip must stand over "
                    "cut ground, in the middle of its groove.",
                    entry, given.way.safe_z, 1.0, rest.entry.z),
        fmt::format(
            "Run {}, hand at the stop. It lifts to Z{:.1f}, spins up, goes to that place, comes down where stock is gone already, the "
            "last bit at the plunge feed, and runs over {:.1f} mm that are cut. If it takes stock there, stop: the zero is off.",
            file, given.way.safe_z, rest.run_in)};
    if (given.way.safe_z < 3)
        steps.push_back("Clamps. The program crosses the stock low, as the old one did: see that nothing stands in its way.");
    return steps;
}

}  // namespace

Finished make_resume(const Order& order, const PresetFolders& presets, const Crew& crew) {
    const std::unique_ptr<Reworked> given = reworked(order, presets, crew);
    const OldProgram& old = given->old;
    ReworkReport& report = given->report;
    std::string told;
    const std::size_t done = done_as_told(order.run, old, report.machine, told);
    if (!anything_done(old, done))
        throw Error(Fault::refused,
                    fmt::format("{} Nothing of '{}' is surely {} there, so there is nothing to go on from: run it again from "
                                "its beginning.",
                                told, old.file, given->beam ? "burnt" : "cut"));
    const std::string stem = stem_of(old.file), file = stem + "-rest.nc";
    given->way.header = {fmt::format("{}, going on after a stop", stem), "BRING THE ZERO BACK FIRST, SAME TOOL: see report.html"};
    const Rest rest = rest_of(old, done, old.read.track.moves.size(), given->way);
    if (rest.empty)
        throw Error(Fault::refused, fmt::format("{} After that nothing of '{}' is left to be {}: it is done.", told, old.file,
                                                given->beam ? "burnt" : "cut"));
    std::vector<std::string> done_texts, made_texts;
    done_texts.reserve(old.pauses.size() + 1), made_texts.reserve(old.pauses.size() + 1);
    given->task.done = done_programs(*given, done, done_texts);
    add_made(*given, rest, file, made_texts, given->task.made);

    report.name = stem + ", going on";
    report.command = "resume";
    report.programs.push_back({file, tool_words(*given, rest), rest.entry, rest.run_in, rest.line, time_before(old, rest.move)});
    report.steps = steps_of(*given, rest, file);
    report.assumed.insert(report.assumed.begin(), told);
    report.assumed.push_back(fmt::format("The last {:.1f} mm before that place are run once more (--run-in).", rest.run_in));
    Finished result = finish_rework(*given, {{file, rest.written.text}}, crew);
    result.summary.insert(
        result.summary.begin(),
        fmt::format("{}: goes on at line {} of {}, after {} of {}; proved on the stock as it was left.", old.file, rest.line,
                    old.read.lines, duration_text(time_before(old, rest.move)), duration_text(old.timing.total_s)));
    result.summary.push_back(
        fmt::format("Bring the zero back first: read {}", (std::filesystem::path(order.run.output.value_or("")) / "report.html").string()));
    return result;
}

}  // namespace burin
