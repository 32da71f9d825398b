// Contour-parallel and raster clearing of figures.
//
// Rings: the region is shrunk step by step (erosion by a disc). From any place between two rings the way straight to the edge
// meets the outer one within a step: so, with a step below the bit's radius, no island is left between the corners of
// successive rings, however sharp. They are cut from the inside out, a ring after all that lie in it.
// Rows: where the edge is at least `row_inset` away; what is nearer is within that and half a step of the loop along the edge, which
// comes last.
// The bit stays down wherever the straight way to the next line lies inside the region.
// Cost: an offset for each ring; the length of the ways.
#include "figure_clear.hpp"

#include <cmath>
#include <memory>
#include <optional>

#include "figure_order.hpp"
#include "figure_parts.hpp"

namespace burin {
namespace {

constexpr double link_in_diameters = 8;

using SharedRail = std::shared_ptr<const Rail>;

struct Way {
    SharedRail rail;
    bool closed = true;
    SharedRail down;  ///< the closed line on which the bit goes down to get here
};

/// The region's rings from the inside out: of each figure what lies within it first, then its own loops.
class Rings {
public:
    Rings(double step, double enough, const ClearOrder& order, const Crew& crew)
        : step_(step), enough_(enough), order_(order), crew_(crew) {}

    /// `region`: one figure. `round`: the innermost line round it on which a ramp finds room.
    void add(const Region& region, SharedRail round) {
        crew_.check();
        const Figure& figure = region.figures().front();
        const SharedRail outer = rail_of(figure.outer);
        if (!round || outer->length() >= enough_) round = outer;
        if (step_ > 0) {
            const Region inner = simplified(offset_by(region, -step_, order_.tolerance), order_.tolerance);
            if (inner.figures().size() == 1)
                add(inner, round);
            else
                for (const Figure& child : inner.figures()) add(alone(child), round);
        }
        for (const std::size_t k : short_order(figure.holes)) ways_.push_back({rail_of(figure.holes[k]), true, round});
        ways_.push_back({outer, true, round});
    }
    std::vector<Way> take() { return std::move(ways_); }

private:
    [[nodiscard]] std::vector<std::size_t> short_order(const std::vector<Loop>& holes) const {
        std::vector<Stop> stops;
        for (const Loop& hole : holes) stops.push_back({hole.front(), hole.front()});
        std::vector<std::size_t> order;
        if (!holes.empty())
            for (const Turn& turn : short_tour(stops, holes.front().front(), crew_)) order.push_back(turn.stop);
        return order;
    }
    [[nodiscard]] SharedRail rail_of(Loop loop) const {
        if (order_.conventional) std::reverse(loop.begin(), loop.end());
        return std::make_shared<const Rail>(at_height(loop, 0), true);
    }
    double step_, enough_;
    const ClearOrder& order_;
    const Crew& crew_;
    std::vector<Way> ways_;
};

/// Where a row meets a loop.
struct RowEnd {
    double x = 0;
    std::size_t loop = 0;
    double s = 0;  ///< along the loop
};
struct Row {
    double y = 0;
    RowEnd from, to;
    bool joined = false;
};

/// Rows over a region, joined to zigzags: straight to the next row where that is inside `edge`, else along the region's own line
/// where that is not far.
class RowChains {
public:
    RowChains(const Region& region, const LineIndex& edge, double step) : edge_(edge), step_(step) {
        const Box box = region.bounds();
        const int count = std::max(1, static_cast<int>(std::ceil(box.height() / step)));
        const double first = box.centre().y - (count - 1) * step / 2;
        std::vector<std::vector<RowEnd>> ends(static_cast<std::size_t>(count));
        for (const Loop& loop : region.loops()) {
            rails_.emplace_back(at_height(loop, 0), true);
            double s = 0;
            for (std::size_t k = 0; k < loop.size(); ++k) {
                const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
                const double lo = std::min(a.y, b.y), hi = std::max(a.y, b.y), length = distance(a, b);
                for (int j = std::max(0, static_cast<int>(std::floor((lo - first) / step))); j < count; ++j) {
                    const double y = first + j * step;
                    if (y >= hi) break;
                    if (y < lo) continue;  // a corner on a row belongs to one of its sides
                    const double share = (y - a.y) / (b.y - a.y);
                    ends[static_cast<std::size_t>(j)].push_back({a.x + (b.x - a.x) * share, rails_.size() - 1, s + share * length});
                }
                s += length;
            }
        }
        for (int j = 0; j < count; ++j) {
            auto& here = ends[static_cast<std::size_t>(j)];
            std::sort(here.begin(), here.end(), [](const RowEnd& a, const RowEnd& b) { return a.x < b.x; });
            first_.push_back(rows_.size());
            for (std::size_t k = 1; k < here.size(); k += 2) rows_.push_back({first + j * step, here[k - 1], here[k]});
        }
        first_.push_back(rows_.size());
    }
    std::vector<Polyline> take() {
        std::vector<Polyline> chains;
        for (std::size_t j = 0; j + 1 < first_.size(); ++j)
            for (std::size_t k = first_[j]; k < first_[j + 1]; ++k)
                if (!rows_[k].joined) chains.push_back(chain_from(j, k));
        return chains;
    }

private:
    Polyline chain_from(std::size_t row, std::size_t at) {
        Polyline chain;
        for (bool rightwards = true;; rightwards = !rightwards) {
            Row& r = rows_[at];
            r.joined = true;
            const RowEnd &in = rightwards ? r.from : r.to, &out = rightwards ? r.to : r.from;
            chain.points.push_back({in.x, r.y}), chain.points.push_back({out.x, r.y});
            if (++row + 1 >= first_.size()) return chain;
            bool on = false;
            for (std::size_t n = first_[row]; n < first_[row + 1] && !on; ++n) {
                if (rows_[n].joined || rows_[n].from.x > r.to.x || rows_[n].to.x < r.from.x) continue;
                const RowEnd& next = rightwards ? rows_[n].to : rows_[n].from;
                if (edge_.clear(chain.points.back(), {next.x, rows_[n].y}) || along_loop(out, next, chain)) at = n, on = true;
            }
            if (!on) return chain;
        }
    }
    /// Goes along the loop from one end to the other, if it is one and not far.
    bool along_loop(const RowEnd& from, const RowEnd& to, Polyline& chain) const {
        if (from.loop != to.loop) return false;
        const Rail& rail = rails_[from.loop];
        double way = std::fmod(to.s - from.s + rail.length(), rail.length());
        const bool onward = way <= rail.length() / 2;
        if (!onward) way = rail.length() - way;
        if (way > std::max(6 * step_, 1.0)) return false;
        const auto put = [&](const Point3& p, double) { chain.points.push_back(flat(p)); };
        if (onward)
            rail.walk(from.s, from.s + way, put);
        else if (from.s >= way)
            rail.walk(from.s, from.s - way, put);
        else
            rail.walk(from.s, 0, put), rail.walk(rail.length(), rail.length() + from.s - way, put);
        return true;
    }

