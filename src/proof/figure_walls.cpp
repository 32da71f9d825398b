// A figure with a flat floor and upright walls (pocket, outline beside the line, cut-out) against what is left.
//
// Over the line: where the stock is lowered, a cell's centre must lie in the figure, or little outside; and since walls upright
// between two rows of cells say nothing of where they stand, every piece of way is held against every piece of the line near it:
// the bit goes over by its half width less the distance between both (exact; plane geometry).
// Short of it: the tip may be where the bit's half width fits (the figure shrunk by it; Minkowski), and what the bit covers from
// there is to be taken: the figure's opening (Serra 1982). Cells in there must lie at the floor; and from points along the
// opening's edge, the way along the floor must be no farther than the bit's half width. What stands farther than a bit's width
// from that edge, where a pass along the wall would not come, is told as left standing.
// Cost: two distance maps, a look at every cell; pieces of way × pieces of line near them; points each 0.02 mm of edge.
#include <cmath>

#include "burin/shape/edge_distance.hpp"
#include "figure.hpp"

namespace burin::proving {
namespace {

constexpr double fit = 0.005;           // mm: what is narrower than the bit by less than this on each side need not be entered
constexpr double far_enough = 1.0;      // mm to which distances outside the line are told
constexpr double band_core = 0.01;      // mm: width of the line that the tip follows, when it follows one
constexpr double far_side_slack = 0.1;  // mm: what follows the line once may lie nearer to it by line_slack
constexpr int grain = 64;

/// The bit with which corners and channels are judged: the slimmest that cuts down to the floor.
const Bit& judged_bit(const FigureCase& c) {
    const Bit* slimmest = nullptr;
    bool long_enough = false;
    for (const ProofProgram& program : c.task.programs) {
        const bool reaches = program.bit.spec().cutting_length >= -c.figure.floor - 0.002;
        const bool slimmer = !slimmest || half_width(program.bit, c.figure.floor) < half_width(*slimmest, c.figure.floor);
        if (!slimmest || (reaches && !long_enough) || (reaches == long_enough && slimmer)) slimmest = &program.bit, long_enough = reaches;
    }
    return *slimmest;
}

struct OverBand {
    Peak peak;
    std::optional<Culprit> first;
};

/// Distances inside the line, by cells.
struct Inside {
    Grid<float> cells;
    double reach = 0;
    double operator()(const Point& p) const {
        const int i = static_cast<int>(std::floor((p.x - cells.origin().x) / cells.cell()));
        const int j = static_cast<int>(std::floor((p.y - cells.origin().y) / cells.cell()));
        return cells.holds(i, j) ? static_cast<double>(cells(i, j)) : -reach;
    }
};

/// How far one piece brings the bit over the line.
class OverLine {
public:
    OverLine(const FigureCase& c, const Inside& inside) : inside_(inside), line_(segments_of(c.figure.may.loops()), 0.5) {}

