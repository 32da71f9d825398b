/// Setting the work zero: the program is planned, written, proved on many plates, and told of on a sheet.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <optional>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/job/setup.hpp"
#include "burin/motion/timing.hpp"
#include "burin/report/sheet.hpp"
#include "datum_dots.hpp"
#include "zero_plan.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;

struct Zeroing {
    TouchTask task;
    std::string bit;  ///< corner plates: its name
    double drop = 0;
    std::string file, text;  ///< empty: no program, zero is set by hand
    std::optional<TouchProof> proof;
};

[[nodiscard]] Error usage(const std::string& sentence) { return {Fault::usage, sentence}; }

void check_wishes(const RunOptions& run) {
    if (run.plate_wall.has_value() != run.plate_width.has_value())
        throw usage(
            "A corner plate has both --plate-wall (from the stock's sides to its outer faces) and --plate-width (how wide it is): give "
            "both.");
    if (run.plate_wall && !run.plate) throw usage("--plate-wall belongs to a corner plate: give its thickness too, as in --plate 12.");
    if (run.paper && run.plate) throw usage("--paper and --plate are two ways to one zero: give one of them.");
    if (run.probe_slow.value_or(25) > run.probe_feed.value_or(100))
        throw usage("--probe-slow is the second, slower touch: give it no more than --probe-feed.");
    for (const bool given : {run.probe_feed.has_value(), run.probe_slow.has_value(), run.probe_travel.has_value()})
        if (given && !run.plate) throw usage("--probe-feed, --probe-slow and --probe-travel belong to --plate, and there is none.");
    if (run.plate_width && *run.plate_wall >= *run.plate_width)
        throw usage("--plate-wall must be smaller than --plate-width: it is only the part of the plate that stands out beside the stock.");
}

/// Which sides of the stock meet at its zero.
void take_corner(const std::string& zero, TouchTask& task) {
    if (zero.find("centre") != std::string::npos)
        throw usage(fmt::format(
            "A corner plate lies on a corner, and --zero {} is none: give lower-left, lower-right, upper-left or upper-right.", zero));
    task.side_x = zero.ends_with("left") ? -1 : 1;
    task.side_y = zero.starts_with("lower") ? -1 : 1;
}

TouchTask task_of(const Order& order, const Machine& machine) {
    const RunOptions& run = order.run;
    check_wishes(run);
    TouchTask task;
    task.machine = machine;
    task.probe_feed = run.probe_feed.value_or(100);
    task.probe_slow = run.probe_slow.value_or(25);
    task.probe_travel = run.probe_travel.value_or(20);
    task.start_slack = corner_start;
    task.plate = run.plate.value_or(run.paper.value_or(0.1));
    task.kind = !run.plate ? TouchKind::here : run.plate_wall ? TouchKind::corner : TouchKind::plate;
    if (task.kind == TouchKind::corner) {
        task.wall = *run.plate_wall, task.width = *run.plate_width;
        const StockSize stock = order.job.stock ? parse_stock(*order.job.stock) : StockSize{};
        if (stock.round || stock.piece)
            throw Error(Fault::refused, "Round or traced stock has no corner for a corner plate: use a plain plate (--plate alone).");
        take_corner(order.job.zero.value_or("lower-left"), task);
        if (task.probe_travel < corner_look)
            throw usage(fmt::format("A corner plate's sides are looked for over {} mm: give --probe-travel at least that.",
                                    number_text(corner_look)));
    }
    return task;
}

std::vector<std::string> header_of(const Zeroing& zeroing) {
    const TouchTask& task = zeroing.task;
    std::vector<std::string> header{"Sets the work zero. Spindle off."};
    switch (task.kind) {
        case TouchKind::plate:
            header.push_back(fmt::format("Touch plate {} mm on the stock's top", number_text(task.plate)));
            break;
        case TouchKind::corner:
            header.push_back(fmt::format("Corner plate {} mm, wall {}, width {} mm", number_text(task.plate), number_text(task.wall),
                                         number_text(task.width)));
            header.push_back(fmt::format("Bit {}, start within {} mm of its middle", zeroing.bit, number_text(task.start_slack)));
            break;
        case TouchKind::here:
            header.push_back(fmt::format("The bit stands on X0 Y0, {} mm above Z0", number_text(task.plate)));
            break;
    }
    return header;
}

