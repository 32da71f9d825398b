#include "turning.hpp"

#include <algorithm>
#include <cmath>

namespace burin {
namespace {

float sample(const HeightMap& map, double x, double y, bool keep_walls) {
    const int i = static_cast<int>(std::floor(x)), j = static_cast<int>(std::floor(y));
    const auto s = static_cast<float>(x - i), t = static_cast<float>(y - j);
    const auto at = [&](int a, int b) { return map.holds(a, b) ? map(a, b) : 0.F; };
    const int u = s > 0 ? i + 1 : i, v = t > 0 ? j + 1 : j;  // on a cell's centre, its neighbours have no say
    // Beside the map's edge, which may be the stock's, a slanted way to the next place might lead out.
    if (keep_walls && ((s > 0 && (i < 1 || i > map.width() - 3)) || (t > 0 && (j < 1 || j > map.height() - 3)))) return 0;
    const float a = at(i, j), b = at(u, j), c = at(i, v), d = at(u, v);
    const float mean = (a * (1 - s) + b * s) * (1 - t) + (c * (1 - s) + d * s) * t;
    const float low = std::min(std::min(a, b), std::min(c, d)), high = std::max(std::max(a, b), std::max(c, d));
    if (!keep_walls || high - low <= static_cast<float>(turned_wall * map.cell())) return mean;
    return mean > low + 0.2F * (high - low) ? high : low;  // stock that must stay wins a little
}

/// Right angles land on cell centres but for the last bit of the sine.
double settled(double v) { return std::abs(v - std::round(v)) < 1e-6 ? std::round(v) : v; }

}  // namespace

bool Frame::turned() const { return std::abs(std::sin(angle)) > 1e-9; }

Point Frame::to_job(const Point& p) const {
    const double c = std::cos(angle), s = std::sin(angle), x = p.x - centre.x, y = p.y - centre.y;
    return {centre.x + x * c - y * s, centre.y + x * s + y * c};
}

Point Frame::from_job(const Point& p) const { return Frame{-angle, centre}.to_job(p); }

HeightMap into_frame(const HeightMap& map, const Frame& frame) {
    const double c = std::abs(std::cos(frame.angle)), s = std::abs(std::sin(frame.angle)), cell = map.cell();
    const auto cells = [](double size) { return static_cast<int>(std::ceil(size - 1e-6)); };
    const int width = cells(map.width() * c + map.height() * s), height = cells(map.width() * s + map.height() * c);
    HeightMap out(width, height, cell, {frame.centre.x - width * cell / 2, frame.centre.y - height * cell / 2});
    for (int j = 0; j < height; ++j)
        for (int i = 0; i < width; ++i) {
            const Point p = frame.to_job(out.centre(i, j));
            out(i, j) = sample(map, settled((p.x - map.origin().x) / cell - 0.5), settled((p.y - map.origin().y) / cell - 0.5), true);
        }
    return out;
}

Grid<std::uint8_t> out_of_frame(const Grid<std::uint8_t>& marks, const HeightMap& like, const Frame& frame) {
    Grid<std::uint8_t> out = like.like(std::uint8_t{0});
    for (int j = 0; j < like.height(); ++j)
        for (int i = 0; i < like.width(); ++i) {
            const Point p = frame.from_job(like.centre(i, j));
            const int a = static_cast<int>(std::floor((p.x - marks.origin().x) / marks.cell())),
                      b = static_cast<int>(std::floor((p.y - marks.origin().y) / marks.cell()));
            if (marks.holds(a, b)) out(i, j) = marks(a, b);
        }
    return out;
}

HeightMap out_of_frame(const HeightMap& map, const HeightMap& like, const Frame& frame) {
    HeightMap out = like.like(0.F);
    for (int j = 0; j < like.height(); ++j)
        for (int i = 0; i < like.width(); ++i) {
            const Point p = frame.from_job(like.centre(i, j));
            out(i, j) =
                sample(map, settled((p.x - map.origin().x) / map.cell() - 0.5), settled((p.y - map.origin().y) / map.cell() - 0.5), false);
        }
    return out;
}

}  // namespace burin
