// Whether a text that was read is one that any controller takes. Cost: O(faults).
#include <fmt/format.h>

#include <algorithm>

#include "burin/program/rs274.hpp"

namespace burin {

std::vector<ProgramFault> plain_text_faults(const ReadProgram& program) {
    std::vector<ProgramFault> faults = program.faults;
    faults.insert(faults.end(), program.not_plain.begin(), program.not_plain.end());
    const auto missing = [&](bool said, std::string_view words, std::string_view what) {
        if (!said) faults.push_back({program.first_move_at, fmt::format("moves before the program has said {} ({}).", words, what)});
    };
    if (program.first_move_at != 0) {
        missing(program.sets_units, "G21 or G20", "units");
        missing(program.sets_absolute, "G90", "positions count from the work zero");
        missing(program.sets_plane, "G17", "arcs lie in the plane XY");
        missing(program.sets_feed_mode, "G94", "feeds count a minute");
        missing(program.sets_offset, "G54", "work zero");
        if (program.uses_z && program.moves_xy_before_z)
            faults.push_back({program.first_move_at, "is the first move and does not lift Z by itself: X and Y must wait until Z is up."});
    }
    constexpr std::size_t most_line = 70;  // common practice, no source: small controllers take no more
    if (program.longest_line > most_line)
        faults.push_back({program.longest_line_at,
                          fmt::format("has {} characters; small controllers take no more than {}.", program.longest_line, most_line)});
    if (program.not_ascii) faults.push_back({program.not_ascii_at, "holds letters that are not ASCII."});

    const auto& events = program.track.events;
    const std::size_t moves = program.track.moves.size();
    const auto stop = std::find_if(events.rbegin(), events.rend(),
                                   [](const Event& e) { return e.kind == EventKind::spindle_off || e.kind == EventKind::beam_off; });
    const std::string_view tool = program.tool == ToolKind::beam ? "beam" : "spindle";
    const std::uint32_t last = program.lines;
    if (program.uses_z && !program.retreats_at_end)
        faults.push_back(
            {moves == 0 ? last : program.track.moves.back().line, "is the last move and does not lift Z clear of the stock in a rapid."});
    if (stop == events.rend()) {
        faults.push_back({last, fmt::format("is the last line, and no M5 has switched the {} off.", tool)});
    } else if (stop->before < moves) {
        faults.push_back(
            {stop->line, fmt::format("has the last M5, and moves follow it: the {} is switched off after all of them.", tool)});
    } else if (program.running_at_end) {
        faults.push_back({last, fmt::format("is the last line, and the {} is still on: M5 is missing.", tool)});
    }
    if (!program.ended) faults.push_back({last, "is the last line, and no M2 or M30 has ended the program."});
    std::stable_sort(faults.begin(), faults.end(), [](const ProgramFault& a, const ProgramFault& b) { return a.line < b.line; });
    return faults;
}

}  // namespace burin
