// Whether all of the figures is burnt: what is filled, cell by cell against discs of the spot along the lines; what is followed, by the
// length of lit way beside each point of its line, at each height. Cost: cells under the lines; points of lines × legs near them.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <unordered_map>

#include "beam_checks.hpp"
#include "burin/shape/edge_distance.hpp"

namespace burin::proving {
namespace {

constexpr double most_cells = 6e6;
constexpr double same_height = 0.011;  // mm
constexpr int band = 64;               // rows

/// A place that was left out; none: missing is 0.
struct Missing {
    double missing = 0;  ///< how badly, for choosing the worst
    Point3 place;
    double got = 0, wanted = 1;  ///< times
};

/// x where a row at height y crosses the places within r of a … b; empty: first > last.
struct Across {
    double first = std::numeric_limits<double>::infinity(), last = -std::numeric_limits<double>::infinity();
    void add(double x) {
        first = std::min(first, x);
        last = std::max(last, x);
    }
};
Across across(const Point& a, const Point& b, double r, double y) {
    Across found;
    for (const Point& end : {a, b}) {
        const double up = y - end.y;
        if (std::abs(up) > r) continue;
        const double half = std::sqrt(r * r - up * up);
        found.add(end.x - half);
        found.add(end.x + half);
    }
    const double length = distance(a, b);
    if (!(length > 0) || a.y == b.y) return found;
    const Point side{-(b.y - a.y) / length * r, (b.x - a.x) / length * r};
    for (const double s : {-1.0, 1.0}) {  // the two lines beside it
        const double y0 = a.y + s * side.y, share = (y - y0) / (b.y - a.y);
        if (share >= 0 && share <= 1) found.add(a.x + s * side.x + share * (b.x - a.x));
    }
    return found;
}

/// Marks the cells whose centres lie within r of a burnt line.
void cover(Grid<unsigned char>& cells, const std::vector<BeamWay>& ways, double r, const Crew& crew) {
    over_rows(crew, cells.height(), band, [&](int first, int end) {
        const double low = cells.centre(0, first).y, high = cells.centre(0, end - 1).y, side = cells.cell();
        const auto column = [&](double x) {
            return std::clamp((x - cells.origin().x) / side - 0.5, -1.0, static_cast<double>(cells.width()));
        };
        for (const BeamWay& way : ways)
            for (const BeamLeg& leg : way.legs) {
                if (way.asked->border) break;
                const double bottom = std::min(leg.from.y, leg.to.y) - r, top = std::max(leg.from.y, leg.to.y) + r;
                if (top < low || bottom > high) continue;
                const int from = std::max(first, static_cast<int>(std::floor((std::max(bottom, low) - cells.origin().y) / side)) - 1);
                const int to = std::min(end - 1, static_cast<int>(std::floor((std::min(top, high) - cells.origin().y) / side)) + 1);
                for (int j = from; j <= to; ++j) {
                    const Across span = across(leg.from, leg.to, r, cells.centre(0, j).y);
                    if (span.first > span.last) continue;
                    const int i = std::max(0, static_cast<int>(std::ceil(column(span.first))));
                    const int last = std::min(cells.width() - 1, static_cast<int>(std::floor(column(span.last))));
                    if (i <= last) std::fill(cells.row(j) + i, cells.row(j) + last + 1, static_cast<unsigned char>(1));
                }
            }
        crew.check();
    });
}

Missing missing_of_fill(const BeamFigure& figure, const BeamRules& rules, const std::vector<BeamWay>& ways) {
    const Box box = figure.region.bounds();
    const double side = std::max(rules.spot / 4, std::sqrt(box.width() * box.height() / most_cells));
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / side))); };
    Grid<unsigned char> covered(count(box.width()), count(box.height()), side, box.lo);
    cover(covered, ways, rules.spot / 2 + figure.left_out, rules.crew);
    const Grid<float> inside = edge_distance(figure.region, covered.like(0.0F), std::max(4 * side, rules.spot), rules.crew);
    Missing worst;
    for (int j = 0; j < covered.height(); ++j)
        for (int i = 0; i < covered.width(); ++i) {
            const double depth = static_cast<double>(inside(i, j));
            if (covered(i, j) != 0 || depth <= 1e-4 || depth <= worst.missing) continue;
            const Point p = covered.centre(i, j);
            worst = {depth, {p.x, p.y, 0}, 0, 1};
        }
    return worst;
}

