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
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double margin = 5, usual_thickness = 12;
constexpr std::string_view text_check = "plain text for any controller";

ReadLimits widely(const Machine& machine) {
    ReadLimits limits;
    limits.wide = true;
    if (machine.homes && machine.stock_at) limits.home = Point3{-(*machine.stock_at)[0], -(*machine.stock_at)[1], -(*machine.stock_at)[2]};
    return limits;
}

/// A text of which nothing moves anything is no program; so are bytes that are no text.
void check_kind(const CheckedFile& file, const ReadProgram& read) {
    if (!read.track.moves.empty()) return;
    const bool binary = file.text.find('\0') != std::string::npos;
    const std::string why = file.text.empty()     ? "it is empty"
                            : binary              ? "it holds bytes that are no text"
                            : read.faults.empty() ? "nothing in it moves the machine"
                                                  : fmt::format("line {} {}", read.faults.front().line, read.faults.front().what);
    throw Error(Fault::input,
                fmt::format("'{}' is no RS-274 program: {}.", file.name, why.ends_with('.') ? why.substr(0, why.size() - 1) : why));
}

/// The bit that the comment of a program names, as ours do.
std::string named_bit(const std::string& text) {
    constexpr std::string_view mark = "(Bit ";
    const std::string head = text.substr(0, 2000);
    const std::size_t at = head.find(mark);
    if (at == std::string::npos) return "";
    const std::size_t from = at + mark.size(), end = head.find_first_of(")\n", from);
    return end == std::string::npos || head[end] != ')' ? "" : head.substr(from, end - from);
}

std::vector<Bit> bits_for(const std::vector<CheckedFile>& files, const Cut& cut, const PresetFolders& presets, Checked& checked) {
    std::vector<Bit> bits;
    for (const BitUse& use : cut.bits) bits.push_back(use.bit ? *use.bit : find_bit(presets, use.use));
    if (bits.size() == 1) bits.resize(files.size(), bits.front());
    if (bits.size() > 1 && bits.size() != files.size())
        throw Error(Fault::usage, fmt::format("{} bits were given for {} programs: give one for each, in their order, or one for all.",
                                              bits.size(), files.size()));
    if (!bits.empty()) return bits;
    for (const CheckedFile& file : files) {
        const std::string name = named_bit(file.text);
        if (name.empty())
            throw Error(Fault::usage, fmt::format("Which bit cuts '{}' was not said, and no comment in it tells. Give it with --bit, as in "
                                                  "--bit flat:3.175.",
                                                  file.name));
        bits.push_back(find_bit(presets, name));
        checked.remarks.push_back(fmt::format("{}: the bit is {}, as its comment says.", file.name, name));
    }
    return bits;
}

/// The rectangle that cutting below the stock top touches, and how deep.
struct Extent {
    Box box{{1e9, 1e9}, {-1e9, -1e9}};
    double deepest = 0;
    void take(const Point3& p) {
        box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
        box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
        deepest = std::min(deepest, p.z);
    }
    [[nodiscard]] bool any() const { return box.hi.x >= box.lo.x; }
};

Extent extent_of(const std::vector<ReadProgram>& programs) {
    Extent below, all;
    for (const ReadProgram& program : programs) {
        Point3 from = program.track.start;
        for (const Move& move : program.track.moves) {
            all.take(move.to);
            if (std::min(from.z, move.to.z) < 0) below.take(from), below.take(move.to);
            from = move.to;
        }
    }
    return below.any() ? below : all;
}

Stock stock_for(const Job& job, const Extent& extent, Checked& checked) {
    if (job.stock) {
        const StockSize size = parse_stock(*job.stock);
        return stock_of(size, job.zero.value_or(usual_zero(size)));
    }
    Stock stock;
    const double thickness = std::max(usual_thickness, std::ceil(-extent.deepest + 1));
    stock.bounds = {{extent.box.lo.x - margin, extent.box.lo.y - margin}, {extent.box.hi.x + margin, extent.box.hi.y + margin}};
    stock.thickness = thickness;
    stock.assumed = true;
    checked.remarks.push_back(
        fmt::format("No stock was given: {:.1f} × {:.1f} × {} mm is assumed, {} mm of margin round what is cut, with "
                    "Z0 on its top.",
                    stock.bounds.width(), stock.bounds.height(), number_text(thickness), number_text(margin)));
    return stock;
}

/// Limits of each bit: what was given, else what is reckoned for material and machine.
ProofTask task_for(const std::vector<CheckedFile>& files, const std::vector<Bit>& bits, const Job& job, const Machine& machine,
                   const Material& material, JobReport& report) {
    ProofTask task;
    task.machine = machine;
    task.read = widely(machine);
    task.cell = 0.05;
    const Cut& cut = job.cuts.front();
    for (std::size_t k = 0; k < files.size(); ++k) {
        const FeedWishes wishes{.feed = cut.feed, .plunge = cut.plunge, .speed = cut.speed, .depth_per_pass = cut.depth_per_pass};
        Feeds feeds = reckon_feeds(bits[k], material, machine, wishes, false);
        task.programs.push_back({.file = files[k].name,
                                 .text = files[k].text,
                                 .bit = bits[k],
                                 .feed = cut.feed.value_or(machine.most_feed),
                                 .plunge = feeds.plunge,
                                 .most_at_once = feeds.depth_per_pass,
                                 .spin_up_s = 0,
                                 .pass_lines = {}});
        report.programs.push_back({files[k].name, bits[k], std::move(feeds), 0, "checked"});
    }
    return task;
}

void tell_texts(const CheckedFile& file, const ReadProgram& read, Checked& checked) {
    for (const ProgramFault& fault : read.faults)
        checked.findings.push_back(fault.line > 0 ? fmt::format("{}, line {} {}", file.name, fault.line, fault.what)
                                                  : fmt::format("{}: {}", file.name, fault.what));
    if (read.running_at_end)
        checked.findings.push_back(fmt::format("{}: the spindle still turns when the program ends (no M5).", file.name));
    constexpr std::size_t most = 5;
    std::size_t told = 0;
    for (const ProgramFault& fault : plain_text_faults(read)) {
        const bool known = std::any_of(read.faults.begin(), read.faults.end(),
                                       [&](const ProgramFault& f) { return f.line == fault.line && f.what == fault.what; });
        if (known || ++told > most) continue;
        checked.remarks.push_back(fault.line > 0 ? fmt::format("{}, line {} {}", file.name, fault.line, fault.what)
                                                 : fmt::format("{}: {}", file.name, fault.what));
    }
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

void write_files(JobReport& report, const std::vector<ReadProgram>& programs, const Crew& crew, Checked& checked) {
    const std::string preview = preview_png(report.proof.surface, report.stock, report.material, crew);
    std::vector<Track> tracks;
    for (const ReadProgram& program : programs) tracks.push_back(program.track);
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
    const std::vector<Bit> bits = bits_for(files, job.cuts.front(), presets, checked);
    for (std::size_t k = 0; k < files.size(); ++k) tell_texts(files[k], programs[k], checked);
    const Extent extent = extent_of(programs);
    report.stock = stock_for(job, extent, checked);
    ProofTask task = task_for(files, bits, job, report.machine, report.material, report);
    task.stock = report.stock;
    report.proof = prove(task, crew);
    tell_proof(report.proof, checked);
    checked.holds = checked.findings.empty();

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
    if (results) write_files(report, programs, crew, checked);
    return checked;
}

}  // namespace burin
