/// Bending onto a measured top. A vertical bit on a top that falls by s per mm stands r·s too deep at the rim of its flat end; that is the
/// proof's affair, here the tip follows. Straight ways are halved until what the top does between their ends is within the tolerance.
#include "burin/motion/follow.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"
#include "burin/shape/smooth_surface.hpp"

namespace burin {
namespace {

constexpr double chord_tolerance = 0.0005, sample = 0.5, no_motion = 1e-6;  // mm
constexpr double rounding = 0.001;                                          // mm: what text makes of a height

class Follower {
public:
    Follower(const Track& track, const HeightMap& heights, double tolerance)
        : track_(track), heights_(heights), tolerance_(tolerance), from_(track.start), at_(track.start) {
        out_.start = track.start;
    }

    Track run() {
        std::size_t event = 0;
        for (std::size_t k = 0; k < track_.moves.size(); ++k) {
            for (; event < track_.events.size() && track_.events[event].before <= k; ++event) put_event(track_.events[event]);
            const Move& move = track_.moves[k];
            if (move.kind == MoveKind::rapid)
                rapid(move);
            else
                feed(move);
            from_ = move.to;
        }
        for (; event < track_.events.size(); ++event) put_event(track_.events[event]);
        return std::move(out_);
    }

private:
    [[nodiscard]] double top(const Point& p) const { return height_at(heights_, p); }
    [[nodiscard]] Point3 bent(const Point3& p) const { return {p.x, p.y, p.z + top(flat(p))}; }

    void put_event(Event event) {
        event.before = out_.moves.size();
        out_.events.push_back(event);
    }
    void put(const Move& like, const Point3& to, MoveKind kind) {
        Move move = like;
        move.to = to;
        move.kind = kind;
        move.arc = 0;
        if (kind == MoveKind::rapid) move.feed = 0;
        out_.moves.push_back(move);
        at_ = to;
    }

    void rapid(const Move& move) {
        const double across = distance(flat(from_), flat(move.to));
        if (across > no_motion && std::abs(move.to.z - from_.z) > no_motion)
            throw Error(
                Fault::refused,
                fmt::format("Line {}: a rapid moves Z together with X or Y, and nobody knows the way it takes, so it cannot be bent.",
                            move.line));
        if (across <= no_motion) return put(move, bent(move.to), MoveKind::rapid);
        double highest = top(flat(from_));
        const int count = std::max(1, static_cast<int>(std::ceil(across / sample)));
        for (int k = 1; k <= count; ++k) highest = std::max(highest, top(between(from_, move.to, static_cast<double>(k) / count)));
        const double z = move.to.z + highest + rounding;
        if (at_.z < z) put(move, {at_.x, at_.y, z}, MoveKind::rapid);
        put(move, {move.to.x, move.to.y, at_.z}, MoveKind::rapid);
    }

    void feed(const Move& move) {
        // A rapid may have ended higher than where this move begins; the place below was free of stock on the flat top as well.
        if (const Point3 begin = bent(from_); std::abs(begin.z - at_.z) > 2 * rounding) put(move, begin, MoveKind::rapid);
        if (move.kind == MoveKind::feed) return straight(move, from_, move.to);
        Point3 last = from_;
        for (const Point3& p : arc_points(from_, move, track_.arcs[move.arc], chord_tolerance)) {
            straight(move, last, p);
            last = p;
        }
    }

    static Point between(const Point3& a, const Point3& b, double share) { return {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share}; }

    void straight(const Move& move, const Point3& a, const Point3& b) {
        split(move, a, b, 0, 1);
        put(move, bent(b), MoveKind::feed);
    }
    /// Puts the moves that end between the shares `first` and `last` of the way from a to b, both left out.
    void split(const Move& move, const Point3& a, const Point3& b, double first, double last) {
        const double length = distance(flat(a), flat(b)) * (last - first);
        if (length <= sample || !leaves(a, b, first, last, length)) return;
        const double middle = (first + last) / 2;
        split(move, a, b, first, middle);
        const Point p = between(a, b, middle);
        put(move, {p.x, p.y, a.z + (b.z - a.z) * middle + top(p)}, MoveKind::feed);
        split(move, a, b, middle, last);
    }
    [[nodiscard]] bool leaves(const Point3& a, const Point3& b, double first, double last, double length) const {
        const double from = top(between(a, b, first)), to = top(between(a, b, last));
        const int count = std::clamp(static_cast<int>(std::ceil(length / sample)), 2, 1000);
        for (int k = 1; k < count; ++k) {
            const double share = static_cast<double>(k) / count;
            if (std::abs(top(between(a, b, first + (last - first) * share)) - (from + (to - from) * share)) > tolerance_) return true;
        }
        return false;
    }

    const Track& track_;
    const HeightMap& heights_;
    double tolerance_;
    Point3 from_, at_;  // on the flat top; on the bent one
    Track out_;
};

}  // namespace

Track follow_top(const Track& track, const HeightMap& heights, double tolerance) { return Follower(track, heights, tolerance).run(); }

}  // namespace burin
