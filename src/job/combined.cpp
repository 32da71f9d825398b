/// Cuts that were proved apart, put together. Programs are merged line by line as they stand; then all of them are run on one model of
/// the stock, and held against what each cut showed by itself. Cost: one more proof, without a design.
#include "combined.hpp"

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/text_lines.hpp"
#include "fmt/format.h"
#include "joined.hpp"
#include "running_order.hpp"

namespace burin {
namespace {

/// "Cut 2, ring"; steps of pockets: "Cut 2, ring, step 1".
std::string heading(const Job& written, const ProvedCut& cut) {
    const std::string name = called(written.cuts[cut.number], cut.number + 1);
    return cut.step.empty() ? name : fmt::format("{}, {}", name, cut.step);
}
/// All bits of all cuts, the wider first, so that what is coarse runs before what is fine.
std::vector<Bit> bits_of(const std::vector<ProvedCut>& cuts) {
    std::vector<Bit> bits;
    for (const ProvedCut& cut : cuts)
        for (const Program& program : cut.programs.each) {
            const Bit& bit = cut.job.bits[program.bit].bit;
            const auto same = [&](const Bit& other) { return other.spec() == bit.spec(); };
            if (std::none_of(bits.begin(), bits.end(), same)) bits.push_back(bit);
        }
    std::stable_sort(bits.begin(), bits.end(), [](const Bit& a, const Bit& b) { return a.tip_diameter() > b.tip_diameter(); });
    return bits;
}

std::vector<SharedProgram> shared_programs(const std::vector<ProvedCut>& cuts, const std::vector<Bit>& bits) {
    std::vector<CutTasks> tasks;
    for (const ProvedCut& cut : cuts) {
        CutTasks task{{}, cut.box, cut.follows, cut.job.make == "cutout"};
        if (cuts.front().face && &cut != cuts.data()) task.after = 0;  // there is no plane before
        for (const Program& program : cut.programs.each) {
            const Bit& bit = cut.job.bits[program.bit].bit;
            const auto same = [&](const Bit& other) { return other.spec() == bit.spec(); };
            task.bits.push_back(static_cast<std::size_t>(std::find_if(bits.begin(), bits.end(), same) - bits.begin()));
        }
        tasks.push_back(std::move(task));
    }
    return running_order(tasks);
}

/// Sentences that all cuts say are said once, the others with the cut's name.
std::vector<std::string> told_together(const std::vector<ProvedCut>& cuts, const Job& written, std::vector<std::string> SettledJob::*list) {
    std::vector<std::string> told;
    for (std::size_t k = 0; k < cuts.size(); ++k)
        for (const std::string& sentence : cuts[k].job.*list) {
            const bool common = std::all_of(cuts.begin(), cuts.end(), [&](const ProvedCut& cut) {
                const auto& all = cut.job.*list;
                return std::find(all.begin(), all.end(), sentence) != all.end();
            });
            const std::string text = common ? sentence : fmt::format("{}: {}", heading(written, cuts[k]), sentence);
            if (std::find(told.begin(), told.end(), text) == told.end()) told.push_back(text);
        }
    return told;
}

/// Job-wide answers are the first cut's; all cuts had the same questions.
SettledJob whole_job(const Job& given, const std::vector<ProvedCut>& cuts) {
    SettledJob whole = cuts.front().job;
    whole.make = "make";
    whole.picture_name.clear();
    whole.top = 0;
    whole.bits.clear();
    whole.written.cuts.clear();
    whole.one_file = given.one_file.value_or(false);
    whole.written.one_file = whole.one_file;
    whole.name = given.name.value_or(cuts.front().job.name);
    for (std::size_t k = 0; k < cuts.size(); ++k) {
        if (cuts[k].number == whole.written.cuts.size()) whole.written.cuts.push_back(cuts[k].job.written.cuts.front());
        whole.depth = std::max(whole.depth, cuts[k].job.depth);
        whole.allowance = std::max(whole.allowance, cuts[k].job.allowance);
    }
    whole.assumed = told_together(cuts, whole.written, &SettledJob::assumed);
    whole.warnings = told_together(cuts, whole.written, &SettledJob::warnings);
    return whole;
}

/// What one bit may do in any of the parts: each was held to its own limits before.
void take_in(SettledBit& bit, const SettledBit& other) {
    bit.feeds.feed = std::max(bit.feeds.feed, other.feeds.feed);
    bit.feeds.plunge = std::max(bit.feeds.plunge, other.feeds.plunge);
    bit.feeds.depth_per_pass = std::max(bit.feeds.depth_per_pass, other.feeds.depth_per_pass);
    for (const std::string& reason : other.feeds.reasons)
        if (std::find(bit.feeds.reasons.begin(), bit.feeds.reasons.end(), reason) == bit.feeds.reasons.end())
            bit.feeds.reasons.push_back(reason);
}

const Program& program_of(const std::vector<ProvedCut>& cuts, const CutPart& part) { return cuts[part.cut].programs.each[part.program]; }

std::string purpose_of(const SharedProgram& shared, const std::vector<ProvedCut>& cuts) {
    std::vector<std::string> kinds;
    for (const CutPart& part : shared.parts) {
        const std::string &make = cuts[part.cut].job.make, &purpose = program_of(cuts, part).purpose;
        const std::string kind = make != "relief" && purpose == deed_of(make) ? purpose : fmt::format("{}, {}", make, purpose);
        if (std::find(kinds.begin(), kinds.end(), kind) == kinds.end()) kinds.push_back(kind);
    }
    std::string text;
    for (const std::string& kind : kinds) text += (text.empty() ? "" : "; ") + kind;
    return text;
}

std::string file_of(const SharedProgram& shared, const std::vector<ProvedCut>& cuts, std::size_t k) {
    const auto rough = [&](const CutPart& part) { return program_of(cuts, part).file.find("rough") != std::string::npos; };
    const auto finish = [&](const CutPart& part) { return program_of(cuts, part).file.find("finish") != std::string::npos; };
    const auto& parts = shared.parts;
    return fmt::format("{}{}-{}.nc", cuts.front().job.side, k + 1,
                       std::all_of(parts.begin(), parts.end(), rough)    ? "rough"
                       : std::all_of(parts.begin(), parts.end(), finish) ? "finish"
                                                                         : "cut");
}

WrittenProgram merged(const SettledJob& whole, const SharedProgram& shared, const std::vector<ProvedCut>& cuts, const Program& program,
                      double lift) {
    std::vector<MergePart> parts;
    for (const CutPart& part : shared.parts) {
        const Program& alone = program_of(cuts, part);
        const ProvedCut& cut = cuts[part.cut];
        parts.push_back({lift > 0 ? &alone.lifted : &alone.written, cut.job.bits[alone.bit].feeds.rpm, heading(whole.written, cut)});
    }
    ProgramStyle style = style_of(whole, program, lift);
    style.rpm = parts.front().rpm;
    return merge_programs(parts, style);
}

/// Bits, names and limits; the texts come when all are known, for each speaks of the next.
Programs named(SettledJob& whole, const std::vector<SharedProgram>& shared, const std::vector<ProvedCut>& cuts) {
    Programs programs;
    for (std::size_t k = 0; k < shared.size(); ++k) {
        Program program;
        program.bit = k;
        program.file = file_of(shared[k], cuts, k);
        program.purpose = purpose_of(shared[k], cuts);
        for (const CutPart& part : shared[k].parts) {
            const ProvedCut& cut = cuts[part.cut];
            const Program& alone = program_of(cuts, part);
            const SettledBit& bit = cut.job.bits[alone.bit];
            if (whole.bits.size() == k)
                whole.bits.push_back(bit);
            else
                take_in(whole.bits[k], bit);
            program.finishing = program.finishing || alone.finishing;
            if (alone.finishing && cut.unreached) program.more_at_once = std::max(program.more_at_once, cut.job.allowance);
        }
        programs.each.push_back(std::move(program));
    }
    return programs;
}

Programs together(SettledJob& whole, const std::vector<SharedProgram>& shared, const std::vector<ProvedCut>& cuts) {
    Programs programs = named(whole, shared, cuts);
    for (std::size_t k = 0; k < shared.size(); ++k) {
        Program& program = programs.each[k];
        double seconds = 0;
        for (const CutPart& part : shared[k].parts) seconds += cuts[part.cut].proof.programs[part.program].time_s;
        program.header = header_of(whole, programs.each, k, seconds);
        program.written = merged(whole, shared[k], cuts, program, 0);
        if (whole.lift > 0) program.lifted = merged(whole, shared[k], cuts, program, whole.lift);
    }
    if (!whole.one_file || programs.each.size() < 2) return programs;
    std::vector<const WrittenProgram*> texts, lifted;
    std::vector<std::string> pauses;
    for (std::size_t k = 0; k < programs.each.size(); ++k) {
        texts.push_back(&programs.each[k].written);
        lifted.push_back(&programs.each[k].lifted);
        if (k > 0) pauses.push_back(pause_words(whole.bits[k].bit));
    }
    programs.joined = chain_programs(texts, pauses);
    if (whole.lift > 0) programs.joined_lifted = chain_programs(lifted, pauses);
    return programs;
}

/// Whether every cut's lines stand in the shared programs as they were proved.
Check check_lines(const std::vector<SharedProgram>& shared, const std::vector<ProvedCut>& cuts, const Programs& programs) {
    Check check;
    check.name = "every cut as it was proved";
    std::size_t lines = 0;
    for (std::size_t k = 0; k < shared.size(); ++k) {
        const WrittenProgram& all = programs.each[k].written;
        const TextLines together(all.text);
        for (std::size_t n = 0; n < shared[k].parts.size(); ++n) {
            const WrittenProgram& alone = program_of(cuts, shared[k].parts[n]).written;
            const std::uint32_t first = all.part_lines[n], count = alone.body_last + 1 - alone.body_first;
            lines += count;
            if (!check.ok || together.span(first, first + count - 1) == TextLines(alone.text).span(alone.body_first, alone.body_last))
                continue;
            check.ok = false;
            check.file = programs.each[k].file;
            check.line = first;
        }
    }
    check.detail = check.ok ? fmt::format("All {} lines that were proved cut by cut stand in the programs unchanged.", lines)
                            : "The lines of a cut differ from those that were proved. This is a fault of the program, please report it.";
    return check;
}

/// Whether tabs of one cut are left alone by all the others.
Check check_tabs(const std::vector<ProvedCut>& cuts, const Job& written, const HeightMap& surface) {
    Check check;
    check.name = "tabs stand";
    std::size_t tabs = 0;
    for (std::size_t k = 0; k < cuts.size(); ++k) {
        if (!cuts[k].figure) continue;
        for (const Tab& tab : cuts[k].figure->design.tabs) {
            ++tabs;
            const Box box = tab.place.bounds();
            const Region safe = offset_by(tab.place, -surface.cell());
            const auto cell_at = [&](double mm, double origin, int most) {
                return std::clamp(static_cast<int>((mm - origin) / surface.cell()), 0, most);
            };
            const int i1 = cell_at(box.hi.x, surface.origin().x, surface.width() - 1),
                      j1 = cell_at(box.hi.y, surface.origin().y, surface.height() - 1);
            for (int j = cell_at(box.lo.y, surface.origin().y, surface.height() - 1); j <= j1; ++j)
                for (int i = cell_at(box.lo.x, surface.origin().x, surface.width() - 1); i <= i1; ++i)
                    if (check.ok && surface(i, j) < tab.top - 0.02 && safe.holds(surface.centre(i, j))) {
                        check.ok = false;
                        const Point p = surface.centre(i, j);
                        check.place = {p.x, p.y, tab.top};
                        check.detail =
                            fmt::format("A tab of {} at X{:.1f} Y{:.1f} is cut away by another cut: move that, or give other --tabs.",
                                        within_sentence(heading(written, cuts[k])), p.x, p.y);
                    }
        }
    }
    if (check.ok) check.detail = tabs == 0 ? "No cut has tabs." : fmt::format("No other cut takes anything of the {} tabs.", tabs);
    return check;
}

void keep_worst(std::optional<double>& worst, const std::optional<double>& value) {
    if (value) worst = std::max(worst.value_or(0), *value);
}

/// What each cut showed of its design, at the front of the whole proof.
void add_designs(const std::vector<ProvedCut>& cuts, const Job& written, Proof& proof) {
    std::vector<Check> checks;
    for (std::size_t k = 0; k < cuts.size(); ++k) {
        const Proof& alone = cuts[k].proof;
        proof.deepest_gouge = std::max(proof.deepest_gouge, alone.deepest_gouge);
        proof.left_standing = std::max(proof.left_standing, alone.left_standing);
        proof.left_standing_rms = std::max(proof.left_standing_rms, alone.left_standing_rms);
        keep_worst(proof.over_line_mm, alone.over_line_mm);
        keep_worst(proof.short_of_line_mm, alone.short_of_line_mm);
        for (const Check& check : alone.checks) {
            // In the whole, what faces runs above the stock: what it takes shows only by itself.
            const bool tells = check.file.empty() || check.name == "nothing below the design" || check.name == "nothing left standing" ||
                               (cuts[k].face && (check.name == "nothing too much at once" || check.name == "no crash" ||
                                                 check.name == "inside stock and travel"));
            if (!tells) continue;
            checks.push_back(check);
            checks.back().file.clear();
            checks.back().line = 0;
            checks.back().detail = fmt::format("{}: {}", heading(written, cuts[k]), check.detail);
        }
    }
    checks.insert(checks.end(), std::make_move_iterator(proof.checks.begin()), std::make_move_iterator(proof.checks.end()));
    proof.checks = std::move(checks);
}

/// Seconds and millimetres that fall to each cut, by the lines of the shared programs.
struct Share {
    double time_s = 0, cut_length = 0;
    std::vector<std::string> files;
};
std::vector<Share> shares_of(const std::vector<SharedProgram>& shared, std::size_t count, const Programs& programs,
                             const Machine& machine) {
    std::vector<Share> shares(count);
    for (std::size_t k = 0; k < shared.size(); ++k) {
        const WrittenProgram& written = programs.each[k].written;
        const ReadProgram read = read_program(written.text, machine.dwell_in_milliseconds);
        const std::vector<std::uint32_t>& starts = written.part_lines;
        const std::vector<double> times = times_between(read.track, machine, starts);
        for (std::size_t n = 0; n < times.size(); ++n) shares[shared[k].parts[n].cut].time_s += times[n];
        Point3 at = read.track.start;
        for (const Move& move : read.track.moves) {
            if (move.kind != MoveKind::rapid) shares[shared[k].parts[part_of(move.line, starts)].cut].cut_length += distance(at, move.to);
            at = move.to;
        }
        for (const CutPart& part : shared[k].parts) shares[part.cut].files.push_back(programs.each[k].file);
    }
    return shares;
}

Box around(const std::vector<ProvedCut>& cuts) {
    Box box = cuts.front().box;
    for (const ProvedCut& cut : cuts) box = joined(box, cut.box);
    return box;
}

/// What was faced stands above the whole's stock, so that it shows only in what facing showed by itself.
void add_facing(const ProgramFigures& alone, ProgramFigures& shared, Proof& proof) {
    shared.removed_mm3 += alone.removed_mm3;
    shared.most_at_once = std::max(shared.most_at_once, alone.most_at_once);
    shared.largest_section = std::max(shared.largest_section, alone.largest_section);
    shared.fastest_down = std::max(shared.fastest_down, alone.fastest_down);
    proof.most_at_once = std::max(proof.most_at_once, alone.most_at_once);
    proof.largest_section = std::max(proof.largest_section, alone.largest_section);
}

Proof proof_together(const SettledJob& whole, const std::vector<SharedProgram>& shared, const std::vector<ProvedCut>& cuts,
                     const Programs& programs, const Crew& crew) {
    double breakthrough = 0;
    for (const ProvedCut& cut : cuts)
        if (cut.figure) breakthrough = std::max(breakthrough, cut.figure->design.breakthrough);
    Proof proof = proof_of(whole, {nullptr, nullptr, breakthrough}, programs, crew);
    add_designs(cuts, whole.written, proof);
    for (std::size_t k = 0; k < shared.size(); ++k)
        for (const CutPart& part : shared[k].parts)
            if (cuts[part.cut].face) add_facing(cuts[part.cut].proof.programs[part.program], proof.programs[k], proof);
    for (const Check& check : {check_lines(shared, cuts, programs), check_tabs(cuts, whole.written, proof.surface)}) {
        proof.holds = proof.holds && check.ok;
        proof.checks.push_back(check);
    }
    if (!proof.holds) refuse(whole, programs, proof);
    return proof;
}

}  // namespace

std::string called(const Cut& cut, std::size_t number) {
    const std::string what = cut.id.value_or(cut.make);
    return fmt::format("Cut {}, {}", number, what);
}

std::string within_sentence(std::string called) {
    called.front() = 'c';
    return called;
}

Finished finish_together(const Job& given, std::vector<ProvedCut>&& cuts, const std::vector<const Picture*>& pictures, const Crew& crew) {
    SettledJob whole = whole_job(given, cuts);
    const std::vector<SharedProgram> shared = shared_programs(cuts, bits_of(cuts));
    crew.say("programs");
    Programs programs = together(whole, shared, cuts);
    crew.say("proof");
    Proof proof = proof_together(whole, shared, cuts, programs, crew);
    const std::vector<Share> shares = shares_of(shared, cuts.size(), programs, whole.machine);
    settle_release(whole, programs, proof, crew);
    const Job written = whole.written;
    ProvedCut all;
    all.job = std::move(whole);
    all.proof = std::move(proof);
    all.box = around(cuts);
    JobReport report = report_of(std::move(all), nullptr, programs);
    for (std::size_t k = 0; k < cuts.size(); ++k) {
        const std::string name = heading(written, cuts[k]);
        const Programs alone = std::move(cuts[k].programs);
        report.cuts.push_back(report_of(std::move(cuts[k]), pictures[k], alone));
        JobReport& cut = report.cuts.back();
        cut.name = name;
        cut.time_s = shares[k].time_s;
        cut.cut_length = shares[k].cut_length;
        cut.files = shares[k].files;
        if (cut.face) report.face = cut.face, report.flatness_mm = 0;
    }
    return finished_of(report, written, std::move(programs), crew);
}

}  // namespace burin
