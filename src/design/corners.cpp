/// Corners put back on a contour's points.
///
/// A contour of shares of ink cuts a corner off, by half a pixel at a right angle and by more at an acute one, while a little way off
/// it runs true. So each place that turns is tried: a straight line, or a parabola where the run is curved, is fitted to the points on
/// either side, leaving out those next to the corner; where both fit within the noise, meet at an angle, and meet no farther
/// from the contour than a sharp corner would lie, the corner is put where they cross. On a smooth bend both fits go on in each
/// other's direction, so there is no angle; on a rounded corner they cross too far from the contour.
/// Cost: two dozen small fits at each place that turns.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "outline.hpp"

namespace burin {
namespace {

/// Points around a closed line.
struct Ring {
    const std::vector<Point>& points;
    [[nodiscard]] int size() const { return static_cast<int>(points.size()); }
    [[nodiscard]] const Point& operator[](int k) const {
        const int n = size();
        return points[static_cast<std::size_t>(k < 0 ? k + n : k >= n ? k - n : k)];
    }
};

/// How points are fitted; lengths in pixels.
struct Fitting {
    double off;         ///< the farthest a point may lie from its side
    double least_turn;  ///< radians
    int first;          ///< nearest point that is fitted
    int shortest;       ///< points of the shortest run
    double spare;       ///< how much farther than a sharp corner the crossing may lie
    double sharpest;    ///< radians between the sides
    bool upright;       ///< sides must be upright or level
};

constexpr double degree = std::numbers::pi / 180;

/// In the order in which they are tried. Hard edges are exact where they are upright or level, else known to half a pixel.
std::vector<Fitting> fittings_for(const Slack& slack, bool hard) {
    if (hard) return {{0.05, 35 * degree, 2, 6, 0.4, 30 * degree, true}, {0.35, 40 * degree, 3, 8, 0.6, 12 * degree, false}};
    const double turn = std::clamp(22 + 100 * slack.noise, 22.0, 35.0) * degree;
    return {{std::max(0.06, 2.5 * slack.noise), turn, 2, slack.noise > 0.05 ? 6 : 4, 1.5 * slack.noise,
             (slack.noise > 0.05 ? 25 : 12) * degree, false}};
}

/// y = a + b x + c x² in a frame whose x runs towards the corner.
struct Side {
    Point origin, axis;
    double a = 0, b = 0, c = 0;
    int skipped = 0;  ///< points left out next to the corner
    int points = 0;   ///< fitted
    [[nodiscard]] Point at(double x) const {
        const double y = a + x * (b + c * x);
        return {origin.x + x * axis.x - y * axis.y, origin.y + x * axis.y + y * axis.x};
    }
    [[nodiscard]] Point along(double x) const {
        const double slope = b + 2 * c * x;
        return {axis.x - slope * axis.y, axis.y + slope * axis.x};
    }
};

constexpr int longest = 24;

/// The points of a run in its own frame.
struct Run {
    int n = 0;
    std::array<double, longest> x, y;
    Point origin, axis;
};

std::optional<Run> run_of(const Ring& ring, int corner, int way, int skipped, int n) {
    Run run;
    run.n = n;
    run.origin = ring[corner + way * skipped];
    const Point& far = ring[corner + way * (skipped + n - 1)];
    const double length = distance(run.origin, far);
    if (length < 0.5 * n) return std::nullopt;  // it turns back on itself
    run.axis = {(run.origin.x - far.x) / length, (run.origin.y - far.y) / length};
    for (int k = 0; k < n; ++k) {
        const Point& p = ring[corner + way * (skipped + k)];
        const double dx = p.x - run.origin.x, dy = p.y - run.origin.y;
        run.x[static_cast<std::size_t>(k)] = dx * run.axis.x + dy * run.axis.y;
        run.y[static_cast<std::size_t>(k)] = dy * run.axis.x - dx * run.axis.y;
    }
    return run;
}

double farthest(const Run& run, const Side& side) {
    double most = 0;
    for (std::size_t k = 0; k < static_cast<std::size_t>(run.n); ++k)
        most = std::max(most, std::abs(run.y[k] - side.a - run.x[k] * (side.b + side.c * run.x[k])));
    return most;
}

Side line_through(const Run& run) {
    double sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::size_t k = 0; k < static_cast<std::size_t>(run.n); ++k) {
        sx += run.x[k];
        sy += run.y[k];
        sxx += run.x[k] * run.x[k];
        sxy += run.x[k] * run.y[k];
    }
    Side side{run.origin, run.axis};
    const double spread = run.n * sxx - sx * sx;
    side.b = spread > 0 ? (run.n * sxy - sx * sy) / spread : 0;
    side.a = (sy - side.b * sx) / run.n;
    return side;
}

/// Least squares about the mean of x, so that the sums keep their digits.
Side parabola_through(const Run& run) {
    const auto n = static_cast<std::size_t>(run.n);
    double middle = 0;
    for (std::size_t k = 0; k < n; ++k) middle += run.x[k] / run.n;
    double s2 = 0, s3 = 0, s4 = 0, t0 = 0, t1 = 0, t2 = 0;
    for (std::size_t k = 0; k < n; ++k) {
        const double x = run.x[k] - middle, xx = x * x;
        s2 += xx;
        s3 += xx * x;
        s4 += xx * xx;
        t0 += run.y[k];
        t1 += run.y[k] * x;
        t2 += run.y[k] * xx;
    }
    // Normal equations, the mean of x being 0: n a + s2 c = t0, s2 b + s3 c = t1, s2 a + s3 b + s4 c = t2.
    const double pivot = s4 - s2 * s2 / run.n - s3 * s3 / s2;
    const double c = pivot > 1e-9 ? (t2 - s2 * t0 / run.n - s3 * t1 / s2) / pivot : 0;
    const double b = (t1 - s3 * c) / s2, a = (t0 - s2 * c) / run.n;
    Side side{run.origin, run.axis};
    side.a = a - b * middle + c * middle * middle;
    side.b = b - 2 * c * middle;
    side.c = c;
    return side;
}

/// A run of n points that fits within `off`; straight rather than curved, near the corner rather than off it.
std::optional<Side> side_of_length(const Ring& ring, int corner, int way, int n, bool may_curve, double off, const Fitting& fitting) {
    if (n < fitting.shortest || 2 * (n + fitting.first) > ring.size()) return std::nullopt;
    for (const bool curved : {false, true}) {
        if (curved && (!may_curve || n < (fitting.spare >= 0.4 ? 16 : 8))) continue;
        for (int skipped = fitting.first; skipped < fitting.first + 4 && 2 * (n + skipped) <= ring.size(); ++skipped) {
            const std::optional<Run> run = run_of(ring, corner, way, skipped, n);
            if (!run) continue;
            Side side = curved ? parabola_through(*run) : line_through(*run);
            // Bends tighter than the run is long say nothing of what lies beyond it.
            if (std::abs(side.c) * n > 0.35 || farthest(*run, side) > off) continue;
            if (fitting.upright && std::min(std::abs(side.axis.x), std::abs(side.axis.y)) > 1e-9) continue;
            side.skipped = skipped;
            side.points = n;
            return side;
        }
    }
    return std::nullopt;
}

/// The longest run that fits. Where edges were drawn with few shades, a side that is nearly level goes in steps of a
/// quarter of a pixel: a long straight run with these steps in it tells more than a short one between two of them.
std::optional<Side> side_of(const Ring& ring, int corner, int way, const Fitting& fitting) {
    constexpr double few_shades = 0.16;
    for (const int n : {longest, 16})
        if (auto side = side_of_length(ring, corner, way, n, true, fitting.off, fitting)) return side;
    for (const int n : {longest, 16})
        if (auto side = side_of_length(ring, corner, way, n, false, std::max(few_shades, fitting.off), fitting)) return side;
    for (const int n : {11, 8, 6, 4})
        if (auto side = side_of_length(ring, corner, way, n, true, fitting.off, fitting)) return side;
    return std::nullopt;
}

struct Corner {
    int index = 0, before = 0, after = 0;  ///< points left out on both ways
    Point at;
    double turn = 0, gap = 0;
};

double off_segment(const Point& p, const Point& a, const Point& b) {
    const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
    const double t = length > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length, 0.0, 1.0) : 0.0;
    return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

double distance_to_line(const Ring& ring, int corner, const Point& p) {
    double least = distance(p, ring[corner]);
    for (int k = corner - 4; k < corner + 4; ++k) least = std::min(least, off_segment(p, ring[k], ring[k + 1]));
    return least;
}

/// Where both sides cross, by Newton's method from the ends of their runs.
std::optional<Corner> crossing_of(const Ring& ring, int index, const Side& in, const Side& out) {
    double u = 2, v = 2;
    for (int step = 0; step < 12; ++step) {
        const Point p = in.at(u), q = out.at(v), dp = in.along(u), dq = out.along(v);
        const double det = dp.x * dq.y - dp.y * dq.x;
        if (std::abs(det) < 0.05) return std::nullopt;
        const double dx = q.x - p.x, dy = q.y - p.y;
        const double du = (dx * dq.y - dy * dq.x) / det, dv = (dx * dp.y - dy * dp.x) / det;
        u += du;
        v += dv;
        if (std::abs(u) > 40 || std::abs(v) > 40) return std::nullopt;
        if (std::abs(du) + std::abs(dv) < 1e-9) break;
    }
    Corner corner{index, in.skipped, out.skipped, in.at(u), 0, 0};
    const Point a = in.along(u), b = out.along(v);
    corner.turn = std::abs(std::atan2(a.x * -b.y + a.y * b.x, -a.x * b.x - a.y * b.y));
    corner.gap = distance_to_line(ring, index, corner.at);
    // A crossing behind the beginning of a run is none of a corner in between.
    if (u < -1.5 || v < -1.5) return std::nullopt;
    return corner;
}

/// Farther than this from the contour lies no corner that an even coverage of pixels has cut off.
double farthest_sharp(double turn, double spare) {
    const double half = (std::numbers::pi - turn) / 2;
    return (0.6 + spare) / std::tan(std::max(half, 8 * degree)) + 0.35 + 0.25 * spare;
}

/// How far what the corner takes the place of lies from it and its two sides' beginnings.
double farthest_replaced(const Ring& ring, const Corner& corner) {
    const Point &from = ring[corner.index - corner.before], &to = ring[corner.index + corner.after];
    double most = 0;
    for (int k = corner.index - corner.before + 1; k < corner.index + corner.after; ++k)
        most = std::max(most, std::min(off_segment(ring[k], from, corner.at), off_segment(ring[k], corner.at, to)));
    return most;
}

std::optional<Corner> corner_near(const Ring& ring, int index, const Fitting& fitting) {
    const std::optional<Side> in = side_of(ring, index, -1, fitting), out = in ? side_of(ring, index, 1, fitting) : std::nullopt;
    if (!in || !out) return std::nullopt;
    const std::optional<Corner> corner = crossing_of(ring, index, *in, *out);
    // A short run may be part of a bend.
    const double least_turn = std::min(in->points, out->points) < 8 ? std::max(fitting.least_turn, 55 * degree) : fitting.least_turn;
    if (!corner || corner->turn < least_turn || corner->gap > farthest_sharp(corner->turn, fitting.spare)) return std::nullopt;
    if (std::numbers::pi - corner->turn < fitting.sharpest) return std::nullopt;
    if (farthest_replaced(ring, *corner) > 0.6 + fitting.spare) return std::nullopt;
    return corner;
}

/// Distance of point k from the chord of those `span` before and after.
double bulge(const Ring& ring, int k, int span) {
    const Point &a = ring[k - span], &b = ring[k + span], &p = ring[k];
    const double length = std::sqrt((b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y));
    if (length < 0.5) return span;  // there and back: a tip
    return std::abs((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / length;
}

/// Places that turn more than all within `near` of them.
std::vector<int> turning_places(const Ring& ring, int span, int near, double least) {
    std::vector<double> bulges(ring.points.size());
    for (int k = 0; k < ring.size(); ++k) bulges[static_cast<std::size_t>(k)] = bulge(ring, k, span);
    std::vector<int> places;
    const int n = ring.size();
    for (int k = 0; k < n; ++k) {
        const double here = bulges[static_cast<std::size_t>(k)];
        if (here < least) continue;
        bool most = true;
        for (int d = 1; d <= near && most; ++d)
            most = here >= bulges[static_cast<std::size_t>((k + d) % n)] && here > bulges[static_cast<std::size_t>((k - d + n) % n)];
        if (most) places.push_back(k);
    }
    return places;
}

}  // namespace

CorneredLine with_corners(std::vector<Point> points, const Slack& slack, bool hard) {
    CorneredLine line;
    const int n = static_cast<int>(points.size());
    if (n < 16) {
        line.corner.assign(points.size(), 0);
        line.points = std::move(points);
        return line;
    }
    const Ring ring{points};
    const std::vector<Fitting> fittings = fittings_for(slack, hard);
    std::vector<Corner> corners;
    const int span = std::min(hard ? 6 : 5, n / 4);
    // A turn by φ between straight runs bulges by span × tan(φ / 4) or more.
    for (const int k : turning_places(ring, span, 3, 0.6 * span * std::tan(fittings.front().least_turn / 4)))
        for (const Fitting& fitting : fittings)
            if (const std::optional<Corner> corner = corner_near(ring, k, fitting)) {
                corners.push_back(*corner);
                break;
            }
    // What lies between the runs and their crossing goes.
    std::vector<std::uint8_t> gone(points.size(), 0);
    std::vector<int> corner_at(points.size(), -1);
    for (std::size_t c = 0; c < corners.size(); ++c) {
        for (int k = corners[c].index - corners[c].before + 1; k < corners[c].index + corners[c].after; ++k)
            gone[static_cast<std::size_t>((k % n + n) % n)] = 1;
        corner_at[static_cast<std::size_t>(corners[c].index)] = static_cast<int>(c);
    }
    for (int k = 0; k < n; ++k) {
        const auto at = static_cast<std::size_t>(k);
        if (corner_at[at] >= 0) {
            line.points.push_back(corners[static_cast<std::size_t>(corner_at[at])].at);
            line.corner.push_back(1);
        } else if (!gone[at]) {
            line.points.push_back(points[at]);
            line.corner.push_back(0);
        }
    }
    return line;
}

}  // namespace burin