Zeroing zeroing_of(const Order& order, const Machine& machine, const PresetFolders& presets) {
    Zeroing zeroing;
    TouchTask& task = zeroing.task = task_of(order, machine);
    if (task.kind == TouchKind::here && machine.zero_by == ZeroBy::g10_l2) return zeroing;  // knows only places that were probed
    std::vector<ZeroStep> steps;
    if (task.kind == TouchKind::corner) {
        const auto& bits = order.job.cuts.front().bits;
        const Bit bit = find_bit(presets, bits.empty() ? "flat:3.175" : bits.front().use);
        zeroing.bit = bit.name();
        zeroing.drop = corner_drop(bit, task.plate);
        task.bit_radius = bit.radius(), task.bit_tip = bit.tip_height();
        steps = corner_steps(task, zeroing.drop);
    } else {
        steps = task.kind == TouchKind::plate ? plate_steps(task) : here_steps(task);
    }
    zeroing.file = task.file = "1-zero.nc";
    zeroing.text = write_zeroing(steps, {machine.zero_by, header_of(zeroing)});
    task.text = zeroing.text;
    zeroing.proof = prove_touch(task);
    task.text = {};  // the text itself goes with the zeroing
    for (const Check& check : zeroing.proof->checks)
        if (!check.ok) throw Error(Fault::refused, fmt::format("{} ({})", check.detail, check.name));
    return zeroing;
}

void put_plate_steps(const Zeroing& zeroing, const std::string& corner, std::vector<SheetStep>& steps) {
    const TouchTask& task = zeroing.task;
    const bool sides = task.kind == TouchKind::corner;
    steps.push_back({"Measure the plate",
                     sides ? fmt::format("with a caliper: {} mm thick above the stock's top, {} mm from the stock's sides to its outer "
                                         "faces, {} mm wide, or make "
                                         "this again with what you measure.",
                                         number_text(task.plate), number_text(task.wall), number_text(task.width))
                           : fmt::format("with a caliper: {} mm, or make this again with what you measure.", number_text(task.plate))});
    steps.push_back({"Clean", "plate, stock and the tip of the bit: a chip under the plate becomes an error of the depth."});
    steps.push_back({"Clip and test.",
                     "Put the clip on the bit (not on the collet nut if that is painted) and the lead on the plate. Lift the plate against "
                     "the bit by hand and see the "
                     "controller show the touch. Never start without having seen it: a clip that is off drives the bit into the plate."});
    if (sides) {
        steps.push_back({"Lay the plate", fmt::format("on the {} corner of the stock, its walls tight against both sides. Within {} mm of "
                                                      "its two outer faces nothing may stand: the bit goes down there.",
                                                      corner, std::ceil(2 * task.bit_radius + corner_clear + task.start_slack))});
        steps.push_back(
            {"Place the bit",
             fmt::format("over the plate's middle, within {} mm both ways, 1 to {} mm above it. Turn the spindle by hand until the "
                         "bit's cutting edges point left and right: between them it is narrower.",
                         number_text(task.start_slack), number_text(task.probe_travel - 1))});
    } else {
        steps.push_back({"Set X and Y", "by hand at the work zero first, as the job's own sheet says: this program sets Z alone."});
        steps.push_back({"Lay the plate", fmt::format("on the stock's top, under the bit, and jog the bit to 1 to {} mm above it.",
                                                      number_text(task.probe_travel - 1))});
    }
    steps.push_back(
        {fmt::format("Run {}.", zeroing.file),
         fmt::format("It touches at {} mm/min, backs off {} mm, touches again at {}, and goes {} mm up{}. Where nothing is "
                     "touched the controller stops with "
                     "an alarm, and the old zero stays.",
                     number_text(task.probe_feed), number_text(zero_back_off), number_text(task.probe_slow), number_text(zero_away),
                     sides ? ", after it has done so against both sides; between them it waits until you have turned the cutting edges "
                             "towards you and away"
                           : "")});
    const std::string shown =
        sides ? fmt::format("X {} Y {} Z {}", number_text(task.side_x * (task.wall - task.width / 2)),
                            number_text(task.side_y * (task.wall - task.width / 2)), number_text(task.plate + zero_away))
              : fmt::format("Z {}", number_text(task.plate + zero_away));
    steps.push_back({"Look at the display:", fmt::format("it must show {}. Then take clip and plate off, before anything turns.", shown)});
}

void put_paper_steps(const Zeroing& zeroing, std::vector<SheetStep>& steps) {
    const TouchTask& task = zeroing.task;
    const bool paper = task.plate > 0;
    steps.push_back({"Jog the bit", "over the point of the stock that is to be X0 Y0, its very tip."});
    steps.push_back(
        {"Down, ever slower:", paper ? "from 5 mm above on in steps of 0.1 mm, then 0.02 mm, while you move a slip of paper to and fro "
                                       "under the tip. Stop when it just drags and can still be pulled. Never "
                                       "put a finger under the bit."
                                     : "from 5 mm above on in steps of 0.1 mm, then 0.02 mm, until the tip just touches the stock."});
    if (!zeroing.file.empty())
        steps.push_back({fmt::format("Run {}.", zeroing.file),
                         fmt::format("It calls this place X0 Y0 Z{} and goes up. Nothing is probed, so it must stand right before.",
                                     number_text(task.plate))});
    else
        steps.push_back(
            {"Set zero at the controller:",
             fmt::format("X 0, Y 0 and Z {} here. G10 L2 can only set places that were probed, so there is no program for this.",
                         number_text(task.plate))});
    steps.push_back({"Look at the display:", zeroing.file.empty()
                                                 ? fmt::format("it must show X 0 Y 0 Z {}.", number_text(task.plate))
                                                 : fmt::format("it must show X 0 Y 0 Z {}.", number_text(task.plate + zero_away))});
}

