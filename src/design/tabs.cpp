/// Holding tabs. A tab holds best, and is cut off and sanded down easiest, where the line is straight; so each one may move
/// from its even place by up to a quarter of the way to the next. How straight a place is: the angle through which the line turns
/// over the tab and the slot's width on either side, for that is how far the bit is lifted. Cost: see tabs.hpp.
#include "burin/design/tabs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr double bite = 0.3;  // mm that a tab reaches into the piece, so that it holds on curved lines too

/// A closed line by the way along it.
class Way {
public:
    explicit Way(const Loop& loop) : loop_(loop), at_(loop.size() + 1, 0.0), turned_(loop.size() + 1, 0.0) {
        const std::size_t n = loop.size();
        for (std::size_t k = 0; k < n; ++k) {
            at_[k + 1] = at_[k] + distance(loop[k], loop[(k + 1) % n]);
            const Point &a = loop[(k + n - 1) % n], &b = loop[k], &c = loop[(k + 1) % n];
            const double x = b.x - a.x, y = b.y - a.y, u = c.x - b.x, v = c.y - b.y;
            turned_[k + 1] = turned_[k] + std::abs(std::atan2(x * v - y * u, x * u + y * v));
        }
    }
    [[nodiscard]] double length() const { return at_.back(); }
    [[nodiscard]] Point place(double s) const {
        const std::size_t k = piece(s);
        const Point &a = loop_[k], &b = loop_[(k + 1) % loop_.size()];
        const double t = (round(s) - at_[k]) / std::max(at_[k + 1] - at_[k], 1e-12);
        return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
    }
    /// Angle turned through, to either side added up, over `half` mm before and behind.
    [[nodiscard]] double turning(double s, double half) const {
        const auto upto = [&](double t) {  // corners passed from the start of the line
            const double laps = std::floor(t / length());
            return laps * turned_.back() + turned_[piece(t) + 1];
        };
        return upto(s + half) - upto(s - half);
    }

private:
    [[nodiscard]] double round(double s) const { return s - length() * std::floor(s / length()); }
    [[nodiscard]] std::size_t piece(double s) const {
        const auto next = std::upper_bound(at_.begin(), at_.end(), round(s));
        const auto k = static_cast<std::size_t>(std::max<std::ptrdiff_t>(next - at_.begin() - 1, 0));
        return std::min(k, loop_.size() - 1);
    }
    const Loop& loop_;
    std::vector<double> at_, turned_;
};

/// The piece lies on the left of its lines: outer ones run counter-clockwise, holes clockwise.
Tab tab_at(const Way& way, double s, double width, double band, double top) {
    const Point before = way.place(s - width / 2), behind = way.place(s + width / 2), at = way.place(s);
    const double length = std::max(distance(before, behind), 1e-9);
    const double x = (behind.x - before.x) / length, y = (behind.y - before.y) / length;  // along
    const double across_x = y, across_y = -x;                                             // to the right: into the slot
    const auto corner = [&](double along, double out) {
        return Point{at.x + x * along + across_x * out, at.y + y * along + across_y * out};
    };
    return {Region({{corner(-width / 2, -bite), corner(width / 2, -bite), corner(width / 2, band), corner(-width / 2, band)}}), top};
}

void along(const Loop& loop, const FigureDesign& design, double top, const TabWishes& wishes, std::vector<Tab>& tabs) {
    const Way way(loop);
    const double lifted = wishes.width + design.band;
    if (way.length() < 1.5 * lifted) return;
    const int count = std::clamp(static_cast<int>(way.length() / (2 * lifted)), 1, wishes.count);
    const double apart = way.length() / count;
    constexpr int tries = 64;
    for (int k = 0; k < count; ++k) {
        double best = 0, least = std::numeric_limits<double>::max();
        for (int n = -tries; n <= tries; ++n) {
            const double s = (k + 0.5 + 0.25 * n / tries) * apart;
            // Of equally straight places the one nearest to the even spacing.
            const double cost = way.turning(s, lifted / 2) + 1e-3 * std::abs(n) / tries;
            if (cost < least) least = cost, best = s;
        }
        tabs.push_back(tab_at(way, best, wishes.width, design.band, top));
    }
}

/// Whether what is cut out of this hole is worth holding: where the slot leaves nothing, or only crumbs, tabs would stand in the
/// hole and hold nothing. `waste`: all that comes loose and is not too narrow.
bool holds_waste(const Loop& hole, const Region& waste) {
    Box box{hole[0], hole[0]};
    for (const Point& p : hole) {
        box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
        box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
    }
    const Region inside({Loop(hole.rbegin(), hole.rend())});
    return std::any_of(waste.figures().begin(), waste.figures().end(), [&](const Figure& f) {
        const Point& p = f.outer.front();
        return p.x > box.lo.x && p.x < box.hi.x && p.y > box.lo.y && p.y < box.hi.y && inside.holds(p);
    });
}

}  // namespace

std::vector<Tab> place_tabs(const FigureDesign& design, double thickness, const TabWishes& wishes) {
    if (wishes.count > 0 && wishes.height >= thickness)
        throw Error(Fault::refused,
                    fmt::format("Tabs of {:.4g} mm are as high as the stock is thick ({:.4g} mm): nothing would be cut there. "
                                "Give a smaller --tab-height.",
                                wishes.height, thickness));
    std::vector<Tab> tabs;
    if (wishes.count <= 0) return tabs;
    // Less the slot, and less what is narrower than the slot.
    const Region waste = offset_by(design.may, -1.5 * design.band);
    for (const Figure& figure : design.traced.figures()) {
        along(figure.outer, design, wishes.height - thickness, wishes, tabs);
        for (const Loop& hole : figure.holes)
            if (holds_waste(hole, waste)) along(hole, design, wishes.height - thickness, wishes, tabs);
    }
    return tabs;
}

}  // namespace burin
