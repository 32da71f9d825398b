/// Places in each cell, sheared by the golden ratio along both axes so that no line runs along a row of them, are asked whether a groove
/// covers them: farther than half the bit's width from none of its points. Where the depth changes along a piece, width is taken as
/// changing evenly. Cost: places under the grooves.
#include "covered_share.hpp"

#include <algorithm>
#include <cmath>

namespace burin {
namespace {

constexpr int side = 4;   // places of a cell in a row
constexpr int band = 16;  // rows of cells that are asked together
constexpr double golden = 0.6180339887498949;

struct Bar {
    Point a, b;  ///< in places
    double half_a = 0, half_b = 0;
};

std::vector<Bar> bars_of(const std::vector<Groove>& grooves, const Bit& bit, const Grid<float>& like) {
    const double scale = side / like.cell();
    std::vector<Bar> bars;
    const auto put = [&](const Point3& p, const Point3& q) {
        if (std::min(p.z, q.z) >= 0) return;
        const auto half = [&](double z) { return z < 0 ? bit.width_at(-z) / 2 * scale : 0; };
        bars.push_back({{(p.x - like.origin().x) * scale, (p.y - like.origin().y) * scale},
                        {(q.x - like.origin().x) * scale, (q.y - like.origin().y) * scale},
                        half(p.z),
                        half(q.z)});
    };
    for (const Groove& groove : grooves) {
        const auto& tip = groove.tip;
        if (tip.size() == 1) put(tip.front(), tip.front());
        for (std::size_t k = 1; k < tip.size(); ++k) put(tip[k - 1], tip[k]);
        if (groove.closed && tip.size() > 2) put(tip.back(), tip.front());
    }
    return bars;
}

double fraction(double v) { return v - std::floor(v); }

/// Marks the places of rows first … last − 1 (of shifts.size() places) that the bar covers; shifts: fraction(i · golden).
void mark(const Bar& bar, int first, int last, const std::vector<double>& shifts, std::vector<std::uint8_t>& marks) {
    const int width = static_cast<int>(shifts.size());
    const double most = std::max(bar.half_a, bar.half_b), x = bar.b.x - bar.a.x, y = bar.b.y - bar.a.y, square = x * x + y * y;
    const auto within = [](double v, int lo, int hi) {
        return static_cast<int>(std::clamp(std::floor(v), static_cast<double>(lo), static_cast<double>(hi)));
    };
    const int j0 = within(std::min(bar.a.y, bar.b.y) - most - 1, first, last),
              j1 = within(std::max(bar.a.y, bar.b.y) + most + 1, first - 1, last - 1);
    const int i0 = within(std::min(bar.a.x, bar.b.x) - most - 1, 0, width),
              i1 = within(std::max(bar.a.x, bar.b.x) + most + 1, -1, width - 1);
    for (int j = j0; j <= j1; ++j) {
        std::uint8_t* row = marks.data() + static_cast<std::size_t>(j - first) * static_cast<std::size_t>(width);
        const double shift = fraction(j * golden);
        for (int i = i0; i <= i1; ++i) {
            if (row[i] != 0) continue;
            const double px = i + shift - bar.a.x, py = j + shifts[static_cast<std::size_t>(i)] - bar.a.y;
            const double t = square > 0 ? std::clamp((px * x + py * y) / square, 0.0, 1.0) : 0;
            const double half = bar.half_a + (bar.half_b - bar.half_a) * t, dx = px - t * x, dy = py - t * y;
            if (dx * dx + dy * dy < half * half) row[i] = 1;
        }
    }
}

}  // namespace

Grid<float> covered_share(const std::vector<Groove>& grooves, const Bit& bit, const Grid<float>& like, const Crew& crew) {
    Grid<float> share = like.like(0.0F);
    const std::vector<Bar> bars = bars_of(grooves, bit, like);
    const int bands = (like.height() + band - 1) / band, width = like.width() * side;
    std::vector<double> shifts(static_cast<std::size_t>(width));
    for (int i = 0; i < width; ++i) shifts[static_cast<std::size_t>(i)] = fraction(i * golden);
    std::vector<std::vector<std::uint32_t>> of_band(static_cast<std::size_t>(bands));
    for (std::size_t k = 0; k < bars.size(); ++k) {
        const double most = std::max(bars[k].half_a, bars[k].half_b) + 1;
        const auto at = [&](double y) { return std::clamp(static_cast<int>(std::floor(y / (side * band))), 0, bands - 1); };
        for (int n = at(std::min(bars[k].a.y, bars[k].b.y) - most); n <= at(std::max(bars[k].a.y, bars[k].b.y) + most); ++n)
            of_band[static_cast<std::size_t>(n)].push_back(static_cast<std::uint32_t>(k));
    }
    in_parallel(crew, bands, [&](int n) {
        const int first = n * band, last = std::min(like.height(), first + band);
        std::vector<std::uint8_t> marks(static_cast<std::size_t>(width) * static_cast<std::size_t>((last - first) * side), 0);
        for (const std::uint32_t k : of_band[static_cast<std::size_t>(n)]) mark(bars[k], first * side, last * side, shifts, marks);
        for (int j = first; j < last; ++j)
            for (int i = 0; i < like.width(); ++i) {
                int count = 0;
                for (int v = 0; v < side; ++v)
                    for (int u = 0; u < side; ++u)
                        count += marks[static_cast<std::size_t>((j - first) * side + v) * static_cast<std::size_t>(width) +
                                       static_cast<std::size_t>(i * side + u)];
                share(i, j) = static_cast<float>(count) / (side * side);
            }
    });
    return share;
}

}  // namespace burin
