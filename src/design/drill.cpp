/// Holes: every round figure whose diameter is the bit's becomes a place where the bit goes straight down; wider ones, and slots, are
/// milled by a flat bit that goes round in rings, the inner ones first, so that no slug comes loose. A hole is taken for what a disc of
/// its width covers on its way from one end to the other: place and length are those of its figure, the width that of the same area
/// (plane geometry). Cost: the corners of the figures.
#include "drill.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double round_share = 0.12, round_slack = 0.03;  // of the radius, and mm: what a traced hole may be out of shape
constexpr double ring_step = 0.8;                         // of the bit's diameter: rings beside each other leave nothing between them
constexpr double ring_chord = 0.002;                      // mm that a ring's chords may leave it

/// What a disc of `width` covers on its way from one end to the other.
struct Hole {
    Point from, to;
    double width = 0;
    [[nodiscard]] bool round() const { return from == to; }
};

double distance_to(const Hole& hole, const Point& p) {
    const double x = hole.to.x - hole.from.x, y = hole.to.y - hole.from.y, length2 = x * x + y * y;
    const double along = (p.x - hole.from.x) * x + (p.y - hole.from.y) * y, t = length2 > 0 ? std::clamp(along / length2, 0.0, 1.0) : 0;
    return distance(p, {hole.from.x + t * x, hole.from.y + t * y});
}

/// Whether the line runs about half the width away from the hole's middle line everywhere.
bool has_line(const Hole& hole, const Loop& loop) {
    double least = 1e9, most = 0;
    for (std::size_t k = 0; k < loop.size(); ++k) {
        const Point &p = loop[k], &next = loop[(k + 1) % loop.size()];
        most = std::max(most, distance_to(hole, p));
        least = std::min(least, distance_to(hole, {(p.x + next.x) / 2, (p.y + next.y) / 2}));
    }
    return most - least <= round_share * hole.width / 2 + round_slack;
}

Hole hole_of(const Loop& loop) {
    const LoopMass mass = mass_of(loop);
    const double area = std::abs(mass.area);
    const Hole disc{mass.centroid, mass.centroid, 2 * std::sqrt(area / std::numbers::pi)};
    if (has_line(disc, loop)) return disc;
    const Point far = *std::max_element(
        loop.begin(), loop.end(), [&](const Point& a, const Point& b) { return distance(a, mass.centroid) < distance(b, mass.centroid); });
    // Area of a slot: length · width less what the rounding takes off its corners.
    const double half = distance(far, mass.centroid), corners = 1 - std::numbers::pi / 4;
    const double width = (half - std::sqrt(std::max(0.0, half * half - corners * area))) / corners;
    const double share = half > 0 ? std::max(0.0, 1 - width / 2 / half) : 0;
    const Point &at = mass.centroid, along{(far.x - at.x) * share, (far.y - at.y) * share};
    const Hole slot{{at.x - along.x, at.y - along.y}, {at.x + along.x, at.y + along.y}, width};
    if (has_line(slot, loop)) return slot;
    throw Error(
        Fault::refused,
        fmt::format("The figure at X{:.2f} Y{:.2f} is not round and no slot with round ends either, so it is no hole to be drilled. "
                    "Lower it with pocket, or cut it out with cutout.",
                    mass.centroid.x, mass.centroid.y));
}

/// A line that keeps `radius` away from the hole's middle line; of no radius, that line.
Groove ring(const Hole& hole, double radius, double z) {
    Groove groove;
    if (!(radius > 1e-6)) {
        groove.tip.push_back({hole.from.x, hole.from.y, z});
        if (!hole.round()) groove.tip.push_back({hole.to.x, hole.to.y, z});
        return groove;
    }
    groove.closed = true;
    const double along = hole.round() ? 0 : std::atan2(hole.to.y - hole.from.y, hole.to.x - hole.from.x);
    const int half = std::max(8, static_cast<int>(std::ceil(std::numbers::pi / 2 / std::acos(std::max(0.0, 1 - ring_chord / radius)))));
    for (int end = 0; end < 2; ++end)
        for (int k = 0; k < half + (hole.round() ? 0 : 1); ++k) {
            const double a = along + std::numbers::pi * (end - 0.5 + static_cast<double>(k) / half);
            const Point& c = end == 0 ? hole.to : hole.from;
            groove.tip.push_back({c.x + radius * std::cos(a), c.y + radius * std::sin(a), z});
        }
    return groove;
}

