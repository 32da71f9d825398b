// The reader of programs must come to an end on any bytes, keep within bounds, and agree with itself: what it read without a
// fault is written again, and read back to the same places.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "demand.hpp"

namespace {

using namespace burin;

Machine machine() {
    Machine machine;
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 50};
    return machine;
}

/// Written by our own writer, the text must be plain, lead to where the track ends, and have no beam lit where nothing moves.
void write_again(const ReadProgram& read) {
    Toolpath path;
    path.track = read.track;
    ProgramStyle style;
    style.tool = read.tool;
    style.focus_steps = read.uses_z;
    std::string text;
    try {
        text = write_program(path, style).text;
    } catch (const Error&) {
        return;  // slanted rapids, ends in the middle, no measure: refused with a sentence
    }
    const ReadProgram again = read_program(text, read.tool);
    demand(again.faults.empty() && again.lit_stops.empty());
    demand(again.longest_line <= 70);
    demand(again.ended && !again.not_ascii);
    if (path.track.moves.empty() || again.track.moves.empty()) return;
    const Point3 asked = path.track.moves.back().to, came = again.track.moves.back().to;
    // Nothing of X and Y is said if nothing moved there; half a thousandth is rounding.
    demand(std::abs(asked.x - came.x) < 0.0021 && std::abs(asked.y - came.y) < 0.0021);
}

/// Reads the text as one tool's.
void read_as(std::string_view text, ToolKind tool) {
    const std::size_t size = text.size();
    const ReadProgram read = read_program(text, tool, size % 2 == 0);
    demand(read.faults.size() <= 100 && read.not_plain.size() <= 100);
    demand(read.track.moves.size() <= size && read.lines <= size);
    demand(read.longest_line <= size);
    for (const Move& move : read.track.moves) {
        demand(std::abs(move.to.x) <= 1e5 && std::abs(move.to.y) <= 1e5 && std::abs(move.to.z) <= 1e5);
        demand(move.kind < MoveKind::arc_cw || move.arc < read.track.arcs.size());
        demand(move.kind == MoveKind::rapid || move.feed > 0 || std::isfinite(move.feed));
        demand(move.line >= 1 && move.line <= read.lines);
        demand(tool == ToolKind::beam ? move.power == 0 || move.running : move.power == 0);
    }
    std::size_t before = 0;
    for (const Event& event : read.track.events) {
        demand(event.before >= before && event.before <= read.track.moves.size());
        before = event.before;
    }
    demand(read.lit_stops.size() <= 100 && (tool == ToolKind::beam || read.lit_stops.empty()));
    for (const LitStop& stop : read.lit_stops) demand(stop.power > 0 && stop.before <= read.track.moves.size());
    (void)plain_text_faults(read);
    if (size > 4096) return;
    const Timing timing = reckon_time(read.track, machine(), true);
    demand(timing.total_s >= 0 && timing.move_s.size() == read.track.moves.size());
    demand(timing.least_mm_s.size() == read.track.moves.size());
    if (read.faults.empty()) write_again(read);
}

/// As a program of another hand: more is followed, and there is an end to that too. A cycle of a million pecks is no fault of the
/// text but takes its seconds, which the fuzzer would call a hang: here the end comes sooner.
void read_widely(std::string_view text) {
    ReadLimits limits;
    limits.wide = true;
    limits.most_more = 50'000;
    if (text.size() % 2 == 0) limits.home = Point3{-10, -10, 20};
    constexpr std::size_t most_of_one_cycle = 30'100;  // 10,000 pecks of three moves
    const ReadProgram read = read_program(text, false, limits);
    demand(read.track.moves.size() <= text.size() + limits.most_more + most_of_one_cycle);
    for (const Move& move : read.track.moves)
        demand(std::abs(move.to.x) <= 1e5 && std::abs(move.to.y) <= 1e5 && std::abs(move.to.z) <= 1e5);
    demand(std::abs(read.track.start.z) <= 1e5);
    for (const Probe& probe : read.probes) demand(std::abs(probe.to.z) <= 1e5 && probe.line >= 1 && probe.line <= read.lines);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
    const std::string_view text(reinterpret_cast<const char*>(bytes), size);
    read_as(text, ToolKind::spindle);
    read_as(text, ToolKind::beam);
    read_widely(text);
    return 0;
}
