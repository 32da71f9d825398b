/// Programs bent onto a measured top: points, surface, moves, text; then the proof on flat stock and on the measured one.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <filesystem>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/job/level.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/follow.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/respell.hpp"
#include "burin/proof/bent.hpp"
#include "burin/report/report.hpp"
#include "burin/report/sheet.hpp"
#include "burin/shape/smooth_surface.hpp"
#include "burin/workshop/probe_log.hpp"
#include "checked_parts.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t most_bytes = std::size_t{1} << 30;
constexpr double map_cell = 0.5, same_place = 0.01, far_off = 5;  // mm

/// The top as it was measured, work coordinates.
struct Measured {
    std::vector<MeasuredPoint> points;
    std::vector<std::string> remarks, warnings;
};

Point3 parse_zero_at(const std::string& text) {
    const std::vector<double> v = parse_numbers(text);
    if (v.size() != 3) throw Error(Fault::usage, fmt::format("--zero-at: '{}' is no place such as -120,-90,-30.5.", text));
    return {v[0], v[1], v[2]};
}

/// What is taken off the numbers of the log.
Point3 offset_of(const Order& order, const ProbeLog& log, const Machine& machine, Measured& measured) {
    const double plate = order.run.plate.value_or(0);
    Point3 zero;
    if (order.run.zero_at)
        zero = parse_zero_at(*order.run.zero_at);
    else if (log.reports && machine.stock_at)
        zero = {(*machine.stock_at)[0], (*machine.stock_at)[1], (*machine.stock_at)[2]};
    else if (log.reports)
        throw Error(
            Fault::usage,
            "The points are reports of the controller, which count from the machine's own zero. Say where the work zero lies on the "
            "machine, as the controller shows it: --zero-at X,Y,Z.");
    if (log.reports || order.run.zero_at)
        measured.remarks.push_back(fmt::format("The points count from the machine's own zero; the work zero lies at X {} Y {} Z {} of it.",
                                               number_text(zero.x), number_text(zero.y), number_text(zero.z)));
    if (plate > 0)
        measured.remarks.push_back(fmt::format("A plate of {} mm lay under the bit, and is taken off every height.", number_text(plate)));
    return {zero.x, zero.y, zero.z + plate};
}

/// Of touches at one place the last counts: it is the slower one.
void drop_earlier(Measured& measured) {
    std::vector<MeasuredPoint> kept;
    for (const MeasuredPoint& p : measured.points) {
        const auto twin =
            std::find_if(kept.begin(), kept.end(), [&](const MeasuredPoint& q) { return distance(flat(p.at), flat(q.at)) < same_place; });
        if (twin == kept.end())
            kept.push_back(p);
        else
            *twin = p;
    }
    if (kept.size() < measured.points.size())
        measured.remarks.push_back(
            fmt::format("{} places were touched more than once: the last touch counts.", measured.points.size() - kept.size()));
    measured.points = std::move(kept);
}

Measured measure(const Order& order, const Machine& machine, const Stock& stock) {
    if (!order.run.points) throw Error(Fault::usage, "Which points were measured was not said: add --points FILE.");
    const ProbeLog log = read_probe_log(read_text(*order.run.points, "file of measured points"));
    Measured measured;
    measured.points = log.points;
    const Point3 offset = offset_of(order, log, machine, measured);
    std::size_t beside = 0;
    for (MeasuredPoint& p : measured.points) {
        p.at = {p.at.x - offset.x, p.at.y - offset.y, p.at.z - offset.z};
        if (std::abs(p.at.z) > far_off)
            throw Error(
                Fault::refused,
                fmt::format("Line {} of the measured points lies {:.2f} mm {} the work zero. That is no uneven top: the heights count from "
                            "another zero (--zero-at), or a plate lay under the bit (--plate).",
                            p.line, std::abs(p.at.z), p.at.z < 0 ? "below" : "above"));
        if (!stock.holds(flat(p.at), 1)) ++beside;
    }
    if (beside > 0)
        measured.warnings.push_back(
            fmt::format("{} of {} measured places lie beside the stock: do they count from this zero?", beside, measured.points.size()));
    drop_earlier(measured);
    return measured;
}

