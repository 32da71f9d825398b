/// Strokes: what a pen of a given width covers along a line (SVG 2, 13.5 "computing the shape of a stroke").
///
/// Every segment covers a strip, every corner a join on its outer side, every end a cap. One line round all of them (right side out, left
/// side back) winds once round a place for each strip and join there, provided that on the inner side of a corner it goes back to
/// the corner itself (Chen and McMains 2005). That makes a comb of spikes of a curve; where both segments are long beside the turn, the
/// line takes the crossing of its two pieces instead, and what this leaves out of one strip lies in the next one. Cost: n.
#include "burin/shape/widen.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

struct Direction {
    double x = 1, y = 0, length = 0;
};

/// Walks along one side of a line; material lies to the left of the walk.
class PenWalk {
public:
    PenWalk(const Pen& pen, double tolerance) : pen_(pen), half_(pen.width / 2) {
        chord_angle_ = 2 * std::acos(std::clamp(1 - tolerance / half_, 0.5, 1 - 1e-9));
    }
    Loop out;

    void put(const Point& p, double nx, double ny) { out.push_back({p.x + half_ * nx, p.y + half_ * ny}); }

    /// Round p from the direction (nx, ny), by `angle` counter-clockwise, without its first point.
    void arc(const Point& p, double nx, double ny, double angle) {
        const int steps = std::max(1, static_cast<int>(std::ceil(angle / chord_angle_)));
        for (int k = 1; k <= steps; ++k) {
            const double c = std::cos(angle * k / steps), s = std::sin(angle * k / steps);
            put(p, nx * c - ny * s, nx * s + ny * c);
        }
    }

    /// From the right side of a segment that ends in p to that of the next one.
    void corner(const Point& p, const Direction& a, const Direction& b, bool smooth) {
        const double sine = a.x * b.y - a.y * b.x, cosine = a.x * b.x + a.y * b.y;
        if (sine >= 0 || (sine > -1e-12 && cosine < 0))
            outer_corner(p, a, b, std::atan2(std::max(sine, 0.0), cosine), smooth ? Join::round : pen_.join);
        else
            inner_corner(p, a, b, sine, cosine);
    }

    /// From the right side of a line's end to its left side.
    void cap(const Point& p, const Direction& d) {
        put(p, d.y, -d.x);
        if (pen_.cap == Cap::round) {
            arc(p, d.y, -d.x, std::numbers::pi);
        } else {
            if (pen_.cap == Cap::square) put(p, d.x + d.y, d.y - d.x), put(p, d.x - d.y, d.y + d.x);
            put(p, -d.y, d.x);
        }
    }

private:
    void outer_corner(const Point& p, const Direction& a, const Direction& b, double turn, Join join) {
        put(p, a.y, -a.x);
        const double shorten = std::cos(turn / 2);
        if (join == Join::round) {
            arc(p, a.y, -a.x, turn);
            return;
        }
        if (join == Join::miter && shorten > 1e-9 && 1 / shorten <= pen_.miter_limit) {
            const double scale = 1 / (2 * shorten * shorten);  // the two normals' sum is 2 cos(turn / 2) long
            put(p, (a.y + b.y) * scale, -(a.x + b.x) * scale);
        }
        put(p, b.y, -b.x);
    }

    void inner_corner(const Point& p, const Direction& a, const Direction& b, double sine, double cosine) {
        if (cosine > 0 && half_ * -sine <= std::min(a.length, b.length) / 2) {
            const double scale = 1 / (1 + cosine);
            put(p, (a.y + b.y) * scale, -(a.x + b.x) * scale);
            return;
        }
        put(p, a.y, -a.x);
        out.push_back(p);
        put(p, b.y, -b.x);
    }

    Pen pen_;
    double half_, chord_angle_;
};

Direction direction(const Point& a, const Point& b) {
    const double length = distance(a, b);
    return {(b.x - a.x) / length, (b.y - a.y) / length, length};
}

/// The curve's own direction where it is given and the chord is near it.
Direction near_chord(const std::vector<Point>& own, std::size_t k, const Direction& chord) {
    if (own.empty() || own[k].x * chord.x + own[k].y * chord.y < 0.7) return chord;
    return {own[k].x, own[k].y, chord.length};
}

Direction turned_back(const Direction& d) { return {-d.x, -d.y, d.length}; }