    const LineIndex& edge_;
    double step_;
    std::vector<Rail> rails_;
    std::vector<Row> rows_;
    std::vector<std::size_t> first_;
};

/// Cuts ways level by level.
class Cutter {
public:
    Cutter(Pen& pen, const LineIndex& edge, const CutRules& rules) : pen_(pen), edge_(edge), rules_(rules) {}

    std::size_t level(const std::vector<Way>& ways, double above, double z) {
        std::size_t left_out = 0;
        for (const Way& way : ways)
            if (!(way.closed ? cut_loop(way, above, z) : cut_rows(*way.rail, above, z))) ++left_out;
        return left_out;
    }

private:
    [[nodiscard]] bool clear(const Point& p) const {
        return distance(flat(pen_.at()), p) <= link_in_diameters * rules_.diameter && edge_.clear(flat(pen_.at()), p);
    }
    bool cut_rows(const Rail& rail, double above, double z) {
        const Point3 a = rail.at(0), b = rail.at(rail.length());
        const bool turned = distance(flat(pen_.at()), flat(b)) < distance(flat(pen_.at()), flat(a));
        const Point start = turned ? flat(b) : flat(a);
        if (down_at(z) && clear(start)) {
            pen_.cut({start.x, start.y, z});
            rail.walk(turned ? rail.length() : 0, turned ? 0 : rail.length(), [&](const Point3& p, double) { pen_.cut({p.x, p.y, z}); });
            return true;
        }
        TipLine line;
        for (const Point3& p : rail.points()) line.tip.push_back({p.x, p.y, z});
        return cut_level(pen_, line, above, z, rules_);
    }
    bool cut_loop(const Way& way, double above, double z) {
        const CutRules& rules = rules_;
        const Rail &rail = *way.rail, &down = *way.down;
        const Point start = flat(rail.at(rail.nearest(flat(pen_.at())).s));
        if (down_at(z) && clear(start)) {
            pen_.cut({start.x, start.y, z});
            cut_round(pen_, rail, above, z, rules);
            return true;
        }
        if (!rules.plunges && too_short_to_ramp(down.length(), above - z, rules)) return false;
        const Rail::Foot foot = down.nearest_corner(&down == &rail ? flat(pen_.at()) : flat(rail.at(0)));
        pen_.approach(flat(down.at(foot.s)), above + rules.clearance);
        if (&down != &rail) {
            ramp_round(pen_, down, foot.s, above, z, rules);
            const Point to = flat(rail.at(rail.nearest_corner(flat(pen_.at())).s));
            if (edge_.clear(flat(pen_.at()), to))
                pen_.cut({to.x, to.y, z});
            else
                pen_.approach(to, above + rules.clearance);
        }
        cut_round(pen_, rail, above, z, rules);
        return true;
    }
    [[nodiscard]] bool down_at(double z) const { return pen_.started() && std::abs(pen_.at().z - z) < 1e-6; }

