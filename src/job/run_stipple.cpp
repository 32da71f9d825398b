/// A photo's coverage becomes dots, and dots become grooves of a single point: as deep as makes each as wide as it shall be.
#include <algorithm>
#include <cmath>

#include "burin/design/screen.hpp"
#include "burin/design/stipple.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"

namespace burin {
namespace {

/// mm over which tones of dots are judged: so wide that a single dot on nearly bare ground is less than what is allowed, and that
/// a dozen of the others are averaged.
double window_of(const Grid<float>& coverage, const Stipple& made, const StippleWishes& wishes) {
    double inked = 0;
    for (const float v : coverage.values()) inked += v > 0 ? 1 : 0;
    const double apart = std::sqrt(inked * coverage.cell() * coverage.cell() / static_cast<double>(made.dots.size()));
    return std::max(3 * wishes.least, 1.25 * apart);
}

}  // namespace

void lay_dots(const Grid<float>& coverage, const SettledFigure& photo, FigureDesign& design, const Crew& crew) {
    const SettledDots& wishes = photo.dots;
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
    append(design.notes, made.notes);
    design.notes.push_back(most - least < 1e-9
                               ? fmt::format("{} dots of {:.2f} mm cover {:.0f} mm² of the {:.0f} mm² that the picture asks for.",
                                             made.dots.size(), most, made.covered, made.asked)
                               : fmt::format("{} dots of {:.2f} to {:.2f} mm cover {:.0f} mm² of the {:.0f} mm² that the picture asks for.",
                                             made.dots.size(), least, most, made.covered, made.asked));
    if (made.too_close > 0)
        design.notes.push_back(fmt::format("{} of them found too little room and were made smaller, or left out.", made.too_close));
}

}  // namespace burin
