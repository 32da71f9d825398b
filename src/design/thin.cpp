/// Smoothing between corners, and thinning. Sources: see outline.hpp. Cost: linear, and n log n.
#include <algorithm>
#include <cmath>
#include <utility>

#include "outline.hpp"

namespace burin {
namespace {

double square_from_segment(const Point& p, const Point& a, const Point& b) {
    const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
    const double t = length > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length, 0.0, 1.0) : 0.0;
    const double x = p.x - a.x - t * dx, y = p.y - a.y - t * dy;
    return x * x + y * y;
}

/// One coordinate of a closed line of n points, with a copy of the last one before the first, and of the first after the last.
using Axis = std::vector<double>;

/// Each point moves by its `share` of `factor` of the way to the middle of its neighbours.
void relax(const double* in, const double* share, double factor, double* out, std::size_t n) {
    for (std::size_t k = 0; k < n; ++k) out[k + 1] = in[k + 1] + factor * share[k] * ((in[k] + in[k + 2]) / 2 - in[k + 1]);
    out[0] = out[n];
    out[n + 1] = out[1];
}

void hold_within(Axis& x, Axis& y, const std::vector<Point>& origin, double reach) {
    const std::size_t n = origin.size();
    for (std::size_t k = 0; k < n; ++k) {
        const double dx = x[k + 1] - origin[k].x, dy = y[k + 1] - origin[k].y, square = dx * dx + dy * dy;
        if (square <= reach * reach) continue;
        const double keep = reach / std::sqrt(square);
        x[k + 1] = origin[k].x + dx * keep;
        y[k + 1] = origin[k].y + dy * keep;
    }
    x[0] = x[n], y[0] = y[n];
    x[n + 1] = x[1], y[n + 1] = y[1];
}

/// The points that stay, those on curves moved by as much as the line that was left out lies to one side on the mean: chords of a
/// circle then enclose what the circle did.
Loop balanced(const CorneredLine& line, const std::vector<std::uint8_t>& kept) {
    const std::size_t n = line.points.size();
    std::vector<std::size_t> stays;
    for (std::size_t k = 0; k < n; ++k)
        if (kept[k]) stays.push_back(k);
    const std::size_t m = stays.size();
    std::vector<Point> normal(m);
    std::vector<double> mean(m);  // of the span that begins here, to its left
    for (std::size_t s = 0; s < m; ++s) {
        const std::size_t a = stays[s], b = s + 1 < m ? stays[s + 1] : stays[0] + n;
        const Point &pa = line.points[a], &pb = line.points[b % n];
        const double dx = pb.x - pa.x, dy = pb.y - pa.y, length = std::hypot(dx, dy);
        if (length == 0) continue;
        double area = 0;
        for (std::size_t k = a; k < b; ++k) {
            const Point &p = line.points[k % n], &q = line.points[(k + 1) % n];
            area += (p.x - pa.x) * (q.y - pa.y) - (p.y - pa.y) * (q.x - pa.x);
        }
        normal[s] = {-dy / length, dx / length};
        mean[s] = -area / 2 / length;
    }
    Loop out;
    for (std::size_t s = 0; s < m; ++s) {
        const std::size_t before = s == 0 ? m - 1 : s - 1;
        Point p = line.points[stays[s]];
        // Where both spans bend the same way, the smaller of both.
        if (!line.corner[stays[s]] && mean[s] * mean[before] > 0) {
            const double by = std::abs(mean[s]) < std::abs(mean[before]) ? mean[s] : mean[before];
            p = {p.x + by * (normal[s].x + normal[before].x) / 2, p.y + by * (normal[s].y + normal[before].y) / 2};
        }
        out.push_back(p);
    }
    return out;
}

}  // namespace

void smooth(CorneredLine& line, const Slack& slack) {
    if (!(slack.smooth > 0) || line.points.size() < 5) return;
    // Taubin's pair λ, μ = −λ: circles keep their size, waves fade by (1 − λ²(1 − cos ω)²) a pass. More slack, longer waves.
    constexpr double lambda = 0.5, mu = -lambda;
    const int passes = std::clamp(static_cast<int>(std::lround(8 + 120 * std::min(slack.smooth, 1.0))), 8, 128);
    const std::size_t n = line.points.size();
    Axis x(n + 2), y(n + 2), other(n + 2);
    std::vector<double> share(n);
    for (std::size_t k = 0; k < n; ++k) {
        x[k + 1] = line.points[k].x;
        y[k + 1] = line.points[k].y;
        share[k] = line.corner[k] ? 0 : 1;
    }
    x[0] = x[n], y[0] = y[n];
    x[n + 1] = x[1], y[n + 1] = y[1];
    for (int k = 0; k < passes; ++k) {
        for (Axis* axis : {&x, &y}) {
            relax(axis->data(), share.data(), lambda, other.data(), n);
            relax(other.data(), share.data(), mu, axis->data(), n);
        }
        if (k % 8 == 7 || k + 1 == passes) hold_within(x, y, line.points, slack.smooth);
    }
    for (std::size_t k = 0; k < n; ++k) line.points[k] = {x[k + 1], y[k + 1]};
}

Loop thinned(const CorneredLine& line, double tolerance) {
    const std::size_t n = line.points.size();
    if (n < 3) return {};
    std::vector<std::size_t> stays;
    for (std::size_t k = 0; k < n; ++k)
        if (line.corner[k]) stays.push_back(k);
    if (stays.empty()) stays.push_back(0);
    if (stays.size() == 1) {
        // A second end: the farthest point.
        const Point& from = line.points[stays[0]];
        std::size_t far = 0;
        for (std::size_t k = 0; k < n; ++k)
            if (distance(from, line.points[k]) > distance(from, line.points[far])) far = k;
        stays.push_back(far);
        std::sort(stays.begin(), stays.end());
    }
    std::vector<std::uint8_t> kept(n, 0);
    for (const std::size_t k : stays) kept[k] = 1;
    std::vector<std::pair<std::size_t, std::size_t>> spans;  // the second end may lie beyond n: round the seam
    for (std::size_t k = 0; k < stays.size(); ++k) spans.emplace_back(stays[k], k + 1 < stays.size() ? stays[k + 1] : stays[0] + n);
    while (!spans.empty()) {
        const auto [a, b] = spans.back();
        spans.pop_back();
        const Point &pa = line.points[a % n], &pb = line.points[b % n];
        double most = tolerance * tolerance;
        std::size_t at = 0;
        for (std::size_t k = a + 1; k < b; ++k) {
            const double d = square_from_segment(line.points[k < n ? k : k - n], pa, pb);
            if (d > most) most = d, at = k;
        }
        if (at == 0) continue;
        kept[at % n] = 1;
        spans.emplace_back(a, at);
        spans.emplace_back(at, b);
    }
    return balanced(line, kept);
}

}  // namespace burin