void put_dot_steps(const DrilledDots& dots, std::vector<SheetStep>& steps) {
    const auto place = [](const Point& p) { return fmt::format("X {} Y {}", number_text(p.x), number_text(p.y)); };
    steps.push_back(
        {fmt::format("With zero set, run {}.", dots.file),
         fmt::format("It drills two dots of {} mm with {}: spindle on, so goggles and the job's own cautions. They must lie in the waste.",
                     number_text(dots.depth), dots.bit)});
    steps.push_back(
        {"After a power cut or a lost step:",
         fmt::format("take clamps and stock as they are, jog the tip into the first dot and set {} there; then Z by plate or paper.",
                     place(dots.places.first))});
    steps.push_back({"Check with the second:", fmt::format("jog the tip into it. The display must show {} within 0.2 mm. If not, the stock "
                                                           "has moved or turned: clamp it afresh and begin again.",
                                                           place(dots.places.second))});
}

SheetDrawing drawing_of(const Zeroing& zeroing, const std::optional<DrilledDots>& dots) {
    SheetDrawing drawing;
    const TouchTask& task = zeroing.task;
    const auto rectangle = [](const Point& a, const Point& b) { return std::vector<Point>{a, {b.x, a.y}, b, {a.x, b.y}, a}; };
    if (task.kind == TouchKind::corner) {
        const Point face{task.side_x * task.wall, task.side_y * task.wall},
            other{face.x - task.side_x * task.width, face.y - task.side_y * task.width};
        drawing.outline = rectangle({0, 0}, {-task.side_x * task.width * 1.3, -task.side_y * task.width * 1.3});
        drawing.ways = {rectangle(face, other)};
        drawing.marks = {{{(face.x + other.x) / 2, (face.y + other.y) / 2}, "start here"}};
        drawing.caption = "From above, Y away from you. Filled: the stock. Brown: the corner plate. Quartered circle: zero.";
    }
    if (dots) {
        const Box& b = dots->stock.bounds;
        if (dots->stock.outline == Outline::rectangle) drawing.outline = rectangle(b.lo, b.hi);
        if (task.kind == TouchKind::corner) drawing.marks.clear();
        drawing.marks.push_back(
            {dots->places.first, fmt::format("X{} Y{}", number_text(dots->places.first.x), number_text(dots->places.first.y))});
        drawing.marks.push_back(
            {dots->places.second, fmt::format("X{} Y{}", number_text(dots->places.second.x), number_text(dots->places.second.y))});
        drawing.caption = "From above, Y away from you. Filled: the stock. Red: the two dots. Quartered circle: zero.";
    }
    return drawing;
}

void put_warnings(const Zeroing& zeroing, Sheet& sheet) {
    if (zeroing.file.empty() || sheet.machine.zero_by != ZeroBy::g92) return;
    sheet.warnings.push_back(fmt::format(
        "The machine's file sets zero by G92. By RS-274/NGC the end of a program undoes G92: if the display does not show what step {} "
        "says, the zero was lost. Then type "
        "it in by hand while the bit stands there, or see whether the controller takes G10 L20 and say so in the machine's file (zero-by).",
        sheet.steps.size()));
}

std::vector<std::string> cautions_of(const Zeroing& zeroing, const Machine& machine, const std::optional<DrilledDots>& dots) {
    std::vector<std::string> cautions = still_cautions(machine);
    if (zeroing.task.kind != TouchKind::here) {
        cautions.insert(cautions.begin() + 1,
                        "Clip on the bit, lead on the plate, and the touch tested by hand before every run: without them the bit is driven "
                        "into plate and stock.");
        cautions.insert(cautions.begin() + 2,
                        "Take clip and plate off before the spindle gets power again: a clip that flies off hits harder than a chip.");
    }
    if (dots)
        for (const std::string& own : dots->cautions)
            if (!own.starts_with("Local codes") && std::find(cautions.begin(), cautions.end(), own) == cautions.end())
                cautions.push_back(own);
    return cautions;
}

