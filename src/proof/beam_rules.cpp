// The promises of a beam that can be read from the text alone: dark where it must be, never lit at a standstill, steady under constant
// power, within the scale, inside stock and travel. O(moves).
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "beam_checks.hpp"

namespace burin::proving {
namespace {

constexpr double steady_share = 0.98;
constexpr std::size_t most_breaches = 50;

/// A row of breaches that may be very many.
class Breaches {
public:
    void add(std::uint32_t line, const Point3& place, const std::string& sentence) {
        if (all_.size() < most_breaches) all_.push_back({line, place, sentence});
    }
    [[nodiscard]] bool full() const { return all_.size() >= most_breaches; }
    std::vector<Breach> take() { return std::move(all_); }

private:
    std::vector<Breach> all_;
};

Point3 place_of_stop(const BeamWay& way, const LitStop& stop) { return way.from(stop.before); }

}  // namespace

std::string at_xy(const Point& p) { return fmt::format("x {:.2f} y {:.2f}", p.x, p.y); }

Check check_dark(const BeamWay& way) {
    Breaches breaches;
    for (const Move& move : way.read.track.moves) {
        if (move.kind != MoveKind::rapid || move.power == 0) continue;
        breaches.add(move.line, move.to,
                     fmt::format("The rapid to {} runs with the beam on at S{}: not every controller darkens it. Write S0 before it.",
                                 at_xy(flat(move.to)), move.power));
        if (breaches.full()) break;
    }
    for (const LitStop& stop : way.read.lit_stops) {
        using Why = LitStop::Why;
        if (stop.why == Why::switched_on || stop.why == Why::set) continue;
        const char* what = stop.why == Why::dwell ? "waits" : stop.why == Why::pause ? "pauses" : "ends";
        breaches.add(stop.line, place_of_stop(way, stop),
                     fmt::format("The program {} with the beam on at S{}, which may burn a hole or start a fire. Write M5 before it.", what,
                                 stop.power));
    }
    return verdict("dark but while burning", way.asked->file, "The beam is dark by S0 or M5 before every rapid, dwell, pause and the end.",
                   breaches.take());
}

Check check_standing_beam(const BeamWay& way) {
    Breaches breaches;
    for (const LitStop& stop : way.read.lit_stops) {
        using Why = LitStop::Why;
        if (stop.why == Why::switched_on)
            breaches.add(stop.line, place_of_stop(way, stop),
                         fmt::format("The beam is switched on at S{} while nothing moves. Switch it on with S0.", stop.power));
        if (stop.why == Why::set)
            breaches.add(stop.line, place_of_stop(way, stop),
                         fmt::format("The beam gets S{} while nothing moves. Put S on the line of the move.", stop.power));
    }
    const auto& moves = way.read.track.moves;
    for (std::size_t k = 0; k < moves.size() && !breaches.full(); ++k) {
        if (!burns(moves[k]) || moves[k].kind != MoveKind::feed || distance(flat(way.from(k)), flat(moves[k].to)) > 1e-9) continue;
        breaches.add(moves[k].line, moves[k].to,
                     fmt::format("The beam burns at S{} and stays at {}. Give it S0 there.", moves[k].power, at_xy(flat(moves[k].to))));
    }
    return verdict("no standing beam", way.asked->file, "The beam has power only while it moves over the stock.", breaches.take());
}

Check check_steady(const BeamRules& rules, const BeamWay& way) {
    Breaches breaches;
    const auto& moves = way.read.track.moves;
    bool constant = false, lit = false;
    for (std::size_t k = 0; k < moves.size() && !breaches.full(); ++k) {
        lit |= burns(moves[k]);
        if (!burns(moves[k]) || way.scaled[k]) continue;
        constant = true;
        const double least = static_cast<double>(way.timing.least_mm_s[k]) * 60, asked = static_cast<double>(moves[k].feed);
        if (least >= steady_share * asked || !(way.length(k) > 0)) continue;
        breaches.add(
            moves[k].line, moves[k].to,
            fmt::format(
                "With constant power the beam slows down to {:.0f} mm/min on the way to {}, where F{:.0f} is asked for, and "
                "burns darker there. Give it a dark run-up, a lower --feed, or {}.",
                least, at_xy(flat(moves[k].to)), asked,
                rules.laser.scales_with_speed ? "power that goes with the speed (M4)" : "a controller that scales power with the speed"));
    }
    return verdict("steady speed", way.asked->file,
                   constant ? fmt::format("Under constant power no lit move is slower than {:.0f} % of its feed.", 100 * steady_share)
                   : lit    ? "The controller scales power with the speed (M4), so light on each mm stays the same."
                            : "Nothing is lit.",
                   breaches.take());
}

Check check_scale(const BeamRules& rules, const BeamWay& way) {
    const Laser& laser = rules.laser;
    const double most = way.asked->border ? laser.pilot_s : laser.scale;
    const std::string what = way.asked->border ? fmt::format("the pilot beam's S{:.0f}", most)
                                               : fmt::format("the controller's scale, S{:.0f} at full power", most);
    Breaches breaches;
    const auto& moves = way.read.track.moves;
    for (std::size_t k = 0; k < moves.size() && !breaches.full(); ++k)
        if (moves[k].power > most && (k == 0 || moves[k - 1].power != moves[k].power))
            breaches.add(moves[k].line, moves[k].to, fmt::format("S{} is above {}. Give less power.", moves[k].power, what));
    if (way.read.most_power > most && !breaches.full())
        breaches.add(way.read.most_power_at, {}, fmt::format("S{:.1f} is above {}. Give less power.", way.read.most_power, what));
    return verdict("power within the scale", way.asked->file,
                   fmt::format("The greatest S is {:.0f}, no more than {}.", way.read.most_power, what), breaches.take());
}

Check check_beam_inside(const BeamRules& rules, const BeamWay& way, ProgramFigures& figures) {
    constexpr std::array<char, 3> axes{'X', 'Y', 'Z'};
    const Machine& machine = rules.task.machine;
    const Track& track = way.read.track;
    std::vector<Breach> breaches;
    std::array<double, 3> lo{track.start.x, track.start.y, track.start.z}, hi = lo;
    std::array<bool, 3> beyond{};
    const double slack = place_slack / 2;
    const auto reach = [&](const Point3& p, std::uint32_t line) {
        const std::array<double, 3> to{p.x, p.y, p.z};
        for (std::size_t k = 0; k < 3; ++k) {
            lo[k] = std::min(lo[k], to[k]), hi[k] = std::max(hi[k], to[k]);
            const double at = machine.stock_at ? (*machine.stock_at)[k] + to[k] : 0;
            const bool fits = hi[k] - lo[k] <= machine.travel[k] + slack && at >= -slack && at <= machine.travel[k] + slack;
            if (fits || beyond[k]) continue;
            beyond[k] = true;
            breaches.push_back({line, p,
                                fmt::format("{} {:.2f} lies beyond the machine's travel of {:.0f} mm{}. Run-ups count too: make the design "
                                            "smaller, or the feed lower.",
                                            axes[k], to[k], machine.travel[k], machine.stock_at ? ", where the stock lies" : "")});
        }
    };
    for (std::size_t k = 0; k < track.moves.size(); ++k) {
        const Move& move = track.moves[k];
        if (move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw)
            for (const Point3& p : arc_points(way.from(k), move, track.arcs[move.arc], 0.0005)) reach(p, move.line);
        reach(move.to, move.line);
    }
    for (const BeamLeg& leg : way.legs) {
        if (rules.task.stock.holds(leg.from, place_slack) && rules.task.stock.holds(leg.to, place_slack)) continue;
        const Point p = rules.task.stock.holds(leg.from, place_slack) ? leg.to : leg.from;
        breaches.push_back(
            {leg.line,
             {p.x, p.y, leg.z},
             fmt::format("The beam burns beside the stock at {}. Move the design inward, or take a larger stock.", at_xy(p))});
        break;
    }
    figures.lo = {lo[0], lo[1], lo[2]};
    figures.hi = {hi[0], hi[1], hi[2]};
    figures.inside_travel = !beyond[0] && !beyond[1] && !beyond[2];
    return verdict(
        "inside stock and travel", way.asked->file,
        fmt::format("X {:.2f} to {:.2f}, Y {:.2f} to {:.2f}; it fits the travel of {:.0f} × {:.0f} mm and burns on the stock only.", lo[0],
                    hi[0], lo[1], hi[1], machine.travel[0], machine.travel[1]),
        std::move(breaches));
}

Check check_beam_keep_outs(const BeamRules& rules, const BeamWay& way) {
    Breaches breaches;
    for (const KeepOut& zone : rules.task.stock.keep_outs)
        for (const BeamLeg& leg : way.legs) {
            if (breaches.full()) break;
            if (!(leg.joules_per_mm > 0) || apart(zone, leg.from, leg.to) >= rules.spot / 2) continue;
            breaches.add(
                leg.line, {leg.to.x, leg.to.y, leg.z},
                fmt::format("The beam would burn '{}' near {}. Move the clamp or the design: a beam on metal is thrown back into the "
                            "room.",
                            zone.name(), at_xy(leg.to)));
            break;
        }
    const std::size_t count = rules.task.stock.keep_outs.size();
    return verdict(
        clear_of_keep_outs, way.asked->file,
        fmt::format("The lit beam stays clear of {} keep-out{}. How low the laser's head hangs is not known: see with your own eyes "
                    "that it passes over every clamp.",
                    count, count == 1 ? "" : "s"),
        breaches.take());
}

}  // namespace burin::proving