/// Without points that repeat the one before (nor, in a closed line, the first).
CentreLine without_repeats(const CentreLine& line) {
    CentreLine kept;
    kept.line.closed = line.line.closed;
    const auto put_directions = [&](std::size_t k) {
        if (line.before.empty()) return;
        kept.before.push_back(line.before[k]);
        kept.after.push_back(line.after[k]);
    };
    const std::vector<Point>& points = line.line.points;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const bool smooth = !line.smooth.empty() && line.smooth[k] != 0;
        if (!kept.line.points.empty() &&
            distance(kept.line.points.back(), points[k]) < 1e-12 * (1 + std::abs(points[k].x) + std::abs(points[k].y))) {
            kept.smooth.back() = static_cast<std::uint8_t>(kept.smooth.back() != 0 && smooth);  // a corner stays a corner
            if (!line.after.empty()) kept.after.back() = line.after[k];
            continue;
        }
        kept.line.points.push_back(points[k]);
        kept.smooth.push_back(static_cast<std::uint8_t>(smooth));
        put_directions(k);
    }
    while (kept.line.closed && kept.line.points.size() > 1 && kept.line.points.back() == kept.line.points.front()) {
        kept.line.points.pop_back(), kept.smooth.pop_back();
        if (kept.before.empty()) continue;
        kept.before.front() = kept.before.back();
        kept.before.pop_back(), kept.after.pop_back();
    }
    return kept;
}

/// Directions into and out of every corner.
struct Corners {
    std::vector<Direction> in, out;
};

Corners corners_of(const CentreLine& line) {
    const std::vector<Point>& p = line.line.points;
    const std::size_t n = p.size();
    Corners corners;
    for (std::size_t k = 0; k < n; ++k) {
        const bool first = k == 0 && !line.line.closed, last = k + 1 == n && !line.line.closed;
        const Direction in = first ? direction(p[0], p[1]) : direction(p[(k + n - 1) % n], p[k]);
        const Direction out = last ? in : direction(p[k], p[(k + 1) % n]);
        corners.in.push_back(near_chord(line.before, k, in));
        corners.out.push_back(near_chord(line.after, k, out));
    }
    return corners;
}

void right_side(PenWalk& walk, const CentreLine& line, const Corners& corners, std::size_t first, std::size_t last) {
    for (std::size_t k = first; k < last; ++k) walk.corner(line.line.points[k], corners.in[k], corners.out[k], line.smooth[k] != 0);
}

void left_side(PenWalk& walk, const CentreLine& line, const Corners& corners, std::size_t first, std::size_t last) {
    for (std::size_t k = last; k-- > first;)
        walk.corner(line.line.points[k], turned_back(corners.out[k]), turned_back(corners.in[k]), line.smooth[k] != 0);
}

}  // namespace

std::vector<Loop> pen_loops(const CentreLine& given, const Pen& pen, double tolerance) {
    if (!(pen.width > 0) || !(tolerance > 0))
        throw Error(Fault::usage, "A line is widened by a pen of a width above 0, with a tolerance above 0.");
    const CentreLine line = without_repeats(given);
    const std::vector<Point>& p = line.line.points;
    if (p.empty()) return {};
    if (p.size() == 1) {
        if (pen.cap == Cap::butt) return {};
        PenWalk dot(pen, tolerance);
        dot.cap(p[0], {1, 0, 0});
        dot.cap(p[0], {-1, 0, 0});
        return {std::move(dot.out)};
    }
    const Corners corners = corners_of(line);
    const std::size_t n = p.size();
    PenWalk walk(pen, tolerance);
    if (line.line.closed) {
        PenWalk back(pen, tolerance);
        right_side(walk, line, corners, 0, n);
        left_side(back, line, corners, 0, n);
        return {std::move(walk.out), std::move(back.out)};
    }
    right_side(walk, line, corners, 1, n - 1);
    walk.cap(p[n - 1], corners.in[n - 1]);
    left_side(walk, line, corners, 1, n - 1);
    walk.cap(p[0], turned_back(corners.out[0]));
    return {std::move(walk.out)};
}

Region widened(const Polyline& line, const Pen& pen, double tolerance) {
    return Region(pen_loops({line, {}, {}, {}}, pen, tolerance), FillRule::positive);
}

}  // namespace burin
