/// A job that burns: source → settled → rows or lines → a border run and the burning → proof → report.
#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/report/burn_report.hpp"
#include "burin/report/report.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

/// What is written and released.
struct BurnPrograms {
    WrittenProgram border, burn;
};
std::string border_file(const SettledJob& job) { return job.side + "1-border.nc"; }
std::string burn_file(const SettledJob& job) { return job.side + "2-burn.nc"; }

std::vector<std::string> header_of(const SettledBurn& burn, bool border, double seconds) {
    const SettledJob& job = burn.job;
    std::vector<std::string> lines{job.name};
    if (border)
        lines.push_back(burn.pilot_s > 0 ? fmt::format("Program 1 of 2: border run at pilot power S{}", number_text(burn.pilot_s))
                                         : "Program 1 of 2: border run, the beam dark");
    else
        lines.emplace_back("Program 2 of 2: burning");
    lines.push_back(fmt::format("Laser {} W, spot {} mm, S{} is full power", number_text(burn.laser.power_w),
                                number_text(burn.laser.spot_mm), number_text(burn.laser.scale)));
    if (burn.coating) lines.emplace_back("COATED COPPER ALONE. BARE FR-4 IS POISON WHEN BURNT: STOP");
    lines.emplace_back("EYEWEAR FOR ITS WAVELENGTH, ENCLOSURE SHUT, NEVER UNATTENDED");
    lines.push_back(fmt::format("Zero: {} of the stock, focus on its top", to_string(job.stock.zero)));
    lines.push_back(stock_line(job));
    lines.push_back(fmt::format("Time about {}", duration_text(std::ceil(seconds / 60) * 60)));
    if (border) lines.push_back(fmt::format("Then {}", burn_file(job)));
    return lines;
}

WrittenProgram written(const SettledBurn& burn, const Toolpath& path, bool border) {
    const SettledJob& job = burn.job;
    ProgramStyle style;
    style.tool = ToolKind::beam;
    style.inch = job.inch;
    style.dwell_in_milliseconds = job.machine.dwell_in_milliseconds;
    style.scaled = border ? burn.laser.scales_with_speed : burn.scaled;
    style.air = burn.air && !border;
    style.focus_steps = !border && burn.passes > 1 && burn.focus_step > 0;
    style.safe_z = job.safe_height;
    style.header = header_of(burn, border, reckon_time(path.track, job.machine).total_s);
    return write_program(path, style);
}

BeamProof proof_of(const SettledBurn& burn, const BurnPlan& plan, const BurnPrograms& programs, const Crew& crew) {
    BeamTask task;
    task.machine = burn.job.machine;
    task.stock = burn.job.stock;
    task.programs = {{border_file(burn.job), programs.border.text, programs.border.pass_lines, true},
                     {burn_file(burn.job), programs.burn.text, programs.burn.pass_lines, false}};
    if (plan.exposure) task.exposure = &*plan.exposure;
    task.figures = plan.figures;
    if (plan.coating)
        task.board =
            BeamBoard{plan.coating->board, burn.coating->mask, burn.passes, exposure_of(burn.tone, burn.tone.most_s) * burn.tone.spacing};
    task.blur = plan.blur;
    task.tone_tolerance = plan.tone_tolerance;
    return prove_beam(task, crew);
}

std::string how_of(const SettledBurn& burn) {
    const Cut& cut = burn.job.written.cuts[0];
    if (burn.card) return "patches of many powers and feeds, each with its exposure";
    if (burn.photo) return burn.dither ? fmt::format("by dots of one strength ({})", *cut.tone) : "by its tones, stronger and weaker";
    const std::string passes =
        burn.passes > 1 ? fmt::format(", in {} passes{}", burn.passes, burn.crossed ? ", each across the last" : "") : std::string();
    if (burn.coating)
        return fmt::format("the coating off {}, {}{}", burn.coating->mask ? "the openings" : "between the copper",
                           burn.edge ? "in rows, then along its edge" : "in rows", passes);
    if (*cut.cover == "filled") return "filled in rows, then along the edge" + passes;
    if (*cut.cover == "rows") return "filled in rows" + passes;
    return (*cut.cover == "lines" ? "along the middle of its lines" : "along its outline") + passes;
}

/// Where the programs' moves go, from the zero on.
Box swept_by(const BeamProof& proof) {
    Box box{{1e300, 1e300}, {-1e300, -1e300}};
    for (const ProgramFigures& seen : proof.proof.programs) box = joined(box, {flat(seen.lo), flat(seen.hi)});
    return box;
}