SmoothSurface surface_of(Measured& measured) {
    std::vector<Point3> points;
    for (const MeasuredPoint& p : measured.points) points.push_back(p.at);
    SmoothSurface surface(points);
    // Told apart from what the surface does anyway: two and a half times the usual surprise (a slip moves those of its neighbours too), and
    // a tenth of a millimetre at least.
    std::vector<double> sizes;
    for (const double surprise : surface.surprises()) sizes.push_back(std::abs(surprise));
    std::nth_element(sizes.begin(), sizes.begin() + static_cast<std::ptrdiff_t>(sizes.size() / 2), sizes.end());
    const double limit = std::max(0.1, 2.5 * sizes[sizes.size() / 2]);
    for (std::size_t k = 0; k < points.size(); ++k) {
        const double surprise = surface.surprises()[k];
        if (std::abs(surprise) > limit)
            measured.warnings.push_back(fmt::format(
                "Line {} of the points, X {:.2f} Y {:.2f}, stands {:.2f} mm {} what its neighbours make one expect: a chip under the "
                "bit, or a slip? Measure it again, or take the line out.",
                measured.points[k].line, points[k].x, points[k].y, std::abs(surprise), surprise > 0 ? "above" : "below"));
    }
    return surface;
}

/// Programs as they were given, and what they become.
struct Bending {
    std::vector<CheckedFile> flat, bent;
    std::vector<ReadProgram> read;
    std::vector<double> plunges;  ///< the fastest that each goes down
};

double fastest_down(const Track& track) {
    double fastest = 0;
    Point3 from = track.start;
    for (const Move& move : track.moves) {
        const double length = distance(from, move.to);
        if (move.kind == MoveKind::feed && move.to.z < from.z && length > 0)
            fastest = std::max(fastest, static_cast<double>(move.feed) * (from.z - move.to.z) / length);
        from = move.to;
    }
    return fastest;
}

Bending read_programs(const Order& order, const Machine& machine) {
    Bending bending;
    for (const std::string& name : order.arguments) {
        const std::string file = fs::path(name).filename().string();
        for (const CheckedFile& other : bending.flat)
            if (other.name == file)
                throw Error(Fault::usage, fmt::format("Two of the programs are called '{}': the bent ones would be too.", file));
        bending.flat.push_back({file, read_text(name, "program", most_bytes)});
        bending.read.push_back(read_program(bending.flat.back().text, machine.dwell_in_milliseconds));
        const ReadProgram& read = bending.read.back();
        check_kind(bending.flat.back(), read);
        if (!read.faults.empty())
            throw Error(Fault::refused, fmt::format("'{}', line {} {} Such a program is not bent.", name, read.faults.front().line,
                                                    read.faults.front().what));
        bending.plunges.push_back(fastest_down(read.track));
    }
    return bending;
}

void bend_all(Bending& bending, const HeightMap& heights, const std::string& words, const Crew& crew) {
    bending.bent.resize(bending.flat.size());
    in_parallel(crew, static_cast<int>(bending.flat.size()), [&](int k) {
        const auto n = static_cast<std::size_t>(k);
        RespellWishes wishes;
        wishes.header = {words};
        wishes.stale = {"(Time ", "(Bent onto "};
        wishes.plunge = bending.plunges[n];
        bending.bent[n] = {bending.flat[n].name,
                           respell(bending.flat[n].text, bending.read[n], follow_top(bending.read[n].track, heights), wishes)};
    });
}

void demand(const Proof& proof, std::string_view which) {
    for (const Check& check : proof.checks)
        if (!check.ok)
            throw Error(Fault::refused,
                        fmt::format("{}: {}{} ({})", which, check.line > 0 ? fmt::format("{}, line {}: ", check.file, check.line) : "",
                                    check.detail, check.name));
}

struct Proved {
    Proof flat, bent;
    BentSeen seen;
    JobReport report;  ///< of the flat programs: only what is assumed counts
    double highest = 0;
};

