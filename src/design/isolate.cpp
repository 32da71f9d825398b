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
#include <map>
#include <numbers>
#include <numeric>
#include <optional>

#include "burin/base/error.hpp"
#include "burin/design/trace.hpp"
#include "burin/shape/edge_distance.hpp"
#include "burin/shape/medial_axis.hpp"

namespace burin {
namespace {

constexpr double spare = 0.003;          // mm that the tip keeps off: arcs of offsets are chords
constexpr double sliver = 0.01;          // mm: thinner closed places are rounding
constexpr double shallow = 0.01;         // mm below the copper that a shallower groove must keep
constexpr double nearer = 0.3;           // of a step: the first ring reaches into the corners of the field (1 − 0.3 < 1/√2)
constexpr std::size_t most_rings = 400;  // of a board that is cleared
constexpr std::size_t most_told = 5;

Region alone(const Figure& figure) {
    std::vector<Loop> loops{figure.outer};
    loops.insert(loops.end(), figure.holes.begin(), figure.holes.end());
    return Region(loops);
}

bool meet(const Box& a, const Box& b, double more) {
    return a.lo.x <= b.hi.x + more && b.lo.x <= a.hi.x + more && a.lo.y <= b.hi.y + more && b.lo.y <= a.hi.y + more;
}

/// The copper's pieces, asked how far places are from them.
class Pieces {
public:
    explicit Pieces(const Region& copper) : copper_(copper), searches_(copper.figures().size()) {
        for (const Figure& figure : copper.figures()) boxes_.push_back(box_of(figure.outer));
    }
    [[nodiscard]] const EdgeSearch& operator[](std::size_t k) {
        if (!searches_[k]) searches_[k].emplace(alone(copper_.figures()[k]));
        return *searches_[k];
    }
    /// Those whose line the place's own touches.
    [[nodiscard]] std::vector<std::size_t> beside(const Figure& place) {
        const Box box = box_of(place.outer);
        std::vector<std::size_t> found;
        for (std::size_t k = 0; k < boxes_.size(); ++k) {
            if (!meet(boxes_[k], box, spare)) continue;
            const auto touches = [&](const Point& p) { return (*this)[k].nearest(p).distance < spare; };
            if (std::any_of(place.outer.begin(), place.outer.end(), touches)) found.push_back(k);
        }
        return found;
    }

private:
    const Region& copper_;
    std::vector<Box> boxes_;
    std::vector<std::optional<EdgeSearch>> searches_;
};

/// Where two pieces come nearest to each other along a closed place: at a corner of one of them (plane geometry).
NarrowGap narrowest(const Figure& place, const std::vector<std::size_t>& beside, Pieces& pieces) {
    NarrowGap gap;
    gap.width = 1e9;
    for (const Point& p : place.outer)
        for (const std::size_t a : beside) {
            const auto here = pieces[a].nearest(p);
            if (here.distance >= spare) continue;
            for (const std::size_t b : beside) {
                if (b == a) continue;
                const auto across = pieces[b].nearest(here.at);
                if (across.distance < gap.width)
                    gap = {{(here.at.x + across.at.x) / 2, (here.at.y + across.at.y) / 2}, across.distance, true, false};
            }
        }
    return gap;
}

/// The widest of a place that harms nobody: the largest disc in it.
NarrowGap notch(const Figure& place) {
    NarrowGap gap;
    gap.joins = false;
    for (const AxisNode& node : medial_axis(alone(place), 0.01, {}).nodes)
        if (2 * node.radius > gap.width) gap.at = node.at, gap.width = 2 * node.radius;
    return gap;
}

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

struct Closed {
    std::vector<NarrowGap> gaps;
    Region uncut;
    std::vector<Groove> middles;  ///< of gaps that are cut all the same
};

/// Every place that the groove does not get into, and what becomes of it.
Closed look_at_gaps(const FigureDesign& design, const Region& tips, double radius, double depth, const BoardWishes& wishes,
                    const Crew& crew) {
    Closed closed;
    const Region narrow = opened_by(without(offset_by(tips, -radius), design.traced), sliver / 2);
    Pieces pieces(design.traced);
    std::vector<Loop> uncut;
    for (const Figure& place : narrow.figures()) {
        crew.check();
        const std::vector<std::size_t> beside = pieces.beside(place);
        NarrowGap gap = beside.size() > 1 ? narrowest(place, beside, pieces) : notch(place);
        if (gap.joins && gap.width >= 2 * (radius - wishes.squeeze)) {
            gap.squeezed = true;
            for (const MiddleLine& line : middle_lines(alone(place), crew)) {
                Groove groove;
                groove.closed = line.line.closed;
                for (const Point& p : line.line.points) groove.tip.push_back({p.x, p.y, -depth});
                closed.middles.push_back(std::move(groove));
            }
        } else {
            uncut.push_back(place.outer);
            uncut.insert(uncut.end(), place.holes.begin(), place.holes.end());
            // What a round bit leaves in a corner is no gap: in a right one a disc of a sixth of the bit's radius.
            if (!gap.joins && gap.width < radius / 2) continue;
        }
        closed.gaps.push_back(gap);
    }
    closed.uncut = Region(uncut);
    std::stable_sort(closed.gaps.begin(), closed.gaps.end(),
                     [](const NarrowGap& a, const NarrowGap& b) { return std::pair(!a.joins, a.width) < std::pair(!b.joins, b.width); });
    return closed;
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
    Closed closed = look_at_gaps(design, tips, radius + spare, depth, wishes, crew);
    refuse_joined(closed, groove, depth, wishes, bit);
    add_rings(design, tips, depth);
    std::move(closed.middles.begin(), closed.middles.end(), std::back_inserter(design.grooves));
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
