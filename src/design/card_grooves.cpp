/// A card's places as grooves, and what the widths of grooves tell of a bit.
/// Solid places are filled with grooves that overlap: rings and discs with circles, squares with parallel lines. Every width becomes a
/// depth by the bit's own shape. Cost: one bisection for each groove.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/card.hpp"

namespace burin {
namespace {

constexpr double overlap = 1.2;  // of grooves in what must be solid: a zero a little too high leaves no ridges
constexpr double letter_width = 0.35, letter_depth = 0.1, chord_error = 0.002;  // mm

class Grooves {
public:
    Grooves(const Card& card, const Bit& bit, const Point& at, FigureDesign& design) : card_(card), bit_(bit), at_(at), design_(design) {}

    /// Circles that overlap, from one radius to another.
    void ring(const Point& centre, double inner, double outer) {
        const Fill fill = fill_of(outer - inner);
        for (int k = 0; k < fill.count; ++k) circle(centre, inner + fill.width / 2 + k * fill.step, depth_for_width(bit_, fill.width));
    }
    /// Upright grooves that overlap.
    void solid(const Box& box) {
        const Fill fill = fill_of(box.width());
        const double inset = std::min(fill.width / 2, box.height() / 3), depth = depth_for_width(bit_, fill.width);
        for (int k = 0; k < fill.count; ++k) {
            const double x = box.lo.x + fill.width / 2 + k * fill.step;
            line({x, box.lo.y + inset}, {x, box.hi.y - inset}, depth);
        }
    }
    /// Upright grooves `pitch` apart that cover the share `amount` of a box.
    void hatch(const Box& box, double pitch, double amount) {
        const int count = std::max(1, static_cast<int>(std::lround(box.width() / pitch)));
        const double step = box.width() / count, width = step * amount, depth = depth_for_width(bit_, width);
        const double inset = std::min(width / 2, box.height() / 3);
        for (int k = 0; k < count; ++k) {
            const double x = box.lo.x + (k + 0.5) * step;
            line({x, box.lo.y + inset}, {x, box.hi.y - inset}, depth);
        }
    }
    void rung(const CardRung& rung) {
        const double inset = std::min(rung.width / 2, (rung.high.y - rung.low.y) / 3);
        line({rung.low.x, rung.low.y + inset}, {rung.high.x, rung.high.y - inset}, rung.depth);
    }
    void letters(const Polyline& stroke) {
        const double depth = std::max(letter_depth, depth_for_width(bit_, letter_width));
        Groove groove;
        groove.closed = stroke.closed;
        for (const Point& p : stroke.points) groove.tip.push_back({p.x + at_.x, p.y + at_.y, -depth});
        if (!groove.tip.empty()) design_.grooves.push_back(std::move(groove));
    }

private:
    struct Fill {
        int count = 1;
        double width = 0, step = 0;
    };
    /// Grooves no wider than the pitch that fill `across` and overlap.
    [[nodiscard]] Fill fill_of(double across) const {
        const double widest = std::min(card_.wishes.pitch, bit_.diameter()) / overlap;
        const int count = std::max(1, static_cast<int>(std::ceil(across / widest - 1e-9)));
        if (count == 1) return {1, across, 0};
        const double width = overlap * across / count;
        return {count, width, (across - width) / (count - 1)};
    }
    void line(const Point& a, const Point& b, double depth) {
        design_.grooves.push_back({{{a.x + at_.x, a.y + at_.y, -depth}, {b.x + at_.x, b.y + at_.y, -depth}}, false});
    }
    void circle(const Point& centre, double radius, double depth) {
        // A chord leaves its arc by r (1 − cos(π/n)): plane geometry.
        const double half = std::acos(std::max(-1.0, 1 - chord_error / radius));
        const int count = std::max(12, static_cast<int>(std::ceil(std::numbers::pi / half)));
        Groove groove;
        groove.closed = true;
        for (int k = 0; k < count; ++k) {
            const double a = 2 * std::numbers::pi * k / count;
            groove.tip.push_back({at_.x + centre.x + radius * std::cos(a), at_.y + centre.y + radius * std::sin(a), -depth});
        }
        design_.grooves.push_back(std::move(groove));
    }

    const Card& card_;
    const Bit& bit_;
    Point at_;
    FigureDesign& design_;
};

}  // namespace

double depth_for_width(const Bit& bit, double width) {
    double lo = 0, hi = bit.tip_height();
    if (bit.width_at(lo) >= width) return 0;
    for (int k = 0; k < 60; ++k) {
        const double middle = (lo + hi) / 2;
        (bit.width_at(middle) < width ? lo : hi) = middle;
    }
    return hi;
}

FigureDesign card_grooves(const Card& card, const Bit& bit, const Point& at) {
    FigureDesign design;
    Grooves grooves(card, bit, at, design);
    for (const CardMark& mark : card.marks) {
        grooves.ring(mark.centre, 0, mark.disc);
        grooves.ring(mark.centre, Card::ring_inner, Card::ring_outer);
    }
    for (const CardPatch& patch : card.patches)
        if (patch.amount > 0) grooves.hatch(patch.box, card.wishes.pitch, patch.amount);
    for (const CardRung& rung : card.rungs) grooves.rung(rung);
    for (const CardDot& dot : card.dots)
        if (dot.filled) grooves.solid(dot.box);
    for (const Polyline& stroke : card.letters) grooves.letters(stroke);
    for (const Groove& groove : design.grooves)
        for (const Point3& p : groove.tip) design.floor = std::min(design.floor, p.z);
    return design;
}

VeeFit fit_vee(const std::vector<Point>& depths_widths) {
    const auto n = static_cast<double>(depths_widths.size());
    if (depths_widths.size() < 3) throw Error(Fault::refused, "Three grooves of different depths at least tell what a vee bit is.");
    double sd = 0, sw = 0, sdd = 0, sdw = 0;
    for (const auto& [d, w] : depths_widths) sd += d, sw += w, sdd += d * d, sdw += d * w;
    const double spread = sdd - sd * sd / n;
    if (!(spread > 1e-9)) throw Error(Fault::refused, "The grooves are all of one depth, which tells nothing of the bit's angle.");
    const double slope = (sdw - sd * sw / n) / spread;
    if (!(slope > 0)) throw Error(Fault::refused, "The grooves do not get wider where they are deeper, so they are no vee's.");
    VeeFit fit;
    fit.angle = 2 * std::atan(slope / 2);
    fit.tip = (sw - slope * sd) / n;
    double squares = 0;
    for (const auto& [d, w] : depths_widths) squares += (w - fit.tip - slope * d) * (w - fit.tip - slope * d);
    fit.residual = std::sqrt(squares / n);
    return fit;
}

}  // namespace burin