Proved prove_both(const Bending& bending, const Order& order, const Workshop& shop, const Stock& stock, const HeightMap& heights,
                  const Crew& crew) {
    Proved proved;
    ProofTask task = task_for(bending.flat, shop.bits, order.job, shop.machine, shop.material, proved.report);
    task.stock = stock;
    task.read = {};
    proved.flat = prove(task, crew);
    demand(proved.flat, "As it is, on flat stock");
    proved.highest = -1e9;
    for (const float z : heights.values()) proved.highest = std::max(proved.highest, static_cast<double>(z));
    HeightMap uneven = heights;
    for (float& z : uneven.values()) z -= static_cast<float>(proved.highest);
    JobReport again;
    ProofTask bent = task_for(bending.bent, shop.bits, order.job, shop.machine, shop.material, again);
    bent.stock = stock;
    bent.read = {};
    bent.top = proved.highest, bent.uneven = &uneven;
    // The underside lies where it is: as far below the highest place of the top as the stock is thick there.
    bent.stock.thickness += std::max(0.0, proved.highest);
    double radius = 0;
    for (std::size_t k = 0; k < bent.programs.size(); ++k) {
        bent.programs[k].plunge = std::max(bent.programs[k].plunge, bending.plunges[k]);
        radius = std::max(radius, shop.bits[k].radius());
    }
    proved.bent = prove(bent, crew);
    demand(proved.bent, "Bent, on the measured top");
    proved.seen = compare_bent(
        {.flat = &proved.flat.surface, .bent = &proved.bent.surface, .top = &uneven, .bit_radius = radius, .task = &bent}, crew);
    const Check& check = proved.seen.check;
    if (!check.ok)
        throw Error(Fault::refused, fmt::format("{}{} ({})", check.line > 0 ? fmt::format("{}, line {}: ", check.file, check.line) : "",
                                                check.detail, check.name));
    return proved;
}

/// With its sign; what rounds to nothing has none.
std::string height_words(double z, int digits = 3) {
    const std::string words = fmt::format("{:+.{}f}", z, digits);
    return words.find_first_of("123456789") == std::string::npos ? words.substr(1) : words;
}

Sheet sheet_of(const Bending& bending, const Measured& measured, const SmoothSurface& surface, const Proved& proved, const Workshop& shop,
               const Stock& stock, const std::string& name) {
    Sheet sheet;
    sheet.command = "bend";
    sheet.kind = "Programs bent onto the measured top";
    sheet.title = name;
    sheet.version = BURIN_VERSION;
    sheet.machine = shop.machine;
    double time = 0;
    for (const ProgramFigures& figures : proved.bent.programs) time += figures.time_s;
    sheet.facts = {{"Time", duration_text(time)},
                   {"Measured", fmt::format("{} places", measured.points.size())},
                   {"Heights", fmt::format("{:.2f} to {:.2f} mm", surface.lowest(), surface.highest())},
                   {"Stock", stock_words(stock)}};
    sheet.warnings = measured.warnings;
    sheet.cautions = cautions_for(shop.machine, shop.material);
    sheet.steps = {{"The same zero.",
                    "These programs fit this stock, clamped as it was measured, and the work zero that was set then. If either has moved, "
                    "measure again."},
                   {"Wire off.", "Take the wire of the probe off the bit, and the plate away, before the spindle turns."},
                   {"Run them in their order.", "Otherwise all is as the sheet of the job says: bits, clamps, zero of Z for each bit."}};
    SheetDrawing drawing;
    drawing.outline = outline_of(stock);
    if (measured.points.size() <= 60)
        for (const MeasuredPoint& p : measured.points) drawing.marks.push_back({flat(p.at), height_words(p.at.z, 2)});
    drawing.caption = "From above, Y away from you. Filled: the stock. Circles: measured heights, mm. Quartered circle: zero.";
    sheet.drawing = drawing;
    for (std::size_t k = 0; k < bending.bent.size(); ++k)
        sheet.programs.push_back({bending.bent[k].name, fmt::format("with {}", shop.bits[k].name())});
    sheet.measured = proved.bent.programs;
    sheet.checks = proved.bent.checks;
    sheet.checks.push_back(proved.seen.check);
    SheetTable table{"Measured places", {"Line", "X", "Y", "Height", "Beside its neighbours"}, {}};
    for (std::size_t k = 0; k < measured.points.size() && k < 200; ++k)
        table.rows.push_back({fmt::format("{}", measured.points[k].line), fmt::format("{:.2f}", measured.points[k].at.x),
                              fmt::format("{:.2f}", measured.points[k].at.y), height_words(measured.points[k].at.z),
                              height_words(surface.surprises()[k])});
    sheet.tables.push_back(table);
    sheet.unknown = {"What the top does between the measured places.", "Whether the stock moves or gives while it is cut.",
                     "How the bit bends, backlash, lost steps."};
    sheet.assumed = measured.remarks;
    sheet.assumed.insert(sheet.assumed.end(), proved.report.assumed.begin(), proved.report.assumed.end());
    sheet.assumed.emplace_back("A smooth surface lies through the points (the one that bends least); beyond them it goes on level.");
    sheet.assumed.push_back(
        fmt::format("The bit stays upright: under the widest one the tilt of the top makes up to {:.3f} mm.", proved.seen.worst_tilt));
    sheet.figures = {{"points", static_cast<double>(measured.points.size())},
                     {"lowest_mm", surface.lowest()},
                     {"highest_mm", surface.highest()},
                     {"off_flat_mm", proved.seen.worst}};
    return sheet;
}

}  // namespace

