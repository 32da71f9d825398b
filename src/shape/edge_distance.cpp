/// Exact distances of cells from the segments of a region's line.
///
/// Inside or outside: the crossings of each row of centres with the line, sorted. Distance: the grid is halved into ever smaller
/// blocks; a block keeps the segments that can be nearest to any of its points, those not farther from its centre than the nearest
/// one and the block's own diameter, and stops where all of it is out of reach. In blocks of `leaf` cells every cell asks those that
/// are left. Cost: cells near the line × the few segments beside them; a row of candidates at a time, so that it vectorises.
#include "burin/shape/edge_distance.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "burin/base/error.hpp"
#include "lattice.hpp"

namespace burin {
namespace {

constexpr int leaf = 8, block = 256;
constexpr int band_rows = 64;

struct Segment {
    Point a, d;             ///< from a to a + d
    double per_length = 0;  ///< 1 / |d|²
};

std::vector<Segment> segments_of(const Region& region) {
    std::vector<Segment> segments;
    segments.reserve(region.points());
    const auto add = [&](const Loop& loop) {
        for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) {
            const Point d{loop[k].x - loop[before].x, loop[k].y - loop[before].y};
            segments.push_back({loop[before], d, 1 / (d.x * d.x + d.y * d.y)});
        }
    };
    for (const Figure& figure : region.figures()) {
        add(figure.outer);
        for (const Loop& hole : figure.holes) add(hole);
    }
    return segments;
}

inline double squared_distance(const Segment& s, double x, double y) {
    const double px = x - s.a.x, py = y - s.a.y;
    const double t = std::min(std::max((px * s.d.x + py * s.d.y) * s.per_length, 0.0), 1.0);
    const double qx = px - t * s.d.x, qy = py - t * s.d.y;
    return qx * qx + qy * qy;
}

/// Lowers least[0 … n − 1], the squared distances of the places x + i · step, y, to that from s.
void lower_by(const Segment& s, double x, double y, double step, int n, double* least) {
    const double dx = s.d.x, dy = s.d.y, per_length = s.per_length, ax = x - s.a.x, py = y - s.a.y;
    for (int i = 0; i < n; ++i) {
        const double px = ax + i * step;
        double t = (px * dx + py * dy) * per_length;
        t = t > 0 ? t : 0;
        t = t < 1 ? t : 1;
        const double qx = px - t * dx, qy = py - t * dy, d = qx * qx + qy * qy;
        least[i] = d < least[i] ? d : least[i];
    }
}

class Distances {
public:
    Distances(const std::vector<Segment>& segments, double reach, Grid<float>& out) : segments_(segments), reach_(reach), out_(out) {}

