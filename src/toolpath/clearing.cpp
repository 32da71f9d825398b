// Cutting the ways of one level: nearest first, down by ramps along the way, joined while the straight way between is
// clear.
#include "clearing.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include "contours.hpp"
#include "ways.hpp"

namespace burin {
namespace {

/// Points where a way may begin, looked up by place, and struck off way by way.
class Nearest {
public:
    Nearest(const std::vector<Contour>& ways, const Box& bounds) : box_(bounds) {
        columns_ = std::max(1, static_cast<int>(bounds.width() / side) + 1);
        rows_ = std::max(1, static_cast<int>(bounds.height() / side) + 1);
        buckets_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
        for (std::size_t k = 0; k < ways.size(); ++k)
            for (std::size_t v = 0; v < ways[k].points.size(); ++v)
                if (ways[k].closed || v == 0 || v + 1 == ways[k].points.size())
                    bucket(ways[k].points[v]).push_back({ways[k].points[v], k, v});
    }
    struct Entry {
        Point point;
        std::size_t loop, vertex;
    };
    /// The nearest entry whose loop is not done. There must be one.
    Entry find(const Point& from, const std::vector<std::uint8_t>& done) {
        const int ci = column(from.x), cj = row(from.y);
        Entry best{};
        double least = std::numeric_limits<double>::max();
        for (int ring = 0; ring <= std::max(columns_, rows_); ++ring) {
            if (least < (ring - 1) * side) break;
            for (int j = cj - ring; j <= cj + ring; ++j)
                for (int i = ci - ring; i <= ci + ring; i += (std::abs(j - cj) == ring || ring == 0) ? 1 : 2 * ring)
                    search(i, j, from, done, best, least);
        }
        return best;
    }

private:
    static constexpr double side = 2;
    int column(double x) const { return std::clamp(static_cast<int>((x - box_.lo.x) / side), 0, columns_ - 1); }
    int row(double y) const { return std::clamp(static_cast<int>((y - box_.lo.y) / side), 0, rows_ - 1); }
    std::vector<Entry>& bucket(const Point& p) {
        return buckets_[static_cast<std::size_t>(row(p.y)) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(column(p.x))];
    }
    void search(int i, int j, const Point& from, const std::vector<std::uint8_t>& done, Entry& best, double& least) {
        if (i < 0 || j < 0 || i >= columns_ || j >= rows_) return;
        auto& entries = buckets_[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i)];
        std::erase_if(entries, [&](const Entry& e) { return done[e.loop] != 0; });
        for (const Entry& e : entries)
            if (const double d = distance(from, e.point); d < least) least = d, best = e;
    }
    Box box_;
    int columns_ = 1, rows_ = 1;
    std::vector<std::vector<Entry>> buckets_;
};

/// The part of the mask that holds all its marks, in a frame of one empty cell; empty where there are none.
Grid<std::uint8_t> cropped(const Grid<std::uint8_t>& mask) {
    int i0 = mask.width(), i1 = -1, j0 = mask.height(), j1 = -1;
    for (int j = 0; j < mask.height(); ++j) {
        const std::uint8_t* row = mask.row(j);
        for (int i = 0; i < mask.width(); ++i)
            if (row[i]) i0 = std::min(i0, i), i1 = std::max(i1, i), j0 = std::min(j0, j), j1 = j;
    }
    if (i1 < 0) return {};
    Grid<std::uint8_t> part(i1 - i0 + 3, j1 - j0 + 3, mask.cell(),
                            {mask.origin().x + (i0 - 1) * mask.cell(), mask.origin().y + (j0 - 1) * mask.cell()});
    for (int j = j0; j <= j1; ++j) std::copy_n(mask.row(j) + i0, i1 - i0 + 1, part.row(j - j0 + 1) + 1);
    return part;
}

/// The cell near p that lies farthest inside the region: the bit goes down on its centre, clear of walls.
struct Foothold {
    Point at;
    float inside = 0;  // mm
};
Foothold foothold_near(const HeightMap& inside, const Point& p) {
    const int ci = static_cast<int>(std::floor((p.x - inside.origin().x) / inside.cell())),
              cj = static_cast<int>(std::floor((p.y - inside.origin().y) / inside.cell()));
    Foothold best{p, 0};
    for (int j = cj - 2; j <= cj + 2; ++j)
        for (int i = ci - 2; i <= ci + 2; ++i)
            if (inside.holds(i, j) && inside(i, j) > best.inside) best = {inside.centre(i, j), inside(i, j)};
    return best;
}

/// A closed loop walked from one of its vertices on.
class Walk {
public:
    Walk(const std::vector<Point>& loop, std::size_t first) : loop_(loop), vertex_(first), at_(loop[first]) {}
    /// On by at most `most` mm, no farther than the next vertex.
    Point step(double most) {
        const Point& to = loop_[(vertex_ + 1) % loop_.size()];
        const double left = distance(at_, to);
        if (left <= most) {
            vertex_ = (vertex_ + 1) % loop_.size();
            return at_ = to;
        }
        return at_ = {at_.x + (to.x - at_.x) * most / left, at_.y + (to.y - at_.y) * most / left};
    }

private:
    const std::vector<Point>& loop_;
    std::size_t vertex_;
    Point at_;
};

/// Down to z along the loop, then once round it. Down to `above` the way was cleared before, but for slivers beside the
/// bit. From there on a ramp takes, besides its slot of depth h, the whole foot of the bit times its slope; so that both
/// together stay below the section of a slot of depth m, the slope is (m − h) · 4/(π d): steep while the slot is shallow,
/// flatter and flatter towards the end.
void ramp_round(Pen& pen, const std::vector<Point>& loop, std::size_t first, double above, const LevelOrder& order) {
    Walk walk(loop, first);
    const double pull = 4 / (std::numbers::pi * order.diameter);
    while (pen.at().z > order.z + 1e-9) {
        // A straight piece of the curve h' = pull · (1.02 m − h).
        constexpr double piece = 0.25;
        const bool cleared = pen.at().z > above + 1e-9;
        const double room = 1.02 * order.most - (above - pen.at().z), end = cleared ? above : order.z;
        const double slope = cleared ? order.ramp : std::clamp(room * (1 - std::exp(-pull * piece)) / piece, 1e-4, order.ramp);
        const Point before = flat(pen.at()), to = walk.step(std::min(piece, (pen.at().z - end) / slope));
        const double z = pen.at().z - distance(before, to) * slope;
        pen.cut({to.x, to.y, z < end + 1e-6 ? end : z});
    }
    const double round = length_of(loop, true);
    for (double gone = 0; gone < round - 1e-9;) {
        const Point before = flat(pen.at()), to = walk.step(round - gone);
        gone += std::max(distance(before, to), 1e-9);
        pen.cut({to.x, to.y, order.z});
    }
}

}  // namespace