    void look(const Way& way, std::size_t w, std::uint32_t piece, Point3 a, Point3 b, OverBand& band) const {
        if (!clip_below(a, b, -depth_slack)) return;
        const Bit& bit = way.asked->bit;
        const double ea = half_width(bit, a.z + depth_slack), eb = half_width(bit, b.z + depth_slack);
        // Where the width changes on the way: in parts over which it changes little, each with its larger one.
        const int parts = static_cast<int>(std::clamp(std::ceil(std::fabs(ea - eb) / 0.004), 1.0, 500.0));
        for (int k = 0; k < parts; ++k) {
            const auto at = [&](double t) { return Point{a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t}; };
            const double t0 = static_cast<double>(k) / parts, t1 = static_cast<double>(k + 1) / parts;
            const double half = std::max(ea + (eb - ea) * t0, ea + (eb - ea) * t1);
            const Segment part{at(t0), at(t1), 0, 0, 0};
            const auto [value, place] = over(part, half);
            if (value <= 0) continue;
            const double z = std::min(a.z, b.z);
            band.peak.take(value, place, z);
            if (value > line_slack && !band.first) band.first = Culprit{w, piece, static_cast<float>(z), place};
        }
    }

private:
    struct Found {
        double value = 0;
        Point place;
    };
    Found over(const Segment& part, double half) const {
        const Point middle{(part.a.x + part.b.x) / 2, (part.a.y + part.b.y) / 2};
        const double cell = 0.75 * inside_.cells.cell(), d = inside_(middle), around = distance(part.a, part.b) / 2 + cell;
        if (d - around >= half) return {};  // told too small where it is far, never too large
        if (d < -cell) return {half - d, middle};
        Found found;
        const Point lo{std::min(part.a.x, part.b.x), std::min(part.a.y, part.b.y)},
            hi{std::max(part.a.x, part.b.x), std::max(part.a.y, part.b.y)};
        line_.near(lo, hi, half, [&](const Segment& edge) {
            const Nearest n = between(part, edge);
            if (half - n.distance > found.value) found = {half - n.distance, n.on_second};
            return true;
        });
        return found;
    }
    const Inside& inside_;
    SegmentIndex line_;
};

/// Over the line by cells and by pieces of way; beyond the band too, where there is one.
Seen look_over(const FigureCase& c, const Inside& inside) {
    const HeightMap& surface = c.surface;
    const float low = static_cast<float>(-depth_slack), band = c.figure.band > 0 ? static_cast<float>(c.figure.band) : 1e9F;
    std::vector<Peak> rows(static_cast<std::size_t>((surface.height() + grain - 1) / grain));
    over_rows(c.crew, surface.height(), grain, [&](int first, int last) {
        Peak& peak = rows[static_cast<std::size_t>(first / grain)];
        for (int j = first; j < last; ++j) {
            const float *s = surface.row(j), *d = inside.cells.row(j);
            for (int i = 0; i < surface.width(); ++i) {
                const float over = std::max(-d[i], d[i] - band);
                if (s[i]<low&& static_cast<double>(over)> peak.value)
                    peak.take(static_cast<double>(over), surface.centre(i, j), static_cast<double>(s[i]));
            }
        }
    });
    Peak worst;
    for (const Peak& peak : rows) worst.take(peak);
    std::optional<Culprit> first;
    if (worst.value > line_slack) {
        HeightMap limit = surface.like(far_below);
        for (int j = 0; j < surface.height(); ++j)
            for (int i = 0; i < surface.width(); ++i)
                if (static_cast<double>(std::max(-inside.cells(i, j), inside.cells(i, j) - band)) > line_slack && surface(i, j) < low)
                    limit(i, j) = low;
        first = first_below(limit, c.ways, c.crew);
    }

    const OverLine line(c, inside);
    constexpr std::size_t legs_a_job = 2048;
    for (std::size_t w = 0; w < c.ways.size(); ++w) {
        const Way& way = c.ways[w];
        const std::size_t jobs = (way.kinds.size() + legs_a_job - 1) / legs_a_job;
        std::vector<OverBand> bands(jobs);
        in_parallel(c.crew, static_cast<int>(jobs), [&](int k) {
            const std::size_t from = static_cast<std::size_t>(k) * legs_a_job, to = std::min(way.kinds.size(), from + legs_a_job);
            over_cuts(way, from, to, [&](std::uint32_t piece, const Point3& a, const Point3& b) {
                line.look(way, w, piece, a, b, bands[static_cast<std::size_t>(k)]);
            });
        });
        for (const OverBand& b : bands) worst.take(b.peak), first = earlier(first, b.first);
    }
    return {worst.value, worst.place, worst.value > line_slack, first};
}

/// What stands in cells that the bit covers from its tip's places.
struct Standing {
    Peak at_edge, on_floor;
    bool broken_at_edge = false, broken_on_floor = false;
    double squares = 0, cells = 0;
};

/// `inside` is asked only where the bit follows the line once: its far side comes to lie where it may.
Standing look_in_cells(const FigureCase& c, const Bit& bit, double half, const Grid<float>& tips, const Inside& inside, double may) {
    const HeightMap& surface = c.surface;
    const double floor = c.figure.floor;
    const bool once = c.figure.band > 0;
    std::vector<Standing> bands(static_cast<std::size_t>((surface.height() + grain - 1) / grain));
    over_rows(c.crew, surface.height(), grain, [&](int first, int last) {
        Standing& band = bands[static_cast<std::size_t>(first / grain)];
        const float least = static_cast<float>(-half + line_slack);
        for (int j = first; j < last; ++j) {
            const float *s = surface.row(j), *d = tips.row(j), *line = once ? inside.cells.row(j) : nullptr;
            for (int i = 0; i < surface.width(); ++i) {
                if (!(d[i] > least)) continue;
                const double up = static_cast<double>(s[i]) - floor, place = static_cast<double>(d[i]), away = std::max(0.0, -place);
                if (up > may && !c.task.stock.holds(surface.centre(i, j))) continue;  // nothing is there
                const bool inner = place >= half;
                if (inner) {
                    band.squares += up > 0 ? up * up : 0, band.cells += 1;
                    band.on_floor.take(up, surface.centre(i, j), static_cast<double>(s[i]));
                }
                if (up <= may || up <= may + bit.rise(std::min(half, away + line_slack))) continue;
                if (line && static_cast<double>(line[i]) > half && away > half - far_side_slack) continue;
                (inner ? band.broken_on_floor : band.broken_at_edge) = true;
                if (!inner) band.at_edge.take(half + place, surface.centre(i, j), static_cast<double>(s[i]));
            }
        }
    });
    Standing all;
    for (const Standing& band : bands) {
        all.at_edge.take(band.at_edge), all.on_floor.take(band.on_floor);
        all.broken_at_edge |= band.broken_at_edge, all.broken_on_floor |= band.broken_on_floor;
        all.squares += band.squares, all.cells += band.cells;
    }
    return all;
}

/// Floors and the tops of tabs from above.
void look_below(const FigureCase& c, const Region& tips, const Bit& bit, double half, FigureSeen& seen) {
    const HeightMap& surface = c.surface;
    std::vector<Peak> rows(static_cast<std::size_t>((surface.height() + grain - 1) / grain));
    over_rows(c.crew, surface.height(), grain, [&](int first, int last) {
        Peak& peak = rows[static_cast<std::size_t>(first / grain)];
        for (int j = first; j < last; ++j)
            for (int i = 0; i < surface.width(); ++i)
                if (const double by = c.figure.floor - static_cast<double>(surface(i, j)); by > peak.value)
                    peak.take(by, surface.centre(i, j), static_cast<double>(surface(i, j)));
    });
    Peak worst;
    for (const Peak& peak : rows) worst.take(peak);
    double top = c.figure.floor;
    for (const Tab& tab : c.figure.tabs) top = std::max(top, tab.top);
    std::vector<std::pair<CellBox, Grid<float>>> places;
    for (const Tab& tab : c.figure.tabs) {
        const CellBox box = cells_in(surface, tab.place.bounds(), 2 * half + 0.1);
        if (box.empty()) continue;
        const HeightMap cells = part_of(surface, box);
        Grid<float> place = edge_distance(tab.place, cells, 0.1, c.crew);
        const Grid<float> over = edge_distance(tips, cells, half + 0.1, c.crew);
        for (int j = box.j0; j < box.j1; ++j)
            for (int i = box.i0; i < box.i1; ++i) {
                const double s = static_cast<double>(surface(i, j));
                if (static_cast<double>(place(i - box.i0, j - box.j0)) > line_slack) worst.take(tab.top - s, surface.centre(i, j), s);
                const double away = std::max(0.0, -static_cast<double>(over(i - box.i0, j - box.j0)));
                if (away > half - line_slack || s <= top + depth_slack + bit.rise(std::min(half, away + line_slack))) continue;
                if (!c.task.stock.holds(surface.centre(i, j))) continue;  // nothing is there
                if (s - top > seen.standing.value || !seen.standing.broken)
                    seen.standing = {s - top, {surface.centre(i, j).x, surface.centre(i, j).y, s}, true, {}};
            }
        places.emplace_back(box, std::move(place));
    }
    seen.below = {worst.value, worst.place, worst.value > depth_slack, {}};
    if (!seen.below.broken) return;
    HeightMap limit = surface.like(far_below);
    const float lowest = static_cast<float>(c.figure.floor - depth_slack);
    for (int j = 0; j < surface.height(); ++j)
        for (int i = 0; i < surface.width(); ++i)
            if (surface(i, j) < lowest) limit(i, j) = lowest;
    for (std::size_t k = 0; k < places.size(); ++k) {
        const CellBox& box = places[k].first;
        const float least = static_cast<float>(c.figure.tabs[k].top - depth_slack);
        for (int j = box.j0; j < box.j1; ++j)
            for (int i = box.i0; i < box.i1; ++i)
                if (static_cast<double>(places[k].second(i - box.i0, j - box.j0)) > line_slack && surface(i, j) < least)
                    limit(i, j) = least;
    }
    seen.below.by = first_below(limit, c.ways, c.crew);
}

/// Where the tip may be: all places that leave room for the bit, or only the line beside the traced one.
Region tip_places(const FigureDesign& figure, double half, const Crew& crew) {
    const double near = half + fit, far = near + band_core;
    Region tips(figure_by_figure(figure.may, crew, [&](const Region& f) {
        return figure.band > 0 ? without(offset_by(f, -near), offset_by(f, -far)) : offset_by(f, -near);
    }));
    // Where what may be cut ends elsewhere, as at the picture's border, there is no line to be followed.
    if (figure.band > 0 && !figure.traced.empty() && !(figure.traced == figure.may))
        tips = common(tips, without(offset_by(figure.traced, far + band_core), offset_by(figure.traced, -(far + band_core))));
    return tips;
}

/// What the bit covers from its tip's places.
std::vector<Loop> opening_of(const FigureDesign& figure, const Region& tips, double half, const Crew& crew) {
    if (figure.band > 0 || !figure.tabs.empty()) return offset_by(tips, half).loops();
    return figure_by_figure(figure.may, crew, [&](const Region& f) { return offset_by(offset_by(f, -(half + fit)), half); });
}

}  // namespace

FigureSeen against_walls(const FigureCase& c) {
    FigureSeen seen;
    const FigureDesign& figure = c.figure;
    const Bit& bit = judged_bit(c);
    const double half = half_width(bit, figure.floor), scallop = c.task.scallop;
    seen.may_stand = depth_slack + scallop;
    const double reach = std::max(far_enough, figure.band > 0 ? figure.band + 0.5 : 0.0);
    Inside inside{edge_distance(figure.may, c.surface, reach, c.crew), reach};
    seen.over = look_over(c, inside);
    if (!(figure.band > 0)) inside = {};
    Region tips = tip_places(figure, half, c.crew);
    look_below(c, tips, bit, half, seen);
    for (const Tab& tab : figure.tabs) tips = without(tips, offset_by(tab.place, half + depth_slack));
    if (tips.empty()) return seen;

    const Grid<float> places = edge_distance(tips, c.surface, half + 0.1, c.crew);
    const Standing standing = look_in_cells(c, bit, half, places, inside, seen.may_stand);
    seen.standing_rms = standing.cells > 0 ? std::sqrt(standing.squares / standing.cells) : 0;
    if (standing.broken_on_floor || !seen.standing.broken) {
        const bool broken = standing.broken_on_floor || seen.standing.broken;
        if (standing.on_floor.value > seen.standing.value) seen.standing = {standing.on_floor.value, standing.on_floor.place, broken, {}};
        seen.standing.broken = broken;
    }
    if (seen.standing.broken) {
        const Point place{seen.standing.place.x, seen.standing.place.y};
        seen.standing.by = lowest_at(place, c.ways);
        if (!seen.standing.by) seen.standing.by = nearest_to(place, c.ways);
    }
    std::vector<Point> edge = points_along(opening_of(figure, tips, half, c.crew));
    // What follows the line once is asked on that side only.
    std::erase_if(edge, [&](const Point& p) { return (figure.band > 0 && inside(p) > half) || !c.task.stock.holds(p); });
    seen.short_of = short_of_edge(c, edge, figure.floor + depth_slack, fit);
    if (standing.broken_at_edge && standing.at_edge.value + fit > seen.short_of.value) {
        const Point3& at = standing.at_edge.place;
        seen.short_of = {standing.at_edge.value + fit, at, true, lowest_at({at.x, at.y}, c.ways)};
    }
    seen.short_of.broken = seen.short_of.value > line_slack;
    if (seen.short_of.broken && !seen.short_of.by) seen.short_of.by = nearest_to({seen.short_of.place.x, seen.short_of.place.y}, c.ways);
    return seen;
}

}  // namespace burin::proving
