/// Holes: every round figure whose diameter is the bit's becomes a place where the bit goes straight down. A hole's place is its figure's
/// centroid, its diameter that of the disc of the same area (plane geometry). Cost: the corners of the figures.
#include "drill.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double round_share = 0.12, round_slack = 0.03;  // of the radius, and mm: what a traced disc may be out of round

struct Disc {
    Point at;
    double diameter = 0;
};

Disc disc_of(const Loop& loop) {
    const LoopMass mass = mass_of(loop);
    const Disc disc{mass.centroid, 2 * std::sqrt(std::abs(mass.area) / std::numbers::pi)};
    double least = 1e9, most = 0;
    for (std::size_t k = 0; k < loop.size(); ++k) {
        const Point &p = loop[k], &next = loop[(k + 1) % loop.size()];
        most = std::max(most, distance(p, disc.at));
        least = std::min(least, distance({(p.x + next.x) / 2, (p.y + next.y) / 2}, disc.at));
    }
    if (most - least > round_share * disc.diameter / 2 + round_slack)
        throw Error(Fault::refused,
                    fmt::format("The figure at X{:.2f} Y{:.2f} is not round, and a drill makes round holes only. Lower it with pocket, "
                                "or cut it out with cutout.",
                                disc.at.x, disc.at.y));
    return disc;
}

}  // namespace

void drill_holes(FigureDesign& design, const FigureWishes& wishes, const Bit& bit) {
    design.floor = -wishes.depth;
    design.breakthrough = wishes.breakthrough;
    std::map<long, std::size_t> others;  // hundredths of a millimetre → holes
    double worst = 0;
    for (const Figure& figure : design.traced.figures()) {
        const Disc disc = disc_of(figure.outer);
        const double off = std::abs(disc.diameter - bit.diameter());
        if (off > wishes.hole_slack + 1e-9) {
            ++others[std::lround(disc.diameter * 100)];
            continue;
        }
        worst = std::max(worst, off);
        design.grooves.push_back({{{disc.at.x, disc.at.y, design.floor}}, false});
    }
    std::string left;
    for (const auto& [size, count] : others)
        left += fmt::format("{}{} of {:.2f} mm", left.empty() ? "" : ", ", count, static_cast<double>(size) / 100);
    if (design.grooves.empty())
        throw Error(Fault::refused, fmt::format("No hole has the size of the bit '{}', {} mm: the drawing has {}. Give another --bit, or a "
                                                "larger --hole-slack.",
                                                bit.name(), bit.diameter(), left));
    design.notes.push_back(fmt::format("{} {} drilled with '{}', at most {:.2f} mm off their size.", design.grooves.size(),
                                       design.grooves.size() == 1 ? "hole is" : "holes are", bit.name(), worst));
    if (!left.empty())
        design.warnings.push_back(
            fmt::format("Holes of other sizes are left out: {}. Give them a cut of their own, with a --bit of their size.", left));
}

}  // namespace burin
