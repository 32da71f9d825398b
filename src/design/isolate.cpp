/// Circuit boards: the tip goes round the copper at half the groove's width, so that the groove's rim is the copper's line.
///
/// Width of a groove: what the bit has at its depth; a vee with a tip of t and an included angle of θ cuts w = t + 2 d tan(θ/2) (plane
/// geometry). Where two pieces lie nearer to each other than w their offsets run into one, and no groove passes between them. Such gaps
/// are what the closing of the copper by a disc of w (Serra 1982) adds to it. One whose sides may each lose (w − gap) / 2 is cut along
/// its middle (medial axis, Blum 1967); any other between two pieces is told, with what would open it.
/// Cost: an offset of the copper a pass; the axis of narrow gaps alone.
#include "isolate.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "gaps.hpp"

namespace burin {
namespace {

constexpr double spare = gap_spare;      // mm that the tip keeps off: arcs of offsets are chords
constexpr double shallow = 0.01;         // mm below the copper that a shallower groove must keep
constexpr double nearer = 0.3;           // of a step: the first ring reaches into the corners of the field (1 − 0.3 < 1/√2)
constexpr std::size_t most_rings = 400;  // of a board that is cleared
constexpr std::size_t most_told = 5;

/// Vees of the trade, the stronger first, that are narrow enough at this depth.
std::string bit_for(double width, double depth) {
    for (const double angle : {60.0, 30.0, 20.0, 10.0})
        if (0.1 + 2 * depth * std::tan(angle * std::numbers::pi / 360) <= width) return fmt::format("--bit vee:{:.0f}:0.1:3.175", angle);
    return fmt::format("a bit whose tip is narrower than {:.2f} mm", std::floor(width * 100) / 100);
}

/// What opens a gap: less depth, another bit, a larger board.
std::string what_opens(const NarrowGap& gap, double depth, const BoardWishes& wishes, const Bit& bit) {
    const double wide = gap.width + 2 * wishes.squeeze;
    double low = 0, high = depth;
    for (int k = 0; k < 40; ++k) {
        const double middle = (low + high) / 2;
        (bit.width_at(middle) <= wide - 2 * spare ? low : high) = middle;
    }
    const double shallower = std::floor(low * 1000) / 1000;
    if (shallower >= wishes.copper + shallow)
        return fmt::format("--depth {:.3f} opens it, if the board is flat within {:.3f} mm; so does {}", shallower,
                           shallower - wishes.copper, bit_for(wide, depth));
    return bit_for(wide, depth) + " opens it";
}

void add_rings(FigureDesign& design, const Region& ring, double depth) {
    for (const Loop& loop : simplified(ring, 0.001).loops()) {
        Groove groove;
        groove.closed = true;
        for (const Point& p : loop) groove.tip.push_back({p.x, p.y, -depth});
        design.grooves.push_back(std::move(groove));
    }
}

void refuse_joined(const Closed& closed, double groove, double depth, const BoardWishes& wishes, const Bit& bit) {
    const auto joined = [](const NarrowGap& gap) { return gap.joins && !gap.squeezed; };
    const auto count = static_cast<std::size_t>(std::count_if(closed.gaps.begin(), closed.gaps.end(), joined));
    if (count == 0) return;
    std::string text = fmt::format(
        "{} of the copper {} too narrow for the groove, which is {:.3f} mm wide, and what must be parted there would stay joined:",
        count == 1 ? "A gap" : fmt::format("{} gaps", count), count == 1 ? "is" : "are", groove);
    std::size_t told = 0;
    for (const NarrowGap& gap : closed.gaps)
        if (joined(gap) && told++ < most_told)
            text +=
                fmt::format("\n  {:.3f} mm at X{:.2f} Y{:.2f}: {}.", gap.width, gap.at.x, gap.at.y, what_opens(gap, depth, wishes, bit));
    if (count > most_told) text += fmt::format("\n  and {} more.", count - most_told);
    text += "\nOr let --squeeze take a little of both sides, or make the board larger.";
    throw Error(Fault::refused, text);
}

void tell(FigureDesign& design, double depth, const BoardWishes& wishes, const Bit& bit) {
    const BoardDesign& board = *design.board;
    design.notes.push_back(
        fmt::format("The groove is {:.3f} mm wide at the top: what '{}' has at a depth of {:.3f} mm.", board.groove, bit.name(), depth));
    design.notes.push_back(fmt::format("The drawing holds {} {} of copper.", board.copper.figures().size(),
                                       board.copper.figures().size() == 1 ? "piece" : "pieces"));
    std::size_t squeezed = 0, notches = 0;
    for (const NarrowGap& gap : board.gaps) (gap.squeezed ? squeezed : notches) += 1;
    if (squeezed > 0)
        design.warnings.push_back(fmt::format(
            "{} narrower than the groove {} cut along the middle all the same: the copper beside it loses up to {:.3f} mm (--squeeze).",
            squeezed == 1 ? "A gap" : fmt::format("{} gaps", squeezed), squeezed == 1 ? "is" : "are",
            (board.groove - board.gaps.front().width) / 2));
    if (notches > 0)
        design.notes.push_back(fmt::format(
            "{} within one piece of copper {} too narrow for the groove and {} filled with copper, which joins nothing.",
            notches == 1 ? "A gap" : fmt::format("{} gaps", notches), notches == 1 ? "is" : "are", notches == 1 ? "stays" : "stay"));
    if (wishes.squeeze > 0.02)
        design.warnings.push_back(
            fmt::format("--squeeze {:.3g} may take so much off either side of a track in narrow gaps: thin tracks "
                        "carry less current there and peel off more easily.",
                        wishes.squeeze));
}

}  // namespace

void isolate(FigureDesign& design, const Region& field, const FigureWishes& figure, const Bit& bit, const Crew& crew) {
    const BoardWishes& wishes = figure.board;
    const double depth = figure.depth, groove = bit.width_at(depth), radius = groove / 2;
    if (!(groove > 0.01))
        throw Error(Fault::refused, fmt::format("The bit '{}' is too sharp for a groove {:.3f} mm deep: it would be {:.3f} mm wide. Give a "
                                                "larger --depth or another --bit.",
                                                bit.name(), depth, groove));
    const double step = groove * (1 - wishes.overlap);
    const Region tips = offset_by(design.traced, radius + spare);
    design.floor = -depth;
    Closed closed = look_at_gaps(design.traced, tips, radius + spare, wishes.squeeze, crew);
    refuse_joined(closed, groove, depth, wishes, bit);
    add_rings(design, tips, depth);
    for (const Polyline& line : closed.middles) {
        Groove along;
        along.closed = line.closed;
        for (const Point& p : line.points) along.tip.push_back({p.x, p.y, -depth});
        design.grooves.push_back(std::move(along));
    }
    if (wishes.clear) {
        const Region ground = without(field, tips);
        for (std::size_t ring = 1;; ++ring) {
            crew.check();
            const Region left = offset_by(ground, -step * (static_cast<double>(ring) - nearer));
            if (left.empty()) break;
            if (ring > most_rings)
                throw Error(Fault::refused,
                            fmt::format("Clearing all the copper would take more than {} rings of {:.3f} mm each. Give a wider --bit, or "
                                        "leave --clear out: the grooves alone part the copper.",
                                        most_rings, step));
            add_rings(design, left, depth);
        }
    } else {
        for (int pass = 1; pass < wishes.passes; ++pass) add_rings(design, offset_by(design.traced, radius + spare + pass * step), depth);
    }
    design.board = BoardDesign{design.traced,           wishes.copper,         groove, std::max(0.02, wishes.squeeze + 0.01),
                               std::move(closed.uncut), std::move(closed.gaps)};
    tell(design, depth, wishes, bit);
}

}  // namespace burin
