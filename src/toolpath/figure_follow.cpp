// Outlines and cut-outs: the edge of the places where the tip may be is the line it follows. A slot is roughed beside it first, so
// far off that the last pass takes the allowance, wherever the slot may be that much wider than the bit.
//
// With the material on its right the bit, turning clockwise, climbs; so the edges of the tip's region are followed as they are
// (outer lines counter-clockwise, holes clockwise), and the other way round for conventional milling.
// Cost: two offsets, and the length of the lines.
#include "figure_follow.hpp"

#include <fmt/format.h>

#include <cmath>

#include "figure_order.hpp"
#include "figure_parts.hpp"

namespace burin {
namespace {

constexpr double tab_clearance = -0.015;  // mm beside a tab; its edge has the same slack as a wall

/// Where the bit would touch the tabs that a line in `near` may come to.
Region place_of_tip(const std::vector<Tab>& tabs, double half, const Box& near) {
    std::vector<Loop> loops;
    for (const Tab& tab : tabs) {
        const double reach = half + tab_clearance;
        const Box box = tab.place.bounds();
        if (box.lo.x - reach > near.hi.x || box.hi.x + reach < near.lo.x || box.lo.y - reach > near.hi.y || box.hi.y + reach < near.lo.y)
            continue;
        const std::vector<Loop> grown = offset_by(tab.place, reach, 0.002).loops();
        loops.insert(loops.end(), grown.begin(), grown.end());
    }
    return Region(loops, FillRule::nonzero);
}

/// Shares of the way from a to b at which it crosses the loops.
std::vector<double> crossings(const Point& a, const Point& b, const std::vector<Loop>& loops, const std::vector<Box>& boxes) {
    std::vector<double> shares;
    const double x = b.x - a.x, y = b.y - a.y;
    for (std::size_t m = 0; m < loops.size(); ++m) {
        if (std::max(a.x, b.x) < boxes[m].lo.x || std::min(a.x, b.x) > boxes[m].hi.x || std::max(a.y, b.y) < boxes[m].lo.y ||
            std::min(a.y, b.y) > boxes[m].hi.y)
            continue;
        const Loop& loop = loops[m];
        for (std::size_t k = 0, n = loop.size() - 1; k < loop.size(); n = k++) {
            const double vx = loop[k].x - loop[n].x, vy = loop[k].y - loop[n].y, det = x * vy - y * vx;
            if (std::abs(det) < 1e-15) continue;
            const double wx = loop[n].x - a.x, wy = loop[n].y - a.y, t = (wx * vy - wy * vx) / det, u = (wx * y - wy * x) / det;
            if (t > 0 && t < 1 && u >= 0 && u <= 1) shares.push_back(t);
        }
    }
    std::sort(shares.begin(), shares.end());
    return shares;
}

/// One wall with the lines that are roughed before it, by their index.
struct Item {
    Wall wall;
    std::vector<std::size_t> rough;
};

class Follower {
public:
    Follower(const FigureDesign& design, const FollowOrder& order, const Crew& crew)
        : design_(design),
          order_(order),
          crew_(crew),
          may_(simplified(design.may, simpler)),
          half_(half_at(order.bit.bit, design.floor)),
          pen_(order.bit.feed, order.bit.plunge, order.safe_height) {
        walls_.rules = cut_rules(order.bit, order.take);
        walls_.floor = order.skin > 0 ? std::min(-1e-3, design.floor + design.breakthrough + order.skin) : design.floor;
        walls_.allowance = order.allowance;
        walls_.tolerance = order.tolerance;
        const double room = design.band > 0 ? design.band - 2 * half_ - 0.005 : 1e9;
        const double left = std::min(wall_allowance(order.allowance, order.bit.bit.diameter()), room);
        // A bit with sloping sides takes a whole flank when it goes sideways, which is no strip any more.
        const BitShape shape = order.bit.bit.shape();
        walls_.left = left >= 0.03 && (shape == BitShape::flat || shape == BitShape::bull) ? left : 0;
    }
    Followed run() {
        const Region tips(loops_of(shrunk(may_, half_ - fit, 0.002, crew_)));
        plan(tips);
        cut();
        Followed result;
        result.anything = pen_.started();
        pen_.retract();
        result.path = pen_.take();
        result.unreached = unreached(tips);
        return result;
    }

private:
    void plan(const Region& tips) {
        const LineIndex traced(design_.traced.empty() ? std::vector<Polyline>{} : lines_of(design_.traced.loops()));
        if (walls_.left > 0)
            rough_lines_ = along_line(simplified(offset_by(tips, -walls_.left, 0.002), 0.002).loops(), traced, half_ + walls_.left);
        rough_ = LineIndex(rough_lines_);
        const std::vector<Polyline> lines = along_line(tips.loops(), traced, half_);
        const LineIndex index(lines);
        std::vector<bool> wanted(rough_lines_.size(), false);
        for (Wall& wall : plan_walls(lines, rough_, walls_)) {
            for (const std::size_t k : wall.beside) wanted[k] = true;
            items_.push_back({wall, wall.beside});
        }
        for (std::size_t k = 0; k < rough_lines_.size(); ++k) {
            if (wanted[k]) continue;
            // The wall that it runs along: the one nearest to any of its corners.
            double least = 1e9;
            std::size_t wall = items_.size();
            for (const Point& p : rough_lines_[k].points)
                if (const auto found = index.nearest(p, least); found && found->away < least) least = found->away, wall = found->line;
            if (wall < items_.size()) items_[wall].rough.push_back(k);
        }
    }
    void cut() {
        std::vector<std::vector<Point>> loops;
        std::vector<Stop> stops;
        for (const Item& item : items_) {
            const auto& points = item.wall.points;
            loops.push_back(item.wall.closed ? points : std::vector<Point>{});
            stops.push_back({points.front(), item.wall.closed ? points.front() : points.back()});
            if (item.wall.closed) stops.back().entries = entries_of(points);
        }
        const std::vector<Turn> turns = inner_first(loops, stops, flat(pen_.at()), crew_);
        const bool few = turns.size() <= 100;
        std::vector<bool> done(rough_lines_.size(), false);
        if (!few) pen_.pass("figures", walls_.floor);
        for (const Turn& turn : turns) {
            crew_.check();
            Item& item = items_[turn.stop];
            if (item.wall.closed) item.wall.begin = turn.entry;
            if (few) pen_.pass(item.rough.empty() ? "walls" : "slot", walls_.floor);
            for (const std::size_t k : item.rough)
                if (!done[k]) done[k] = true, rough(rough_lines_[k], item.wall.begin);
            if (few && !item.rough.empty()) pen_.pass("walls", walls_.floor);
            wall(item.wall);
        }
        if (order_.skin <= 0) return;
        pen_.pass("onion skin", design_.floor);
        const int count = std::max(1, static_cast<int>(std::ceil((walls_.floor - design_.floor) / walls_.rules.step - 1e-6)));
        for (const Turn& turn : turns) {
            const Wall& w = items_[turn.stop].wall;
            double above = walls_.floor;
            for (int k = 1; k <= count; ++k) {
                const double z = k == count ? design_.floor : walls_.floor + (design_.floor - walls_.floor) * k / count;
                cut_level(pen_, tip_line({turned(w.points), w.closed}, design_.floor, w.begin), above, z, walls_.rules);
                above = z;
            }
        }
    }
    std::vector<Point> turned(std::vector<Point> points) const {
        if (order_.conventional) std::reverse(points.begin(), points.end());
        return points;
    }
    TipLine tip_line(const Polyline& line, double floor, const std::optional<Point>& begin) const {
        TipLine tip = over_tabs(line, floor, design_.tabs, half_);
        tip.one_way = true, tip.begin = begin;
        return tip;
    }
    void rough(const Polyline& line, const std::optional<Point>& begin) {
        TipLine tip = tip_line({turned(line.points), line.closed}, walls_.floor, begin);
        tip.one_way = line.closed;  // there and back along a line that ends
        cut_levels(pen_, tip, levels_to(walls_.floor, walls_.rules.step), walls_.rules);
    }
    void wall(const Wall& planned) {
        Wall w = planned;
        w.points = turned(w.points);
        const TipLine tip = tip_line({w.points, w.closed}, walls_.floor, w.begin);
        const bool level = std::all_of(tip.tip.begin(), tip.tip.end(), [&](const Point3& p) { return p.z <= walls_.floor; });
        if (level && w.skimmed) {
            cut_wall(pen_, w, rough_, walls_);
            return;
        }
        if (!w.skimmed || level) {
            CutRules rules = walls_.rules;
            if (w.skimmed) rules.engaged = std::min(1.0, 2 * walls_.left / rules.diameter);
            cut_levels(pen_, tip, w.levels, rules);
            return;
        }
        // Down to the tabs' tops it is a mere strip; below, roughing ended before the tabs elsewhere than the wall does, and what stands
        // between may be wider than a strip.
        double top = walls_.floor;
        for (const Point3& p : tip.tip) top = std::max(top, p.z);
        double above = 0;
        const auto down_to = [&](double z, double step, double engaged) {
            CutRules rules = walls_.rules;
            rules.engaged = engaged;
            const int count = std::max(1, static_cast<int>(std::ceil((above - z) / step - 1e-6)));
            const double from = above;
            for (int k = 1; k <= count; ++k) {
                const double next = from + (z - from) * k / count;
                cut_level(pen_, tip, above, next, rules);
                above = next;
            }
        };
        if (top < 0) down_to(top, -w.levels.front(), std::min(1.0, 2 * walls_.left / walls_.rules.diameter));
        down_to(walls_.floor, walls_.rules.step, 1);
    }
    /// Corners and necks beside the line that the bit cannot enter.
    Region unreached(const Region& tips) const {
        Region left = without(may_, offset_by(tips, half_ + 0.01));
        if (left.empty()) return left;
        if (!design_.traced.empty())
            left = common(left, without(offset_by(design_.traced, 2 * half_), offset_by(design_.traced, -2 * half_)));
        return opened_by(left, 0.01);
    }