void mill(const Hole& hole, double diameter, FigureDesign& design) {
    std::vector<double> radii;
    for (double radius = (hole.width - diameter) / 2;; radius -= ring_step * diameter) {
        radii.push_back(std::max(0.0, radius));
        if (radius < diameter / 2) break;  // the bit has the middle as well
    }
    for (auto radius = radii.rbegin(); radius != radii.rend(); ++radius) design.grooves.push_back(ring(hole, *radius, design.floor));
}

/// Sizes in hundredths of a millimetre, and how many there are of each.
using Sizes = std::map<long, std::size_t>;

std::string words_of(const Sizes& sizes, const char* what) {
    std::string words;
    for (const auto& [size, count] : sizes)
        words += fmt::format("{}{} {}of {:.2f} mm", words.empty() ? "" : ", ", count, what, static_cast<double>(size) / 100);
    return words;
}

std::string counted(std::size_t count, const char* one, const char* many) { return fmt::format("{} {}", count, count == 1 ? one : many); }

HoleSize size_of(const Hole& hole) { return {hole.width, !hole.round()}; }

struct Sorted {
    std::size_t drilled = 0, milled = 0, beyond = 0;
    Sizes round, slots;  ///< left to other cuts
    double worst = 0;    ///< mm that a drilled hole is off its size
};

void take(const Hole& hole, const FigureWishes& wishes, const Bit& bit, FigureDesign& design, Sorted& sorted) {
    if (hole.width < wishes.hole_sizes.x || hole.width > wishes.hole_sizes.y) {
        ++sorted.beyond;
        return;
    }
    const double wider = hole.width - bit.diameter();
    const bool fits = std::abs(wider) <= wishes.hole_slack + 1e-9;
    switch (work_of(bit, size_of(hole), wishes.hole_slack)) {
        case HoleWork::none:
            ++(hole.round() ? sorted.round : sorted.slots)[std::lround(hole.width * 100)];
            return;
        case HoleWork::drilled:
            ++sorted.drilled;
            break;
        case HoleWork::milled:
            ++sorted.milled;
    }
    if (!fits) return mill(hole, bit.diameter(), design);
    sorted.worst = std::max(sorted.worst, std::abs(wider));
    design.grooves.push_back(ring(hole, 0, design.floor));
}

}  // namespace

void drill_holes(FigureDesign& design, const FigureWishes& wishes, const Bit& bit) {
    design.floor = -wishes.depth;
    design.breakthrough = wishes.breakthrough;
    Sorted sorted;
    for (const Figure& figure : design.traced.figures()) take(hole_of(figure.outer), wishes, bit, design, sorted);
    std::string left = words_of(sorted.round, "");
    if (!sorted.slots.empty()) left += (left.empty() ? "" : ", ") + words_of(sorted.slots, "slots ");
    if (design.grooves.empty())
        throw Error(
            Fault::refused,
            left.empty()
                ? fmt::format("None of the holes is from {} to {} mm wide (--hole-sizes).", wishes.hole_sizes.x, wishes.hole_sizes.y)
                : fmt::format("No hole has the size of the bit '{}', {} mm: the drawing has {}. Give another --bit, a flat one "
                              "to mill wider holes and slots, or a larger --hole-slack.",
                              bit.name(), bit.diameter(), left));
    if (sorted.drilled > 0)
        design.notes.push_back(fmt::format("{} drilled with '{}', at most {:.2f} mm off their size.",
                                           counted(sorted.drilled, "hole is", "holes are"), bit.name(), sorted.worst));
    if (sorted.milled > 0)
        design.notes.push_back(
            fmt::format("{} milled round with '{}'.", counted(sorted.milled, "hole or slot is", "holes and slots are"), bit.name()));
    if (sorted.beyond > 0)
        design.notes.push_back(fmt::format("{} left to other cuts (--hole-sizes).", counted(sorted.beyond, "hole is", "holes are")));
    if (!left.empty())
        design.warnings.push_back(fmt::format(
            "Holes of other sizes are left out: {}. Give them a cut of their own, with a --bit of their size or a flat one.", left));
}

HoleWork work_of(const Bit& bit, const HoleSize& hole, double slack) {
    const double wider = hole.width - bit.diameter();
    const bool fits = std::abs(wider) <= slack + 1e-9, mills = bit.shape() == BitShape::flat;
    if (fits && !hole.slot) return HoleWork::drilled;
    return mills && (fits || wider > 0) ? HoleWork::milled : HoleWork::none;
}

std::vector<HoleSize> hole_sizes(const Region& holes) {
    std::vector<HoleSize> sizes;
    for (const Figure& figure : holes.figures()) sizes.push_back(size_of(hole_of(figure.outer)));
    return sizes;
}

}  // namespace burin
