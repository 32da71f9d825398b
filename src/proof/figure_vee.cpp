// A figure with walls as steep as a vee bit (incised), with a floor where it is too wide for its depth, against what is left.
//
// On such a wall every height tells where the wall stands at the stock top: −z·tan(half angle) from it (plane geometry). Cell by
// cell this is compared with the exact distance to the traced line, both ways, from the rim down to the floor: so it is finer than
// the cells. What the tip's flat, t wide, cannot enter is taken off: the tip goes as deep as the distance at its axis lets it, and
// covers t⁄2 around; over x that is  max over |y − x| ≤ t⁄2 of distance(y) − t⁄2,  which differs from the plain distance only
// where the line is nearly as near on another side (the figure's middle, Blum 1967) and in corners. It is reckoned there alone,
// from the pieces of line that can be nearest.
// In corners a contour at the stock top goes farther back than the wall under it stands off: so points along the opening's edge are
// asked besides how near the bit comes.
// Cost: one distance map as deep as the walls are wide, a look at every cell; some hundreds of distances a cell along the middle.
#include <cmath>
#include <numbers>

#include "burin/shape/edge_distance.hpp"
#include "figure.hpp"

namespace burin::proving {
namespace {

constexpr int grain = 64;
constexpr double surely = 0.01;  // mm: told by the plain distance, which is never less

/// How far sideways the vee can come at x, its flat tip reckoned.
class VeeReach {
public:
    VeeReach(const Region& may, double tip) : tip_(tip), line_(segments_of(may.loops()), 0.5) {
        const int rings = std::clamp(static_cast<int>(std::ceil(tip / 2 / 0.01)), 1, 12);
        constexpr int directions = 24;
        for (int r = 1; r <= rings; ++r)
            for (int k = 0; k < directions; ++k) {
                const double angle = 2 * std::numbers::pi * k / directions, radius = tip / 2 * r / rings;
                disc_.push_back({radius * std::cos(angle), radius * std::sin(angle)});
            }
    }
    /// `inside` is the distance at x, exact.
    double operator()(const Point& x, double inside) const {
        if (!(tip_ > 0)) return inside;
        std::vector<Segment> beside;
        line_.near(x, x, inside + tip_, [&](const Segment& s) {
            if (distance_to(s, x) <= inside + tip_ && (beside.empty() || beside.back().tag != s.tag)) beside.push_back(s);
            return true;
        });
        double most = inside;
        for (const Point& by : disc_) {
            const Point y{x.x + by.x, x.y + by.y};
            double least = inside + tip_;
            for (const Segment& s : beside)
                if (const double d = distance_to(s, y); d < least) {
                    least = d;
                    if (least <= most) break;
                }
            most = std::max(most, least);
        }
        return most - tip_ / 2;
    }

private:
    double tip_;
    SegmentIndex line_;
    std::vector<Point> disc_;
};

struct RowsSeen {
    Peak over, short_of, below, on_floor;
    bool floor_broken = false;
    double squares = 0, cells = 0;
};

struct Walls {
    double floor, tan, deepest, tip, may;  // deepest: sideways width of a wall down to the floor
};

void look_at_row(const FigureCase& c, const Grid<float>& inside, const Walls& w, const VeeReach& reach, int j, RowsSeen& band) {
    const HeightMap& surface = c.surface;
    const float *s = surface.row(j), *d = inside.row(j);
    for (int i = 0; i < surface.width(); ++i) {
        if (s[i] >= 0 && d[i] <= 0) continue;
        const double z = static_cast<double>(s[i]), line = static_cast<double>(d[i]), wide = -z * w.tan, up = z - w.floor;
        if (z < -depth_slack && wide - line > band.over.value) band.over.take(wide - line, surface.centre(i, j), z);
        if (-up > band.below.value) band.below.take(-up, surface.centre(i, j), z);
        if (line <= 0 || (up > w.may && !c.task.stock.holds(surface.centre(i, j)))) continue;
        if (line - w.tip / 2 >= w.deepest + line_slack) {
            band.squares += up > 0 ? up * up : 0, band.cells += 1;
            if (up > band.on_floor.value) band.on_floor.take(up, surface.centre(i, j), z);
            if (up > w.may) band.floor_broken = true;
            continue;
        }
        if (up <= w.may) continue;
        const double plain = std::min(line, w.deepest) - wide;
        if (plain <= band.short_of.value) continue;
        const double least = std::min(line - w.tip / 2, w.deepest) - wide;
        if (plain <= surely || least > std::max(line_slack, band.short_of.value)) {
            band.short_of.take(plain <= surely ? plain : least, surface.centre(i, j), z);
            continue;
        }
        const double can = reach(surface.centre(i, j), line);
        if (can >= w.deepest + line_slack) {
            band.floor_broken = true;
            if (up > band.on_floor.value) band.on_floor.take(up, surface.centre(i, j), z);
        } else {
            band.short_of.take(std::min(can, w.deepest) - wide, surface.centre(i, j), z);
        }
    }
}

/// Cells cut deeper than may be, with what they may be cut to.
HeightMap limits(const HeightMap& surface, const Grid<float>& inside, const Walls& w, bool of_floor) {
    HeightMap limit = surface.like(far_below);
    for (int j = 0; j < surface.height(); ++j)
        for (int i = 0; i < surface.width(); ++i) {
            const double line = static_cast<double>(inside(i, j));
            const double least = of_floor ? w.floor - depth_slack : std::min(-depth_slack, -(line + line_slack) / w.tan);
            if (static_cast<double>(surface(i, j)) < least) limit(i, j) = static_cast<float>(least);
        }
    return limit;
}

}  // namespace

FigureSeen against_vee_walls(const FigureCase& c) {
    const HeightMap& surface = c.surface;
    Walls w{c.figure.floor, std::tan(c.figure.half_angle), 0, 0, 0};
    w.deepest = -w.floor * w.tan;
    w.may = depth_slack + vee_floor_slack + c.task.scallop;
    for (const ProofProgram& program : c.task.programs)
        if (program.bit.shape() == BitShape::vee) w.tip = program.bit.spec().tip;
    const Grid<float> inside = edge_distance(c.figure.may, surface, std::max(1.0, w.deepest + w.tip + 0.1), c.crew);
    const VeeReach reach(c.figure.may, w.tip);
    std::vector<RowsSeen> bands(static_cast<std::size_t>((surface.height() + grain - 1) / grain));
    over_rows(c.crew, surface.height(), grain, [&](int first, int last) {
        for (int j = first; j < last; ++j) look_at_row(c, inside, w, reach, j, bands[static_cast<std::size_t>(first / grain)]);
    });
    RowsSeen all;
    for (const RowsSeen& band : bands) {
        all.over.take(band.over), all.short_of.take(band.short_of), all.below.take(band.below), all.on_floor.take(band.on_floor);
        all.floor_broken |= band.floor_broken;
        all.squares += band.squares, all.cells += band.cells;
    }
    FigureSeen seen;
    seen.may_stand = w.may;
    seen.standing_rms = all.cells > 0 ? std::sqrt(all.squares / all.cells) : 0;
    seen.over = {all.over.value, all.over.place, all.over.value > line_slack, {}};
    seen.below = {all.below.value, all.below.place, all.below.value > depth_slack, {}};
    seen.standing = {all.on_floor.value, all.on_floor.place, all.floor_broken, {}};
    seen.short_of = {all.short_of.value, all.short_of.place, all.short_of.value > line_slack, {}};
    const std::vector<Loop> entered =
        figure_by_figure(c.figure.may, c.crew, [&](const Region& f) { return w.tip > 0 ? opened_by(f, w.tip / 2) : f; });
    std::vector<Point> edge = points_along(entered);
    std::erase_if(edge, [&](const Point& p) { return !c.task.stock.holds(p); });
    if (const Seen rim = short_of_edge(c, edge, 0, 0); rim.value > seen.short_of.value) seen.short_of = rim;
    if (seen.over.broken) seen.over.by = first_below(limits(surface, inside, w, false), c.ways, c.crew);
    if (seen.below.broken) seen.below.by = first_below(limits(surface, inside, w, true), c.ways, c.crew);
    for (Seen* s : {&seen.standing, &seen.short_of})
        if (s->broken) {
            const Point place{s->place.x, s->place.y};
            if (!s->by) s->by = lowest_at(place, c.ways);
            if (!s->by) s->by = nearest_to(place, c.ways);
        }
    return seen;
}

}  // namespace burin::proving
