// Dots: straight down, at most the depth per pass before the chips are cleared, and up again.
//
// Most of a dot's time goes into the way up and down, so between neighbours the bit is lifted no higher than asked for; farther away
// something may stand on the stock, so there it is. What no longer lies in the bit's way is left by a rapid: it was cut just now.
// Cost: that of the tour.
#include "figure_dots.hpp"

#include <algorithm>

#include "burin/base/error.hpp"
#include "burin/toolpath/figures.hpp"
#include "figure_order.hpp"

namespace burin {
namespace {

constexpr double beside = 10;  // mm: neighbours, between which no clamp stands; our choice, no source

}  // namespace

std::vector<std::size_t> short_order(const std::vector<Point>& places, const Point& start, const Crew& crew) {
    std::vector<Stop> stops;
    for (const Point& p : places) stops.push_back({p, p});
    std::vector<std::size_t> order;
    for (const Turn& turn : short_tour(stops, start, crew)) order.push_back(turn.stop);
    return order;
}

void cut_dots(Pen& pen, const std::vector<Point3>& dots, double hop, const CutRules& rules, const Crew& crew) {
    if (dots.empty()) return;
    if (!rules.plunges)
        throw Error(Fault::refused,
                    "Dots are drilled straight down, and the bit does not cut at its centre. Take a vee, a ball, or another that does.");
    std::vector<Stop> stops;
    double deepest = 0;
    for (const Point3& dot : dots) {
        stops.push_back({flat(dot), flat(dot)});
        deepest = std::min(deepest, dot.z);
    }
    pen.pass("dots", deepest);
    const double above = std::min(rules.clearance, hop);
    bool first = true;
    for (const Turn& turn : short_tour(stops, flat(pen.at()), crew)) {
        const Point3& dot = dots[turn.stop];
        if (!(dot.z < 0)) continue;
        if (first || distance(flat(pen.at()), flat(dot)) > beside)
            pen.approach(flat(dot), above);
        else
            pen.hop(flat(dot), hop, above);
        first = false;
        plunge(pen, 0, dot.z, rules);
    }
}

}  // namespace burin