    /// Fills columns i0 … i1 − 1 of rows j0 … j1 − 1, where only these segments count. Signs are there already.
    void fill(int i0, int j0, int i1, int j1, const std::vector<std::uint32_t>& candidates) {
        const Point lo = out_.centre(i0, j0), hi = out_.centre(i1 - 1, j1 - 1);
        const Point centre{(lo.x + hi.x) / 2, (lo.y + hi.y) / 2};
        const double half = std::hypot(hi.x - lo.x, hi.y - lo.y) / 2;
        double nearest = std::numeric_limits<double>::infinity();
        std::vector<double> squares(candidates.size());
        for (std::size_t k = 0; k < candidates.size(); ++k) {
            squares[k] = squared_distance(segments_[candidates[k]], centre.x, centre.y);
            nearest = std::min(nearest, squares[k]);
        }
        nearest = std::sqrt(nearest);
        if (nearest - half >= reach_) {
            for (int j = j0; j < j1; ++j)
                for (int i = i0; i < i1; ++i) out_(i, j) *= static_cast<float>(reach_);
            return;
        }
        const double far = std::min(nearest + 2 * half, reach_ + half) * (1 + 1e-12);
        std::vector<std::uint32_t> near;
        for (std::size_t k = 0; k < candidates.size(); ++k)
            if (squares[k] <= far * far) near.push_back(candidates[k]);
        const int di = i1 - i0, dj = j1 - j0;
        if (di <= leaf && dj <= leaf) return measure(i0, j0, i1, j1, near);
        const int im = di > leaf ? i0 + di / 2 : i1, jm = dj > leaf ? j0 + dj / 2 : j1;
        fill(i0, j0, im, jm, near);
        if (im < i1) fill(im, j0, i1, jm, near);
        if (jm < j1) fill(i0, jm, im, j1, near);
        if (im < i1 && jm < j1) fill(im, jm, i1, j1, near);
    }

private:
    void measure(int i0, int j0, int i1, int j1, const std::vector<std::uint32_t>& near) {
        double least[leaf];
        for (int j = j0; j < j1; ++j) {
            const Point p = out_.centre(i0, j);
            std::fill(least, least + leaf, reach_ * reach_);
            for (const std::uint32_t k : near) lower_by(segments_[k], p.x, p.y, out_.cell(), leaf, least);
            float* row = out_.row(j);
            for (int i = i0; i < i1; ++i) row[i] *= static_cast<float>(std::sqrt(least[i - i0]));
        }
    }
    const std::vector<Segment>& segments_;
    double reach_;
    Grid<float>& out_;
};

/// 1 where a cell's centre lies inside, −1 elsewhere, for rows j0 … j1 − 1.
void mark_inside(const std::vector<Segment>& segments, int j0, int j1, Grid<float>& out) {
    std::vector<std::vector<double>> crossings(static_cast<std::size_t>(j1 - j0));
    const double y0 = out.centre(0, j0).y, cell = out.cell();
    for (const Segment& s : segments) {
        const double lo = std::min(s.a.y, s.a.y + s.d.y), hi = std::max(s.a.y, s.a.y + s.d.y);
        const double first = std::max((lo - y0) / cell - 1, 0.0), last = std::min((hi - y0) / cell + 1, j1 - j0 - 1.0);
        if (!(first <= last)) continue;
        for (int j = static_cast<int>(first); j <= static_cast<int>(last); ++j) {
            const double y = out.centre(0, j0 + j).y;
            if ((s.a.y > y) != (s.a.y + s.d.y > y)) crossings[static_cast<std::size_t>(j)].push_back(s.a.x + (y - s.a.y) / s.d.y * s.d.x);
        }
    }
    for (int j = j0; j < j1; ++j) {
        std::vector<double>& xs = crossings[static_cast<std::size_t>(j - j0)];
        std::sort(xs.begin(), xs.end());
        float* row = out.row(j);
        float side = -1;
        int i = 0;
        for (const double x : xs) {
            const double share = std::ceil((x - out.origin().x) / cell - 0.5);
            const int until = static_cast<int>(std::clamp(share, 0.0, static_cast<double>(out.width())));
            for (; i < until; ++i) row[i] = side;
            side = -side;
        }
        for (; i < out.width(); ++i) row[i] = side;
    }
}

}  // namespace

Grid<float> edge_distance(const Region& region, const Grid<float>& cells, double reach, const Crew& crew) {
    if (!(reach > 0)) throw Error(Fault::usage, "Distances from a line need a reach above 0 mm.");
    Grid<float> out = cells.like(-1.F);
    const std::vector<Segment> segments = segments_of(region);
    over_rows(crew, out.height(), band_rows, [&](int j0, int j1) { mark_inside(segments, j0, j1, out); });

    // Each band of blocks sorts out once what lies in its reach.
    const int across = (out.width() + block - 1) / block, up = (out.height() + block - 1) / block;
    in_parallel(crew, across * up, [&](int k) {
        const int i0 = k % across * block, j0 = k / across * block;
        const int i1 = std::min(i0 + block, out.width()), j1 = std::min(j0 + block, out.height());
        const Point lo = out.centre(i0, j0), hi = out.centre(i1 - 1, j1 - 1);
        std::vector<std::uint32_t> candidates;
        for (std::uint32_t s = 0; s < segments.size(); ++s) {
            const Segment& seg = segments[s];
            if (std::min(seg.a.x, seg.a.x + seg.d.x) <= hi.x + reach && std::max(seg.a.x, seg.a.x + seg.d.x) >= lo.x - reach &&
                std::min(seg.a.y, seg.a.y + seg.d.y) <= hi.y + reach && std::max(seg.a.y, seg.a.y + seg.d.y) >= lo.y - reach)
                candidates.push_back(s);
        }
        Distances(segments, reach, out).fill(i0, j0, i1, j1, candidates);
    });
    return out;
}

Point nearest_on(const Point& a, const Point& b, const Point& p) {
    const double dx = b.x - a.x, dy = b.y - a.y;
    const double t = std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
    return {a.x + t * dx, a.y + t * dy};
}

Point nearest_on_edge(const Region& region, Point p) {
    if (region.empty()) throw Error(Fault::refused, "There is no line to be near to: the figure is empty.");
    Point best;
    double least = std::numeric_limits<double>::infinity();
    const auto ask = [&](const Loop& loop) {
        for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) {
            const Point q = nearest_on(loop[before], loop[k], p);
            const double d = (q.x - p.x) * (q.x - p.x) + (q.y - p.y) * (q.y - p.y);
            if (d < least) least = d, best = q;
        }
    };
    for (const Figure& figure : region.figures()) {
        ask(figure.outer);
        for (const Loop& hole : figure.holes) ask(hole);
    }
    return best;
}

}  // namespace burin