void peck(Pen& pen, const Point& at, double top, const LevelOrder& order) {
    for (double z = top; z > order.z + 1e-9;) {
        z = std::max(order.z, z - order.most_peck);
        pen.cut({at.x, at.y, z});
        if (z > order.z) pen.hop(at, top + order.clearance, z);
    }
}

std::size_t clear_level(Pen& pen, Grid<std::uint8_t> whole, const HeightMap* stock, double stock_z, const LevelOrder& order,
                        HeightMap* reached) {
    const Grid<std::uint8_t> region = cropped(whole);
    whole = {};
    if (region.empty()) return 0;
    const HeightMap inside = distance_inside(region);
    const double cell = region.cell();
    std::vector<Contour> ways = ways_over(region, inside, {order.stepover, order.tolerance, order.feed});
    std::vector<std::uint8_t> done(ways.size(), 0);
    Nearest nearest(ways, region.bounds());
    std::size_t cut = 0;
    for (std::size_t left = ways.size(); left > 0; --left) {
        const auto [start, index, vertex] = nearest.find(flat(pen.at()), done);
        done[index] = 1;
        Contour& way = ways[index];
        if (!way.closed && vertex != 0) std::reverse(way.points.begin(), way.points.end());
        const auto& loop = way.points;
        const double length = length_of(loop, way.closed);
        const bool mere_point = length < cell;  // nothing else fits but a straight plunge
        if (mere_point && order.most_peck <= 0) continue;
        ++cut;
        const bool stays_down = pen.started() && std::abs(pen.at().z - order.z) < 1e-6 && distance(flat(pen.at()), start) < 12 &&
                                way_is_clear(region, flat(pen.at()), start);
        const double above = std::max(stock_z, order.z);
        if (!stays_down) {
            // Two cells inside, a flat bit has left nothing beside itself on the level above; else only the first stock is sure.
            const Foothold foothold = foothold_near(inside, start);
            const bool surely_cleared = order.flat && static_cast<double>(foothold.inside) > 1.9 * cell;
            const double top = surely_cleared ? above : std::max(stock ? highest_near(*stock, foothold.at) : 0.0, above);
            pen.approach(foothold.at, top + order.clearance);
            pen.cut({foothold.at.x, foothold.at.y, top});
            if (mere_point) peck(pen, foothold.at, top, order);
        }
        pen.cut({start.x, start.y, stays_down || mere_point ? order.z : pen.at().z});
        if (way.closed) {
            ramp_round(pen, loop, vertex, above, order);
        } else {  // lines: down along the first one and back
            if (!stays_down && loop.size() > 1) ramp_round(pen, {loop[0], loop[1]}, 0, above, order);
            for (const Point& p : loop) pen.cut({p.x, p.y, order.z});
        }
        for (std::size_t k = 1; reached && k < loop.size() + (way.closed ? 1 : 0); ++k)
            mark_way(*reached, loop[k - 1], loop[k % loop.size()], order.z);
    }
    return cut;
}

}  // namespace burin