Finished make_bend(const Order& order, const PresetFolders& presets, const Crew& crew) {
    Workshop shop;
    shop.machine = find_machine(presets, order.job.machine.value_or("desk-240x150"));
    shop.material = find_material(presets, order.job.material.value_or("pine"));
    crew.say("reading");
    Bending bending = read_programs(order, shop.machine);
    std::vector<std::string> remarks;
    shop.bits = bits_for(bending.flat, order.job.cuts.front(), presets, remarks);
    const Stock stock = stock_for(order.job, shop.machine, extent_of_programs(bending.read), remarks);
    Measured measured = measure(order, shop.machine, stock);
    measured.remarks.insert(measured.remarks.begin(), remarks.begin(), remarks.end());
    const SmoothSurface surface = surface_of(measured);
    crew.say("bending");
    Box box = stock.bounds;
    for (const ReadProgram& read : bending.read)
        for (const Move& move : read.track.moves) {
            box.lo = {std::min(box.lo.x, move.to.x), std::min(box.lo.y, move.to.y)};
            box.hi = {std::max(box.hi.x, move.to.x), std::max(box.hi.y, move.to.y)};
        }
    const HeightMap heights = sampled(surface, box, std::max(map_cell, std::sqrt(box.width() * box.height() / 1e6)), crew);
    bend_all(bending, heights, fmt::format("Bent onto a top of {:.2f} to {:.2f} mm", surface.lowest(), surface.highest()), crew);
    const Proved proved = prove_both(bending, order, shop, stock, heights, crew);
    const std::string name = order.job.name.value_or(fs::path(order.arguments.front()).stem().string());
    const Sheet sheet = sheet_of(bending, measured, surface, proved, shop, stock, name);
    Finished finished;
    for (CheckedFile& file : bending.bent) finished.files.push_back({file.name, std::move(file.text)});
    finished.files.push_back({"report.html", sheet_html(sheet)});
    finished.files.push_back({"report.json", sheet_json(sheet)});
    finished.warnings = measured.warnings;
    for (std::size_t k = 0; k < proved.bent.programs.size(); ++k)
        finished.summary.push_back(fmt::format("  {:<20} {:>9} lines  {:>12}", proved.bent.programs[k].file, proved.bent.programs[k].lines,
                                               duration_text(proved.bent.programs[k].time_s)));
    finished.summary.insert(finished.summary.begin(),
                            fmt::format("Bent onto {} measured places, {:.2f} to {:.2f} mm; within {:.3f} mm of the flat work.",
                                        measured.points.size(), surface.lowest(), surface.highest(), proved.seen.worst));
    finished.summary.push_back(fmt::format("Before you run them, read {}", (fs::path(*order.run.output) / "report.html").string()));
    return finished;
}

}  // namespace burin
