// What is lost of a figure because the bits are too wide, what stock that is not flat costs, and how a groove will stand out.
//
// Lost pieces are told apart by the largest circle that they hold: in a corner of angle α a bit of radius R leaves a piece that holds
// one of radius R (1 − sin(α/2)) ⁄ (1 + sin(α/2)) and reaches R ⁄ tan(α/2) along its sides (plane geometry): a sixth of R and one R at a
// right angle. What holds more than half of R, or is longer than corners down to 44 degrees are, or is a figure by itself, is a
// place too narrow. Cost: the medial axis of what is lost.
#include <algorithm>
#include <cmath>
#include <vector>

#include "burin/report/figure_report.hpp"
#include "burin/shape/medial_axis.hpp"

namespace burin {
namespace {

constexpr double corner_share = 0.5, corner_length = 2.5;  // of the bit's radius
constexpr double worth_telling = 0.02;                     // mm: narrower slivers come from chords of curves
constexpr double eye = 0.5;                                // mm: what is shorter is an end, not a place

double lightness(double y) { return y > 0.008856 ? 116 * std::cbrt(y) - 16 : 903.3 * y; }

double entering_width(const FigureReport& figure, const Bit& bit) {
    if (figure.design.half_angle > 0) return bit.shape() == BitShape::vee ? bit.spec().tip : 1e9;
    return bit.width_at(-figure.design.floor);
}

}  // namespace

FigureLosses losses_of(const FigureReport& figure, const std::vector<Bit>& bits, const Crew& crew) {
    FigureLosses losses;
    losses.entering = bits.empty() ? 0 : 1e9;
    for (const Bit& bit : bits) losses.entering = std::min(losses.entering, entering_width(figure, bit));
    if (losses.entering >= 1e9) losses.entering = 0;
    losses.area = figure.unreached.area();
    const double all = figure.design.may.area();
    losses.share = all > 0 ? losses.area / all : 0;
    if (figure.unreached.empty()) return losses;

    std::vector<Box> whole;
    for (const Figure& f : figure.design.may.figures()) whole.push_back(box_of(f.outer));
    const double radius = losses.entering / 2;
    const auto& lost = figure.unreached.figures();
    std::vector<std::optional<ThinPlace>> found(lost.size());
    std::vector<char> corner(lost.size(), 0);
    in_parallel(crew, static_cast<int>(lost.size()), [&](int k) {
        const Figure& f = lost[static_cast<std::size_t>(k)];
        std::vector<Loop> loops{f.outer};
        loops.insert(loops.end(), f.holes.begin(), f.holes.end());
        const Region piece(loops);
        ThinPlace place;
        place.area = piece.area();
        for (const AxisNode& node : medial_axis(piece, 0.01, {}).nodes)
            if (2 * node.radius > place.width) place.width = 2 * node.radius, place.at = node.at;
        const Box box = box_of(f.outer);
        const double length = distance(box.lo, box.hi);
        place.whole = std::any_of(whole.begin(), whole.end(),
                                  [&](const Box& other) { return distance(box.lo, other.lo) < 0.01 && distance(box.hi, other.hi) < 0.01; });
        if (place.width < worth_telling) return;
        if (place.whole || (length > eye && place.width > corner_share * 2 * radius) || length > std::max(eye, corner_length * radius))
            found[static_cast<std::size_t>(k)] = place;
        else
            corner[static_cast<std::size_t>(k)] = 1;
    });
    for (std::size_t k = 0; k < lost.size(); ++k) {
        if (found[k]) losses.thin.push_back(*found[k]);
        losses.corners += corner[k];
    }
    std::stable_sort(losses.thin.begin(), losses.thin.end(), [](const ThinPlace& a, const ThinPlace& b) { return a.width < b.width; });
    return losses;
}

std::optional<double> width_lost(const Bit& bit, double unevenness) {
    const BitSpec& s = bit.spec();
    if (bit.shape() == BitShape::vee || bit.shape() == BitShape::drill) return 2 * std::tan(s.angle / 2) * unevenness;
    if (bit.shape() == BitShape::taper) return 2 * std::tan(s.angle) * unevenness;
    return std::nullopt;
}

std::optional<GrooveContrast> groove_contrast(const FigureDesign& design, const Bit& bit, const Material& material) {
    double open = 0;  // F
    if (design.half_angle > 0) {
        open = std::sin(design.half_angle);
    } else if (!design.grooves.empty() || design.band > 0) {
        // Along the bit's outline up to the stock top: floor, walls, and upright sides above its cone.
        double deep = -design.floor;
        for (const Groove& groove : design.grooves)
            for (const Point3& p : groove.tip) deep = std::max(deep, -p.z);
        const double half = bit.width_at(deep) / 2;
        if (!(half > 0)) return std::nullopt;
        double length = 0, last_r = 0, last_h = 0;
        constexpr int steps = 400;
        for (int k = 1; k <= steps; ++k) {
            const double r = half * std::sin(k * 1.5707963267948966 / steps), h = std::min(bit.rise(r), deep);
            length += std::hypot(r - last_r, h - last_h);
            last_r = r, last_h = h;
        }
        open = half / (length + std::max(0.0, deep - last_h));
    } else {
        return std::nullopt;  // a floor: as bright as any fresh cut
    }
    GrooveContrast contrast;
    const double walls = luminance(material.cut_colour);
    contrast.top = luminance(material.colour);
    if (!(contrast.top > 0)) return std::nullopt;
    contrast.groove = walls * open / (1 - walls * (1 - open));
    contrast.top_lightness = lightness(contrast.top);
    contrast.lightness = lightness(contrast.groove);
    return contrast;
}

}  // namespace burin
