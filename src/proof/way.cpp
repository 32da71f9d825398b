// The text of a program as straight legs and pieces of them. Arcs go as chords within 0.0005 mm. O(legs + pieces).
#include "way.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "burin/motion/timing.hpp"

namespace burin::proving {
namespace {

constexpr double chord_tolerance = 0.0005;
constexpr double most_pieces = 65536;    // of one leg: beyond any machine's travel, but a text may say anything
constexpr double vertical_below = 1e-6;  // mm in X and Y

void take_chords(const Track& track, Way& way) {
    std::vector<Move>& legs = way.chords;
    legs.reserve(track.moves.size());
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        if (move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw) {
            Move chord = move;
            chord.kind = MoveKind::feed;
            for (const Point3& p : arc_points(at, move, track.arcs[move.arc], chord_tolerance)) {
                chord.to = p;
                legs.push_back(chord);
            }
        } else {
            legs.push_back(move);
        }
        way.chord_moves.resize(legs.size(), static_cast<std::uint32_t>(&move - track.moves.data()));
        at = move.to;
    }
}

/// `near`: where the bit and what holds it may touch stock.
LegKind kind_of(const Point3& a, const Move& leg, const Box& near) {
    const Point3& b = leg.to;
    if (std::min(a.z, b.z) >= 0 || a == b) return LegKind::air;
    if (std::max(a.x, b.x) < near.lo.x || std::min(a.x, b.x) > near.hi.x || std::max(a.y, b.y) < near.lo.y ||
        std::min(a.y, b.y) > near.hi.y)
        return LegKind::air;
    if (leg.kind == MoveKind::rapid) return LegKind::rapid;
    return distance(flat(a), flat(leg.to)) < vertical_below ? LegKind::vertical : LegKind::cut;
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

Point3 Way::start_of(std::size_t leg, std::uint32_t n) const {
    const Point3 &a = from(leg), &b = legs()[leg].to;
    const std::uint32_t count = first_piece[leg + 1] - first_piece[leg];
    if (n == 0) return a;
    if (n == count) return b;
    const double share = static_cast<double>(n) / count;
    return {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share, a.z + (b.z - a.z) * share};
}

Way way_of(const ProofProgram& program, const ProofTask& task, double cell) {
    Way way;
    way.asked = &program;
    way.read = read_program(program.text, task.machine.dwell_in_milliseconds);
    const Track& track = way.read.track;
    way.has_arcs = std::any_of(track.moves.begin(), track.moves.end(),
                               [](const Move& m) { return m.kind == MoveKind::arc_cw || m.kind == MoveKind::arc_ccw; });
    if (way.has_arcs) take_chords(track, way);
    way.bit = profile_of(program.bit, cell <= most_slack);
    way.shank = cylinder(program.bit.spec().shank / 2);
    way.collet = cylinder(collet_nut_diameter / 2);
    way.dip = Dip(program.bit);
    way.window = std::max(program.bit.radius(), 1.5 * task.allowance);

    const double around = std::max({program.bit.radius(), program.bit.spec().shank / 2, collet_nut_diameter / 2}) + cell;
    const Box& stock = task.stock.bounds;
    const Box near{{stock.lo.x - around, stock.lo.y - around}, {stock.hi.x + around, stock.hi.y + around}};
    const auto& legs = way.legs();
    way.kinds.resize(legs.size());
    way.first_piece.resize(legs.size() + 1);
    way.low_y.resize(legs.size());
    way.high_y.resize(legs.size());
    way.strides.reserve(legs.size() * 2);
    std::uint32_t stride = 1;
    double gathered = 0;
    const auto interrupt = [&] { stride += 2, gathered = 0; };
    for (std::size_t k = 0; k < legs.size(); ++k) {
        const Point3 &a = way.from(k), &b = legs[k].to;
        const LegKind kind = way.kinds[k] = kind_of(a, legs[k], near);
        way.first_piece[k] = static_cast<std::uint32_t>(way.strides.size());
        way.low_y[k] = static_cast<float>(std::min(a.y, b.y));
        way.high_y[k] = static_cast<float>(std::max(a.y, b.y));
        if (kind == LegKind::air) {
            way.low_y[k] = std::numeric_limits<float>::max();
            way.high_y[k] = std::numeric_limits<float>::lowest();
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
    way.volumes.assign(way.strides.size(), 0.0);
    way.most.assign(way.strides.size(), 0.0F);
    return way;
}

}  // namespace burin::proving
