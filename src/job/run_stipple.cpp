/// A photo's coverage becomes dots, and dots become grooves of a single point: as deep as makes each as wide as it shall be;
/// or one groove that goes through all of their places.
#include <algorithm>
#include <cmath>

#include "burin/design/one_line.hpp"
#include "burin/design/screen.hpp"
#include "burin/design/stipple.hpp"
#include "burin/toolpath/figures.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"

namespace burin {
namespace {

/// Share of the surface: dots have no order, so a window holds some more or some less of them. Our choice, no source.
constexpr double dots_slack = 0.03;

/// mm over which tones of dots are judged: so wide that a single dot on nearly bare ground is less than what is allowed, and that
/// a dozen of the others are averaged.
double window_of(const Grid<float>& coverage, const Stipple& made, const StippleWishes& wishes) {
    double inked = 0;
    for (const float v : coverage.values()) inked += v > 0 ? 1 : 0;
    const double apart = std::sqrt(inked * coverage.cell() * coverage.cell() / static_cast<double>(made.dots.size()));
    return std::max(3 * wishes.least, 1.25 * apart);
}

double lay_line(const Grid<float>& coverage, const SettledFigure& photo, FigureDesign& design, const Crew& crew) {
    StippleWishes wishes = photo.dots.wishes;
    wishes.line = true;
    const Stipple made = stipple(coverage, wishes, crew);
    crew.say("line");
    std::vector<Point> places, stops;
    for (const Dot& dot : made.dots) places.push_back(dot.at);
    for (const std::size_t k : short_order(places, coverage.bounds().lo, crew)) stops.push_back(places[k]);
    LineWishes line;
    line.least = wishes.least, line.most = wishes.most;
    line.darkest = made.darkest;
    line.tolerance = photo.job.tolerance;
    Grid<float> shown = coverage;
    for (float& v : shown.values()) v *= static_cast<float>(made.scale);
    OneLine one = one_line(uncrossed(std::move(stops), crew), shown, line, photo.job.bits.back().bit, crew);
    for (const Point3& p : one.groove.tip) design.floor = std::min(design.floor, p.z);
    design.grooves.push_back(std::move(one.groove));
    design.tone = ToneDesign{{}, 2 * one.pitch, one.least, one.most};
    append(design.notes, made.notes);
    design.notes.push_back(fmt::format("One line of {:.1f} m goes through {} places, {:.2f} mm from turn to turn on average.",
                                       one.length / 1000, made.dots.size(), one.pitch));
    return made.scale;
}

}  // namespace

double lay_dots(const Grid<float>& coverage, const SettledFigure& photo, FigureDesign& design, const Crew& crew) {
    const SettledDots& wishes = photo.dots;
    if (wishes.one_line) return lay_line(coverage, photo, design, crew);
    const Bit& bit = photo.job.bits.back().bit;
    Stipple made = stipple(coverage, wishes.wishes, crew);
    const bool swells = wishes.wishes.most > wishes.wishes.least || bit.width_at(1e-6) < bit.diameter() - 1e-6;
    double deepest = 0, least = wishes.wishes.most, most = 0;
    for (const Dot& dot : made.dots) {
        const double depth = swells ? depth_for_width(bit, dot.diameter, photo.job.depth) : photo.job.depth;
        design.grooves.push_back({{{dot.at.x, dot.at.y, -depth}}, false});
        deepest = std::max(deepest, depth), least = std::min(least, dot.diameter), most = std::max(most, dot.diameter);
    }
    design.floor = -deepest;
    design.tone = ToneDesign{{}, window_of(coverage, made, wishes.wishes), 0, made.darkest};
    design.tone->slack = dots_slack;
    append(design.notes, made.notes);
    design.notes.push_back(most - least < 1e-9
                               ? fmt::format("{} dots of {:.2f} mm cover {:.0f} mm² of the {:.0f} mm² that the picture asks for.",
                                             made.dots.size(), most, made.covered, made.asked)
                               : fmt::format("{} dots of {:.2f} to {:.2f} mm cover {:.0f} mm² of the {:.0f} mm² that the picture asks for.",
                                             made.dots.size(), least, most, made.covered, made.asked));
    if (made.too_close > 0)
        design.notes.push_back(fmt::format("{} of them found too little room and were made smaller, or left out.", made.too_close));
    return made.scale;
}

}  // namespace burin
