// Whether all of the figures is burnt: what is filled, cell by cell against discs of the spot along the lines; what is followed, by the
// length of lit way beside each point of its line, at each height. Cost: cells under the lines; points of lines × legs near them.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "beam_checks.hpp"
#include "beam_cover.hpp"
#include "beam_lines.hpp"
#include "burin/shape/edge_distance.hpp"

namespace burin::proving {
namespace {

constexpr double most_cells = 6e6;
constexpr double same_height = 0.011;  // mm

/// A place that was left out; none: missing is 0.
struct Missing {
    double missing = 0;  ///< how badly, for choosing the worst
    Point3 place;
    double got = 0, wanted = 1;  ///< times
};

Missing missing_of_fill(const BeamFigure& figure, const BeamRules& rules, const std::vector<BeamWay>& ways) {
    const Box box = figure.region.bounds();
    const double side = std::max(rules.spot / 4, std::sqrt(box.width() * box.height() / most_cells));
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / side))); };
    Grid<unsigned char> covered(count(box.width()), count(box.height()), side, box.lo);
    over_covered(covered, ways, rules.spot / 2 + figure.left_out, rules.crew, [&](const BeamLeg&, int j, int first, int end) {
        std::fill(covered.row(j) + first, covered.row(j) + end, static_cast<unsigned char>(1));
    });
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

/// Lit length near each point of the lines, at one height.
std::vector<double> lit_length(const std::vector<Point>& points, const Squares& squares, double r, double height, const BeamRules& rules,
                               const std::vector<BeamWay>& ways) {
    std::vector<double> lit(points.size(), 0.0);
    for (const BeamWay& way : ways) {
        if (way.asked->border) continue;
        for (const BeamLeg& leg : way.legs)
            if (std::abs(static_cast<double>(leg.z) - height) <= same_height)
                squares.near({leg.from, leg.to}, r, [&](std::size_t k) { lit[k] += length_within(points[k], leg.from, leg.to, r); });
        rules.crew.check();
    }
    return lit;
}

/// Beside each point of the lines as much lit way must lie, for each time, as the lines themselves have there.
Missing missing_of_line(const BeamFigure& figure, const BeamRules& rules, const std::vector<BeamWay>& ways) {
    const double r = rules.spot / 2 + figure.left_out;
    const std::vector<Stretch> stretches = stretches_of(figure);
    std::vector<Point> points;
    for (const auto& [a, b] : stretches) {
        const double count = std::max(1.0, std::ceil(2 * distance(a, b) / r));
        for (double n = 0; n <= count; ++n) points.push_back({a.x + (b.x - a.x) * n / count, a.y + (b.y - a.y) * n / count});
    }
    Squares squares(4 * r);
    for (std::size_t k = 0; k < points.size(); ++k) squares.put(points[k], k);
    std::vector<double> own(points.size(), 0.0);
    for (const Stretch& stretch : stretches)
        squares.near(stretch, r, [&](std::size_t k) { own[k] += length_within(points[k], stretch.from, stretch.to, r); });
    std::vector<double> heights = figure.heights;
    if (heights.empty()) heights.push_back(0);
    Missing worst;
    for (const double height : heights) {
        const std::vector<double> lit = lit_length(points, squares, r, height, rules, ways);
        for (std::size_t k = 0; k < lit.size(); ++k) {
            const double got = own[k] > 1e-6 ? lit[k] / own[k] : lit[k] > 0 ? figure.times : 0, lacking = figure.times - got;
            if (lacking < 0.5 || lacking <= worst.missing) continue;
            worst = {lacking, {points[k].x, points[k].y, height}, got, static_cast<double>(figure.times)};
        }
    }
    return worst;
}

}  // namespace

Check check_left_out(const BeamRules& rules, const std::vector<BeamWay>& ways) {
    std::vector<Breach> breaches;
    std::string file;
    for (const BeamFigure& figure : rules.task.figures) {
        const bool fill = figure.cover == BeamCover::fill;
        if ((fill && figure.region.empty()) || !breaches.empty()) continue;
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
