/// The pipeline: picture → heights → design on the stock → toolpaths → programs → proof → report. It decides the order and
/// the retries; every step's work is done in its own room.
#include "burin/job/run.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "burin/proof/proof.hpp"
#include "burin/report/report.hpp"
#include "burin/toolpath/relief.hpp"
#include "fmt/format.h"
#include "place.hpp"
#include "programs.hpp"
#include "reckoned.hpp"
#include "settle.hpp"

namespace burin {
namespace {

/// The design on its stock, as it is to be cut.
struct Placed {
    HeightMap design;  ///< over the whole stock
    Box box;           ///< of the picture
};

/// Gives up the memory of a value at the end of its use. A large job's grids, moves and texts take tens of megabytes each, and
/// what the whole job may hold at once is promised.
template <class T>
void drop(T& value) {
    value = T();
}

/// No cell of the design may be cut where a round stock has none.
void check_on_round(const Placed& placed, const Stock& stock) {
    if (stock.outline != Outline::round) return;
    for (int j = 0; j < placed.design.height(); ++j)
        for (int i = 0; i < placed.design.width(); ++i)
            if (placed.design(i, j) < 0 && !stock.holds(placed.design.centre(i, j), 0.05))
                throw Error(
                    Fault::refused,
                    fmt::format("The design is larger than the round stock: at X{:.1f} Y{:.1f} it would cut beside it. Give a smaller "
                                "--width or a larger --stock, or a picture whose corners are transparent.",
                                placed.design.centre(i, j).x, placed.design.centre(i, j).y));
}

/// The trial piece in place of the whole: a stock of its own, the same margin, thickness and kind of zero.
void reduce_to_trial(Placed& placed, SettledRelief& relief) {
    const Point size = *relief.trial;
    for (const SettledBit& bit : relief.bits)
        if (bit.bit.diameter() > std::min(size.x, size.y))
            throw Error(Fault::refused, fmt::format("The bit '{}' is wider than the trial piece of {} × {} mm. Give a larger --trial.",
                                                    bit.bit.name(), number_text(size.x), number_text(size.y)));
    Box piece = demanding_piece(placed.design, placed.box, size.x, size.y);
    if (relief.trial_at) {
        if (!placed.box.holds(*relief.trial_at))
            throw Error(Fault::refused,
                        fmt::format("--trial-at lies beside the design, which reaches from X{:.2f} Y{:.2f} to X{:.2f} Y{:.2f}.",
                                    placed.box.lo.x, placed.box.lo.y, placed.box.hi.x, placed.box.hi.y));
        piece = {{relief.trial_at->x - size.x / 2, relief.trial_at->y - size.y / 2},
                 {relief.trial_at->x + size.x / 2, relief.trial_at->y + size.y / 2}};
        piece = {{std::max(piece.lo.x, placed.box.lo.x), std::max(piece.lo.y, placed.box.lo.y)},
                 {std::min(piece.hi.x, placed.box.hi.x), std::min(piece.hi.y, placed.box.hi.y)}};
    }
    const HeightMap heights = cut_out(placed.design, piece, 0);
    if (std::all_of(heights.values().begin(), heights.values().end(), [](float z) { return z >= 0; }))
        throw Error(Fault::refused, "In the trial piece there is nothing to cut. Give another place with --trial-at.");
    const double margin = 10;
    const Stock scrap = make_stock(Outline::rectangle, heights.width() * heights.cell() + margin,
                                   heights.height() * heights.cell() + margin, relief.stock.thickness, relief.stock.zero);
    relief.trial_words = fmt::format(
        "The piece of {:.1f} × {:.1f} mm whose centre lies at X{:.1f} Y{:.1f} of the whole design, to be cut "
        "on scrap of {:.1f} × {:.1f} mm first.",
        piece.width(), piece.height(), piece.centre().x, piece.centre().y, scrap.bounds.width(), scrap.bounds.height());
    relief.stock = scrap;
    relief.at = scrap.bounds.centre();
    relief.name += " (trial)";
    placed.design = on_stock(heights, relief.at, scrap);
    placed.box = design_box(heights, relief.at);
}

ReliefOrder order_of(const SettledRelief& relief) {
    ReliefOrder order;
    for (const SettledBit& bit : relief.bits) order.bits.push_back({bit.bit, bit.feeds.feed, bit.feeds.plunge, bit.feeds.depth_per_pass});
    order.allowance = relief.allowance;
    order.stepover = relief.stepover;
    order.scallop = relief.scallop;
    order.angle = relief.angle_deg * std::numbers::pi / 180;
    order.one_way = relief.one_way;
    order.safe_height = relief.safe_height;
    order.tolerance = relief.tolerance;
    return order;
}

/// Planned, written and proved.
struct Proved {
    std::vector<std::string> notes;
    Programs programs;
    Proof proof;
};

/// Whether a promise is broken as a bit breaks it that cannot go straight down.
bool pits_may_be_why(const Proof& proof) {
    return std::any_of(proof.checks.begin(), proof.checks.end(),
                       [](const Check& check) { return !check.ok && (check.name == "no crash" || check.name == "nothing left standing"); });
}

/// `placed.design` is put away while toolpaths are planned, which takes the most memory, and laid back for the proof.
Proved plan_until_proved(const SettledRelief& relief, Placed& placed, const Crew& crew) {
    double widest = 0;
    for (const SettledBit& bit : relief.bits) widest = std::max(widest, bit.bit.radius());
    const double margin = widest + 2 * placed.design.cell();
    const StockCells whole = cells_of(placed.design);
    ReliefOrder order = order_of(relief);
    Proved proved;
    for (int attempt = 0;; ++attempt) {
        crew.say("toolpaths");
        HeightMap ground = cut_out(placed.design, placed.box, margin);
        drop(placed.design);
        drop(proved);
        ReliefPlan plan = plan_relief(ground, order, crew);
        if (plan.paths.empty())
            throw Error(Fault::refused, "There is nothing to cut: the bits find no place to go down. Check the picture and --depth.");
        crew.say("programs");
        proved.notes = std::move(plan.notes);
        proved.programs = write_programs(relief, std::move(plan.paths), crew);
        crew.say("proof");
        placed.design = laid_back(ground, whole);
        drop(ground);
        proved.proof = proof_of(relief, placed.design, proved.programs, crew);
        const Broken broken = broken_promises(proved.proof);
        if (attempt == 3 || !broken.can_be_mended()) break;
        if (broken.too_much_at_once) order.take -= 0.15;
        if (!broken.left_standing) continue;
        order.seen = cut_out(proved.proof.surface, placed.box, margin);
        if (attempt == 0) continue;  // mostly the plan had not foreseen what stands; else closer lines help
        order.stepover *= 0.6;
        order.scallop = scallop_of(order.bits.back().bit, order.stepover);
    }
    if (order.stepover < relief.stepover)
        proved.notes.push_back(fmt::format(
            "Finishing lines were laid closer than {} mm, {:.3f} mm apart: this design's slopes would have kept more than is promised.",
            number_text(relief.stepover), order.stepover));
    if (!proved.proof.holds) {
        std::string why = refusal(proved.proof);
        if (placed.design.cell() > 0.1)
            why += fmt::format("\n  Cells of {} mm are too coarse for this design: leave --cell out.", number_text(placed.design.cell()));
        const Bit& finishing = relief.bits.back().bit;
        if (!finishing.spec().centre_cutting && pits_may_be_why(proved.proof))
            why += fmt::format(
                "\n  The bit '{}' does not cut at its centre and cannot go straight down into closed pits. Take a centre-cutting bit to "
                "finish with, or smooth such pits away (--smooth).",
                finishing.name());
        throw Error(Fault::refused, why);
    }
    return proved;
}

JobReport report_of(const SettledRelief& relief, const Placed& placed, const Picture& picture, const DesignHeights& heights,
                    Proved& proved) {
    JobReport report;
    report.name = relief.name;
    report.version = BURIN_VERSION;
    report.command = "relief";
    report.machine = relief.machine;
    report.material = relief.material;
    report.stock = relief.stock;
    report.trial = relief.trial_words;
    report.zero = to_string(relief.stock.zero);
    report.depth = relief.heights.depth;
    report.lift = relief.lift;
    report.cell = proved.proof.surface.cell();
    report.design_box = placed.box;
    report.picture = &picture;
    report.picture_name = relief.picture_name;
    report.assumed = relief.assumed;
    report.warnings = relief.warnings;
    report.assumed.insert(report.assumed.end(), picture.notes.begin(), picture.notes.end());
    report.assumed.insert(report.assumed.end(), heights.notes.begin(), heights.notes.end());
    report.warnings.insert(report.warnings.end(), heights.warnings.begin(), heights.warnings.end());
    report.assumed.insert(report.assumed.end(), proved.notes.begin(), proved.notes.end());
    std::vector<bool> busy(relief.bits.size(), false);
    double widest = 0;
    for (const Program& program : proved.programs.each) {
        const SettledBit& bit = relief.bits[program.bit];
        busy[program.bit] = true;
        widest = std::max(widest, bit.bit.radius());
        report.programs.push_back({.file = program.file,
                                   .bit = bit.bit,
                                   .feeds = bit.feeds,
                                   .allowance = program.finishing ? 0 : relief.allowance,
                                   .purpose = program.purpose});
    }
    for (std::size_t k = 0; k < busy.size(); ++k)
        if (!busy[k])
            report.idle_bits.push_back(fmt::format("The bit '{}' found nothing to do and has no program.", relief.bits[k].bit.name()));
    report.touch.spoilboard_z = -relief.stock.thickness;
    report.touch.spot = touch_spot(proved.proof.surface, relief.stock, placed.box, widest + 0.5);
    // Uneven stock shifts the whole relief up or down; a tenth of its depth is hardly seen, and beyond 0.3 mm edges show.
    report.flatness_mm = std::clamp(std::round(relief.heights.depth * 10) / 100, 0.05, 0.3);
    report.cautions = cautions_for(relief.machine, relief.material);
    for (const ProgramFigures& figures : proved.proof.programs) report.time_s += figures.time_s;
    report.proof = std::move(proved.proof);
    return report;
}

/// The preview first, for its light takes many pictures at once; the others beside each other.
std::vector<OutputFile> result_files(const JobReport& report, const Job& written, Programs&& programs, const Crew& crew) {
    std::string html, surface, paths, json;
    crew.say("report");
    std::string preview = preview_png(report.proof.surface, report.stock, report.material, crew);
    in_parallel(crew, 4, [&](int part) {
        if (part == 0) {
            std::vector<Track> tracks;
            for (const Program& program : programs.each)
                tracks.push_back(read_program(program.written.text, report.machine.dwell_in_milliseconds).track);
            paths = paths_svg(report, tracks);
        }
        if (part == 1) html = report_html(report, preview, crew);
        if (part == 2) surface = surface_png(report.proof.surface);
        if (part == 3) json = report_json(report);
    });
    std::vector<OutputFile> files = files_of(std::move(programs));
    files.push_back({"job.toml", write_job(written)});
    files.push_back({"report.html", std::move(html)});
    files.push_back({"preview.png", std::move(preview)});
    files.push_back({"surface.png", std::move(surface)});
    files.push_back({"paths.svg", std::move(paths)});
    files.push_back({"report.json", std::move(json)});
    return files;
}

std::vector<std::string> summary_of(const JobReport& report) {
    std::vector<std::string> lines{fmt::format("{}: proved; {} of cutting.", report.name, duration_text(report.time_s))};
    for (std::size_t k = 0; k < report.programs.size(); ++k)
        lines.push_back(fmt::format("  {:<14} {:<20} {}", report.programs[k].file, report.programs[k].bit.name(),
                                    duration_text(report.proof.programs[k].time_s)));
    return lines;
}

}  // namespace

void check_inputs_survive(const Job& job, const std::filesystem::path& job_file, const std::filesystem::path& folder) {
    namespace fs = std::filesystem;
    const auto same = [&](const fs::path& input, const char* result) {
        std::error_code error;
        return fs::equivalent(input, folder / result, error) && !error;
    };
    for (const Cut& cut : job.cuts)
        for (const char* result : {"preview.png", "surface.png", "paths.svg", "job.toml", "report.html", "report.json"})
            if (cut.picture && same(*cut.picture, result))
                throw Error(Fault::output,
                            fmt::format("The picture '{}' would be replaced by a result of the same name. Give another folder with -o.",
                                        *cut.picture));
    if (!job_file.empty() && same(job_file, "job.toml") && !read_text(job_file, "job file").starts_with(job_file_mark))
        throw Error(
            Fault::output,
            fmt::format(
                "Your job file '{}' would be replaced by the one that goes with the results. Give another folder with -o, or rename it.",
                job_file.string()));
}

Finished run_job(const Job& whole, const PresetFolders& presets, const Crew& crew) {
    const Job job = as_given(whole);
    if (job.cuts.size() != 1)
        throw Error(
            Fault::usage,
            fmt::format(
                "The job has {} cuts, and one relief is what can be made at once. Keep one [[cut]] and make the others by themselves.",
                job.cuts.size()));
    const Cut& cut = job.cuts.front();
    const Workshop workshop = find_workshop(job, presets);
    if (!cut.picture) throw Error(Fault::usage, "No picture was given.");
    if (!is_utf8(*cut.picture))
        throw Error(Fault::input,
                    "The picture's name holds bytes that are no letters (no UTF-8), which the job file could not say. Rename it.");
    if (job.trial_at && !job.trial)
        throw Error(Fault::usage, "--trial-at says where a trial piece lies, and none was asked for: add --trial, as in --trial 20x20.");
    crew.say("picture");
    Bytes bytes = read_file(*cut.picture, "picture");
    const std::string digest = sha256({reinterpret_cast<const char*>(bytes.data()), bytes.size()});
    if (cut.sha256 && *cut.sha256 != digest)
        throw Error(Fault::input, fmt::format("The picture '{}' is not the one that the job was made with: its SHA-256 differs. Put the "
                                              "old picture there, or take the line sha256 out of the job file.",
                                              *cut.picture));
    const Picture picture = read_picture(bytes, *cut.picture, {cut.megapixels.value_or(PictureLimits{}.most_megapixels)});
    drop(bytes);

    SettledRelief relief = settle_relief(job, workshop, picture, digest);
    crew.say("heights");
    DesignHeights heights = make_heights(picture, relief.heights, crew);
    Placed placed;
    {
        const HeightMap design = turned(heights.heights, relief.rotate_deg, relief.mirror, crew);
        drop(heights.heights);
        placed = {on_stock(design, relief.at, relief.stock), design_box(design, relief.at)};
    }
    check_on_round(placed, relief.stock);
    if (relief.trial) reduce_to_trial(placed, relief);
    Proved proved = plan_until_proved(relief, placed, crew);
    const Unreached left = unreached(placed.design, proved.proof.reach, crew);
    drop(placed.design);
    drop(proved.proof.reach);
    settle_release(relief, proved.programs, proved.proof, crew);
    JobReport report = report_of(relief, placed, picture, heights, proved);
    report.unreached = left;
    Finished finished;
    finished.files = result_files(report, relief.written, std::move(proved.programs), crew);
    finished.summary = summary_of(report);
    finished.warnings = report.warnings;
    crew.check();
    return finished;
}

}  // namespace burin