BurnReport report_of(const SettledBurn& burn, const BurnPlan& plan, BeamProof&& proof, const Picture* picture) {
    const SettledJob& job = burn.job;
    BurnReport report;
    report.name = job.name;
    report.version = BURIN_VERSION;
    report.machine = job.machine;
    report.material = job.material;
    report.stock = job.stock;
    report.zero = to_string(job.stock.zero);
    report.work = plan.work;
    report.swept = swept_by(proof);
    report.picture = picture;
    report.picture_name = job.picture_name;
    report.how = how_of(burn);
    report.programs = {{border_file(job), true, burn.border_feed, burn.pilot_s}, {burn_file(job), false, burn.tone.feed, burn.tone.most_s}};
    report.full_s = burn.laser.scale;
    report.spacing = burn.photo || burn.rows ? burn.tone.spacing : 0;
    report.run_up = rows_order(burn, plan.work).run_up;
    report.line_up = burn.one_way ? 0 : burn.line_up;
    report.detail = plan.detail;
    report.scaled = burn.scaled;
    report.air = burn.air;
    report.passes = burn.passes;
    report.focus_step = burn.focus_step;
    report.safe_height = job.safe_height;
    if (plan.coating) report.board = BurntBoard{*plan.coating, burn.coating->mask};
    report.assumed = job.assumed;
    report.warnings = job.warnings;
    append(report.assumed, plan.notes);
    append(report.warnings, plan.warnings);
    if (picture) append(report.assumed, picture->notes);
    report.cautions = cautions_for(job.machine, job.material);
    if (!job.material.laser_note.empty()) report.cautions.push_back(fmt::format("{}: {}", job.material.title, job.material.laser_note));
    for (const ProgramFigures& seen : proof.proof.programs) report.time_s += seen.time_s;
    report.proof = std::move(proof);
    return report;
}

std::string burn_on_piece(const BurnReport& report, const Crew& crew) {
    if (!report.stock.piece) return "";
    const Grid<float> darkness = burnt_darkness(report, crew);
    return on_piece(darkness.like<float>(0), report.stock, report.material, crew, std::nullopt, &darkness);
}

Finished finished_of(const BurnReport& report, const Job& settled, BurnPrograms&& programs, const Crew& crew) {
    crew.say("report");
    const std::string preview = burn_preview_png(report, crew);
    const bool milliseconds = report.machine.dwell_in_milliseconds;
    const std::vector<Track> tracks{read_program(programs.border.text, ToolKind::beam, milliseconds).track,
                                    read_program(programs.burn.text, ToolKind::beam, milliseconds).track};
    Finished finished;
    finished.files.push_back({report.programs[0].file, std::move(programs.border.text)});
    finished.files.push_back({report.programs[1].file, std::move(programs.burn.text)});
    finished.files.push_back({"job.toml", write_job(settled)});
    finished.files.push_back({"report.html", burn_report_html(report, preview, crew)});
    finished.files.push_back({"preview.png", preview});
    if (std::string shown = burn_on_piece(report, crew); !shown.empty()) finished.files.push_back({"on-the-piece.png", std::move(shown)});
    finished.files.push_back({"paths.svg", paths_svg(report, tracks)});
    finished.files.push_back({"report.json", burn_report_json(report)});
    finished.summary.push_back(fmt::format("{}: proved; {} of burning.", report.name, duration_text(report.time_s)));
    for (std::size_t k = 0; k < report.programs.size(); ++k)
        finished.summary.push_back(fmt::format("  {:<14} {:<20} {}", report.programs[k].file,
                                               report.programs[k].border ? "border run" : "burning",
                                               duration_text(report.proof.proof.programs[k].time_s)));
    finished.warnings = report.warnings;
    crew.check();
    return finished;
}

}  // namespace

Finished run_burn(const Job& job, const PresetFolders& presets, const Crew& crew) {
    const Workshop workshop = find_workshop(job, presets);
    Source source = load_source(job, crew);
    const bool card = job.cuts.front().make == "card";
    SettledBurn burn = card ? settle_burn_card(job, workshop, source) : settle_burn(job, workshop, source);
    BurnPlan plan = card           ? plan_card(burn, crew)
                    : burn.photo   ? plan_photo(burn, source.picture, crew)
                    : burn.coating ? plan_board(burn, source.drawing, crew)
                                   : plan_figures(burn, source.drawing, crew);
    crew.say("programs");
    const Toolpath border = border_run(plan.work, burn.border_feed, static_cast<std::uint16_t>(burn.pilot_s), 2);
    BurnPrograms programs{written(burn, border, true), written(burn, plan.path, false)};
    drop(plan.path);
    BeamProof proof = proof_of(burn, plan, programs, crew);
    if (!proof.proof.holds) throw Error(Fault::refused, refusal(proof.proof));
    const BurnReport report = report_of(burn, plan, std::move(proof), source.picture.samples.empty() ? nullptr : &source.picture);
    return finished_of(report, burn.job.written, std::move(programs), crew);
}

}  // namespace burin
