/// The proof alone. What is read from a text is never guessed: a word that is not understood is a finding, and says so.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "burin/base/error.hpp"
#include "burin/job/check.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "burin/proof/proof.hpp"
#include "burin/report/report.hpp"
#include "checked_parts.hpp"

namespace burin {
namespace {

constexpr std::string_view text_check = "plain text for any controller";

void tell_texts(const CheckedFile& file, const ReadProgram& read, Checked& checked) {
    for (const ProgramFault& fault : read.faults)
        checked.findings.push_back(fault.line > 0 ? fmt::format("{}, line {} {}", file.name, fault.line, fault.what)
                                                  : fmt::format("{}: {}", file.name, fault.what));
    if (read.running_at_end)
        checked.findings.push_back(fmt::format("{}: the spindle still turns when the program ends (no M5).", file.name));
    for (const ProgramFault& fault : plain_text_faults(read)) {
        const bool known = std::any_of(read.faults.begin(), read.faults.end(),
                                       [&](const ProgramFault& f) { return f.line == fault.line && f.what == fault.what; });
        if (known) continue;
        const std::string more = fault.more == 0   ? ""
                                 : fault.more == 1 ? " So does one other line."
                                                   : fmt::format(" So do {} other lines.", fault.more);
        checked.remarks.push_back(fault.line > 0 ? fmt::format("{}, line {} {}{}", file.name, fault.line, fault.what, more)
                                                 : fmt::format("{}: {}", file.name, fault.what));
    }
}

/// What another hand's text has beyond plain words is a remark here: its report must not call that broken. What was not understood is.
void forgive_texts(const std::vector<CheckedFile>& files, const std::vector<ReadProgram>& programs, Proof& proof) {
    std::erase_if(proof.checks, [&](const Check& check) {
        const auto file = std::find_if(files.begin(), files.end(), [&](const CheckedFile& f) { return f.name == check.file; });
        if (check.ok || check.name != text_check || file == files.end()) return false;
        const ReadProgram& read = programs[static_cast<std::size_t>(file - files.begin())];
        return read.faults.empty() && !read.running_at_end;
    });
}

void tell_proof(const Proof& proof, Checked& checked) {
    for (const Check& check : proof.checks) {
        if (check.ok || check.name == text_check) continue;
        const bool placed = !check.file.empty() && !check.detail.starts_with(check.file);
        checked.findings.push_back(placed ? fmt::format("{}, line {}: {} ({})", check.file, check.line, check.detail, check.name)
                                          : fmt::format("{} ({})", check.detail, check.name));
    }
    for (const ProgramFigures& figures : proof.programs)
        checked.summary.push_back(fmt::format("  {:<20} {:>9} lines  {:>12}  deepest {:.2f} mm", figures.file, figures.lines,
                                              duration_text(figures.time_s), std::max(0.0, -figures.lo.z)));
}

void write_files(JobReport& report, std::vector<ReadProgram>&& programs, const Crew& crew, Checked& checked) {
    const std::string preview = preview_png(report.proof.surface, report.stock, report.material, crew);
    std::vector<Track> tracks;
    for (ReadProgram& program : programs) tracks.push_back(std::move(program.track));
    checked.files.push_back({"report.html", report_html(report, preview, crew)});
    checked.files.push_back({"preview.png", preview});
    checked.files.push_back({"surface.png", surface_png(report.proof.surface)});
    checked.files.push_back({"paths.svg", paths_svg(report, tracks)});
    checked.files.push_back({"report.json", report_json(report)});
}

}  // namespace

Checked check_programs(const std::vector<CheckedFile>& files, const Job& job, const PresetFolders& presets, bool results,
                       const Crew& crew) {
    Checked checked;
    JobReport report;
    report.machine = find_machine(presets, job.machine.value_or("desk-240x150"));
    report.material = find_material(presets, job.material.value_or("pine"));
    if (!job.machine) checked.remarks.push_back(fmt::format("No machine was given: '{}'.", report.machine.name));
    if (!job.material) checked.remarks.push_back(fmt::format("No material was given: {}.", report.material.name));
    crew.say("reading");
    std::vector<ReadProgram> programs(files.size());
    in_parallel(crew, static_cast<int>(files.size()), [&](int k) {
        const auto n = static_cast<std::size_t>(k);
        programs[n] = read_program(files[n].text, report.machine.dwell_in_milliseconds, widely(report.machine));
    });
    for (std::size_t k = 0; k < files.size(); ++k) check_kind(files[k], programs[k]);
    const std::vector<Bit> bits = bits_for(files, job.cuts.front(), presets, checked.remarks);
    for (std::size_t k = 0; k < files.size(); ++k) tell_texts(files[k], programs[k], checked);
    const Extent extent = extent_of_programs(programs);
    report.stock = stock_for(job, report.machine, extent, checked.remarks);
    ProofTask task = task_for(files, bits, job, report.machine, report.material, report);
    checked.remarks.insert(checked.remarks.end(), report.assumed.begin(), report.assumed.end());
    task.stock = report.stock;
    report.proof = prove(task, crew);
    forgive_texts(files, programs, report.proof);
    tell_proof(report.proof, checked);
    checked.holds = report.proof.holds = checked.findings.empty();

    report.name = std::filesystem::path(files.front().name).stem().string();
    report.version = BURIN_VERSION;
    report.command = "check";
    report.zero = to_string(report.stock.zero);
    report.depth = std::max(0.0, -extent.deepest);
    report.cell = report.proof.surface.cell();
    report.design_box = extent.box;
    report.against_design = false;
    report.touch.spoilboard_z = -report.stock.thickness;
    report.flatness_mm = std::clamp(std::round(report.depth * 10) / 100, 0.05, 0.3);
    report.cautions = cautions_for(report.machine, report.material);
    report.assumed = checked.remarks;
    report.warnings = checked.findings;
    for (const ProgramFigures& figures : report.proof.programs) report.time_s += figures.time_s;
    checked.summary.insert(checked.summary.begin(), fmt::format("{}: {}; {} of cutting.", report.name,
                                                                checked.holds ? "nothing is against it" : "there is something against it",
                                                                duration_text(report.time_s)));
    if (results) write_files(report, std::move(programs), crew, checked);
    return checked;
}

}  // namespace burin
