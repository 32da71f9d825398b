/// The outline of a work: programs are read, what they cut is walked round above the stock, and the walk is proved on its text.
#include "burin/rework/pace.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/job/options.hpp"
#include "burin/job/setup.hpp"
#include "burin/motion/timing.hpp"
#include "burin/proof/walk.hpp"
#include "burin/report/sheet.hpp"
#include "checked_parts.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;

constexpr const char* walk_file = "1-pace.nc";
constexpr std::size_t most_bytes = std::size_t{1} << 30;

struct Works {
    std::vector<CheckedFile> files;
    std::vector<ReadProgram> programs;
};

Works read_works(const Order& order, const Machine& machine, ToolKind tool) {
    Works works;
    for (const std::string& name : order.arguments) {
        works.files.push_back({name, read_text(name, "program", most_bytes)});
        works.programs.push_back(read_program(works.files.back().text, tool, machine.dwell_in_milliseconds, widely(machine)));
        const ReadProgram& read = works.programs.back();
        check_kind(works.files.back(), read);
        if (!read.faults.empty())
            throw Error(Fault::input, fmt::format("'{}', line {} {} Its outline would be a guess: mend the line, or leave the file out.",
                                                  name, read.faults.front().line, read.faults.front().what));
    }
    return works;
}

/// A beam's programs where the machine has nothing else, or where they switch S without ever moving in z.
ToolKind tool_of(const Order& order, const Machine& machine) {
    if (!machine.laser) return ToolKind::spindle;
    if (!machine.spindle) return ToolKind::beam;
    const ReadProgram first = read_program(read_text(order.arguments.front(), "program", most_bytes), false, widely(machine));
    return first.uses_z ? ToolKind::spindle : ToolKind::beam;
}

/// S of the pilot beam, as much as the machine's file allows.
double pilot_of(const Order& order, const Machine& machine, ToolKind tool) {
    const double percent = order.job.cuts.front().pilot.value_or(0);
    if (percent <= 0) return 0;
    if (tool != ToolKind::beam)
        throw Error(Fault::usage, fmt::format("--pilot is for a beam, and '{}' cuts with a spindle here: leave it out.", machine.name));
    const Laser& laser = *machine.laser;
    const double power = std::floor(percent / 100 * laser.scale + 1e-9), allowed = laser.scales_with_speed ? std::floor(laser.pilot_s) : 0;
    if (power > allowed)
        throw Error(Fault::refused,
                    fmt::format("A walk at {} % would have S {}, and the file of '{}' allows {} (pilot). It counts as a burning "
                                "laser: give a smaller --pilot, or none for a dark walk.",
                                number_text(percent), number_text(power), machine.name, number_text(allowed)));
    return power;
}

PaceOrder order_of(const Order& order, const Machine& machine, ToolKind tool, const WorkExtent& extent, double pilot) {
    PaceOrder pace;
    const std::string by = order.run.by.value_or("box");
    pace.by = by == "hull" ? PaceBy::hull : by == "circle" ? PaceBy::circle : PaceBy::box;
    pace.grow = order.run.grow.value_or(0);
    pace.feed = order.job.cuts.front().feed.value_or(std::min(1000.0, machine.most_feed));
    pace.rapid = order.run.walk.value_or("feed") == "rapid";
    pace.stops = order.run.stop_at_corners.value_or(false);
    pace.power = static_cast<std::uint16_t>(pilot);
    pace.z = tool == ToolKind::beam ? 0 : order.job.safe_height.value_or(std::max(3.0, std::ceil(extent.highest * 1000 - 1e-6) / 1000));
    return pace;
}

std::string outline_words(const Pace& pace, PaceBy by) {
    if (by == PaceBy::circle)
        return fmt::format("circle, {:.1f} mm across, about X {:.2f} Y {:.2f}", 2 * pace.circle.radius, pace.circle.centre.x,
                           pace.circle.centre.y);
    if (by == PaceBy::hull) return fmt::format("hull of {} corners", pace.corners.size());
    return fmt::format("box, {:.1f} x {:.1f} mm", pace.corners[2].x - pace.corners[0].x, pace.corners[2].y - pace.corners[0].y);
}

