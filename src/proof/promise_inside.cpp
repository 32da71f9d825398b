// Promises 5, 7 and 8: inside the machine's travel and the stock, the time, the text. O(legs).
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "promises.hpp"

namespace burin::proving {
namespace {

/// The ends of a leg's part below the stock top.
std::array<Point3, 2> below_top(Point3 a, Point3 b) {
    const auto cross = [](const Point3& high, const Point3& low) {
        const double share = high.z / (high.z - low.z);
        return Point3{high.x + (low.x - high.x) * share, high.y + (low.y - high.y) * share, 0};
    };
    if (a.z > 0) return {cross(a, b), b};
    if (b.z > 0) return {a, cross(b, a)};
    return {a, b};
}

/// Calls look(place) where a leg's part below the top is looked at: at its ends, which is enough on a stock without hollows in its edge;
/// else closely.
template <class Look>
void over_places_below(const Stock& stock, const Point3& a, const Point3& b, const Look& look) {
    constexpr double apart = 0.2;  // mm
    const auto [from, to] = below_top(a, b);
    const int steps = stock.piece ? std::max(1, static_cast<int>(std::ceil(distance(flat(from), flat(to)) / apart))) : 1;
    for (int k = 0; k < steps; ++k) {
        const double t = static_cast<double>(k) / steps;
        look(Point3{from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t, from.z + (to.z - from.z) * t});
    }
    look(to);
}

/// How far beside the stock a place lies, of a traced piece beside the rectangle round it; 0 on it.
double beside(const Stock& stock, const Point& p) {
    const Point middle = stock.bounds.centre();
    const double x = std::abs(p.x - middle.x), y = std::abs(p.y - middle.y), a = stock.bounds.width() / 2, b = stock.bounds.height() / 2;
    if (stock.outline != Outline::round) return std::hypot(std::max(0.0, x - a), std::max(0.0, y - b));
    if (stock.holds(p)) return 0;
    // From outside, a quarter of an ellipse has one nearest place, and the way to it grows on either side.
    const auto far = [&](double angle) { return std::hypot(x - a * std::cos(angle), y - b * std::sin(angle)); };
    double lo = 0, hi = std::numbers::pi / 2;
    for (int k = 0; k < 80; ++k) {
        const double low = lo + (hi - lo) / 3, high = hi - (hi - lo) / 3;
        if (far(low) < far(high))
            hi = high;
        else
            lo = low;
    }
    return far((lo + hi) / 2);
}

/// The travel: how far a program reaches, and past which end of which axis it goes, once for each.
class Travel {
public:
    std::array<double, 3> lo, hi;
    std::array<bool, 3> beyond{};

    Travel(const Machine& machine, const Point3& start, double top, std::vector<Breach>& breaches)
        : lo{start.x, start.y, start.z + top}, hi(lo), machine_(machine), breaches_(breaches), top_(top) {}

    void reach(const Point3& b, std::uint32_t line) {
        const std::array<double, 3> to{b.x, b.y, b.z + top_};
        for (std::size_t k = 0; k < 3; ++k) {
            lo[k] = std::min(lo[k], to[k]);
            hi[k] = std::max(hi[k], to[k]);
            const double slack = place_slack / 2, from = machine_.stock_at ? (*machine_.stock_at)[k] + to[k] : 0;
            const bool span = hi[k] - lo[k] > machine_.travel[k] + slack;
            const bool place = machine_.stock_at && (from < -slack || from > machine_.travel[k] + slack);
            if ((span || place) && !beyond[k]) beyond[k] = true, breaches_.push_back({line, b, what(k, to[k], place)});
        }
    }

private:
    [[nodiscard]] std::string what(std::size_t k, double to, bool place) const {
        constexpr std::array<char, 3> axes{'X', 'Y', 'Z'};
        const double travel = machine_.travel[k];
        if (place)
            return fmt::format(
                "{0} {1:.2f} lies outside the machine's travel, which reaches from {0} {2:.2f} to {0} {3:.2f} where the stock "
                "lies. Move the stock, or make the design smaller.",
                axes[k], to, -(*machine_.stock_at)[k], travel - (*machine_.stock_at)[k]);
        return fmt::format(
            "The program reaches from {0} {1:.2f} to {0} {2:.2f}, farther than the machine's travel of {3:.0f} mm. Make the "
            "design smaller, or turn it.",
            axes[k], lo[k], hi[k], travel);
    }

