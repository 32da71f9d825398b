// The text of a program as straight legs and pieces of them. Arcs go as chords within 0.0005 mm. O(legs + pieces); 38 bytes for each
// leg and 16 for each piece stay in memory.
#include "way.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "burin/base/pages.hpp"
#include "burin/motion/timing.hpp"

namespace burin::proving {
namespace {

constexpr double chord_tolerance = 0.0005;
constexpr double most_pieces = 65536;    // of one leg: beyond any machine's travel, but a text may say anything
constexpr double vertical_below = 1e-6;  // mm in X and Y

[[nodiscard]] bool is_arc(const Move& move) { return move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw; }

/// Calls act(move, its index, end of a straight leg of it) for every leg.
template <class Act>
void over_legs(const Track& track, const Act& act) {
    Point3 at = track.start;
    for (std::size_t k = 0; k < track.moves.size(); ++k) {
        const Move& move = track.moves[k];
        if (is_arc(move))
            for (const Point3& p : arc_points(at, move, track.arcs[move.arc], chord_tolerance)) act(move, k, p);
        else
            act(move, k, move.to);
        at = move.to;
    }
}

/// Legs in place of the track's moves, which are given up: both at once would be the largest thing in memory.
void take_legs(Way& way) {
    Track& track = way.read.track;
    std::size_t count = track.moves.size();
    if (std::any_of(track.moves.begin(), track.moves.end(), is_arc)) {
        count = 0;
        over_legs(track, [&](const Move&, std::size_t, const Point3&) { ++count; });
    }
    reserve_to_fill(way.legs, count);
    reserve_to_fill(way.kinds, count);
    std::size_t event = 0;
    over_legs(track, [&](const Move& move, std::size_t index, const Point3& to) {
        for (; event < track.events.size() && track.events[event].before <= index; ++event) track.events[event].before = way.legs.size();
        way.legs.push_back({to, move.feed, move.line});
        LegState& state = way.kinds.emplace_back();
        state.rapid = move.kind == MoveKind::rapid;
        state.running = move.running;
    });
    for (; event < track.events.size(); ++event) track.events[event].before = way.legs.size();
    track.moves = std::vector<Move>();  // "= {}" would keep the memory
    track.arcs = std::vector<Arc>();
}

/// The pass that a line belongs to; null: none.
PassFigures* pass_at(std::vector<PassFigures>& passes, std::uint32_t line) {
    const auto next =
        std::upper_bound(passes.begin(), passes.end(), line, [](std::uint32_t l, const PassFigures& p) { return l < p.first_line; });
    return next == passes.begin() ? nullptr : &*(next - 1);
}

void reckon_times(const Machine& machine, Way& way) {
    const Timing timing = reckon_time(way.read.track, machine);
    way.time_s = timing.total_s;
    if (way.passes.empty()) return;
    const auto& moves = way.read.track.moves;
    for (std::size_t k = 0; k < moves.size() && k < timing.move_s.size(); ++k)
        if (PassFigures* pass = pass_at(way.passes, moves[k].line)) pass->time_s += static_cast<double>(timing.move_s[k]);
}

/// Depths and lengths, leg by leg: chords of arcs included.
void measure_passes(Way& way) {
    if (way.passes.empty()) return;
    constexpr double nowhere = std::numeric_limits<double>::max();
    for (PassFigures& pass : way.passes) pass.z = nowhere;
    for (std::size_t leg = 0; leg < way.legs.size(); ++leg) {
        PassFigures* pass = pass_at(way.passes, way.legs[leg].line);
        if (!pass || way.kinds[leg].rapid) continue;
        pass->z = std::min({pass->z, way.legs[leg].to.z, way.from(leg).z});
        pass->length += distance(way.from(leg), way.legs[leg].to);
    }
    for (PassFigures& pass : way.passes)
        if (pass.z == nowhere) pass.z = 0;
}

/// `near`: where the bit and what holds it may touch stock.
LegKind kind_of(const Point3& a, const Point3& b, bool rapid, const Box& near) {
    if (std::min(a.z, b.z) >= 0 || a == b) return LegKind::air;
    if (std::max(a.x, b.x) < near.lo.x || std::min(a.x, b.x) > near.hi.x || std::max(a.y, b.y) < near.lo.y ||
        std::min(a.y, b.y) > near.hi.y)
        return LegKind::air;
    if (rapid) return LegKind::rapid;
    const double x = b.x - a.x, y = b.y - a.y;
    return x * x + y * y < vertical_below * vertical_below ? LegKind::vertical : LegKind::cut;
}

/// No fewer than the pieces that there will be, and hardly more: lengths are overestimated by the sum of their parts along the axes.
std::size_t most_pieces_of(const Way& way) {
    double count = 0;
    for (std::size_t leg = 0; leg < way.legs.size(); ++leg) {
        const Point3 &a = way.from(leg), &b = way.legs[leg].to;
        if (std::min(a.z, b.z) >= 0) continue;
        const double length = std::abs(a.x - b.x) + std::abs(a.y - b.y) + std::abs(a.z - b.z);
        count += std::min(most_pieces, 1 + (way.kinds[leg].rapid ? 0 : length / way.window));
    }
    return static_cast<std::size_t>(count);
}

}  // namespace

std::size_t Way::leg_of(std::uint32_t piece) const {
    const auto next = std::upper_bound(first_piece.begin(), first_piece.end(), piece);
    return static_cast<std::size_t>(next - first_piece.begin()) - 1;
}

double Way::volume_of(std::size_t leg) const {
    double volume = 0;
    for (std::uint32_t piece = first_piece[leg]; piece < first_piece[leg + 1]; ++piece) volume += volumes[piece];
    return volume;
}

Way::Span Way::span(std::size_t leg) const {
    if (kinds[leg] == LegKind::air) return {};
    const double a = from(leg).y, b = legs[leg].to.y;
    return {static_cast<float>(std::min(a, b)), static_cast<float>(std::max(a, b))};
}

Point3 Way::start_of(std::size_t leg, std::uint32_t n) const {
    const Point3 &a = from(leg), &b = legs[leg].to;
    const std::uint32_t count = first_piece[leg + 1] - first_piece[leg];
    if (n == 0) return a;
    if (n == count) return b;
    const double share = static_cast<double>(n) / count;
    return {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share, a.z + (b.z - a.z) * share};
}

Way way_of(const ProofProgram& program, const ProofTask& task, double cell) {
    Way way;
    way.asked = &program;
    way.read = read_program(program.text, task.machine.dwell_in_milliseconds, task.read);
    for (const std::uint32_t line : program.pass_lines) way.passes.emplace_back().first_line = line;
    reckon_times(task.machine, way);
    take_legs(way);
    if (task.top != 0) {
        for (Leg& leg : way.legs) leg.to.z -= task.top;
        way.read.track.start.z -= task.top;
        for (Probe& probe : way.read.probes) probe.from.z -= task.top, probe.to.z -= task.top;
    }
    // Where the bit stands before the first move is nobody's guess: not inside a stock that rises above its zero.
    if (task.uneven || task.top > 0) way.read.track.start.z = std::max(way.read.track.start.z, 0.0);
    measure_passes(way);
    way.bit = profile_of(program.bit, cell <= most_slack);
    way.shank = cylinder(program.bit.spec().shank / 2);
    way.collet = cylinder(collet_nut_diameter / 2);
    way.dip = Dip(program.bit);
    way.window = std::max(program.bit.radius(), 1.5 * task.allowance);

    const double around = std::max({program.bit.radius(), program.bit.spec().shank / 2, collet_nut_diameter / 2}) + cell;
    const Box& stock = task.stock.bounds;
    const Box near{{stock.lo.x - around, stock.lo.y - around}, {stock.hi.x + around, stock.hi.y + around}};
    const auto& legs = way.legs;
    reserve_to_fill(way.first_piece, legs.size() + 1);
    way.first_piece.resize(legs.size() + 1);
    way.spans.resize(legs.size() / Way::run + 1);
    reserve_to_fill(way.strides, most_pieces_of(way));
    std::uint32_t stride = 1;
    double gathered = 0;
    const auto interrupt = [&] { stride += 2, gathered = 0; };
    for (std::size_t k = 0; k < legs.size(); ++k) {
        const Point3 &a = way.from(k), &b = legs[k].to;
        const LegKind kind = kind_of(a, b, way.kinds[k].rapid, near);
        way.kinds[k].kind = kind;
        way.first_piece[k] = static_cast<std::uint32_t>(way.strides.size());
        const Way::Span span = way.span(k);
        Way::Span& all = way.spans[k / Way::run];
        all = {std::min(all.low, span.low), std::max(all.high, span.high)};
        if (kind == LegKind::air) {
            if (!(a == b)) interrupt();
        } else if (kind != LegKind::cut) {
            interrupt();
            way.strides.push_back(0);
        } else {
            const double length = distance(a, b);
            const int count = static_cast<int>(std::clamp(std::ceil(length / way.window - 1e-9), 1.0, most_pieces));
            for (int n = 0; n < count; ++n) {
                way.strides.push_back(stride);
                gathered += length / count;
                if (gathered >= 0.5 * way.window - 1e-9) ++stride, gathered = 0;
            }
        }
    }
    way.first_piece.back() = static_cast<std::uint32_t>(way.strides.size());
    reserve_to_fill(way.volumes, way.strides.size());
    reserve_to_fill(way.most, way.strides.size());
    way.volumes.assign(way.strides.size(), 0.0);
    way.most.assign(way.strides.size(), 0.0F);
    return way;
}

}  // namespace burin::proving
