// Widths and depths of grooves that swell: what is read from the coverage, how deep that is, which points of the line are needed, and
// what is still missing. Cost: a few operations a point; windows over the grid.
#include "swelling.hpp"

#include <algorithm>
#include <cmath>

#include "burin/design/screen.hpp"
#include "burin/shape/filters.hpp"

namespace burin {
namespace {

double away(const Point3& p, const Point3& a, const Point3& b) {
    const double x = b.x - a.x, y = b.y - a.y, z = b.z - a.z, length = x * x + y * y + z * z;
    const double t = length > 0 ? std::clamp(((p.x - a.x) * x + (p.y - a.y) * y + (p.z - a.z) * z) / length, 0.0, 1.0) : 0;
    return distance(p, {a.x + t * x, a.y + t * y, a.z + t * z});
}

/// Mean over a window as if the grid went on mirrored beyond its border, where grooves half a pitch from it go on too.
Grid<float> mirrored_mean(const Grid<float>& map, double window, const Crew& crew) {
    const int margin = std::min({static_cast<int>(std::ceil(2 * window / map.cell())) + 1, map.width(), map.height()});
    Grid<float> wide(map.width() + 2 * margin, map.height() + 2 * margin, map.cell());
    const auto inside = [](int k, int n) { return k < 0 ? -1 - k : k >= n ? 2 * n - 1 - k : k; };
    for (int j = 0; j < wide.height(); ++j)
        for (int i = 0; i < wide.width(); ++i) wide(i, j) = map(inside(i - margin, map.width()), inside(j - margin, map.height()));
    wide = window_mean(window_mean(wide, window, crew), window, crew);
    Grid<float> mean = map.like(0.0F);
    for (int j = 0; j < mean.height(); ++j) std::copy_n(wide.row(j + margin) + margin, mean.width(), mean.row(j));
    return mean;
}

}  // namespace

double depth_for_width(const Bit& bit, double width, double limit) {
    double lo = 0, hi = limit;
    if (bit.width_at(limit) <= width) return limit;
    for (int k = 0; k < 50; ++k) {
        const double middle = (lo + hi) / 2;
        (bit.width_at(middle) < width ? lo : hi) = middle;
    }
    return hi;
}

Depths::Depths(const Bit& bit, double limit) : widest_(bit.width_at(limit)) {
    for (int k = 0; k <= count; ++k) depths_.push_back(depth_for_width(bit, widest_ * k / count, limit));
}

double Depths::at(double width) const {
    const double place = std::clamp(width / widest_, 0.0, 1.0) * count;
    const auto k = std::min(static_cast<std::size_t>(place), std::size_t{count - 1});
    return depths_[k] + (depths_[k + 1] - depths_[k]) * (place - static_cast<double>(k));
}

double value_at(const Grid<float>& grid, const Point& p) {
    const double x = std::clamp((p.x - grid.origin().x) / grid.cell() - 0.5, 0.0, grid.width() - 1.0),
                 y = std::clamp((p.y - grid.origin().y) / grid.cell() - 0.5, 0.0, grid.height() - 1.0);
    const int i = std::min(static_cast<int>(x), std::max(0, grid.width() - 2)),
              j = std::min(static_cast<int>(y), std::max(0, grid.height() - 2));
    const int right = std::min(i + 1, grid.width() - 1), up = std::min(j + 1, grid.height() - 1);
    const double u = x - i, v = y - j;
    const auto at = [&](int a, int b) { return static_cast<double>(grid(a, b)); };
    return (at(i, j) * (1 - u) + at(right, j) * u) * (1 - v) + (at(i, up) * (1 - u) + at(right, up) * u) * v;
}

std::vector<Point3> thinned(const std::vector<Point3>& points, double tolerance) {
    if (points.size() < 3) return points;
    std::vector<bool> kept(points.size(), false);
    kept.front() = kept.back() = true;
    std::vector<std::pair<std::size_t, std::size_t>> open{{0, points.size() - 1}};
    while (!open.empty()) {
        const auto [from, to] = open.back();
        open.pop_back();
        double most = tolerance;
        std::size_t at = 0;
        for (std::size_t k = from + 1; k < to; ++k)
            if (const double d = away(points[k], points[from], points[to]); d > most) most = d, at = k;
        if (at == 0) continue;
        kept[at] = true;
        open.emplace_back(from, at);
        open.emplace_back(at, to);
    }
    std::vector<Point3> out;
    for (std::size_t k = 0; k < points.size(); ++k)
        if (kept[k]) out.push_back(points[k]);
    return out;
}

Grid<float> missing(const Grid<float>& coverage, const Grid<float>& covered, double least, double most, double window, const Crew& crew) {
    Grid<float> difference = coverage.like(0.0F);
    for (std::size_t k = 0; k < coverage.size(); ++k) {
        const float wanted = coverage.values()[k];
        if (static_cast<double>(wanted) >= least && static_cast<double>(wanted) <= most)
            difference.values()[k] = wanted - covered.values()[k];
    }
    return mirrored_mean(difference, window, crew);
}

}  // namespace burin
