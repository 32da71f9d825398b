/// Gaps of a board's artwork that a round tool does not get into: what the closing of the copper by its disc (Serra 1982) adds to it.
#include "gaps.hpp"

#include <algorithm>
#include <optional>

#include "burin/design/trace.hpp"
#include "burin/shape/edge_distance.hpp"
#include "burin/shape/medial_axis.hpp"

namespace burin {
namespace {

constexpr double sliver = 0.01;  // mm: thinner closed places are rounding
constexpr double hair = 0.004;   // mm: half the width of the way through a gap where it is narrowest

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
            if (!meet(boxes_[k], box, gap_spare)) continue;
            const auto touches = [&](const Point& p) { return (*this)[k].nearest(p).distance < gap_spare; };
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
            if (here.distance >= gap_spare) continue;
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

/// Where a gap's middle may run: nowhere nearer to the copper than in its narrowest place, lest an end that runs out into a corner of the
/// gap takes more of it.
Region way_through(const Figure& place, const Region& copper, double width) {
    const Box box = box_of(place.outer);
    std::vector<Loop> loops;
    for (const Figure& figure : copper.figures()) {
        if (!meet(box_of(figure.outer), box, width)) continue;
        loops.push_back(figure.outer);
        loops.insert(loops.end(), figure.holes.begin(), figure.holes.end());
    }
    return without(alone(place), offset_by(Region(loops), std::max(0.0, width / 2 - hair)));
}

}  // namespace

void narrowest_first(std::vector<NarrowGap>& gaps) {
    std::stable_sort(gaps.begin(), gaps.end(),
                     [](const NarrowGap& a, const NarrowGap& b) { return std::pair(!a.joins, a.width) < std::pair(!b.joins, b.width); });
}

Closed look_at_gaps(const Region& copper, const Region& grown, double radius, double squeeze, const Crew& crew) {
    Closed closed;
    const Region narrow = opened_by(without(offset_by(grown, -radius), copper), sliver / 2);
    Pieces pieces(copper);
    std::vector<Loop> uncut;
    for (const Figure& place : narrow.figures()) {
        crew.check();
        const std::vector<std::size_t> beside = pieces.beside(place);
        NarrowGap gap = beside.size() > 1 ? narrowest(place, beside, pieces) : notch(place);
        if (gap.joins && gap.width >= 2 * (radius - squeeze)) {
            gap.squeezed = true;
            for (const MiddleLine& line : middle_lines(way_through(place, copper, gap.width), crew)) closed.middles.push_back(line.line);
        } else {
            uncut.push_back(place.outer);
            uncut.insert(uncut.end(), place.holes.begin(), place.holes.end());
            // What a round bit leaves in a corner is no gap: in a right one a disc of a sixth of the bit's radius.
            if (!gap.joins && gap.width < radius / 2) continue;
        }
        closed.gaps.push_back(gap);
    }
    closed.uncut = Region(uncut);
    narrowest_first(closed.gaps);
    return closed;
}

}  // namespace burin
