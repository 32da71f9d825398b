// How near the bit comes to points along an edge at the stock top.
//
// The bit's half width grows evenly along a piece of way, e = e₀ + k t, and a point h beside the piece and s along it stays
//     √(h² + (s − t)²) − e₀ − k t
// outside the bit: least where t = s + k h ⁄ √(1 − k²) (plane geometry), or at an end.
// Cost: points × the pieces of way that may come to them; most points are settled by the piece that settled the one before.
#include <cmath>
#include <iterator>

#include "figure.hpp"

namespace burin::proving {
namespace {

constexpr double sample = 0.02;  // mm between points along an edge
constexpr std::size_t most_samples = 4'000'000;
constexpr double missed = 0.5;      // mm to which what was not reached is told
constexpr double settled = 0.0015;  // mm: less is what the rounding of coordinates makes, and not looked into further

/// Pieces of way along the floor, with the bit's half width at both ends.
struct FloorWay {
    std::vector<Culprit> pieces;  ///< by tag
    std::optional<SegmentIndex> index;
    double widest = 0;
};
FloorWay floor_way(const FigureCase& c, double below) {
    FloorWay floor;
    std::vector<Segment> segments;
    for (std::size_t w = 0; w < c.ways.size(); ++w) {
        const Bit& bit = c.ways[w].asked->bit;
        over_cuts(c.ways[w], 0, c.ways[w].kinds.size(), [&](std::uint32_t piece, Point3 a, Point3 b) {
            if (!clip_below(a, b, below)) return;
            over_even_widths(bit, a, b, [&](const Point3& p, const Point3& q, double ep, double eq) {
                floor.widest = std::max({floor.widest, ep, eq});
                segments.push_back({flat(p), flat(q), ep, eq, static_cast<std::uint32_t>(floor.pieces.size())});
            });
            floor.pieces.push_back({w, piece, static_cast<float>(std::min(a.z, b.z)), {}});
        });
    }
    if (!segments.empty()) floor.index.emplace(std::move(segments), 0.5);
    return floor;
}

/// How far outside the bit a point stays while the bit goes along the piece.
double outside(const Segment& s, const Point& p) {
    const double x = s.b.x - s.a.x, y = s.b.y - s.a.y, length = std::sqrt(x * x + y * y);
    if (!(length > 0)) return distance(s.a, p) - std::max(s.a_more, s.b_more);
    const double px = p.x - s.a.x, py = p.y - s.a.y, along = (px * x + py * y) / length, beside = std::fabs(px * y - py * x) / length;
    const double k = (s.b_more - s.a_more) / length;
    double t = k >= 1 ? length : k <= -1 ? 0 : along + k * beside / std::sqrt(1 - k * k);
    t = std::clamp(t, 0.0, length);
    return std::sqrt(beside * beside + (along - t) * (along - t)) - s.a_more - k * t;
}

}  // namespace

bool clip_below(Point3& a, Point3& b, double z) {
    if (std::min(a.z, b.z) >= z) return false;
    const auto cut = [&](const Point3& high, const Point3& low) {
        const double share = (high.z - z) / (high.z - low.z);
        return Point3{high.x + share * (low.x - high.x), high.y + share * (low.y - high.y), z};
    };
    if (a.z > z)
        a = cut(a, b);
    else if (b.z > z)
        b = cut(b, a);
    return true;
}

std::vector<Loop> figure_by_figure(const Region& region, const Crew& crew, const std::function<Region(const Region&)>& make) {
    const auto& figures = region.figures();
    std::vector<std::vector<Loop>> made(figures.size());
    in_parallel(crew, static_cast<int>(figures.size()), [&](int k) {
        const Figure& figure = figures[static_cast<std::size_t>(k)];
        std::vector<Loop> loops{figure.outer};
        loops.insert(loops.end(), figure.holes.begin(), figure.holes.end());
        made[static_cast<std::size_t>(k)] = make(Region(loops)).loops();
    });
    std::vector<Loop> all;
    for (auto& loops : made) std::move(loops.begin(), loops.end(), std::back_inserter(all));
    return all;
}

std::vector<Point> points_along(const std::vector<Loop>& loops) {
    double length = 0;
    const std::vector<Segment> edges = segments_of(loops);
    for (const Segment& e : edges) length += distance(e.a, e.b);
    const double step = std::max(sample, length / static_cast<double>(most_samples));
    std::vector<Point> points;
    for (const Segment& e : edges) {
        const int n = std::max(1, static_cast<int>(std::ceil(distance(e.a, e.b) / step)));
        for (int k = 0; k < n; ++k) {
            const double t = static_cast<double>(k) / n;
            points.push_back({e.a.x + (e.b.x - e.a.x) * t, e.a.y + (e.b.y - e.a.y) * t});
        }
    }
    return points;
}

Seen short_of_edge(const FigureCase& c, const std::vector<Point>& points, double below, double fit) {
    const FloorWay floor = floor_way(c, below);
    struct Short {
        Peak peak;
        std::uint32_t tag = 0;
        bool any = false;
    };
    constexpr std::size_t points_a_job = 8192;
    std::vector<Short> shorts((points.size() + points_a_job - 1) / points_a_job);
    in_parallel(c.crew, static_cast<int>(shorts.size()), [&](int k) {
        Short& worst = shorts[static_cast<std::size_t>(k)];
        const Segment* last = nullptr;
        const std::size_t from = static_cast<std::size_t>(k) * points_a_job;
        for (std::size_t n = from; n < std::min(points.size(), from + points_a_job); ++n) {
            const Point& p = points[n];
            double best = missed;
            const Segment* by = nullptr;
            const auto see = [&](const Segment& s) {
                const double v = outside(s, p) + fit;
                if (v < best) best = v, by = &s;
                return best > std::max(settled, worst.peak.value);
            };
            if (last && !see(*last)) continue;
            if (floor.index) floor.index->near(p, p, floor.widest + missed, see);
            if (by) last = by;
            if (best > worst.peak.value) worst = {{best, {p.x, p.y, below}}, by ? by->tag : 0, by != nullptr};
        }
    });
    Seen seen;
    for (const Short& s : shorts)
        if (s.peak.value > seen.value) {
            seen.value = s.peak.value, seen.place = s.peak.place;
            seen.by.reset();
            if (s.any) seen.by = floor.pieces[s.tag];
        }
    seen.broken = seen.value > line_slack;
    return seen;
}

}  // namespace burin::proving
