/// A joined text is taken apart at its own pauses, not where the writer says that the parts begin: what is proved is what the
/// machine gets. Each part is proved with as many empty lines before it as there are lines before it in the file, so that
/// every line that the proof names is the file's.
/// Cost: the proof once more, and the text twice in memory.
#include "joined.hpp"

#include <algorithm>
#include <numeric>

#include "burin/motion/timing.hpp"
#include "burin/program/text_lines.hpp"
#include "fmt/format.h"

namespace burin {
namespace {

/// One part: lines `before` + 1 … `last` of the joined text.
struct Part {
    std::uint32_t before = 0, last = 0;
    std::string text;
};

std::vector<Part> parts_of(const std::string& text, const ReadProgram& read) {
    const TextLines lines(text);
    std::vector<std::uint32_t> pauses;
    for (const Event& event : read.track.events)
        if (event.kind == EventKind::pause) pauses.push_back(event.line);
    std::vector<Part> parts;
    std::uint32_t before = 0;
    for (std::size_t k = 0; k <= pauses.size(); ++k) {
        const bool ends = k == pauses.size();
        Part part{before, ends ? read.lines : pauses[k], {}};
        const std::uint32_t last = ends ? lines.count() : pauses[k] - 1;  // without the pause itself
        part.text = std::string(before, '\n').append(lines.span(before + 1, last)).append(ends ? "" : "M2\n");
        before = part.last;
        parts.push_back(std::move(part));
    }
    return parts;
}

/// Whether the text stops once before every change of bit, with the spindle off.
Check check_pauses(const ReadProgram& read, std::size_t bits) {
    Check check;
    check.name = "a pause for every bit";
    check.file = joined_file;
    const auto& events = read.track.events;
    std::size_t pauses = 0;
    bool running = false;
    std::uint32_t turned_off = 0, wrong = 0;
    for (const Event& event : events) {
        if (event.kind == EventKind::spindle_off) running = false, turned_off = event.line;
        if (event.kind == EventKind::pause) {
            ++pauses;
            if (running && wrong == 0) wrong = event.line;
            turned_off = 0;
        }
        if (event.kind == EventKind::spindle_on) {
            if (turned_off > 0 && wrong == 0) wrong = turned_off;  // off and on again: somebody was to change the bit between
            running = true;
            turned_off = 0;
        }
    }
    check.ok = pauses + 1 == bits && wrong == 0;
    check.line = check.ok ? 0 : wrong;
    check.detail = check.ok ? fmt::format("The file stops {} (M0) with the spindle off, so that the bit can be changed.",
                                          pauses == 1 ? "once" : fmt::format("{} times", pauses))
                            : fmt::format("{} bits want {} {} with the spindle off, and the text has {}{}. Write it again.", bits, bits - 1,
                                          bits == 2 ? "pause" : "pauses", pauses,
                                          wrong > 0 ? fmt::format("; the first that is wrong, or missing, belongs at line {}", wrong) : "");
    return check;
}

}  // namespace

std::size_t part_of(std::uint32_t line, std::span<const std::uint32_t> starts) {
    const auto next = std::upper_bound(starts.begin(), starts.end(), line);
    return static_cast<std::size_t>(std::max<std::ptrdiff_t>(0, next - starts.begin() - 1));
}

std::vector<double> times_between(const Track& track, const Machine& machine, std::span<const std::uint32_t> starts) {
    const Timing timing = reckon_time(track, machine);
    std::vector<double> times(starts.size(), 0.0);
    for (std::size_t k = 0; k < track.moves.size(); ++k)
        times[part_of(track.moves[k].line, starts)] += static_cast<double>(timing.move_s[k]);
    for (const Event& event : track.events)
        if (event.kind == EventKind::dwell) times[part_of(event.line, starts)] += event.value;
    // What single precision lost of single moves.
    times.back() = timing.total_s - std::accumulate(times.begin(), times.end() - 1, 0.0);
    return times;
}

std::string pause_words(const Bit& bit) { return fmt::format("Change the bit to {}, touch off Z, go on", bit.name()); }

WrittenProgram join(const SettledJob& job, const std::vector<ReliefToolpath>& paths, const std::vector<Program>& programs, double lift) {
    std::vector<ProgramPart> parts;
    for (std::size_t k = 0; k < programs.size(); ++k) {
        parts.push_back({.path = &paths[k].path, .style = style_of(job, programs[k], lift), .pause = {}});
        if (k > 0) parts.back().pause = pause_words(job.bits[programs[k].bit].bit);
    }
    return join_programs(parts);
}

Proof prove_joined(const SettledJob& job, const Target& target, const std::string& text, const std::vector<Program>& programs, double lift,
                   const Crew& crew) {
    const ReadProgram read = read_program(text, job.machine.dwell_in_milliseconds);
    const Check pauses = check_pauses(read, programs.size());
    std::vector<Part> parts = parts_of(text, read);
    Proof proof;
    if (parts.size() != programs.size()) {
        proof.checks.push_back(pauses);
        return proof;
    }
    std::vector<Program> apart = programs;
    for (std::size_t k = 0; k < parts.size(); ++k) {
        apart[k].file = joined_file;
        apart[k].written.text = std::move(parts[k].text);
        for (std::uint32_t& line : apart[k].written.pass_lines) line += parts[k].before;
    }
    ProofTask task = proof_task(job, target, apart);
    task.lift = lift;
    proof = prove(task, crew);
    proof.checks.push_back(pauses);
    proof.holds = proof.holds && pauses.ok;
    std::vector<std::uint32_t> starts;
    for (const Part& part : parts) starts.push_back(part.before + 1);
    const std::vector<double> times = times_between(read.track, job.machine, starts);
    for (std::size_t k = 0; k < parts.size(); ++k) {
        ProgramFigures& figures = proof.programs[k];
        figures.lines = parts[k].last - parts[k].before;
        figures.bytes -= parts[k].before;  // its M2 is as long as the M0 that it stands for
        figures.time_s = times[k];
    }
    std::size_t timed = 0;
    for (Check& check : proof.checks)
        if (check.name == "time by the motion rules" && check.ok && timed < times.size())
            check.detail = fmt::format("{} for this bit, of {} for the joined file, reckoned from its text by the machine's rules.",
                                       duration_text(times[timed++]), duration_text(std::accumulate(times.begin(), times.end(), 0.0)));
    return proof;
}

}  // namespace burin
