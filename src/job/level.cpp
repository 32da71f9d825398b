/// Measuring the top of a stock: places are laid over it, written as probes, proved, and told of on a sheet.
#include "burin/job/level.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/zeroing.hpp"
#include "burin/proof/grid_touch.hpp"
#include "burin/report/sheet.hpp"
#include "burin/workshop/probe_places.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;

constexpr const char* level_file = "1-level.nc";
constexpr double room = 1;  // mm over the highest top that is looked for

std::vector<ZeroStep> steps_for(const GridTouchTask& task, bool stops) {
    std::vector<ZeroStep> steps;
    const auto put = [&](ZeroStep::Kind kind, std::array<std::optional<double>, 3> at, double feed = 0) {
        ZeroStep step;
        step.kind = kind, step.at = at, step.feed = feed;
        steps.push_back(step);
    };
    put(ZeroStep::Kind::rapid, {std::nullopt, std::nullopt, task.safe_z});
    for (std::size_t k = 0; k < task.places.size(); ++k) {
        const Point& p = task.places[k];
        put(ZeroStep::Kind::rapid, {p.x, p.y, std::nullopt});
        put(ZeroStep::Kind::probe, {std::nullopt, std::nullopt, task.lowest}, task.probe_feed);
        if (stops) {
            ZeroStep pause;
            pause.kind = ZeroStep::Kind::pause;
            pause.message = fmt::format("Place {} of {}: write down X Y Z", k + 1, task.places.size());
            steps.push_back(pause);
        }
        put(ZeroStep::Kind::rapid, {std::nullopt, std::nullopt, task.safe_z});
    }
    return steps;
}

GridTouchTask task_of(const Order& order, const Machine& machine) {
    if (!order.job.stock) throw Error(Fault::usage, "Which stock is to be measured was not said: give its size, as in --stock 100x80x12.");
    if (!machine.spindle)
        throw Error(Fault::refused,
                    fmt::format("'{}' has no spindle, and the top is felt with a bit. A beam needs its focus only.", machine.name));
    const RunOptions& run = order.run;
    const StockSize size = parse_stock(*order.job.stock);
    GridTouchTask task;
    task.file = level_file;
    task.machine = machine;
    task.stock = stock_of(size, order.job.zero.value_or(usual_zero(size)));
    task.stock.keep_outs = keep_outs_of(order.job.keep_outs, machine);
    task.places = probe_places(task.stock, run.apart.value_or(15), run.inset.value_or(3));
    const double reach = run.reach.value_or(1.5), plate = run.plate.value_or(0);
    task.highest = plate + reach, task.lowest = plate - reach;
    task.safe_z = order.job.safe_height.value_or(task.highest + room);
    if (task.safe_z < task.highest + 0.2)
        throw Error(Fault::usage, fmt::format("--safe-height {} is too low: the top may lie at Z {} where it is touched. Give at least {}.",
                                              number_text(task.safe_z), number_text(task.highest), number_text(task.highest + 0.2)));
    task.probe_feed = run.probe_feed.value_or(60);
    return task;
}

std::vector<SheetStep> sheet_steps(const GridTouchTask& task, const RunOptions& run, const Machine& machine) {
    std::vector<SheetStep> steps{
        {"Spindle off.", "Unplug it or switch it off at its own switch. The bit is a feeler now."},
        {"Zero.", "Set the work zero on the stock's top, and do not touch it again until the bent programs have run."},
        {"Wire.", run.plate
                      ? fmt::format("The stock does not conduct, so a plate of {} mm goes under the bit at every place: lay it there while "
                                    "the bit travels, and keep your fingers out from under the bit.",
                                    number_text(*run.plate))
                      : std::string("Clip one wire of the probe to the bit and one to the stock, which must conduct (copper, brass, "
                                    "aluminium). For wood take --plate.")},
        {"Try it.",
         "Touch plate or stock to the bit by hand first: the controller must show the touch. If it does not, it would drive the bit in."},
        {"Keep the answers.",
         run.stop_at_places ? std::string("The program waits after each touch: write down X, Y and Z that the controller shows.")
                            : std::string("Switch on the log of the program that you send with. After each touch the controller answers "
                                          "with the place in brackets; save all it says in a file.")},
        {fmt::format("Run {}.", level_file), fmt::format("{} places. One that is not touched stops it with an alarm: there the top lies "
                                                         "deeper than Z {}; ask for a larger --reach then.",
                                                         task.places.size(), number_text(task.lowest))},
        {"Bend.", fmt::format("burin bend 1-rough.nc 2-finish.nc --points FILE{}{} -o FOLDER",
                              run.plate ? " --plate " + number_text(*run.plate) : "",
                              machine.stock_at || run.stop_at_places ? "" : " --zero-at X,Y,Z")}};
    if (!machine.stock_at && !run.stop_at_places)
        steps.back().text +=
            ". The answers count from the machine's own zero: X,Y,Z is where the controller shows the work zero to lie on "
            "the machine; note it now.";
    return steps;
}