WrittenProgram written(const Pace& pace, const PaceOrder& wish, const Machine& machine, ToolKind tool, const std::string& name) {
    ProgramStyle style;
    style.dwell_in_milliseconds = machine.dwell_in_milliseconds;
    style.tool = tool;
    style.still = tool == ToolKind::spindle;
    style.scaled = machine.laser ? machine.laser->scales_with_speed : true;
    style.safe_z = wish.z;
    style.header = {fmt::format("Outline of {}", name), outline_words(pace, wish.by),
                    tool == ToolKind::beam ? (wish.power > 0 ? fmt::format("Pilot beam S{}: counts as burning", wish.power) : "Beam dark")
                                           : fmt::format("Spindle off, Z {} and up", number_text(wish.z)),
                    fmt::format("Time {}", duration_text(reckon_time(pace.path.track, machine).total_s))};
    return write_program(pace.path, style);
}

SheetDrawing drawing_of(const WorkExtent& extent, const Pace& pace, PaceBy by) {
    SheetDrawing drawing;
    drawing.outline = extent.hull;
    std::vector<Point> walk = pace.corners;
    if (by == PaceBy::circle) {
        walk.clear();
        for (int k = 0; k < 72; ++k) {
            const double a = k * 3.14159265358979 / 36;
            walk.push_back(
                {pace.circle.centre.x + pace.circle.radius * std::cos(a), pace.circle.centre.y + pace.circle.radius * std::sin(a)});
        }
    }
    walk.push_back(walk.front());
    drawing.walks = {walk};
    drawing.caption =
        "From above, Y away from you. Filled: as a thread would lie round all that is cut. Dashed: the walk. Quartered circle: zero.";
    return drawing;
}

std::vector<SheetStep> steps_for(const PaceOrder& wish, ToolKind tool, const Pace& pace) {
    const bool beam = tool == ToolKind::beam;
    std::vector<SheetStep> steps;
    if (beam)
        steps.push_back({"Before the laser gets power,",
                         "even for a dark walk: eyewear rated for its wavelength on everybody in the room, enclosure "
                         "shut, fumes drawn off, fire extinguisher in reach."});
    else
        steps.push_back(
            {"Spindle off.", "Switch it off at its own switch, or unplug it: the program switches it off too, but a switch is sure."});
    steps.push_back({"Zero.", "Set the work zero as the job's own sheet says: the walk is only as true as the zero."});
    if (!beam)
        steps.push_back(
            {"Height.",
             fmt::format("The bit goes up to Z {} first and stays there. Clamps and screws that stand higher than that above the "
                         "stock's top would be hit by the job too: lower them, or move them.",
                         number_text(wish.z))});
    steps.push_back({fmt::format("Run {}.", walk_file),
                     pace.stops > 0
                         ? fmt::format("It waits at {} places until you let it go on: look there from above and from the side.", pace.stops)
                         : std::string("Keep a hand at the emergency stop and your eyes on the bit.")});
    steps.push_back(
        {"Look.",
         beam ? "Does the head stay over the stock, and clear of everything that stands?"
              : "Does the bit stay over the stock all the way round? Is there room for the collet nut beside every clamp? The bit's "
                "own half width cuts farther out than its middle runs."});
    steps.push_back({"If not,", "move the stock or the zero, and walk again. Then run the job."});
    return steps;
}

