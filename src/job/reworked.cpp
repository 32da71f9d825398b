/// Programs that are to be gone on with or cut into parts, and what lies beside them: their job says machine, material, stock and zero,
/// their report which of them ran first.
#include "reworked.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/program/text_lines.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t most_bytes = std::size_t{1} << 30;

bool is_file(const fs::path& path) {
    std::error_code error;
    return fs::is_regular_file(path, error);
}

/// The programs that ran before this one, as the report beside it lists them.
std::vector<std::string> ran_before(const fs::path& file) {
    const fs::path report = file.parent_path() / "report.json";
    if (!is_file(report)) return {};
    const auto json = nlohmann::json::parse(read_text(report, "report", std::size_t{64} << 20), nullptr, false);
    if (!json.is_object() || !json.contains("programs") || !json["programs"].is_array()) return {};
    std::vector<std::string> before;
    for (const auto& program : json["programs"]) {
        if (!program.is_object() || !program.contains("file") || !program["file"].is_string()) return {};
        const std::string name = program["file"].get<std::string>();
        if (name == file.filename().string()) return before;
        const bool border = program.contains("purpose") && program["purpose"] == "border";
        if (!border && is_file(file.parent_path() / name)) before.push_back((file.parent_path() / name).string());
    }
    return {};
}

/// The job beside the program, with what the person says now in its place.
Job job_for(const Order& order, const fs::path& file, std::vector<std::string>& assumed) {
    Job job = order.job;
    const fs::path beside = file.parent_path() / "job.toml";
    if (!is_file(beside)) return job;
    const Job old = read_job(read_text(beside, "job file"), beside.string(), beside.parent_path());
    if (!job.machine) job.machine = old.machine, job.machine_table = old.machine_table;
    if (!job.material) job.material = old.material, job.material_table = old.material_table;
    if (!job.stock) {
        job.stock = old.stock;
        if (!job.zero) job.zero = old.zero;
    }
    assumed.push_back(fmt::format("What was not given now (machine, material, stock, zero) is taken from '{}'.", beside.string()));
    return job;
}

std::vector<CheckedFile> files_for(const Order& order, std::vector<std::string>& assumed) {
    std::vector<std::string> names = order.arguments;
    if (names.size() == 1)
        if (std::vector<std::string> before = ran_before(names.front()); !before.empty()) {
            assumed.push_back(fmt::format("What ran before it, as report.json beside it says: {}.", fmt::join(before, ", ")));
            names.insert(names.begin(), before.begin(), before.end());
        }
    std::vector<CheckedFile> files;
    for (const std::string& name : names) files.push_back({fs::path(name).filename().string(), read_text(name, "program", most_bytes)});
    return files;
}

/// A stretch's own bit stands in its comments; one without goes on with the bit before.
bool names_a_bit(const std::string& section) { return section.substr(0, section.find("\nG")).find("(Bit ") != std::string::npos; }

std::string without_empty_head(const std::string& section) {
    return section.substr(std::min(section.size(), section.find_first_not_of('\n')));
}

void settle_sections(Reworked& given) {
    std::vector<std::string> sections = sections_of(given.files.back().text, given.old.pause_at);
    std::size_t named = 0;
    for (const std::string& section : sections) named += names_a_bit(without_empty_head(section)) ? 1 : 0;
    given.many_bits = !given.beam && named > 1 && named == sections.size();
    if (given.many_bits)
        given.sections = std::move(sections);
    else
        given.sections = {given.files.back().text};
}

void settle_task(const Job& job, const PresetFolders& presets, Reworked& given) {
    const std::size_t earlier = given.files.size() - 1;
    std::vector<CheckedFile> texts(given.files.begin(), given.files.end() - 1);
    for (const std::string& section : given.sections)
        texts.push_back({given.files.back().name, given.many_bits ? without_empty_head(section) : section});
    ProofTask limits;
    if (given.beam) {
        for (const CheckedFile& text : texts) limits.programs.push_back({text.name, {}, Bit::parse("flat:1"), 0, 0, 0, 0, {}});
    } else {
        given.bits = bits_for(texts, job.cuts.front(), presets, given.report.assumed);
        JobReport unused;
        limits = task_for(texts, given.bits, job, given.report.machine, given.report.material, unused);
    }
    given.task.machine = given.report.machine;
    given.task.stock = given.report.stock;
    for (std::size_t k = 0; k < limits.programs.size(); ++k) {
        ProofProgram program = std::move(limits.programs[k]);
        program.text = k < earlier ? std::string_view(given.files[k].text) : std::string_view(given.sections[k - earlier]);
        (k < earlier ? given.task.earlier : given.task.whole).push_back(std::move(program));
    }
}