    const Machine& machine_;
    std::vector<Breach>& breaches_;
    double top_;
};

}  // namespace

Check check_inside(const Way& way, const ProofTask& task, ProgramFigures& figures) {
    const auto& legs = way.legs;
    const Machine& machine = task.machine;
    const BitSpec& bit = way.asked->bit.spec();
    const double breakthrough = std::max(task.breakthrough, task.figure ? task.figure->breakthrough : 0.0);
    const double floor = task.stock.thickness + breakthrough;
    std::vector<Breach> breaches;
    bool outside = false, too_deep = false, through = false;
    Travel travel(machine, way.read.track.start, task.top, breaches);
    for (std::size_t leg = 0; leg < legs.size(); ++leg) {
        const Point3 &a = way.from(leg), &b = legs[leg].to;
        travel.reach(b, legs[leg].line);
        if (std::min(a.z, b.z) >= -place_slack) continue;
        if (!outside)
            over_places_below(task.stock, a, b, [&](const Point3& p) {
                if (outside || task.stock.holds(flat(p), place_slack) ||
                    (task.overrun > 0 && beside(task.stock, flat(p)) <= task.overrun + place_slack))
                    return;
                outside = true;
                breaches.push_back(
                    {legs[leg].line, p,
                     task.overrun > 0
                         ? fmt::format("At {} the bit's middle is {:.2f} mm beside the stock, and {:.2f} mm were declared. Give a larger "
                                       "--run-out, or look what drove it there.",
                                       at_place(p), beside(task.stock, flat(p)), task.overrun)
                         : fmt::format(
                               "Below the stock's top the bit leaves the stock at {}. Move the design inward, or take a larger stock.",
                               at_place(p))});
            });
        const double deepest = -std::min(a.z, b.z);
        if (!too_deep && deepest > bit.cutting_length + place_slack) {
            too_deep = true;
            breaches.push_back(
                {legs[leg].line, b,
                 fmt::format(
                     "The bit goes {:.2f} mm deep at {}, but it cuts on {:.2f} mm of its length only. Take a longer bit or less depth.",
                     deepest, at_place(b), bit.cutting_length)});
        }
        if (!through && deepest > floor + place_slack) {
            through = true;
            breaches.push_back(
                {legs[leg].line, b,
                 fmt::format("The bit goes {:.2f} mm deep at {}, but the stock is {:.2f} mm thick{}. Take thicker stock or less depth.",
                             deepest, at_place(b), task.stock.thickness,
                             breakthrough > 0 ? fmt::format(" and {:.2f} mm into the board below it are allowed", breakthrough) : "")});
        }
    }
    const auto lo = travel.lo, hi = travel.hi;  // of what moves; a probe only may come farther
    for (const Probe& probe : way.read.probes) travel.reach(probe.to, probe.line);
    figures.lo = {lo[0], lo[1], lo[2]};
    figures.hi = {hi[0], hi[1], hi[2]};
    figures.inside_travel = !travel.beyond[0] && !travel.beyond[1] && !travel.beyond[2];
    return verdict("inside stock and travel", way.asked->file,
                   fmt::format("X {:.2f} to {:.2f}, Y {:.2f} to {:.2f}, Z {:.2f} to {:.2f}; it fits the travel of {:.0f} × {:.0f} × {:.0f} "
                               "mm and stays in the stock{}.",
                               lo[0], hi[0], lo[1], hi[1], lo[2], hi[2], machine.travel[0], machine.travel[1], machine.travel[2],
                               task.overrun > 0 ? fmt::format(" but for the declared {:.2f} mm beside its edge", task.overrun) : ""),
                   std::move(breaches));
}

Check check_time(const std::string& file, double total, std::uint32_t line) {
    std::vector<Breach> breaches;
    if (!std::isfinite(total) || !(total > 0))
        breaches.push_back({line, {}, "The program moves nothing, so no time can be reckoned. Write it again."});
    return verdict(
        "time by the motion rules", file,
        fmt::format("{}, reckoned from the text by speeds, accelerations, corners and look-ahead of the machine.", duration_text(total)),
        std::move(breaches));
}

Check check_text(const std::string& file, const ReadProgram& read) {
    std::vector<Breach> breaches;
    for (const ProgramFault& fault : plain_text_faults(read)) breaches.push_back({fault.line, {}, fault.what});
    return verdict("plain text for any controller", file,
                   fmt::format("{} lines, the longest of {} characters; only common words.", read.lines, read.longest_line),
                   std::move(breaches));
}

}  // namespace burin::proving