    Pen& pen_;
    const LineIndex& edge_;
    const CutRules& rules_;
};

}  // namespace

struct Clearing::Ways {
    LineIndex edge;
    CutRules rules;
    std::vector<Way> ways;
};

Clearing::Clearing(const Figure& figure, const ClearOrder& order, const Crew& crew)
    : ways_(std::make_unique<Ways>(Ways{LineIndex(lines_of(loops_of({figure}))), order.rules, {}})) {
    const Region whole = alone(figure);
    if (whole.empty()) return;
    if (order.raster) {
        const Region inner = order.row_inset > 0 ? offset_by(whole, -order.row_inset, order.tolerance) : whole;
        for (const Polyline& chain : RowChains(inner, ways_->edge, order.stepover).take())
            ways_->ways.push_back({std::make_shared<const Rail>(at_height(chain.points, 0), false), false, {}});
    }
    Rings rings(order.raster ? 0 : order.stepover, 1.5 * order.rules.diameter, order, crew);
    rings.add(whole, {});
    for (Way& way : rings.take()) ways_->ways.push_back(std::move(way));
}
Clearing::~Clearing() = default;
Clearing::Clearing(Clearing&&) noexcept = default;
Clearing& Clearing::operator=(Clearing&&) noexcept = default;

std::size_t Clearing::cut(Pen& pen, const std::vector<double>& levels, double above) const {
    Cutter cutter(pen, ways_->edge, ways_->rules);
    std::size_t left_out = 0;
    for (const double z : levels) {
        left_out += cutter.level(ways_->ways, above, z);
        above = z;
    }
    return left_out;
}

double clearing_step(const Bit& bit, double scallop) { return std::min(0.9 * bit.radius(), std::max(0.45 * bit.width_at(scallop), 0.01)); }

std::size_t clear_figures(Pen& pen, const std::vector<Figure>& tips, const std::vector<double>& levels, const ClearOrder& order,
                          const Crew& crew, double above) {
    std::vector<std::vector<Point>> outers;
    std::vector<Stop> stops;
    for (const Figure& figure : tips) {
        outers.push_back(figure.outer);
        stops.push_back({figure.outer.front(), figure.outer.front()});
    }
    std::vector<std::optional<Clearing>> clearings(tips.size());
    const Crew one = single(crew);
    in_parallel(crew, static_cast<int>(tips.size()),
                [&](int k) { clearings[static_cast<std::size_t>(k)].emplace(tips[static_cast<std::size_t>(k)], order, one); });
    std::size_t left_out = 0;
    for (const Turn& turn : inner_first(outers, stops, flat(pen.at()), crew)) {
        crew.check();
        left_out += clearings[turn.stop]->cut(pen, levels, above);
    }
    return left_out;
}

}  // namespace burin
