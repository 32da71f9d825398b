/// Which of a contour's points are to be trusted. Sources: see outline.hpp.
///
/// Where edges have no grey the contour is a staircase; but at each of its steps the true line passes within half a pixel's slope,
/// while between steps it may be anywhere within half a pixel. So of a run between two steps that go the same way
/// only the steps are kept. A run whose steps go opposite ways (the top of a disc, the side of an upright box) stays.
#include <algorithm>
#include <cmath>

#include "contour.hpp"
#include "outline.hpp"

namespace burin {
namespace {

/// Points about a pixel apart along the closed line through `points`.
std::vector<Point> evenly(const std::vector<Point>& points) {
    const std::size_t n = points.size();
    std::vector<double> way(n + 1, 0);
    for (std::size_t k = 0; k < n; ++k) way[k + 1] = way[k] + distance(points[k], points[(k + 1) % n]);
    const auto count = std::max<std::size_t>(8, static_cast<std::size_t>(std::lround(way[n])));
    std::vector<Point> out;
    out.reserve(count);
    std::size_t at = 0;
    for (std::size_t k = 0; k < count; ++k) {
        const double wanted = way[n] * static_cast<double>(k) / static_cast<double>(count);
        while (at + 1 < n && way[at + 1] <= wanted) ++at;
        const Point &a = points[at], &b = points[(at + 1) % n];
        const double length = way[at + 1] - way[at], t = length > 0 ? (wanted - way[at]) / length : 0;
        out.push_back({a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)});
    }
    return out;
}

std::vector<Point> steps_of(std::span<const Point> points, std::span<const std::uint8_t> marks) {
    const std::size_t n = points.size();
    const auto kind = [&](std::size_t k) { return marks[k % n] & on_column; };
    std::size_t start = 0;
    while (start < n && kind(start) == kind(start + n - 1)) ++start;
    if (start == n) return {points.begin(), points.end()};
    // Runs of one kind, each from its first point to before the next one's.
    std::vector<std::size_t> runs;
    for (std::size_t k = start; k < start + n; ++k)
        if (kind(k) != kind(k + n - 1)) runs.push_back(k);
    const std::size_t count = runs.size();
    const auto length = [&](std::size_t r) { return r + 1 < count ? runs[r + 1] - runs[r] : runs[0] + n - runs[r]; };
    std::vector<Point> out;
    for (std::size_t r = 0; r < count; ++r) {
        const std::size_t first = runs[r], end = first + length(r);
        // The step before and the step after, along the way that the run does not take. Steps are of one pixel: longer ones are sides.
        const Point &before = points[(first + n - 1) % n], &a = points[first % n], &b = points[(end - 1) % n], &after = points[end % n];
        const double in = kind(first) ? a.y - before.y : a.x - before.x, out_by = kind(first) ? after.y - b.y : after.x - b.x;
        const bool staircase = in * out_by > 0 && length((r + count - 1) % count) == 1 && length((r + 1) % count) == 1;
        if (end - first >= 2 && staircase) continue;
        for (std::size_t k = first; k < end; ++k) out.push_back(points[k % n]);
    }
    return out;
}

}  // namespace

std::vector<Point> sure_points(std::span<const Point> points, std::span<const std::uint8_t> marks, bool edges_are_hard) {
    std::vector<Point> out;
    if (edges_are_hard) {
        out = steps_of(points, marks);
        return evenly(out.size() < 4 ? std::vector<Point>(points.begin(), points.end()) : out);
    }
    out.reserve(points.size());
    for (std::size_t k = 0; k < points.size(); ++k)
        if (!(marks[k] & askew)) out.push_back(points[k]);
    if (out.size() < 4) out.assign(points.begin(), points.end());
    return out;
}

double noise_of(std::span<const Point> points) {
    const std::size_t n = points.size();
    if (n < 40) return 0;
    // Distance from the neighbours' chord, less the mean of the neighbours' own: what is left of a bend is small.
    std::vector<double> off(n);
    for (std::size_t k = 0; k < n; ++k) {
        const Point &a = points[k == 0 ? n - 1 : k - 1], &b = points[k + 1 == n ? 0 : k + 1], &p = points[k];
        const double length = std::sqrt((b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y));
        off[k] = length > 0 ? ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / length : 0;
    }
    std::vector<double> rough(n);
    for (std::size_t k = 0; k < n; ++k) rough[k] = std::abs(off[k] - (off[(k + n - 1) % n] + off[(k + 1) % n]) / 2);
    std::nth_element(rough.begin(), rough.begin() + static_cast<std::ptrdiff_t>(n / 2), rough.end());
    // Weights ¼, −1, 3/2, −1, ¼ of independent points: variance 4.375.
    return 1.48 * rough[n / 2] / std::sqrt(4.375);
}

}  // namespace burin