Sheet sheet_of(const Works& works, const WorkExtent& extent, const Pace& pace, const PaceOrder& wish, const WalkProof& proof,
               const Machine& machine, ToolKind tool, const std::string& name) {
    Sheet sheet;
    sheet.command = "pace";
    sheet.kind = "The outline of the work, walked above the stock";
    sheet.title = name;
    sheet.version = BURIN_VERSION;
    sheet.machine = machine;
    const ProgramFigures& seen = proof.figures;
    sheet.facts = {{"Walked", outline_words(pace, wish.by)},
                   {"Time", duration_text(seen.time_s)},
                   {tool == ToolKind::beam ? "Beam" : "Height", tool == ToolKind::beam
                                                                    ? (wish.power > 0 ? fmt::format("pilot, S{}", wish.power) : "dark")
                                                                    : fmt::format("Z {}", number_text(wish.z))},
                   {"Speed", wish.rapid ? std::string("rapids") : fmt::format("{} mm/min", number_text(wish.feed))}};
    sheet.cautions = still_cautions(machine);
    sheet.steps = steps_for(wish, tool, pace);
    sheet.drawing = drawing_of(extent, pace, wish.by);
    sheet.programs = {{walk_file, fmt::format("goes round {}", outline_words(pace, wish.by))}};
    sheet.measured = {seen};
    sheet.checks = proof.checks;
    sheet.unknown = {"Where the stock, the clamps and the screws really stand: that is what you look for.",
                     "Whether the work zero is where it will be when the job runs.", "How wide bit and collet are: see --grow."};
    for (const CheckedFile& file : works.files)
        sheet.assumed.push_back(
            fmt::format("Walked round what '{}' {}.", file.name, tool == ToolKind::beam ? "burns" : "cuts below the stock's top"));
    if (wish.by == PaceBy::hull)
        sheet.assumed.emplace_back("The hull was given few corners: it lies up to 0.02 mm farther out than a tight one.");
    sheet.figures = {{"by", std::string(wish.by == PaceBy::box      ? "box"
                                        : wish.by == PaceBy::circle ? "circle"
                                                                    : "hull")},
                     {"corners", static_cast<double>(pace.corners.size())},
                     {"stops", static_cast<double>(pace.stops)},
                     {"height_mm", wish.z},
                     {"grow_mm", wish.grow},
                     {"deepest_mm", -extent.deepest},
                     {"nearest_mm", proof.nearest},
                     {"pilot_s", static_cast<double>(wish.power)}};
    return sheet;
}

}  // namespace

Finished make_pace(const Order& order, const PresetFolders& presets, const Crew& crew) {
    const Machine machine = find_machine(presets, order.job.machine.value_or("desk-240x150"));
    crew.say("reading");
    const ToolKind tool = tool_of(order, machine);
    const double pilot = pilot_of(order, machine, tool);
    const Works works = read_works(order, machine, tool);
    const WorkExtent extent = extent_of(works.programs);
    const PaceOrder wish = order_of(order, machine, tool, extent, pilot);
    const Pace pace = plan_pace(extent, wish);
    const std::string name = order.job.name.value_or(fs::path(works.files.front().name).stem().string());
    const WrittenProgram program = written(pace, wish, machine, tool, name);
    crew.say("proof");
    WalkTask task{walk_file, program.text, machine, tool, wish.z, pilot, wish.grow, wish.by == PaceBy::circle, {}, {}, widely(machine)};
    task.keep_outs = keep_outs_of(order.job.keep_outs, machine);
    for (const CheckedFile& file : works.files) task.worked.emplace_back(file.text);
    const WalkProof proof = prove_walk(task);
    for (const Check& check : proof.checks)
        if (!check.ok) throw Error(Fault::refused, fmt::format("{} ({})", check.detail, check.name));
    const Sheet sheet = sheet_of(works, extent, pace, wish, proof, machine, tool, name);
    Finished finished;
    finished.files = {{walk_file, program.text}, {"report.html", sheet_html(sheet)}, {"report.json", sheet_json(sheet)}};
    finished.summary.push_back(fmt::format("{}: {}, {} on the machine{}.", walk_file, outline_words(pace, wish.by),
                                           duration_text(proof.figures.time_s),
                                           pace.stops > 0 ? fmt::format(", {} stops", pace.stops) : std::string()));
    if (order.run.output)
        finished.summary.push_back(fmt::format("Before you run it, read {}", (fs::path(*order.run.output) / "report.html").string()));
    return finished;
}

}  // namespace burin
