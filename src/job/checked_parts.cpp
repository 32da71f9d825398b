/// What stands round programs that come from files.
#include "checked_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double margin = 5, usual_thickness = 12;

/// The bit that the comment of a program names, as ours do.
std::string named_bit(const std::string& text) {
    constexpr std::string_view mark = "(Bit ";
    const std::string head = text.substr(0, 2000);
    const std::size_t at = head.find(mark);
    if (at == std::string::npos) return "";
    const std::size_t from = at + mark.size(), end = head.find_first_of(")\n", from);
    return end == std::string::npos || head[end] != ')' ? "" : head.substr(from, end - from);
}

/// Whether the comments of a program say, as ours do, that it finishes a relief: then its bit may take what roughing left besides.
bool says_finishing(const std::string& text) {
    const std::string head = text.substr(0, 2000);
    return head.find("finishing)") != std::string::npos;
}

}  // namespace

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

std::vector<Bit> bits_for(const std::vector<CheckedFile>& files, const Cut& cut, const PresetFolders& presets,
                          std::vector<std::string>& remarks) {
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
        remarks.push_back(fmt::format("{}: the bit is {}, as its comment says.", file.name, name));
    }
    return bits;
}

void Extent::take(const Point3& p) {
    box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
    box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
    deepest = std::min(deepest, p.z);
}

Extent extent_of_programs(const std::vector<ReadProgram>& programs) {
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

Stock stock_for(const Job& job, const Machine& machine, const Extent& extent, std::vector<std::string>& remarks) {
    if (job.stock) {
        const StockSize size = parse_stock(*job.stock);
        Stock stock = stock_of(size, job.zero.value_or(usual_zero(size)));
        stock.keep_outs = keep_outs_of(job.keep_outs, machine);
        return stock;
    }
    Stock stock;
    stock.keep_outs = keep_outs_of(job.keep_outs, machine);
    const double thickness = std::max(usual_thickness, std::ceil(-extent.deepest + 1));
    stock.bounds = {{extent.box.lo.x - margin, extent.box.lo.y - margin}, {extent.box.hi.x + margin, extent.box.hi.y + margin}};
    stock.thickness = thickness;
    stock.assumed = true;
    remarks.push_back(
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
        const double more = says_finishing(files[k].text) ? task.allowance : 0;
        if (more > 0)
            report.assumed.push_back(
                fmt::format("{} finishes a relief, as its comment says: it may take {} mm more at once than the depth "
                            "per pass, for what roughing left.",
                            files[k].name, number_text(more)));
        task.programs.push_back({.file = files[k].name,
                                 .text = files[k].text,
                                 .bit = bits[k],
                                 .feed = cut.feed.value_or(machine.most_feed),
                                 .plunge = feeds.plunge,
                                 .most_at_once = feeds.depth_per_pass + more,
                                 .spin_up_s = 0,
                                 .pass_lines = {}});
        report.programs.push_back({files[k].name, bits[k], std::move(feeds), more, "checked"});
    }
    return task;
}

}  // namespace burin