Sheet sheet_of(const Order& order, const Zeroing& zeroing, const Machine& machine, const std::optional<DrilledDots>& dots) {
    const TouchTask& task = zeroing.task;
    Sheet sheet;
    sheet.command = "zero";
    sheet.kind = "The work zero, set";
    sheet.title = order.job.name.value_or(task.kind == TouchKind::plate    ? "Zero by a touch plate"
                                          : task.kind == TouchKind::corner ? "Zero by a corner plate"
                                                                           : "Zero by a slip of paper");
    sheet.version = BURIN_VERSION;
    sheet.machine = machine;
    sheet.times = false;
    sheet.facts = {{task.kind == TouchKind::here ? "Paper" : "Plate", fmt::format("{} mm", number_text(task.plate))},
                   {"Zero is set by", zeroing.file.empty() ? "hand" : to_string(machine.zero_by)}};
    if (task.kind == TouchKind::here)
        put_paper_steps(zeroing, sheet.steps);
    else
        put_plate_steps(zeroing, order.job.zero.value_or("lower-left"), sheet.steps);
    put_warnings(zeroing, sheet);
    if (dots) put_dot_steps(*dots, sheet.steps);
    sheet.cautions = cautions_of(zeroing, machine, dots);
    if (dots || task.kind == TouchKind::corner) sheet.drawing = drawing_of(zeroing, dots);
    if (zeroing.proof) {
        const TouchProof& proof = *zeroing.proof;
        sheet.facts.emplace_back("Time, at most", duration_text(proof.figures.time_s));
        sheet.programs.push_back({zeroing.file, task.kind == TouchKind::here ? "calls the bit's place zero" : "probes and sets zero"});
        sheet.measured.push_back(proof.figures);
        sheet.checks = proof.checks;
        sheet.figures = {{"zero_by", to_string(machine.zero_by)},
                         {"plate_mm", task.plate},
                         {"zero_error_mm", proof.zero_error},
                         {"zero_error_late_mm", proof.zero_error_late},
                         {"plates_tried", static_cast<double>(proof.plates)}};
        if (task.kind != TouchKind::here)
            sheet.assumed.push_back(fmt::format(
                "After the slow touch the machine runs on by v²/(2a), {:.4f} mm here; what it does after the fast one does not count.",
                proof.zero_error_late));
    }
    if (dots) {
        sheet.programs.push_back({dots->file, "drills two dots in the waste"});
        sheet.measured.push_back(dots->proof.programs.front());
        sheet.checks.insert(sheet.checks.end(), dots->proof.checks.begin(), dots->proof.checks.end());
        sheet.assumed.insert(sheet.assumed.end(), dots->assumed.begin(), dots->assumed.end());
    }
    sheet.unknown = {"Whether clip and lead make contact: test it by hand.",
                     "Chips, paint or anodising between bit and plate; a plate that does not lie flat; a bit that runs out of true.",
                     "How late the controller is in seeing the touch: try twice, and see whether Z comes out the same."};
    return sheet;
}

}  // namespace

Finished make_zero(const Order& order, const PresetFolders& presets, const Crew& crew) {
    const Machine machine = find_machine(presets, order.job.machine.value_or("desk-240x150"));
    if (!machine.spindle)
        throw Error(
            Fault::refused,
            fmt::format("'{}' has no bit to touch a plate or the stock with. Set the zero under the middle of its beam, with the pilot "
                        "light, as the job's own sheet says.",
                        machine.name));
    const Zeroing zeroing = zeroing_of(order, machine, presets);
    std::optional<DrilledDots> dots;
    if (order.run.datum_dots) dots = drill_dots(order, machine, presets, zeroing.file.empty() ? "1-dots.nc" : "2-dots.nc", crew);
    const Sheet sheet = sheet_of(order, zeroing, machine, dots);
    Finished finished;
    if (!zeroing.file.empty()) finished.files.push_back({zeroing.file, zeroing.text});
    if (dots) finished.files.push_back({dots->file, dots->text});
    finished.files.push_back({"report.html", sheet_html(sheet)});
    finished.files.push_back({"report.json", sheet_json(sheet)});
    finished.warnings = sheet.warnings;
    for (std::size_t k = 0; k < sheet.programs.size(); ++k)
        finished.summary.push_back(
            fmt::format("  {:<12} {}, {}", sheet.programs[k].file, sheet.programs[k].purpose, duration_text(sheet.measured[k].time_s)));
    if (zeroing.file.empty()) finished.summary.emplace_back("  zero is set by hand here, as the sheet says");
    if (order.run.output)
        finished.summary.push_back(fmt::format("Before you run anything, read {}", (fs::path(*order.run.output) / "report.html").string()));
    return finished;
}

}  // namespace burin