/// The sheet's part that every such job has.
void settle_report(const Job& job, Reworked& given) {
    ReworkReport& report = given.report;
    report.version = BURIN_VERSION;
    report.old_file = given.files.back().name;
    report.old_lines = given.old.read.lines;
    report.old_time_s = given.old.timing.total_s;
    std::vector<ReadProgram> reads;
    for (const CheckedFile& file : given.files)
        reads.push_back(read_program(file.text, given.beam ? ToolKind::beam : ToolKind::spindle, report.machine.dwell_in_milliseconds));
    if (given.beam && !job.stock) {
        // A beam goes below nothing: run-ups may lie beside the stock, so only lit moves tell where it is.
        for (ReadProgram& read : reads) std::erase_if(read.track.moves, [](const Move& move) { return move.power == 0; });
    }
    report.stock = stock_for(job, report.machine, extent_of_programs(reads), report.assumed);
    report.zero = to_string(report.stock.zero);
    report.cautions = cautions_for(report.machine, report.material);
    if (given.beam && !report.material.laser_note.empty())
        report.cautions.push_back(fmt::format("{}: {}", report.material.title, report.material.laser_note));
    if (given.old.coolant)
        report.warnings.push_back("The old program switches coolant or air on (M7, M8). The new one does not: switch it on by hand.");
}

}  // namespace

std::unique_ptr<Reworked> reworked(const Order& order, const PresetFolders& presets, const Crew& crew) {
    auto given = std::make_unique<Reworked>();
    ReworkReport& report = given->report;
    crew.say("reading");
    given->files = files_for(order, report.assumed);
    const Job job = job_for(order, order.arguments.back(), report.assumed);
    const std::string& text = given->files.back().text;
    const bool says_laser = text.substr(0, 2000).find("(Laser ") != std::string::npos;
    report.machine =
        job.machine_table ? *job.machine_table : find_machine(presets, job.machine.value_or(says_laser ? "laser-240x150" : "desk-240x150"));
    report.material = job.material_table ? *job.material_table : find_material(presets, job.material.value_or("pine"));
    if (!job.machine && !job.machine_table) report.assumed.push_back(fmt::format("No machine was given: '{}'.", report.machine.name));
    if (!job.material && !job.material_table) report.assumed.push_back(fmt::format("No material was given: {}.", report.material.name));
    given->beam = report.machine.laser && (says_laser || !report.machine.spindle);
    given->old = old_program(given->files.back().name, text, report.machine, given->beam ? ToolKind::beam : ToolKind::spindle);
    settle_report(job, *given);
    settle_sections(*given);
    settle_task(job, presets, *given);
    double plunge = 0;
    for (const ProofProgram& program : given->task.whole) plunge = plunge > 0 ? std::min(plunge, program.plunge) : program.plunge;
    given->way = way_in_for(given->old, report.machine, plunge);
    if (order.run.run_in) given->way.run_in = *order.run.run_in;
    return given;
}

void add_made(const Reworked& given, const Rest& rest, const std::string& file, std::vector<std::string>& texts,
              std::vector<ProofProgram>& made) {
    const auto put = [&](const ProofProgram& like, std::string text) {
        texts.push_back(std::move(text));
        ProofProgram program = like;
        program.file = file;
        program.text = texts.back();
        program.spin_up_s = given.beam ? 0 : given.way.spin_up;
        made.push_back(std::move(program));
    };
    if (!given.many_bits) return put(given.task.whole.front(), rest.written.text);
    const ReadProgram read = read_program(rest.written.text, given.way.milliseconds);
    std::vector<std::uint32_t> pauses;
    for (const Event& event : read.track.events)
        if (event.kind == EventKind::pause) pauses.push_back(event.line);
    std::vector<std::string> sections = sections_of(rest.written.text, pauses);
    for (std::size_t k = 0; k < sections.size(); ++k) put(given.task.whole[rest.sections[k]], std::move(sections[k]));
}

std::vector<ProofProgram> done_programs(const Reworked& given, std::size_t done, std::vector<std::string>& texts) {
    std::vector<ProofProgram> programs;
    const std::string text = done_text(given.old, done);
    if (text.empty()) return programs;
    std::vector<std::uint32_t> pauses;
    if (given.many_bits) {
        const std::uint32_t last = given.old.read.track.moves[done - 1].line;
        for (const std::uint32_t line : given.old.pause_at)
            if (line < last) pauses.push_back(line);
    }
    std::vector<std::string> sections = sections_of(text, pauses);
    for (std::size_t k = 0; k < sections.size(); ++k) {
        texts.push_back(std::move(sections[k]));
        ProofProgram program = given.task.whole[k];
        program.text = texts.back();
        programs.push_back(std::move(program));
    }
    return programs;
}

