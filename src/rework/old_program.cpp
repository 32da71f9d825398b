// A program read to be made others of. The track keeps moves and events; what the machine was told besides them (speeds alone on a line,
// directions, offsets) is gathered here from the words. Cost: O(bytes).
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/program/text_lines.hpp"
#include "burin/rework/rest.hpp"

namespace burin {
namespace {

/// Calls act(letter, value) for each word of a line, comments left out. The strict reader has read it before: it is in order.
template <class Act>
void over_words(std::string_view line, const Act& act) {
    std::string bare;
    bool comment = false;
    for (const char c : line) {
        if (c == ';') break;
        if (c == '(') comment = true;
        if (!comment && c != ' ' && c != '\t' && c != '\r' && c != '\n') bare += c;
        if (c == ')') comment = false;
    }
    for (std::size_t at = 0; at < bare.size();) {
        const char letter = static_cast<char>(bare[at] >= 'a' && bare[at] <= 'z' ? bare[at] - 'a' + 'A' : bare[at]);
        std::size_t end = at + 1;
        while (end < bare.size() && (bare[end] == '.' || bare[end] == '-' || bare[end] == '+' || (bare[end] >= '0' && bare[end] <= '9')))
            ++end;
        const std::size_t from = at + 1 < end && bare[at + 1] == '+' ? at + 2 : at + 1;
        double value = 0;
        if (from < end) {
            std::from_chars(bare.data() + from, bare.data() + end, value);
            act(letter, value);
        }
        at = end;
    }
}

[[noreturn]] void refuse(const OldProgram& old, std::uint32_t line, std::string_view what) {
    throw Error(Fault::refused, fmt::format("'{}', line {}: {}", old.file, line, what));
}

void gather_words(OldProgram& old) {
    const bool spindle = old.read.tool == ToolKind::spindle;
    const TextLines lines(old.text);
    for (std::uint32_t n = 1; n <= lines.count(); ++n) {
        const std::string_view line = lines.span(n, n);
        if (line.find_first_of("SsMm5") == std::string_view::npos) continue;
        over_words(line, [&](char letter, double value) {
            if (letter == 'S') old.speeds.push_back({n, value});
            if (letter == 'M' && spindle && value == 4)
                refuse(old, n, "the spindle turns backwards (M4), which no program of ours does. Go on by hand, or cut it with M3.");
            if (letter == 'M' && spindle && (value == 7 || value == 8)) old.coolant = true;
            if (letter == 'G' && value >= 55 && value < 60)
                refuse(old, n,
                       fmt::format("G{} is another work zero than G54, so a program that goes on would lie elsewhere. Set the zero for "
                                   "G54, and write G54 in the program.",
                                   value));
        });
    }
}

}  // namespace

OldProgram old_program(std::string file, std::string_view text, const Machine& machine, ToolKind tool) {
    OldProgram old;
    old.file = std::move(file);
    old.text = text;
    old.read = read_program(text, tool, machine.dwell_in_milliseconds);
    if (old.read.track.moves.empty() && old.read.faults.empty())
        throw Error(Fault::input, fmt::format("'{}' is no program: nothing in it moves the machine.", old.file));
    if (!old.read.faults.empty()) {
        const ProgramFault& fault = old.read.faults.front();
        const std::string where = fault.line > 0 ? fmt::format("'{}', line {} {}", old.file, fault.line, fault.what)
                                                 : fmt::format("'{}': {}", old.file, fault.what);
        throw Error(old.read.track.moves.empty() ? Fault::input : Fault::refused,
                    where + " What is not understood is not guessed at: mend that line first.");
    }
    gather_words(old);
    for (const Event& event : old.read.track.events)
        if (event.kind == EventKind::pause) old.pauses.push_back(event.before), old.pause_at.push_back(event.line);
    old.timing = reckon_time(old.read.track, machine);
    return old;
}

double time_before(const OldProgram& old, std::size_t move) {
    double seconds = 0;
    for (std::size_t k = 0; k < std::min(move, old.timing.move_s.size()); ++k) seconds += static_cast<double>(old.timing.move_s[k]);
    for (const Event& event : old.read.track.events)
        if (event.kind == EventKind::dwell && event.before <= move) seconds += event.value;
    return seconds;
}

std::size_t done_by_line(const OldProgram& old, std::uint32_t line, int planned_moves) {
    const auto& moves = old.read.track.moves;
    if (line < 1 || line > old.read.lines)
        throw Error(Fault::usage, fmt::format("--line {} is not in '{}', which has lines 1 to {}.", line, old.file, old.read.lines));
    const auto answered = static_cast<std::size_t>(
        std::upper_bound(moves.begin(), moves.end(), line, [](std::uint32_t l, const Move& move) { return l < move.line; }) -
        moves.begin());
    const auto planned = static_cast<std::size_t>(std::max(0, planned_moves));
    std::size_t done = answered > planned ? answered - planned : 0;
    for (const Event& event : old.read.track.events) {
        if (event.line > line) break;
        if (event.kind == EventKind::pause || event.kind == EventKind::dwell) done = std::max(done, event.before);
    }
    return done;
}

std::size_t done_by_share(const OldProgram& old, double share) {
    const double until = share * old.timing.total_s;
    const auto& events = old.read.track.events;
    double seconds = 0;
    std::size_t event = 0, move = 0;
    for (; move < old.read.track.moves.size(); ++move) {
        for (; event < events.size() && events[event].before <= move; ++event)
            if (events[event].kind == EventKind::dwell) seconds += events[event].value;
        seconds += static_cast<double>(old.timing.move_s[move]);
        if (seconds > until) break;
    }
    return move;
}

std::size_t done_by_height(const OldProgram& old, double z) {
    double deepest = 0;
    const auto& moves = old.read.track.moves;
    for (std::size_t k = 0; k < moves.size(); ++k) {
        deepest = std::min(deepest, moves[k].to.z);
        if (moves[k].kind != MoveKind::rapid && moves[k].to.z <= z + 1e-6) return k;
    }
    throw Error(Fault::refused, fmt::format("'{}' never goes down to Z{:.3f}: its deepest is Z{:.3f}. Give --below a height above that.",
                                            old.file, z, deepest));
}

std::vector<std::string> sections_of(std::string_view text, std::span<const std::uint32_t> pause_lines) {
    const TextLines lines(text);
    std::vector<std::string> sections;
    std::uint32_t before = 0;
    for (std::size_t k = 0; k <= pause_lines.size(); ++k) {
        const bool ends = k == pause_lines.size();
        const std::uint32_t last = ends ? lines.count() : std::min(lines.count(), pause_lines[k] - 1);
        std::string section(before, '\n');
        if (before < last) section.append(lines.span(before + 1, last));
        if (!section.empty() && section.back() != '\n') section += '\n';
        sections.push_back(ends ? section : section + "M2\n");
        before = ends ? last : pause_lines[k];
    }
    return sections;
}

std::string done_text(const OldProgram& old, std::size_t done) {
    const auto& moves = old.read.track.moves;
    if (done == 0) return {};
    std::string text(TextLines(old.text).span(1, moves[done - 1].line));
    if (text.back() != '\n') text += '\n';
    // The machine was still at speed there: a text that ended on a lit move would slow down on it, and burn it darker.
    if (old.read.tool == ToolKind::beam && done < moves.size() && moves[done - 1].power > 0 && moves[done].kind == MoveKind::feed) {
        const double unit = old.read.inch ? 25.4 : 1;
        text += fmt::format("G90 G1 X{:.4f} Y{:.4f} S0\n", moves[done].to.x / unit, moves[done].to.y / unit);
    }
    return text;
}

}  // namespace burin
