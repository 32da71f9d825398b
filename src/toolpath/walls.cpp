// Level by level down steep walls. The levels are lines of equal height of the tip surface, so that the bit touches the
// wall all along; between two cells the line keeps to the
// lower half, because the upper cell's edge may lie half a cell nearer than its centre.
#include "walls.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "contours.hpp"

namespace burin {
namespace {

struct Line {
    std::vector<Point> points;
    double z;
    bool closed;
};

double tip_at(const HeightMap& tips, const Point& p) {
    const double x = (p.x - tips.origin().x) / tips.cell() - 0.5, y = (p.y - tips.origin().y) / tips.cell() - 0.5;
    const int i = std::clamp(static_cast<int>(std::floor(x)), 0, tips.width() - 2),
              j = std::clamp(static_cast<int>(std::floor(y)), 0, tips.height() - 2);
    const double s = std::clamp(x - i, 0.0, 1.0), t = std::clamp(y - j, 0.0, 1.0);
    const auto v = [&](int a, int b) { return static_cast<double>(tips(i + a, j + b)); };
    return (v(0, 0) * (1 - s) + v(1, 0) * s) * (1 - t) + (v(0, 1) * (1 - s) + v(1, 1) * s) * t;
}

/// Whether the straight way from a to b stays above the tip surface.
bool passes(const HeightMap& tips, const Point3& a, const Point3& b) {
    const int steps = std::max(2, static_cast<int>(distance(flat(a), flat(b)) / (tips.cell() / 2)) + 1);
    for (int k = 1; k < steps; ++k) {
        const double t = static_cast<double>(k) / steps;
        if (a.z + (b.z - a.z) * t < tip_at(tips, {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t}) - 0.003) return false;
    }
    return true;
}

/// Above which place to go down to z at p without touching a wall: the centre of the lowest of the cells round it.
Point cell_below(const HeightMap& tips, const Point& p, double z) {
    const int ci = static_cast<int>(std::floor((p.x - tips.origin().x) / tips.cell())),
              cj = static_cast<int>(std::floor((p.y - tips.origin().y) / tips.cell()));
    Point best = p;
    float least = static_cast<float>(z) + 1e-4F;
    for (int j = cj - 2; j <= cj + 2; ++j)
        for (int i = ci - 2; i <= ci + 2; ++i)
            if (tips.holds(i, j) && tips(i, j) < least) least = tips(i, j), best = tips.centre(i, j);
    return best;
}

std::vector<Line> lines_of(const HeightMap& tips, const Grid<std::uint8_t>& where, const WallOrder& order) {
    float lowest = 0, highest = -1e6F;
    for (int j = 0; j < tips.height(); ++j)
        for (int i = 0; i < tips.width(); ++i)
            if (where(i, j)) lowest = std::min(lowest, tips(i, j)), highest = std::max(highest, tips(i, j));
    std::vector<float> levels;
    const float top = std::min(highest, -0.01F), bottom = lowest + 0.002F;
    for (float z = bottom; z < top && levels.size() < 60000; z += static_cast<float>(order.drop)) levels.push_back(z);
    std::vector<Line> lines;
    for (Contour& c : contours_at(tips, levels, &where, 0.45)) {
        std::reverse(c.points.begin(), c.points.end());  // the wall on the right: the bit, turning clockwise, climbs
        const double z = static_cast<double>(levels[static_cast<std::size_t>(c.ring)]);
        if (length_of(c.points, c.closed) > tips.cell()) lines.push_back({thinned(c.points, c.closed, order.tolerance), z, c.closed});
    }
    return lines;
}

}  // namespace

Grid<std::uint8_t> left_standing(const HeightMap& stock, const HeightMap& reach, double most, const Crew& crew) {
    Grid<std::uint8_t> marks = stock.like(std::uint8_t{0});
    const int w = stock.width(), h = stock.height();
    const double cell = stock.cell();
    // The gentler side counts: a floor at the foot of a wall is a floor.
    const auto gentler = [&](float before, float here, float after) {
        return static_cast<double>(std::min(std::abs(here - before), std::abs(after - here))) / cell;
    };
    const auto slope = [&](int i, int j) {
        return std::hypot(gentler(reach(std::max(i - 1, 0), j), reach(i, j), reach(std::min(i + 1, w - 1), j)),
                          gentler(reach(i, std::max(j - 1, 0)), reach(i, j), reach(i, std::min(j + 1, h - 1))));
    };
    over_rows(crew, h, 32, [&](int first, int last) {
        for (int j = first; j < last; ++j)
            for (int i = 0; i < w; ++i) {
                if (static_cast<double>(stock(i, j) - reach(i, j)) <= most) continue;
                float low = stock(i, j);
                for (int b = std::max(0, j - 1); b <= std::min(h - 1, j + 1); ++b)
                    for (int a = std::max(0, i - 1); a <= std::min(w - 1, i + 1); ++a) low = std::min(low, (stock(i, j) + stock(a, b)) / 2);
                if (static_cast<double>(low - reach(i, j)) > most * std::hypot(1.0, slope(i, j))) marks(i, j) = 1;
            }
    });
    return marks;
}

std::size_t follow_walls(Pen& pen, const HeightMap& tips, const HeightMap& meets, const Grid<std::uint8_t>& where, const WallOrder& order,
                         HeightMap& reached) {
    std::vector<Line> lines = lines_of(tips, where, order);
    // From the top down in slices of a few levels; within a slice the nearest end comes next.
    std::stable_sort(lines.begin(), lines.end(), [](const Line& a, const Line& b) { return a.z > b.z; });
    std::vector<std::uint8_t> done(lines.size(), 0);
    std::size_t first = 0;
    for (std::size_t left = lines.size(); left > 0; --left) {
        while (done[first]) ++first;
        std::size_t best = first, vertex = 0;
        double least = std::numeric_limits<double>::max();
        for (std::size_t k = first; k < lines.size() && lines[k].z > lines[first].z - 6 * order.drop; ++k) {
            if (done[k]) continue;
            const std::size_t starts = lines[k].closed ? lines[k].points.size() : 1;
            for (std::size_t v = 0; v < starts; ++v)
                if (const double d = distance(flat(pen.at()), lines[k].points[v]) + std::abs(lines[k].z - pen.at().z); d < least)
                    least = d, best = k, vertex = v;
        }
        const Line& line = lines[best];
        done[best] = 1;
        const Point start = line.points[vertex];
        const Point3 to{start.x, start.y, line.z};
        if (pen.started() && distance(pen.at(), to) < 2 && pen.at().z < 0 && passes(tips, pen.at(), to)) {
            pen.cut(to);
        } else {
            const Point foothold = cell_below(tips, start, line.z);
            const double top = std::max(highest_near(meets, foothold), line.z);
            pen.approach(foothold, top + order.clearance);
            pen.cut({foothold.x, foothold.y, top});
            pen.cut(to);  // slanted: slivers beside the bit are not taken at once
        }
        const std::size_t n = line.points.size();
        for (std::size_t k = 1; k < n + (line.closed ? 1 : 0); ++k) {
            const Point p = line.points[(vertex + k) % n];
            mark_way(reached, flat(pen.at()), p, line.z);
            pen.cut({p.x, p.y, line.z});
        }
    }
    return lines.size();
}

}  // namespace burin
