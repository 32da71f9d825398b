/// Fewer corners within a tolerance: Douglas and Peucker, Algorithms for the Reduction of the Number of Points Required to Represent
/// a Digitized Line (1973).
///
/// A loop is cut at its two corners that lie farthest apart, as far as one look round tells; runs between kept corners are
/// split at the corner farthest from their chord until all are near enough. Runs longer than `longest_run` are cut up first,
/// which bounds the cost to n · longest_run for whatever line. Lines that come to cross are parted by the region's own rules.
#include <cmath>

#include "burin/base/error.hpp"
#include "lattice.hpp"

namespace burin {
namespace {

constexpr std::size_t longest_run = 4096;

double squared(double x) { return x * x; }

double squared_distance(const Point& p, const Point& a, const Point& b) {
    const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
    double t = length > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / length : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return squared(p.x - a.x - t * dx) + squared(p.y - a.y - t * dy);
}

std::size_t farthest_from(const Loop& loop, const Point& p) {
    std::size_t best = 0;
    double most = -1;
    for (std::size_t k = 0; k < loop.size(); ++k)
        if (const double d = squared(loop[k].x - p.x) + squared(loop[k].y - p.y); d > most) most = d, best = k;
    return best;
}

/// Marks what has to stay between corners `from` and `to`, counted round the loop.
void keep_between(const Loop& loop, std::size_t from, std::size_t to, double tolerance, std::vector<char>& kept) {
    const std::size_t n = loop.size();
    std::vector<std::pair<std::size_t, std::size_t>> runs;
    for (std::size_t k = from; k < to; k += longest_run) {
        kept[k % n] = 1;
        runs.emplace_back(k, std::min(k + longest_run, to));
    }
    kept[to % n] = 1;
    while (!runs.empty()) {
        const auto [a, b] = runs.back();
        runs.pop_back();
        std::size_t worst = a;
        double most = squared(tolerance);
        for (std::size_t k = a + 1; k < b; ++k)
            if (const double d = squared_distance(loop[k % n], loop[a % n], loop[b % n]); d > most) most = d, worst = k;
        if (worst == a) continue;
        kept[worst % n] = 1;
        runs.emplace_back(worst, b);
        runs.emplace_back(a, worst);
    }
}

}  // namespace

Loop with_fewer_corners(const Loop& loop, double tolerance) {
    const std::size_t a = farthest_from(loop, loop.front()), b = farthest_from(loop, loop[a]);
    const std::size_t first = std::min(a, b), second = std::max(a, b);
    std::vector<char> kept(loop.size(), 0);
    keep_between(loop, first, second, tolerance, kept);
    keep_between(loop, second, first + loop.size(), tolerance, kept);
    Loop fewer;
    for (std::size_t k = 0; k < loop.size(); ++k)
        if (kept[k]) fewer.push_back(loop[k]);
    return fewer;
}

Region simplified(const Region& a, double tolerance) {
    if (!(tolerance >= 0)) throw Error(Fault::usage, "A figure is simplified within a tolerance of 0 mm or more.");
    std::vector<Loop> loops = a.loops();
    for (Loop& loop : loops) loop = with_fewer_corners(loop, tolerance);
    return Region(loops, FillRule::positive);
}

}  // namespace burin
