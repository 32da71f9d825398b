// Light of thin lines on a grid, its blur, and the range of values nearby. Cost: laying, length ÷ half a cell; the others, the cells
// times the taps of their windows.
#include "beam_light.hpp"

#include <algorithm>
#include <cmath>

#include "burin/base/clones.hpp"

namespace burin::proving {
namespace {

constexpr int band = 32;  // rows

/// The share of rows first … last (in cells, from the grid's first centre) of one leg. Its pieces are the same whatever the rows.
void lay_leg(Grid<float>& cells, const BeamLeg& leg, int first, int last) {
    const double per_cell = 1 / cells.cell();
    const double ax = (leg.from.x - cells.origin().x) * per_cell - 0.5, ay = (leg.from.y - cells.origin().y) * per_cell - 0.5;
    const double bx = (leg.to.x - cells.origin().x) * per_cell - 0.5, by = (leg.to.y - cells.origin().y) * per_cell - 0.5;
    if (std::max(ay, by) <= first - 1 || std::min(ay, by) >= last + 1) return;
    if (std::max(ax, bx) <= -1 || std::min(ax, bx) >= cells.width()) return;
    const double length = std::hypot(bx - ax, by - ay);
    if (!(length > 0) || length > 1e7) return;
    const double count = std::ceil(2 * length);
    const float light = static_cast<float>(leg.joules_per_mm * length / count * per_cell);  // J/mm² that a piece gives to one cell
    const double dx = (bx - ax) / count, dy = (by - ay) / count;
    double k_first = 0, k_last = count - 1;
    if (dy != 0) {
        const double a = (first - 1 - ay) / dy, b = (last + 1 - ay) / dy;
        k_first = std::max(k_first, std::floor(std::min(a, b)) - 1);
        k_last = std::min(k_last, std::ceil(std::max(a, b)) + 1);
    }
    for (double k = k_first; k <= k_last; ++k) {
        const double x = ax + (k + 0.5) * dx, y = ay + (k + 0.5) * dy;
        const double left = std::floor(x), low = std::floor(y);
        if (left < -1 || left >= cells.width() || low < first - 1 || low > last) continue;
        const int i = static_cast<int>(left), j = static_cast<int>(low);
        const auto u = static_cast<float>(x - left), v = static_cast<float>(y - low);
        const auto put = [&](int row, float share) {
            if (row < first || row > last) return;
            float* at = cells.row(row);
            if (i >= 0) at[i] += share * (1 - u);
            if (i + 1 < cells.width()) at[i + 1] += share * u;
        };
        put(j, light * (1 - v));
        put(j + 1, light * v);
    }
}

/// out = Σ taps[t] · in[t], over `count` places.
BURIN_CLONES void weigh(const float* in, float* out, int count, float tap) {
    for (int i = 0; i < count; ++i) out[i] += tap * in[i];
}
BURIN_CLONES void keep_lower(const float* in, float* out, int count) {
    for (int i = 0; i < count; ++i) out[i] = in[i] < out[i] ? in[i] : out[i];
}
BURIN_CLONES void keep_higher(const float* in, float* out, int count) {
    for (int i = 0; i < count; ++i) out[i] = in[i] > out[i] ? in[i] : out[i];
}

/// Calls act(in, out, count, tap's index) for every shift of rows along x and then along y by −reach … reach; `start` fills a row anew.
template <class Start, class Act>
Grid<float> over_window(const Grid<float>& cells, int reach, const Crew& crew, const Start& start, const Act& act) {
    Grid<float> along = cells.like(0.0F), both = cells.like(0.0F);
    const int width = cells.width(), height = cells.height();
    over_rows(crew, height, band, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            start(cells.row(j), along.row(j), width);
            for (int t = -reach; t <= reach; ++t) {
                const int from = std::max(0, -t), to = std::min(width, width - t);
                if (from < to) act(cells.row(j) + from + t, along.row(j) + from, to - from, t);
            }
        }
    });
    over_rows(crew, height, band, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            start(along.row(j), both.row(j), width);
            for (int t = -reach; t <= reach; ++t)
                if (j + t >= 0 && j + t < height) act(along.row(j + t), both.row(j), width, t);
        }
    });
    return both;
}

}  // namespace

void lay_light(Grid<float>& cells, const std::vector<BeamWay>& ways, const Crew& crew) {
    over_rows(crew, cells.height(), band, [&](int first, int last) {
        const double low = cells.centre(0, first - 1).y, high = cells.centre(0, last).y;
        for (const BeamWay& way : ways)
            if (!way.asked->border) way.over_legs(low, high, [&](const BeamLeg& leg) { lay_leg(cells, leg, first, last - 1); });
        crew.check();
    });
}

void blur(Grid<float>& cells, double sigma, const Crew& crew) {
    const double s = sigma / cells.cell();
    const int reach = static_cast<int>(std::ceil(4 * s));
    if (reach < 1) return;
    std::vector<float> taps(static_cast<std::size_t>(2 * reach + 1));
    double sum = 0;
    for (int t = -reach; t <= reach; ++t) sum += std::exp(-t * t / (2 * s * s));
    for (int t = -reach; t <= reach; ++t)
        taps[static_cast<std::size_t>(t + reach)] = static_cast<float>(std::exp(-t * t / (2 * s * s)) / sum);
    cells = over_window(
        cells, reach, crew, [](const float*, float*, int) {},
        [&](const float* in, float* out, int count, int t) { weigh(in, out, count, taps[static_cast<std::size_t>(t + reach)]); });
}

Spread spread_of(const Grid<float>& cells, int reach, const Crew& crew) {
    const auto copy = [](const float* in, float* out, int count) { std::copy(in, in + count, out); };
    return {over_window(cells, reach, crew, copy, [](const float* in, float* out, int count, int) { keep_lower(in, out, count); }),
            over_window(cells, reach, crew, copy, [](const float* in, float* out, int count, int) { keep_higher(in, out, count); })};
}

}  // namespace burin::proving