Sheet sheet_of(const GridTouchTask& task, const GridTouchProof& proof, const Order& order, const std::string& name) {
    Sheet sheet;
    sheet.command = "level";
    sheet.kind = "The top of the stock, measured";
    sheet.title = name;
    sheet.version = BURIN_VERSION;
    sheet.machine = task.machine;
    sheet.facts = {{"Places", fmt::format("{}", task.places.size())},
                   {"Time", "at most " + duration_text(proof.figures.time_s)},
                   {"Looked for", fmt::format("Z {} to {}", number_text(task.lowest), number_text(task.highest))},
                   {"Stock", stock_words(task.stock)}};
    sheet.cautions = still_cautions(task.machine);
    sheet.cautions.insert(sheet.cautions.begin(),
                          "A bit that is not felt is driven into the stock: try the wire by hand before you start.");
    sheet.steps = sheet_steps(task, order.run, task.machine);
    SheetDrawing drawing;
    drawing.outline = outline_of(task.stock);
    drawing.walks = {task.places};
    for (const std::size_t k : {std::size_t{0}, task.places.size() - 1})
        drawing.marks.push_back({task.places[k], k == 0 ? "first" : fmt::format("last, {}", task.places.size())});
    drawing.caption = "From above, Y away from you. Filled: the stock. Dashed: from place to place. Quartered circle: zero.";
    sheet.drawing = drawing;
    SheetTable table{"Places in their order", {"", "X", "Y"}, {}};
    for (std::size_t k = 0; k < task.places.size() && order.run.stop_at_places; ++k)
        table.rows.push_back({fmt::format("{}", k + 1), number_text(task.places[k].x), number_text(task.places[k].y)});
    if (!table.rows.empty()) sheet.tables.push_back(table);
    sheet.programs = {{level_file, fmt::format("touches {} places", task.places.size())}};
    sheet.measured = {proof.figures};
    sheet.checks = proof.checks;
    sheet.unknown = {"Whether the probe is wired: the touch is the controller's.", "Clamps and screws in the way of the bit.",
                     "What stands between two places: a bump smaller than their distance is not felt."};
    sheet.figures = {{"places", static_cast<double>(task.places.size())}, {"lowest_mm", task.lowest}, {"highest_mm", task.highest}};
    return sheet;
}

}  // namespace

Finished make_level(const Order& order, const PresetFolders& presets, const Crew& crew) {
    const Machine machine = find_machine(presets, order.job.machine.value_or("desk-240x150"));
    GridTouchTask task = task_of(order, machine);
    const std::string name = order.job.name.value_or("Top of " + stock_words(task.stock));
    crew.say("planning");
    const ZeroStyle style{
        machine.zero_by,
        {name, "Spindle off: the bit is a feeler", fmt::format("{} places, down to Z {}", task.places.size(), number_text(task.lowest))}};
    const std::string text = write_zeroing(steps_for(task, order.run.stop_at_places.value_or(false)), style);
    task.text = text;
    crew.say("proof");
    const GridTouchProof proof = prove_grid_touch(task);
    for (const Check& check : proof.checks)
        if (!check.ok) throw Error(Fault::refused, fmt::format("{} ({}, line {})", check.detail, check.name, check.line));
    const Sheet sheet = sheet_of(task, proof, order, name);
    Finished finished;
    finished.files = {{level_file, text}, {"report.html", sheet_html(sheet)}, {"report.json", sheet_json(sheet)}};
    finished.summary.push_back(fmt::format("{}: {} places are touched, at most {} on the machine.", level_file, task.places.size(),
                                           duration_text(proof.figures.time_s)));
    finished.summary.push_back(fmt::format("Before you run it, read {}", (fs::path(*order.run.output) / "report.html").string()));
    return finished;
}

}  // namespace burin
