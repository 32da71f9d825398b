// Windows over a grid, along x and then along y. Cost: the cells times the taps of their windows.
#include "blur.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "burin/base/clones.hpp"

namespace burin::proving {
namespace {

constexpr int band = 32;  // rows

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
