/// Toolpaths as files. Names, header comments and the pause between joined programs are made here; the words of the
/// dialect in `program`, the verdict in `proof`.
#include "programs.hpp"

#include <algorithm>
#include <cmath>

#include "burin/base/drawn_refusal.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/report/report.hpp"
#include "fmt/format.h"
#include "joined.hpp"
#include "ways_round.hpp"

namespace burin {
std::string stock_line(const SettledJob& job) {
    const Stock& stock = job.stock;
    const std::string width = number_text(stock.bounds.width()), height = number_text(stock.bounds.height()),
                      thickness = number_text(stock.thickness);
    const std::string size = stock.oval() ? fmt::format("oval {} x {} x {}", width, height, thickness)
                             : stock.piece
                                 ? fmt::format("traced {:.1f} x {:.1f} x {}", stock.bounds.width(), stock.bounds.height(), thickness)
                             : stock.outline == Outline::round ? fmt::format("round {} x {}", width, thickness)
                                                               : fmt::format("{} x {} x {}", width, height, thickness);
    return fmt::format("Stock {} mm, {}", size, job.material.name);
}

namespace {

/// Where Z0 lies; of a stock that is faced nobody can touch it yet.
std::string plane_words(const SettledJob& job) {
    return job.rise > 0 ? fmt::format("{:.2f} below its highest place", job.rise) : "on its top";
}

}  // namespace

std::vector<std::string> header_of(const SettledJob& job, const std::vector<Program>& programs, std::size_t k, double seconds) {
    const Program& program = programs[k];
    const Stock& stock = job.stock;
    std::vector<std::string> lines{job.name,
                                   fmt::format("Program {} of {}: {}", k + 1, programs.size(), program.purpose),
                                   fmt::format("Bit {}", job.bits[program.bit].bit.name()),
                                   fmt::format("Zero: {} of the stock, Z0 {}", to_string(stock.zero), plane_words(job)),
                                   stock_line(job),
                                   fmt::format("Time about {}", duration_text(std::ceil(seconds / 60) * 60))};
    if (k + 1 < programs.size())
        lines.push_back(fmt::format("Then {} with {}", programs[k + 1].file, job.bits[programs[k + 1].bit].bit.name()));
    return lines;
}

std::string deed_of(const std::string& make) {
    return make == "incise"    ? "incising"
           : make == "outline" ? "outlining"
           : make == "pocket"  ? "pocketing"
           : make == "stroke"  ? "following strokes"
           : make == "cutout"  ? "cutting out"
           : make == "screen"  ? "screening"
           : make == "stipple" ? "stippling"
           : make == "isolate" ? "isolating"
           : make == "drill"   ? "drilling"
           : make == "face"    ? "facing"
           : make == "card"    ? "cutting a test card"
                               : "roughing and finishing";
}

namespace {

void name_programs(const SettledJob& job, const std::vector<ReliefToolpath>& paths, std::vector<Program>& programs) {
    const std::size_t last = job.bits.size() - 1;
    const bool relief = job.make == "relief";
    for (std::size_t k = 0; k < programs.size(); ++k) {
        Program& program = programs[k];
        program.bit = paths[k].bit;
        program.finishing = program.bit == last;
        const bool alone = programs.size() == 1;
        program.file = fmt::format("{}{}-{}.nc", job.side, k + 1, alone ? "cut" : program.finishing ? "finish" : "rough");
        if (relief)
            program.purpose = program.finishing ? (alone ? deed_of(job.make) : "finishing") : "roughing";
        else
            program.purpose = alone || (program.finishing && job.make == "incise") ? deed_of(job.make)
                              : program.finishing                                  ? "walls"
                                                                                   : "clearing";
    }
}

}  // namespace

ProgramStyle style_of(const SettledJob& job, const Program& program, double lift) {
    const Feeds& feeds = job.bits[program.bit].feeds;
    ProgramStyle style;
    style.inch = job.inch;
    style.dwell_in_milliseconds = job.machine.dwell_in_milliseconds;
    style.spin_up_s = job.machine.spindle->spin_up_s;
    style.rpm = feeds.rpm;
    style.safe_z = job.safe_height;
    style.lift = lift;
    style.plunge = feeds.plunge;
    style.header = program.header;
    if (lift > 0) style.header.insert(style.header.begin() + 1, fmt::format("DRY RUN, lifted by {} mm: nothing is cut", number_text(lift)));
    return style;
}

Programs write_programs(const SettledJob& job, std::vector<ReliefToolpath>&& paths, const Crew& crew) {
    Programs programs;
    programs.each.resize(paths.size());
    name_programs(job, paths, programs.each);
    const int count = static_cast<int>(paths.size());
    if (!job.stock.keep_outs.empty())
        for (ReliefToolpath& path : paths) go_round(path.path, obstacles_of(job.stock.keep_outs, job.bits[path.bit].bit));
    in_parallel(crew, count, [&](int k) {
        const auto index = static_cast<std::size_t>(k);
        // Of the path, before its words are rounded: near enough for a comment in minutes.
        const double seconds = reckon_time(paths[index].path.track, job.machine).total_s + job.machine.spindle->spin_up_s;
        programs.each[index].header = header_of(job, programs.each, index, seconds);
    });
    if (job.one_file && count > 1) {
        programs.joined = join(job, paths, programs.each, 0);
        if (job.lift > 0) programs.joined_lifted = join(job, paths, programs.each, job.lift);
    }
    in_parallel(crew, count, [&](int k) {
        Program& program = programs.each[static_cast<std::size_t>(k)];
        const Toolpath path = std::move(paths[static_cast<std::size_t>(k)].path);
        program.written = write_program(path, style_of(job, program, 0));
        if (job.lift > 0) program.lifted = write_program(path, style_of(job, program, job.lift));
    });
    return programs;
}

ProofTask proof_task(const SettledJob& job, const Target& target, const std::vector<Program>& programs) {
    ProofTask task;
    task.design = target.heights;
    task.figure = target.figure;
    task.machine = job.machine;
    task.stock = job.stock;
    task.allowance = job.allowance;
    task.scallop = job.scallop;
    task.breakthrough = target.breakthrough;
    task.top = job.top;
    task.cell = target.heights ? target.heights->cell() : 0.05;
    for (const Program& program : programs) {
        const SettledBit& bit = job.bits[program.bit];
        task.programs.push_back(
            {.file = program.file,
             .text = program.written.text,
             .bit = bit.bit,
             .feed = bit.feeds.feed,
             .plunge = bit.feeds.plunge,
             .most_at_once = bit.feeds.depth_per_pass + program.more_at_once + (program.finishing && target.heights ? job.allowance : 0),
             .spin_up_s = job.machine.spindle->spin_up_s,
             .pass_lines = program.written.pass_lines});
    }
    return task;
}

Proof proof_of(const SettledJob& job, const Target& target, const Programs& programs, const Crew& crew) {
    return programs.joined ? prove_joined(job, target, programs.joined->text, programs.each, 0, crew)
                           : prove(proof_task(job, target, programs.each), crew);
}

Broken broken_promises(const Proof& proof) {
    Broken broken;
    for (const Check& check : proof.checks) {
        if (check.ok) continue;
        if (check.name == "nothing too much at once")
            broken.too_much_at_once = true;
        else if (check.name == "nothing left standing")
            broken.left_standing = true;
        else
            broken.others = true;
    }
    return broken;
}

std::string refusal(const Proof& proof) {
    std::string text = "Refused: the programs of this job would break a promise, and nothing was written.";
    int told = 0, broken = 0;
    for (const Check& check : proof.checks) {
        if (check.ok) continue;
        ++broken;
        if (++told > 3) continue;
        const bool told_already = !check.file.empty() && check.detail.starts_with(check.file);
        const std::string where = check.file.empty() || told_already ? ""
                                  : check.line > 0                   ? fmt::format(" ({}, line {})", check.file, check.line)
                                                                     : fmt::format(" ({})", check.file);
        text += fmt::format("\n  {}{}: {}", check.name, where, check.detail);
    }
    if (broken > 3) text += fmt::format("\n  and {} more.", broken - 3);
    return text;
}

void refuse(const SettledJob& job, const Programs& programs, const Proof& proof, const std::string& more) {
    const std::string why = refusal(proof) + more;
    if (std::none_of(proof.checks.begin(), proof.checks.end(),
                     [](const Check& check) { return !check.ok && check.name == clear_of_keep_outs; }))
        throw Error(Fault::refused, why);
    std::vector<std::string> files;
    std::vector<Track> tracks;
    for (const Program& program : programs.each) {
        files.push_back(program.file);
        tracks.push_back(read_program(program.written.text, job.machine.dwell_in_milliseconds).track);
    }
    throw DrawnRefusal(why, refused_svg(job.name, job.stock, files, tracks, proof.checks));
}

namespace {

Proof dry_proof(const SettledJob& job, const HeightMap& surface, const std::vector<Program>& programs, const Crew& crew) {
    ProofTask task = proof_task(job, {&surface, nullptr}, programs);
    task.lift = job.lift;
    return prove(task, crew);
}

/// The lifted texts in place of the others. What they would cut stays as the unlifted ones showed it.
void settle_dry_run(const SettledJob& job, Programs& programs, Proof& proof, const Crew& crew) {
    for (Program& program : programs.each) program.written = std::move(program.lifted);
    if (programs.joined) programs.joined = std::move(programs.joined_lifted);
    const Proof dry = programs.joined ? prove_joined(job, {&proof.surface, nullptr}, programs.joined->text, programs.each, job.lift, crew)
                                      : dry_proof(job, proof.surface, programs.each, crew);
    if (!dry.holds) throw Error(Fault::refused, refusal(dry));
    for (std::size_t k = 0; k < programs.each.size(); ++k) {
        ProgramFigures& figures = proof.programs[k];
        const ProgramFigures& file = dry.programs[k];
        figures.lines = file.lines;
        figures.bytes = file.bytes;
        figures.time_s = file.time_s;
        figures.cut_length = file.cut_length;
        figures.rapid_length = file.rapid_length;
        figures.lo = file.lo;
        figures.hi = file.hi;
    }
}

}  // namespace

void settle_release(const SettledJob& job, Programs& programs, Proof& proof, const Crew& crew) {
    if (job.lift > 0) settle_dry_run(job, programs, proof, crew);
    if (programs.joined)
        for (Program& program : programs.each) program.file = joined_file;
}

std::vector<OutputFile> files_of(Programs&& programs) {
    if (programs.joined) return {{joined_file, std::move(programs.joined->text)}};
    std::vector<OutputFile> files;
    for (Program& program : programs.each) files.push_back({program.file, std::move(program.written.text)});
    return files;
}

}  // namespace burin
