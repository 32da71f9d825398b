// One line through many stops that covers what a picture asks for.
//
// Rounded: between the middles of its two pieces each corner becomes a parabola (a quadratic B-spline), which stays in the triangle of
// corner and middles. Where no other stop lies in that triangle, no other part of the line enters it: it could only do so across the
// triangle's base, and a straight piece does not cross it twice. Elsewhere the triangle is made smaller.
// Wide: each stop's Voronoi cell, where it is inked, divided by the line in it is the distance p to the next turn, so coverage a wants
// the width a p (plane geometry). As with other grooves it is then looked what the line covers, and what is missing added.
// Cost: points of the line, a fifth of a turn's distance apart; the share covered five times.
#include "burin/design/one_line.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/design/screen.hpp"
#include "burin/shape/filters.hpp"
#include "covered_share.hpp"
#include "stipple_cells.hpp"
#include "swelling.hpp"

namespace burin {
namespace {

constexpr double step_share = 0.2;  // of the distance between turns
constexpr double thin_share = 0.3;  // of the tolerance
constexpr int corrections = 5;
constexpr std::size_t around = 4;  // stops before and after over which the distance of turns is averaged
constexpr double sparsest = 3;     // distances between turns, on average: lighter tones are not judged
constexpr double most_cells = 2e6;

/// The line while it is made: points, the stop that each belongs to, and the distance between turns there.
struct Turns {
    std::vector<Point> points;
    std::vector<std::size_t> stop;
    std::vector<double> pitch;
    double length = 0, mean_pitch = 0;
};

/// What each stop's cell holds of ground that is not bare, mm².
std::vector<double> areas_of(const std::vector<Point>& stops, const Grid<float>& coverage, const Crew& crew) {
    const int factor = std::max(1, static_cast<int>(std::ceil(std::sqrt(static_cast<double>(coverage.size()) / most_cells))));
    Grid<float> inked((coverage.width() + factor - 1) / factor, (coverage.height() + factor - 1) / factor, coverage.cell() * factor,
                      coverage.origin(), 0.0F);
    for (int j = 0; j < coverage.height(); ++j)
        for (int i = 0; i < coverage.width(); ++i)
            if (coverage(i, j) > 0) inked(i / factor, j / factor) = 1;
    std::vector<Point> places;
    for (const Point& p : stops) places.push_back({(p.x - inked.origin().x) / inked.cell(), (p.y - inked.origin().y) / inked.cell()});
    const double cell_area = inked.cell() * inked.cell();
    std::vector<double> areas;
    for (const dots::Mass& cell : dots::cell_masses(dots::Pyramid(std::move(inked)), places, crew)) areas.push_back(cell.sum * cell_area);
    return areas;
}

/// Distances to the next turn: area by length, over some stops before and after.
void measure(Turns& line, const std::vector<double>& areas) {
    const std::size_t n = areas.size();
    std::vector<double> lengths(n, 0.0), area_to{0}, length_to{0};
    for (std::size_t k = 1; k < line.points.size(); ++k) lengths[line.stop[k]] += distance(line.points[k - 1], line.points[k]);
    for (std::size_t k = 0; k < n; ++k) area_to.push_back(area_to.back() + areas[k]), length_to.push_back(length_to.back() + lengths[k]);
    for (const std::size_t k : line.stop) {
        const std::size_t from = k > around ? k - around : 0, to = std::min(n, k + around + 1);
        line.pitch.push_back((area_to[to] - area_to[from]) / std::max(length_to[to] - length_to[from], 1e-9));
    }
    line.length = length_to.back();
    line.mean_pitch = area_to.back() / line.length;
}

/// Stops by square buckets: whether others lie in a triangle.
class Others {
public:
    Others(const std::vector<Point>& stops, double side) : stops_(stops), side_(side) {
        Point hi = lo_ = stops.front();
        for (const Point& p : stops) {
            lo_ = {std::min(lo_.x, p.x), std::min(lo_.y, p.y)};
            hi = {std::max(hi.x, p.x), std::max(hi.y, p.y)};
        }
        side_ = std::max({side_, (hi.x - lo_.x) / 2000, (hi.y - lo_.y) / 2000, 1e-6});
        columns_ = static_cast<int>((hi.x - lo_.x) / side_) + 1, rows_ = static_cast<int>((hi.y - lo_.y) / side_) + 1;
        buckets_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
        for (std::size_t k = 0; k < stops.size(); ++k) buckets_[at(column(stops[k].x), row(stops[k].y))].push_back(k);
    }
    [[nodiscard]] bool within(const Point& a, const Point& b, const Point& c, std::size_t own) const {
        const auto side = [](const Point& p, const Point& q, const Point& r) {
            return (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
        };
        const auto [x0, x1] = std::minmax({a.x, b.x, c.x});
        const auto [y0, y1] = std::minmax({a.y, b.y, c.y});
        for (int j = row(y0); j <= row(y1); ++j)
            for (int i = column(x0); i <= column(x1); ++i)
                for (const std::size_t k : buckets_[at(i, j)]) {
                    if (k == own) continue;
                    const double u = side(a, b, stops_[k]), v = side(b, c, stops_[k]), w = side(c, a, stops_[k]);
                    if ((u >= 0 && v >= 0 && w >= 0) || (u <= 0 && v <= 0 && w <= 0)) return true;
                }
        return false;
    }

private:
    [[nodiscard]] int column(double x) const { return std::clamp(static_cast<int>((x - lo_.x) / side_), 0, columns_ - 1); }
    [[nodiscard]] int row(double y) const { return std::clamp(static_cast<int>((y - lo_.y) / side_), 0, rows_ - 1); }
    [[nodiscard]] std::size_t at(int i, int j) const {
        return static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
    }
    const std::vector<Point>& stops_;
    double side_;
    Point lo_;
    int columns_ = 1, rows_ = 1;
    std::vector<std::vector<std::size_t>> buckets_;
};

Point between(const Point& a, const Point& b, double t) { return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t}; }

Turns rounded(const std::vector<Point>& stops, double step) {
    const Others others(stops, 5 * step);
    Turns line;
    const auto put = [&](const Point& p, std::size_t stop) { line.points.push_back(p), line.stop.push_back(stop); };
    const auto straight_to = [&](const Point& to, std::size_t stop) {
        const Point from = line.points.back();
        const int count = std::max(1, static_cast<int>(std::ceil(distance(from, to) / step)));
        for (int k = 1; k <= count; ++k) put(between(from, to, static_cast<double>(k) / count), stop);
    };
    put(stops.front(), 0);
    for (std::size_t k = 1; k + 1 < stops.size(); ++k) {
        const Point &p = stops[k], before = between(stops[k - 1], p, 0.5), after = between(p, stops[k + 1], 0.5);
        double share = 1;
        while (share > 0 && others.within(between(p, before, share), p, between(p, after, share), k)) share = share > 0.2 ? share / 2 : 0;
        const Point from = between(p, before, share), to = between(p, after, share);
        straight_to(from, k);
        const int count = share > 0 ? std::max(3, static_cast<int>(std::ceil((distance(from, p) + distance(p, to)) / step))) : 0;
        for (int n = 1; n <= count; ++n) {
            const double t = static_cast<double>(n) / count;
            put(between(between(from, p, t), between(p, to, t), t), k);
        }
        straight_to(after, k);
    }
    straight_to(stops.back(), stops.size() - 1);
    return line;
}

/// The tip's way: as deep as each place asks, at most as steep as may be, up to the top at both ends.
Groove groove_along(const Turns& line, const Grid<float>& aim, const LineWishes& wishes, double steepest, const Depths& depth_of) {
    const std::size_t n = line.points.size();
    std::vector<double> z(n), way(n, 0.0);
    for (std::size_t k = 0; k < n; ++k) {
        z[k] = -depth_of.at(std::clamp(value_at(aim, line.points[k]) * line.pitch[k], wishes.least, wishes.most));
        if (k > 0) way[k] = distance(line.points[k - 1], line.points[k]);
    }
    z.front() = z.back() = 0;
    for (std::size_t k = 1; k < n; ++k) z[k] = std::max(z[k], z[k - 1] - way[k] * steepest);
    for (std::size_t k = n; k-- > 1;) z[k - 1] = std::max(z[k - 1], z[k] - way[k] * steepest);
    std::vector<Point3> tip;
    for (std::size_t k = 0; k < n; ++k)
        if (k == 0 || way[k] > 1e-6) tip.push_back({line.points[k].x, line.points[k].y, z[k]});
    return {thinned(tip, wishes.tolerance * thin_share), false};
}

}  // namespace

OneLine one_line(const std::vector<Point>& stops, const Grid<float>& coverage, const LineWishes& wishes, const Bit& bit, const Crew& crew) {
    if (stops.size() < 3) throw Error(Fault::refused, "The line has fewer than three places to go through. Give more --dots.");
    if (bit.width_at(0) >= bit.diameter() - 1e-9)
        throw Error(Fault::refused,
                    fmt::format("'{}' is as wide at its tip as above, so its line cannot swell with the tone. Take a vee, a "
                                "tapered or a ball bit, such as vee:60:0.1:3.175.",
                                bit.name()));
    double straight = 0;
    for (std::size_t k = 1; k < stops.size(); ++k) straight += distance(stops[k - 1], stops[k]);
    Turns line = rounded(stops, step_share * straight / static_cast<double>(stops.size()));
    measure(line, areas_of(stops, coverage, crew));
    OneLine made;
    made.length = line.length, made.pitch = line.mean_pitch;
    made.least = wishes.least / (sparsest * made.pitch), made.most = wishes.darkest;
    const Depths depth_of(bit, depth_for_width(bit, wishes.most, bit.tip_height()) + 1e-9);
    Grid<float> aim = coverage;
    for (int round = 0;; ++round) {
        crew.check();
        made.groove = groove_along(line, window_mean(aim, made.pitch / 2, crew), wishes, wishes.steepest, depth_of);
        if (round == corrections) break;
        const Grid<float> lacking =
            missing(coverage, covered_share({made.groove}, bit, coverage, crew), made.least, made.most, made.pitch, crew);
        for (std::size_t k = 0; k < aim.size(); ++k) aim.values()[k] = std::clamp(aim.values()[k] + lacking.values()[k], 0.0F, 1.0F);
    }
    return made;
}

}  // namespace burin
