/// Lines at a distance from loops (Chen and McMains, Polygon Offsetting by Computing Winding Numbers, 2005).
///
/// Each segment sweeps a strip to its outer side, each corner that opens to that side a sector; the raw line runs round all of them,
/// so that it winds round a place once for the figure (grown; shrunk: less once) and once for each strip and sector there. At a corner that
/// closes to that side the line goes back to the corner itself to get from the one strip to the next. Straight across would
/// leave out the triangle of the corner and the two ends; where both strips hold all of that triangle, each of such triangles at a place
/// comes with a strip of its own, and the way back, which makes every fine curve a comb of spikes, is spared.
/// Where raw lines cross all over the place (specks grown until they flow together), sorting all crossings at once would take
/// for ever: there short runs of strips and sectors are united two by two, near ones first, so that what is covered is soon gone.
/// Cost: n.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "lattice.hpp"

namespace burin {
namespace {

struct Direction {
    double x, y, length;
};

/// The raw line beside one loop, from corner to corner.
class RawLine {
public:
    RawLine(const LatticeLoop& loop, double distance, double chord_angle) : loop_(loop), distance_(distance), chord_angle_(chord_angle) {
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const LatticePoint d = loop[(k + 1) % loop.size()] - loop[k];
            const double length = std::hypot(static_cast<double>(d.x), static_cast<double>(d.y));
            along_.push_back({static_cast<double>(d.x) / length, static_cast<double>(d.y) / length, length});
        }
    }
    [[nodiscard]] LatticeLoop whole() {
        for (std::size_t k = 0; k < loop_.size(); ++k) round_corner(k);
        return std::move(out_);
    }
    /// Round the strips of segments first … last − 1 and the sectors of corners first … last − 1: counter-clockwise.
    [[nodiscard]] LatticeLoop band(std::size_t first, std::size_t last) {
        out_.clear();
        if (opens(first))
            round_corner(first);
        else
            end_of(first, first);
        for (std::size_t k = first + 1; k < last; ++k) round_corner(k);
        end_of(last % loop_.size(), last - 1);
        for (std::size_t k = last + 1; k-- > first;) out_.push_back(loop_[k % loop_.size()]);
        if (distance_ < 0) std::reverse(out_.begin(), out_.end());
        return std::move(out_);
    }

private:
    void put(const LatticePoint& p, double nx, double ny) {
        const LatticePoint q{p.x + std::llround(distance_ * nx), p.y + std::llround(distance_ * ny)};
        if (out_.empty() || out_.back() != q) out_.push_back(q);
    }
    /// The strip's corner beside corner k of the loop, where the segment begins or ends.
    void end_of(std::size_t k, std::size_t segment) { put(loop_[k], along_[segment].y, -along_[segment].x); }
    [[nodiscard]] const Direction& before(std::size_t k) const { return along_[(k + along_.size() - 1) % along_.size()]; }
    [[nodiscard]] double sine(std::size_t k) const { return before(k).x * along_[k].y - before(k).y * along_[k].x; }
    [[nodiscard]] double cosine(std::size_t k) const { return before(k).x * along_[k].x + before(k).y * along_[k].y; }
    [[nodiscard]] bool opens(std::size_t k) const { return sine(k) * distance_ > 0 || (sine(k) == 0 && cosine(k) < 0); }
    void round_corner(std::size_t k) {
        const Direction &in = before(k), &on = along_[k];
        const double sin = sine(k), cos = cosine(k);
        put(loop_[k], in.y, -in.x);
        if (opens(k)) {
            const double angle = sin == 0 ? std::copysign(std::numbers::pi, distance_) : std::atan2(sin, cos);
            const double chords = std::ceil(std::abs(angle) / chord_angle_);
            for (int i = 1; i < chords; ++i) {
                const double a = angle * i / chords, c = std::cos(a), s = std::sin(a);
                put(loop_[k], in.y * c + in.x * s, -in.x * c + in.y * s);
            }
        } else if (cos < 0 || std::min(in.length, on.length) < std::abs(distance_ * sin) * 1.000001 + 2) {
            put(loop_[k], 0, 0);
        }
        put(loop_[k], on.y, -on.x);
    }

    const LatticeLoop& loop_;
    double distance_, chord_angle_;
    std::vector<Direction> along_;
    LatticeLoop out_;
};

double chord_angle_of(double distance, double tolerance) { return 2 * std::acos(std::max(1 - tolerance / std::abs(distance), 0.5)); }

/// Loops with the place that decides who is merged with whom first.
struct Part {
    std::uint64_t place;
    LatticeLoops loops;
};

/// The bits of x and y taken in turn: near numbers lie near each other.
std::uint64_t interleaved(const LatticePoint& p) {
    const auto spread = [](std::int64_t v) {
        std::uint64_t bits = static_cast<std::uint64_t>(v + (std::int64_t{1} << 32)) >> 2, out = 0;
        for (int k = 0; k < 32; ++k) out |= (bits >> k & 1) << (2 * k);
        return out;
    };
    return spread(p.x) | spread(p.y) << 1;
}

}  // namespace

LatticeLoops raw_offset(const LatticeLoops& loops, double distance, double tolerance) {
    LatticeLoops out;
    out.reserve(loops.size());
    for (const LatticeLoop& loop : loops) out.push_back(RawLine(loop, distance, chord_angle_of(distance, tolerance)).whole());
    return out;
}

LatticeLoops swept_band(const LatticeLoops& loops, double distance, double tolerance) {
    constexpr std::size_t run = 32;
    std::vector<Part> parts;
    for (const LatticeLoop& loop : loops) {
        RawLine line(loop, distance, chord_angle_of(distance, tolerance));
        for (std::size_t first = 0; first < loop.size(); first += run)
            parts.push_back({interleaved(loop[first]),
                             clipped(Clip::unite, {line.band(first, std::min(first + run, loop.size()))}, {}, FillRule::positive)});
    }
    std::stable_sort(parts.begin(), parts.end(), [](const Part& a, const Part& b) { return a.place < b.place; });
    while (parts.size() > 1) {
        std::vector<Part> fewer;
        for (std::size_t k = 0; k < parts.size(); k += 2) {
            if (k + 1 < parts.size()) parts[k].loops = clipped(Clip::unite, parts[k].loops, parts[k + 1].loops, FillRule::positive);
            fewer.push_back(std::move(parts[k]));
        }
        parts = std::move(fewer);
    }
    return parts.empty() ? LatticeLoops{} : std::move(parts.front().loops);
}

}  // namespace burin
