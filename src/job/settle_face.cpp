/// Every question of facing answered: where the plane lies, how far the bit may run out, how the rows lie.
#include <algorithm>
#include <cmath>

#include "burin/job/options.hpp"
#include "burin/toolpath/face.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_skim = 0.2;   // mm: what a slip of paper and a hand may err by, twice; our choice, no source
constexpr double usual_step = 0.45;  // of the diameter: roughing 40–50 %; common practice, no source
constexpr double most_step = 0.8;    // likewise: more leaves ridges in the corners of spirals
constexpr double usual_beyond = 1;   // mm that the bit is clear of the stock's edge; our choice, no source
constexpr double most_rise = 20;     // mm: more is another job

void check_wishes(const Job& job) {
    const Cut& cut = job.cuts[0];
    if (!job.stock)
        throw Error(Fault::usage,
                    "The size of what is to be faced was not given: add --stock, as in --stock 100x80x20 (width, depth, thickness).");
    if (!cut.highest || !cut.lowest)
        throw Error(Fault::usage,
                    "How uneven the top is was not said. Touch its highest and its lowest place with the bit's tip, the spindle off, and "
                    "give both heights as the machine shows them: --highest 1.2 --lowest 0.1. Any zero will do, for only their difference "
                    "counts.");
    if (*cut.highest < *cut.lowest)
        throw Error(Fault::usage, fmt::format("--highest {} lies below --lowest {}: the first is the height of the highest place.",
                                              number_text(*cut.highest), number_text(*cut.lowest)));
    if (cut.spoilboard.value_or(false) && cut.run_out)
        throw Error(Fault::usage, "--run-out says nothing beside --spoilboard, of which the bit stays inside: leave one out.");
    if (cut.one_way.value_or(false) && cut.sweep == "spiral")
        throw Error(Fault::usage, "--one-way says nothing for a spiral, which always runs the same way: leave one out.");
    if (cut.conventional.value_or(false) && cut.sweep.value_or("rows") == "rows" && !cut.one_way.value_or(false))
        throw Error(Fault::usage,
                    "--conventional says nothing for rows to and fro, which climb one way and not the other: add --one-way, or take a "
                    "spiral.");
}

void settle_plane(Chooser& choose, SettledFace& face) {
    SettledJob& job = face.job;
    Cut& cut = job.written.cuts[0];
    if (!choose.given("skim", cut.skim, usual_skim))
        job.assumed.push_back(fmt::format("The plane lies {} mm below the lowest place (--skim).", number_text(usual_skim)));
    face.highest = *cut.highest, face.lowest = *cut.lowest, face.skim = *cut.skim;
    job.rise = job.top = std::round((face.highest - face.lowest + face.skim) * 1e4) / 1e4;
    job.depth = job.rise;
    if (!(job.rise > 0))
        throw refused("There is nothing to take off: highest and lowest place are the same, and --skim is 0. Give a --skim such as 0.2.");
    if (job.rise > most_rise)
        throw refused(
            fmt::format("The highest place stands {} mm above the plane, and at most {} mm are faced: saw or plane the stock "
                        "first, or look at --highest and --lowest.",
                        number_text(job.rise), number_text(most_rise)));
    job.assumed.push_back(fmt::format(
        "Z0 is the finished plane: {} mm (--highest) less {} mm (--lowest) and {} mm below make {} mm that the highest place stands above "
        "it. The thickness of the stock, {} mm, is what is left below that plane.",
        number_text(face.highest), number_text(face.lowest), number_text(face.skim), number_text(job.rise),
        number_text(job.stock.thickness)));
}

void check_bit(const Bit& bit) {
    if (bit.shape() != BitShape::flat)
        throw refused(
            fmt::format("The bit '{}' would leave grooves: facing wants a flat one, the wider the better, such as flat-6 or "
                        "flat-12.7.",
                        bit.name()));
}

