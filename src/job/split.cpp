/// A long program in parts, for several evenings.
#include <fmt/format.h>

#include <cmath>
#include <filesystem>
#include <memory>

#include "burin/base/error.hpp"
#include "burin/job/rework.hpp"
#include "reworked.hpp"

namespace burin {
namespace {

constexpr double least_part_s = 60;

/// How long a part may be, its way in included.
double seconds_each(const RunOptions& run, const OldProgram& old) {
    if (run.minutes && run.parts_wanted)
        throw Error(Fault::usage, "--minutes and --parts say the same thing in two ways: give one of them.");
    if (!run.minutes && !run.parts_wanted)
        throw Error(Fault::usage,
                    "How long a part may take was not said. Give --minutes, as in --minutes 45, or --parts, as in --parts 2.");
    return run.minutes ? *run.minutes * 60 : old.timing.total_s / *run.parts_wanted;
}

std::vector<std::size_t> places_for(const RunOptions& run, const Reworked& given) {
    const OldProgram& old = given.old;
    const double each = seconds_each(run, old), way_in = given.way.spin_up + 10;
    if (run.minutes && each < least_part_s)
        throw Error(Fault::usage, "Parts of less than a minute are not worth the walk: give --minutes 1 or more.");
    if (run.minutes && old.timing.total_s <= each)
        throw Error(Fault::refused,
                    fmt::format("'{}' takes {} as a whole, so it needs no splitting.", old.file, duration_text(old.timing.total_s)));
    if (run.minutes) return split_places(old, each - way_in);
    // Parts end early rather than late, so an equal share can be one too small.
    std::vector<std::size_t> places;
    double longer = 1;
    for (int attempt = 0; attempt < 40; ++attempt, longer += 0.02) {
        places = split_places(old, each * longer);
        if (places.size() + 1 <= static_cast<std::size_t>(*run.parts_wanted)) break;
    }
    if (places.empty())
        throw Error(Fault::refused, fmt::format("'{}' has no place to be cut in {} parts: it is too short.", old.file, *run.parts_wanted));
    return places;
}

std::vector<std::string> steps_of(const Reworked& given) {
    if (given.beam)
        return {"Leave the piece where it is. It must not move between the parts: what is burnt later would lie beside what is there.",
                fmt::format("Zero. X0 Y0 must be the very point that it was before, {}, whenever the machine was switched off.",
                            given.report.zero),
                "Run the parts in their order. Each starts dark and lights the beam at speed. Stay with it, eyewear on, enclosure shut."};
    return {
        "Leave the piece where it is. It must stay clamped between the parts; wood moves overnight, so touch off Z again.",
        fmt::format("Bring the zero back. X0 Y0 must be the very point that it was before, {}, whenever the machine was switched off: "
                    "make datum dots before the first part, and check them before each other.",
                    given.report.zero),
        "Same bit. Each part begins with the bit that its first lines name, and says all modes and the spindle speed anew.",
        "Run the parts in their order, hand at the stop. Each ends lifted, with the spindle off; the next comes down where the stock is "
        "gone already, and runs in over what is cut."};
}

}  // namespace

Finished make_split(const Order& order, const PresetFolders& presets, const Crew& crew) {
    const std::unique_ptr<Reworked> given = reworked(order, presets, crew);
    const OldProgram& old = given->old;
    ReworkReport& report = given->report;
    const std::string stem = stem_of(old.file);
    std::vector<std::size_t> ends = places_for(order.run, *given);
    ends.push_back(old.read.track.moves.size());
    std::vector<OutputFile> programs;
    std::vector<std::string> done_texts, made_texts;
    made_texts.reserve(ends.size() * (old.pauses.size() + 1));
    std::size_t begin = 0;
    for (const std::size_t end : ends) {
        const auto letter = static_cast<char>('a' + programs.size());
        given->way.header = {fmt::format("{}, part {} of {}", stem, programs.size() + 1, ends.size())};
        const Rest rest = rest_of(old, begin, end, given->way);
        begin = end;
        if (rest.empty) continue;
        const std::string file = fmt::format("{}-{}.nc", stem, letter);
        add_made(*given, rest, file, made_texts, given->task.made);
        report.programs.push_back({file, tool_words(*given, rest), rest.entry, rest.run_in, rest.line, time_before(old, rest.move)});
        programs.push_back({file, rest.written.text});
    }
    const std::size_t count = programs.size();
    report.name = stem + ", in parts";
    report.command = "split";
    report.steps = steps_of(*given);
    report.assumed.push_back(
        "Parts end at a retreat between passes where one lies in their last third; else the bit is lifted where it is, "
        "and the next part runs in over what is cut.");
    Finished result = finish_rework(*given, std::move(programs), crew);
    result.summary.insert(result.summary.begin(),
                          fmt::format("{}: {} parts; together they leave the same piece, which is proved.", old.file, count));
    result.summary.push_back(
        fmt::format("Before you cut, read {}", (std::filesystem::path(order.run.output.value_or("")) / "report.html").string()));
    return result;
}

}  // namespace burin