std::string stem_of(const std::string& file) {
    std::string stem;
    for (const char c : fs::path(file).stem().string()) {
        const auto u = static_cast<unsigned char>(c);
        const bool plain = (u >= 'a' && u <= 'z') || (u >= 'A' && u <= 'Z') || (u >= '0' && u <= '9');
        if (plain || (!stem.empty() && stem.back() != '-'))
            stem += plain ? static_cast<char>(u >= 'A' && u <= 'Z' ? u - 'A' + 'a' : u) : '-';
    }
    stem = stem.substr(0, 16);
    while (!stem.empty() && stem.back() == '-') stem.pop_back();
    return stem.empty() ? "cut" : stem;
}

std::string tool_words(const Reworked& given, const Rest& rest) {
    if (given.beam) return "beam";
    const std::size_t earlier = given.task.earlier.size();
    if (!given.many_bits) return given.bits[earlier].name();
    std::vector<std::string> names;
    for (const std::size_t section : rest.sections) names.push_back(given.bits[earlier + section].name());
    return fmt::format("{}", fmt::join(names, ", then "));
}

Finished finish_rework(Reworked& given, std::vector<OutputFile> programs, const Crew& crew) {
    ReworkReport& report = given.report;
    crew.say("proof");
    ReworkProof proof = given.beam ? prove_beam_rework(given.task, crew) : prove_rework(given.task, crew);
    if (!proof.holds) {
        constexpr std::size_t most = 3;
        const std::vector<std::string> told(proof.broken.begin(),
                                            proof.broken.begin() + static_cast<std::ptrdiff_t>(std::min(most, proof.broken.size())));
        throw Error(Fault::refused, fmt::format("No program was written, for it would break what is promised: {}", fmt::join(told, "\n")));
    }
    report.warnings.insert(report.warnings.end(), proof.remarks.begin(), proof.remarks.end());
    report.proof = std::move(proof.proof);
    // Several stretches of one file are one program for the person.
    std::vector<ProgramFigures> by_file;
    for (const ProgramFigures& figures : report.proof.programs) {
        if (by_file.empty() || by_file.back().file != figures.file) {
            by_file.push_back(figures);
            continue;
        }
        ProgramFigures& all = by_file.back();
        all.time_s += figures.time_s, all.cut_length += figures.cut_length, all.rapid_length += figures.rapid_length;
        all.removed_mm3 += figures.removed_mm3;
        all.lo = {std::min(all.lo.x, figures.lo.x), std::min(all.lo.y, figures.lo.y), std::min(all.lo.z, figures.lo.z)};
        all.hi = {std::max(all.hi.x, figures.hi.x), std::max(all.hi.y, figures.hi.y), std::max(all.hi.z, figures.hi.z)};
        all.lines = figures.lines, all.bytes = figures.bytes;  // with empty lines before them: the file's
    }
    report.proof.programs = std::move(by_file);
    for (std::size_t k = 0; k < programs.size(); ++k) report.proof.programs[k].bytes = programs[k].content.size();
    report.most_apart = proof.most_apart;
    crew.say("report");
    std::string left, finished;
    if (given.beam) {
        const HeightMap flat = proof.beam.exposure.like(0.0F);
        const auto shown = [&](Grid<float> light) {
            const auto values = proof.beam.exposure.values();
            const float most = *std::max_element(values.begin(), values.end());
            for (float& v : light.values()) v = most > 0 ? std::min(1.0F, v / most) : 0;
            return preview_png(flat, report.stock, report.material, crew, std::nullopt, &light);
        };
        left = shown(proof.light_left), finished = shown(proof.beam.exposure);
    } else {
        left = preview_png(proof.left, report.stock, report.material, crew);
        finished = preview_png(report.proof.surface, report.stock, report.material, crew);
    }
    Finished result;
    result.files = std::move(programs);
    result.files.push_back({"report.html", rework_html(report, left, finished, crew)});
    result.files.push_back({"left.png", std::move(left)});
    result.files.push_back({"preview.png", std::move(finished)});
    result.files.push_back({"report.json", rework_json(report)});
    result.warnings = report.warnings;
    for (std::size_t k = 0; k < report.programs.size(); ++k)
        result.summary.push_back(fmt::format("  {:<20} from line {:>7}  {:>12}", report.programs[k].file, report.programs[k].line,
                                             duration_text(report.proof.programs[k].time_s)));
    return result;
}

}  // namespace burin
