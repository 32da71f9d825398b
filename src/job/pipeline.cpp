/// From a proved job to its files. The kinds of job differ in how they come to programs; what goes to the person is alike.
#include "pipeline.hpp"

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/report/piece_pictures.hpp"
#include "fmt/format.h"
#include "place.hpp"

namespace burin {
namespace {

/// The preview first, for its light takes many pictures at once; the others beside each other.
std::vector<OutputFile> result_files(const JobReport& report, const Job& written, Programs&& programs, const Crew& crew) {
    std::string html, surface, paths, json;
    crew.say("report");
    std::string preview =
        preview_png(report.proof.surface, report.stock, report.material, crew, report.figure ? report.figure->fill : std::nullopt);
    const std::string shown =
        on_piece(report.proof.surface, report.stock, report.material, crew, report.figure ? report.figure->fill : std::nullopt);
    in_parallel(crew, 4, [&](int part) {
        if (part == 0) {
            std::vector<Track> tracks;
            for (const Program& program : programs.each)
                tracks.push_back(read_program(program.written.text, report.machine.dwell_in_milliseconds).track);
            paths = paths_svg(report, tracks);
        }
        if (part == 1) html = report_html(report, preview, crew, shown);
        if (part == 2) surface = surface_png(report.proof.surface);
        if (part == 3) json = report_json(report);
    });
    std::vector<OutputFile> files = files_of(std::move(programs));
    if (!shown.empty()) files.push_back({"on-the-piece.png", shown});
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

std::string on_piece(const HeightMap& surface, const Stock& stock, const Material& material, const Crew& crew,
                     const std::optional<std::array<double, 3>>& fill, const Grid<float>* burnt) {
    if (!stock.piece || stock.piece->photo.empty()) return "";
    const std::string& file = stock.piece->photo;
    return on_piece_png(surface, stock, read_picture(read_file(file, "photo of the piece"), file), material, crew, fill, burnt);
}

Box trial_piece(const SettledJob& job, const Box& box, const Box& demanding) {
    const Point size = *job.trial;
    for (const SettledBit& bit : job.bits)
        if (bit.bit.diameter() > std::min(size.x, size.y))
            throw Error(Fault::refused, fmt::format("The bit '{}' is wider than the trial piece of {} × {} mm. Give a larger --trial.",
                                                    bit.bit.name(), number_text(size.x), number_text(size.y)));
    Box piece = demanding;
    if (job.trial_at) {
        if (!box.holds(*job.trial_at))
            throw Error(Fault::refused,
                        fmt::format("--trial-at lies beside the design, which reaches from X{:.2f} Y{:.2f} to X{:.2f} Y{:.2f}.", box.lo.x,
                                    box.lo.y, box.hi.x, box.hi.y));
        piece = {{job.trial_at->x - size.x / 2, job.trial_at->y - size.y / 2},
                 {job.trial_at->x + size.x / 2, job.trial_at->y + size.y / 2}};
        piece = {{std::max(piece.lo.x, box.lo.x), std::max(piece.lo.y, box.lo.y)},
                 {std::min(piece.hi.x, box.hi.x), std::min(piece.hi.y, box.hi.y)}};
    }
    return piece;
}

void become_trial(SettledJob& job, const Box& piece, const Point& size) {
    const double margin = 10;
    const Stock scrap = make_stock(Outline::rectangle, size.x + margin, size.y + margin, job.stock.thickness, job.stock.zero);
    job.trial_words = fmt::format(
        "The piece of {:.1f} × {:.1f} mm whose centre lies at X{:.1f} Y{:.1f} of the whole design, to be cut "
        "on scrap of {:.1f} × {:.1f} mm first.",
        piece.width(), piece.height(), piece.centre().x, piece.centre().y, scrap.bounds.width(), scrap.bounds.height());
    if (!job.stock.keep_outs.empty())
        job.warnings.push_back(
            "The keep-outs of the whole job are not looked at in the trial: scrap is clamped otherwise. See that the bit and its holder "
            "miss "
            "its clamps.");
    job.stock = scrap;
    job.at = scrap.bounds.centre();
    job.name += " (trial)";
}

JobReport report_of(ProvedCut&& cut, const Picture* picture, const Programs& programs) {
    const SettledJob& job = cut.job;
    Proof& proof = cut.proof;
    JobReport report;
    report.name = job.name;
    report.version = BURIN_VERSION;
    report.command = job.make;
    report.machine = job.machine;
    report.material = job.material;
    report.stock = job.stock;
    report.trial = job.trial_words;
    report.zero = to_string(job.stock.zero);
    report.depth = job.depth;
    report.lift = job.lift;
    report.cell = proof.surface.cell();
    report.design_box = cut.box;
    report.picture = picture;
    report.picture_name = job.picture_name;
    report.assumed = job.assumed;
    report.warnings = job.warnings;
    if (picture) append(report.assumed, picture->notes);
    std::vector<bool> busy(job.bits.size(), false);
    double widest = 0;
    for (const Program& program : programs.each) {
        const SettledBit& bit = job.bits[program.bit];
        busy[program.bit] = true;
        widest = std::max(widest, bit.bit.radius());
        report.programs.push_back({.file = program.file,
                                   .bit = bit.bit,
                                   .feeds = bit.feeds,
                                   .allowance = program.finishing ? 0 : job.allowance,
                                   .purpose = program.purpose});
    }
    for (std::size_t k = 0; k < busy.size(); ++k)
        if (!busy[k])
            report.idle_bits.push_back(fmt::format("The bit '{}' found nothing to do and has no program.", job.bits[k].bit.name()));
    report.touch.spoilboard_z = -job.stock.thickness;
    if (proof.surface.width() > 0) report.touch.spot = touch_spot(proof.surface, job.stock, cut.box, widest + 0.5);
    // Uneven stock shifts the whole relief up or down; a tenth of its depth is hardly seen, and beyond 0.3 mm edges show.
    report.flatness_mm = std::clamp(std::round(job.depth * 10) / 100, 0.05, 0.3);
    if (cut.figure && cut.figure->design.board) report.flatness_mm = job.depth - cut.figure->design.board->layer;
    report.cautions = cautions_for(job.machine, job.material);
    for (const ProgramFigures& figures : proof.programs) report.time_s += figures.time_s;
    report.unreached = std::move(cut.unreached);
    report.figure = std::move(cut.figure);
    report.face = cut.face;
    if (report.face) report.flatness_mm = 0;  // that is what it is for
    report.proof = std::move(proof);
    return report;
}

Finished finished_of(const JobReport& report, const Job& written, Programs&& programs, const Crew& crew) {
    Finished finished;
    finished.files = result_files(report, written, std::move(programs), crew);
    finished.summary = summary_of(report);
    finished.warnings = report.warnings;
    crew.check();
    return finished;
}

std::vector<ReliefBit> planned_bits(const SettledJob& job) {
    std::vector<ReliefBit> bits;
    for (const SettledBit& bit : job.bits) bits.push_back({bit.bit, bit.feeds.feed, bit.feeds.plunge, bit.feeds.depth_per_pass});
    return bits;
}

}  // namespace burin