    const FigureDesign& design_;
    const FollowOrder& order_;
    const Crew& crew_;
    Region may_;
    double half_;
    Pen pen_;
    WallOrder walls_;
    std::vector<Polyline> rough_lines_;
    LineIndex rough_{{}};
    std::vector<Item> items_;
};

}  // namespace

std::vector<Point> entries_of(const std::vector<Point>& loop) {
    constexpr std::size_t most = 48;
    if (loop.size() <= most) return loop;
    std::vector<Point> some;
    for (std::size_t k = 0; k < most; ++k) some.push_back(loop[k * loop.size() / most]);
    return some;
}

TipLine over_tabs(const Polyline& line, double floor, const std::vector<Tab>& tabs, double half) {
    TipLine tip;
    tip.closed = line.closed;
    if (tabs.empty()) {
        tip.tip = at_height(line.points, floor);
        return tip;
    }
    const Region places = place_of_tip(tabs, half, box_of(line.points));
    const std::vector<Loop> loops = places.loops();
    std::vector<Box> boxes;
    for (const Loop& loop : loops) boxes.push_back(box_of(loop));
    double top = floor;
    for (const Tab& tab : tabs) top = std::max(top, tab.top);
    const std::size_t n = line.points.size();
    const auto put = [&](const Point& p, double z) {
        const Point3 here{p.x, p.y, z};
        if (tip.tip.empty() || !(tip.tip.back() == here)) tip.tip.push_back(here);
    };
    for (std::size_t k = 0; k + (line.closed ? 0 : 1) < n; ++k) {
        const Point &a = line.points[k], &b = line.points[(k + 1) % n];
        std::vector<double> shares = crossings(a, b, loops, boxes);
        shares.insert(shares.begin(), 0.0), shares.push_back(1.0);
        for (std::size_t m = 1; m < shares.size(); ++m) {
            if (shares[m] - shares[m - 1] < 1e-9) continue;
            const auto at = [&](double t) { return Point{a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t}; };
            const bool over = places.holds(at((shares[m] + shares[m - 1]) / 2));
            put(at(shares[m - 1]), over ? top : floor), put(at(shares[m]), over ? top : floor);
        }
    }
    if (line.closed && tip.tip.size() > 1 && tip.tip.front() == tip.tip.back()) tip.tip.pop_back();
    return tip;
}

Followed follow_walls(const FigureDesign& design, const FollowOrder& order, const Crew& crew) {
    return Follower(design, order, crew).run();
}

}  // namespace burin
