/// A photo as dots or as one line: how many dots, how small and how large, how near each other, how high the bit travels between them.
#include <algorithm>
#include <cmath>

#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_least = 0.3, usual_most = 1, usual_equal = 0.8, usual_line = 0.8, usual_gap = 0, usual_hop = 1;
constexpr double shallowest = 0.05;  // mm that the bit goes in for the smallest dot; our choice, no source
constexpr double usual_deepest = 3, left_below = 1;

/// How deep the bit may go at all.
double deepest_of(const Bit& bit, const SettledJob& job, const Cut& cut) {
    if (cut.depth) {
        check_depth(*cut.depth, job.stock.thickness, job.stock.assumed);
        return std::min(*cut.depth, bit.spec().cutting_length);
    }
    return std::min({bit.spec().cutting_length, usual_deepest, std::max(job.stock.thickness - left_below, job.stock.thickness / 2)});
}

double rounded_up_to(double mm, double step) { return std::ceil(mm / step - 1e-9) * step; }

void check_sizes(const Bit& bit, double deepest, bool swells, const StippleWishes& wishes) {
    if (!swells && (std::abs(wishes.most - bit.diameter()) > 1e-6 || std::abs(wishes.least - bit.diameter()) > 1e-6))
        throw refused(
            fmt::format("'{}' makes dots of {} mm and no others, for it is as wide at its tip as above. Leave out --most-dot and "
                        "--least-dot, or take a vee or a ball.",
                        bit.name(), number_text(bit.diameter())));
    if (const double widest = bit.width_at(deepest); wishes.most > widest + 1e-6)
        throw refused(
            fmt::format("Dots of {} mm are wider than '{}' makes them {} mm deep: {:.2f} mm. Give a smaller --most-dot, a larger "
                        "--depth or a wider bit.",
                        number_text(wishes.most), bit.name(), number_text(deepest), widest));
    if (const double tip = bit.width_at(1e-6); swells && wishes.least <= tip + 1e-6)
        throw refused(fmt::format("Dots of {} mm are no wider than the tip of '{}', {:.2f} mm. Give a larger --least-dot or a finer bit.",
                                  number_text(wishes.least), bit.name(), tip));
    if (wishes.least > wishes.most)
        throw refused(fmt::format("The smallest dots ({} mm) are larger than the largest ({} mm). Change --least-dot or --most-dot.",
                                  number_text(wishes.least), number_text(wishes.most)));
}

/// Diameters of the dots, or widths of the line.
void settle_sizes(const Bit& bit, double deepest, Chooser& choose, SettledFigure& photo) {
    SettledJob& job = photo.job;
    Cut& cut = job.written.cuts[0];
    StippleWishes& wishes = photo.dots.wishes;
    const bool swells = bit.width_at(1e-6) < bit.diameter() - 1e-6, line = photo.dots.one_line;
    const char* what = line ? "The line is" : "Dots are";
    if (line && !swells)
        throw refused(
            fmt::format("'{}' is as wide at its tip as above, so its line cannot swell with the tone. Take a vee, a tapered or a "
                        "ball bit, such as vee:60:0.1:3.175.",
                        bit.name()));
    if (!line && !choose.given("tone-by", cut.tone_by, std::string(swells ? "size" : "number")))
        job.assumed.push_back(swells ? "Dots are larger where the picture is darker (--tone-by size)."
                                     : "All dots are as wide as the bit: their number carries the tone.");
    const bool equal = !line && *cut.tone_by == "number";
    const double widest = std::floor(bit.width_at(deepest) * 1000) / 1000;
    const double most = !swells ? bit.diameter() : std::min(line ? usual_line : equal ? usual_equal : usual_most, widest);
    const bool most_given = choose.given("most-dot", cut.most_dot, most);
    wishes.most = *cut.most_dot;
    if (equal) {
        if (cut.least_dot && std::abs(*cut.least_dot - wishes.most) > 1e-9)
            throw Error(Fault::usage, "--least-dot says nothing where all dots are equal; --most-dot gives their size.");
        wishes.least = wishes.most;
        if (!most_given) job.assumed.push_back(fmt::format("All dots are {} mm wide (--most-dot).", number_text(wishes.most)));
    } else {
        const double least = std::min(std::max(usual_least, rounded_up_to(bit.width_at(shallowest), 0.01)), wishes.most);
        const bool least_given = choose.given("least-dot", cut.least_dot, least);
        wishes.least = *cut.least_dot;
        if (!most_given || !least_given)
            job.assumed.push_back(fmt::format("{} from {} to {} mm wide (--least-dot, --most-dot).", what, number_text(wishes.least),
                                              number_text(wishes.most)));
        if (!swells && !line)
            throw refused(
                fmt::format("'{}' is as wide at its tip as above: its dots cannot grow with the tone. Leave out --tone-by size, or "
                            "take a vee or a ball.",
                            bit.name()));
    }
    check_sizes(bit, deepest, swells, wishes);
    const double depth = swells ? depth_for_width(bit, wishes.most, deepest) : std::min(deepest, cut.depth.value_or(0.5));
    if (!choose.given("depth", cut.depth, std::ceil(depth * 1000 - 1e-6) / 1000))
        job.assumed.push_back(fmt::format("No depth was given: {} mm, {}.", number_text(*cut.depth),
                                          swells ? "as wide as the largest dots ask" : "which shows well"));
    job.depth = std::min(*cut.depth, bit.spec().cutting_length);
}

}  // namespace

void settle_dots(const Bit& bit, Chooser& choose, SettledFigure& photo) {
    SettledJob& job = photo.job;
    Cut& cut = job.written.cuts[0];
    StippleWishes& wishes = photo.dots.wishes;
    choose.given("one-line", cut.one_line, false);
    photo.dots.one_line = *cut.one_line;
    wishes.dots = static_cast<int>(cut.dots.value_or(0));
    if (!cut.dots) job.assumed.push_back("No number of dots was given: as many as the darkest tones need.");
    settle_sizes(bit, deepest_of(bit, job, cut), choose, photo);
    if (photo.dots.one_line) {
        if (cut.dot_gap || cut.hop || cut.tone_by)
            throw Error(Fault::usage, "--dot-gap, --hop and --tone-by speak of dots, and --one-line makes none.");
        wishes.gap = 0;
    } else {
        choose.given("dot-gap", cut.dot_gap, usual_gap);
        wishes.gap = *cut.dot_gap;
        if (!choose.given("hop", cut.hop, std::min(usual_hop, job.safe_height)))
            job.assumed.push_back(
                fmt::format("From dot to dot the bit travels {} mm above the stock top (--hop): nothing may stand higher between them.",
                            number_text(*cut.hop)));
        photo.dots.hop = std::min(*cut.hop, job.safe_height);
    }
    if (!choose.given("tolerance", cut.tolerance, 0.005) && photo.dots.one_line)
        job.assumed.push_back("Paths keep within 0.005 mm of the exact ones.");
    job.tolerance = *cut.tolerance;
    if (cut.fill) photo.fill = parse_colour(*cut.fill);
}

}  // namespace burin
