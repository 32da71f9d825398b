// The text of a beam's program, read back and timed, as the pieces of way that it burns and the light on each mm of them.
// Where the controller scales power with speed (M4), light on a mm is power ÷ F whatever the speed; else it is power × time ÷ length.
// O(moves and chords).
#include "beam_way.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace burin::proving {
namespace {

constexpr double chord_tolerance = 0.0005;

bool is_arc(const Move& move) { return move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw; }

/// The events switch between M4 and M3; a controller that does not scale takes M4 for M3.
std::vector<bool> scaled_moves(const Track& track, bool controller_scales) {
    std::vector<bool> scaled(track.moves.size(), false);
    bool now = false;
    std::size_t event = 0;
    for (std::size_t k = 0; k < scaled.size(); ++k) {
        for (; event < track.events.size() && track.events[event].before <= k; ++event)
            if (track.events[event].kind == EventKind::beam_on) now = track.events[event].value > 0;
        scaled[k] = now && controller_scales;
    }
    return scaled;
}

void lay_legs(BeamWay& way, const Laser& laser) {
    const Track& track = way.read.track;
    way.legs.reserve(static_cast<std::size_t>(std::count_if(track.moves.begin(), track.moves.end(), burns)));
    for (std::size_t k = 0; k < track.moves.size(); ++k) {
        const Move& move = track.moves[k];
        const double length = burns(move) ? way.length(k) : 0;
        if (!(length > 0)) continue;
        const double watts = laser.power_w * move.power / laser.scale;
        const double seconds_per_mm =
            way.scaled[k] ? 60 / static_cast<double>(move.feed) : static_cast<double>(way.timing.move_s[k]) / length;
        BeamLeg leg{flat(way.from(k)), flat(move.to), static_cast<float>(move.to.z), static_cast<float>(watts * seconds_per_mm), move.line};
        if (!is_arc(move)) {
            way.legs.push_back(leg);
            continue;
        }
        for (const Point3& p : arc_points(way.from(k), move, track.arcs[move.arc], chord_tolerance)) {
            leg.to = flat(p);
            way.legs.push_back(leg);
            leg.from = leg.to;
        }
    }
}

void measure_spans(BeamWay& way) {
    for (std::size_t k = 0; k < way.legs.size(); ++k) {
        const auto [low, high] = std::minmax({way.legs[k].from.y, way.legs[k].to.y});
        if (k % BeamWay::run == 0) way.spans.push_back({low, high});
        BeamWay::Span& span = way.spans.back();
        span = {std::min(span.low, low), std::max(span.high, high)};
    }
}

}  // namespace

double BeamWay::length(std::size_t move) const {
    const Move& m = read.track.moves[move];
    if (!is_arc(m)) return distance(from(move), m.to);
    double sum = 0;
    Point3 at = from(move);
    for (const Point3& p : arc_points(at, m, read.track.arcs[m.arc], chord_tolerance)) {
        sum += distance(at, p);
        at = p;
    }
    return sum;
}

BeamWay beam_way_of(const BeamProgram& program, const Machine& machine) {
    BeamWay way;
    way.asked = &program;
    way.read = read_program(program.text, ToolKind::beam, machine.dwell_in_milliseconds);
    way.timing = reckon_time(way.read.track, machine, true);
    way.scaled = scaled_moves(way.read.track, machine.laser->scales_with_speed);
    lay_legs(way, *machine.laser);
    measure_spans(way);
    return way;
}

double distance_from(const Point3& p, const Point3& a, const Point3& b) {
    const Point3 d{b.x - a.x, b.y - a.y, b.z - a.z};
    const double length2 = d.x * d.x + d.y * d.y + d.z * d.z;
    const double along = (p.x - a.x) * d.x + (p.y - a.y) * d.y + (p.z - a.z) * d.z;
    const double share = length2 > 0 ? std::clamp(along / length2, 0.0, 1.0) : 0;
    return distance(p, {a.x + d.x * share, a.y + d.y * share, a.z + d.z * share});
}

NearestMove nearest_move(const std::vector<BeamWay>& ways, const Point3& p) {
    NearestMove best;
    best.distance = std::numeric_limits<double>::infinity();
    for (const BeamWay& way : ways) {
        if (way.asked->border) continue;
        const Track& track = way.read.track;
        Point3 at = track.start;
        for (const Move& move : track.moves) {
            const auto look = [&](const Point3& to) {
                const double d = distance_from(p, at, to);
                if (d < best.distance - 1e-9) best = {&way, move.line, d};
                at = to;
            };
            if (is_arc(move)) {
                for (const Point3& to : arc_points(at, move, track.arcs[move.arc], chord_tolerance)) look(to);
            } else if (move.kind == MoveKind::feed) {
                look(move.to);
            }
            at = move.to;
        }
    }
    return best;
}

}  // namespace burin::proving