void settle_room(const Bit& bit, Chooser& choose, SettledFace& face) {
    SettledJob& job = face.job;
    Cut& cut = job.written.cuts[0];
    const Point size{job.stock.bounds.width(), job.stock.bounds.height()};
    const double r = bit.radius();
    choose.given("spoilboard", cut.spoilboard, false);
    face.spoilboard = *cut.spoilboard;
    const double free = std::min(job.machine.travel[0] - size.x, job.machine.travel[1] - size.y) / 2;
    if (face.spoilboard) {
        if (job.stock.outline == Outline::round)
            throw Error(Fault::usage, "An area of the spoilboard is a rectangle: give --stock as width x depth x thickness.");
        if (std::min(size.x, size.y) < 2 * bit.diameter())
            throw refused(fmt::format("The area is too small for the bit '{}', which is {} mm wide: give twice that at least.", bit.name(),
                                      number_text(bit.diameter())));
        face.run_out = -r;
        if (free + r < 0)
            throw refused(fmt::format("The area is larger than what '{}' reaches with the bit '{}': {} × {} mm.", job.machine.name,
                                      bit.name(), number_text(job.machine.travel[0] + bit.diameter()),
                                      number_text(job.machine.travel[1] + bit.diameter())));
        job.assumed.push_back("The bit stays within the area, whose corners keep its radius, and ramps in.");
        return;
    }
    if (!cut.run_out && free < 0)
        throw refused(
            fmt::format("The stock of {} × {} mm is larger than the travel of '{}', {} × {} mm, and its edges could not be "
                        "reached. To level the board that the machine cuts on, add --spoilboard.",
                        number_text(size.x), number_text(size.y), job.machine.name, number_text(job.machine.travel[0]),
                        number_text(job.machine.travel[1])));
    const double usual = r + usual_beyond;
    if (!choose.given("run-out", cut.run_out, std::floor(std::min(usual, free) * 100) / 100))
        job.assumed.push_back(
            *cut.run_out >= r + face_clearance
                ? fmt::format("The bit's middle goes {} mm beyond the stock's edge (--run-out), and enters from beside it.",
                              number_text(*cut.run_out))
                : fmt::format("The machine's travel leaves room for the bit's middle to go {} mm beyond the stock's edge, so the bit ramps "
                              "in.",
                              number_text(*cut.run_out)));
    face.run_out = *cut.run_out;
}

void settle_ways(const Bit& bit, Chooser& choose, SettledFace& face) {
    SettledJob& job = face.job;
    Cut& cut = job.written.cuts[0];
    if (!choose.given("stepover", cut.stepover, rounded(usual_step * bit.diameter())))
        job.assumed.push_back(fmt::format("Rows lie {} mm apart, {:.0f} % of the bit's diameter (--stepover; common practice is 40 to 50).",
                                          number_text(*cut.stepover), usual_step * 100));
    if (*cut.stepover > most_step * bit.diameter() + 1e-9)
        throw refused(
            fmt::format("A stepover of {} mm is more than {:.0f} % of the bit's diameter ({} mm), and ridges could be left. Give "
                        "a smaller --stepover.",
                        number_text(*cut.stepover), most_step * 100, number_text(bit.diameter())));
    face.stepover = *cut.stepover;
    choose.given("sweep", cut.sweep, std::string("rows"));
    choose.given("one-way", cut.one_way, false);
    choose.given("conventional", cut.conventional, false);
    face.spiral = *cut.sweep == "spiral";
    face.one_way = *cut.one_way;
    face.conventional = *cut.conventional;
}

}  // namespace

SettledFace settle_face(const Job& given, const Workshop& workshop, const Source& source) {
    check_wishes(given);
    if (workshop.bits.size() > 1) throw Error(Fault::usage, "Facing takes one bit: give --bit once.");
    const Bit& bit = workshop.bits.back();
    check_bit(bit);
    SettledFace face;
    SettledJob& job = face.job;
    job.written = given;
    Chooser choose(job.written.reckoned), choose_cut(job.written.cuts.at(0).reckoned);
    settle_names(given, workshop, source, bit.name(), choose, choose_cut, job);
    const StockSize sizes = parse_stock(*given.stock);
    if (!choose.given("zero", job.written.zero, usual_zero(sizes)))
        job.assumed.push_back(fmt::format("No zero was given: {} of the stock, seen from above.", usual_zero(sizes)));
    job.stock = stock_of(sizes, *job.written.zero);
    settle_keep_outs(job);
    job.at = job.stock.bounds.centre();
    job.size = {job.stock.bounds.width(), job.stock.bounds.height()};
    settle_run(choose, job);
    settle_plane(choose_cut, face);
    job.safe_height += job.rise;
    settle_bits(workshop, true, job);
    job.allowance = 0;
    settle_room(bit, choose_cut, face);
    settle_ways(bit, choose_cut, face);
    return face;
}

}  // namespace burin