/// Points along lines, found by the squares they lie in.
class Points {
public:
    Points(const Region& region, double spacing, double square) : square_(square) {
        for (const Loop& loop : region.loops())
            for (std::size_t k = 0; k < loop.size(); ++k) {
                const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
                const double count = std::max(1.0, std::ceil(distance(a, b) / spacing));
                for (double n = 0; n < count; ++n) places_.push_back({a.x + (b.x - a.x) * n / count, a.y + (b.y - a.y) * n / count});
            }
        for (std::size_t k = 0; k < places_.size(); ++k) squares_[key(cell(places_[k].x), cell(places_[k].y))].push_back(k);
    }
    [[nodiscard]] const std::vector<Point>& places() const { return places_; }
    /// Calls act(index) for the points within r of a … b, and some others; r at most a square.
    template <class Act>
    void near(const Point& a, const Point& b, double r, const Act& act) const {
        for (auto y = cell(std::min(a.y, b.y) - r); y <= cell(std::max(a.y, b.y) + r); ++y) {
            const double low = static_cast<double>(y) * square_;
            Across span;
            for (const double edge : {low, low + square_}) {
                const Across other = across(a, b, r, edge);
                span.first = std::min(span.first, other.first), span.last = std::max(span.last, other.last);
            }
            for (const Point& end : {a, b})
                if (cell(end.y) >= y - 1 && cell(end.y) <= y + 1) span.add(end.x - r), span.add(end.x + r);
            if (span.first > span.last) continue;
            for (auto x = cell(span.first); x <= cell(span.last); ++x)
                if (const auto at = squares_.find(key(x, y)); at != squares_.end())
                    for (const std::size_t k : at->second) act(k);
        }
    }

private:
    [[nodiscard]] std::int64_t cell(double v) const { return static_cast<std::int64_t>(std::floor(v / square_)); }
    static std::uint64_t key(std::int64_t x, std::int64_t y) {
        return (static_cast<std::uint64_t>(x) & 0xFFFFFFFFU) << 32 | (static_cast<std::uint64_t>(y) & 0xFFFFFFFFU);
    }
    double square_;
    std::vector<Point> places_;
    std::unordered_map<std::uint64_t, std::vector<std::size_t>> squares_;
};

/// Length of a … b within r of p.
double length_within(const Point& p, const Point& a, const Point& b, double r) {
    const double length = distance(a, b);
    if (!(length > 0)) return 0;
    const Point u{(b.x - a.x) / length, (b.y - a.y) / length};
    const double along = (p.x - a.x) * u.x + (p.y - a.y) * u.y, aside = (p.x - a.x) * u.y - (p.y - a.y) * u.x;
    if (std::abs(aside) >= r) return 0;
    const double half = std::sqrt(r * r - aside * aside);
    return std::max(0.0, std::min(length, along + half) - std::max(0.0, along - half));
}

Missing missing_of_line(const BeamFigure& figure, const BeamRules& rules, const std::vector<BeamWay>& ways) {
    const double r = rules.spot / 2 + figure.left_out;
    const Points points(figure.region, r / 2, 4 * r);
    std::vector<double> heights = figure.heights;
    if (heights.empty()) heights.push_back(0);
    Missing worst;
    for (const double height : heights) {
        std::vector<double> lit(points.places().size(), 0.0);
        for (const BeamWay& way : ways) {
            if (way.asked->border) continue;
            for (const BeamLeg& leg : way.legs)
                if (std::abs(static_cast<double>(leg.z) - height) <= same_height)
                    points.near(leg.from, leg.to, r,
                                [&](std::size_t k) { lit[k] += length_within(points.places()[k], leg.from, leg.to, r); });
            rules.crew.check();
        }
        for (std::size_t k = 0; k < lit.size(); ++k) {
            const double got = lit[k] / (2 * r), lacking = figure.times - got;
            if (lacking < 0.5 || lacking <= worst.missing) continue;
            worst = {lacking, {points.places()[k].x, points.places()[k].y, height}, got, static_cast<double>(figure.times)};
        }
    }
    return worst;
}

}  // namespace

Check check_left_out(const BeamRules& rules, const std::vector<BeamWay>& ways) {
    std::vector<Breach> breaches;
    std::string file;
    for (const BeamFigure& figure : rules.task.figures) {
        if (figure.region.empty() || !breaches.empty()) continue;
        const bool fill = figure.cover == BeamCover::fill;
        const Missing worst = fill ? missing_of_fill(figure, rules, ways) : missing_of_line(figure, rules, ways);
        if (!(worst.missing > 0)) continue;
        const NearestMove near = nearest_move(ways, worst.place);
        if (near.way != nullptr) file = near.way->asked->file;
        const Point p = flat(worst.place);
        breaches.push_back(
            {near.line, worst.place,
             fill ? fmt::format("The figure is not burnt at {}, {:.2f} mm inside its line. Lay the lines closer, or take a larger spot.",
                                at_xy(p), worst.missing)
                  : fmt::format(
                        "The figure's line is followed {:.1f} times at {} with the head at z {:.2f}, where {:.0f} are asked for. Make "
                        "the job again.",
                        worst.got, at_xy(p), worst.place.z, worst.wanted)});
    }
    return verdict("nothing left out", file, "All of the figures lies within half a spot of a burnt line.", std::move(breaches));
}

}  // namespace burin::proving
