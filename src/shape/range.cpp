/// Percentiles by a histogram, halving, and filling of cells that do not count.
///
/// Percentiles: one pass for the span, one for a histogram of 65536 bins; bands count for themselves and whole numbers
/// are added, so the order of the bands does not matter. Within a bin values are taken as evenly spread.
#include <algorithm>
#include <array>
#include <limits>
#include <mutex>
#include <vector>

#include "burin/shape/filters.hpp"

namespace burin {
namespace {

constexpr int bins = 65536, band_rows = 128;

struct Span {
    float least = std::numeric_limits<float>::max(), greatest = std::numeric_limits<float>::lowest();
};

Span span_of(const float* row, const std::uint8_t* counted, int n, Span span) {
    if (!counted) {
        for (int i = 0; i < n; ++i) {
            span.least = std::min(span.least, row[i]);
            span.greatest = std::max(span.greatest, row[i]);
        }
        return span;
    }
    for (int i = 0; i < n; ++i)
        if (counted[i]) {
            span.least = std::min(span.least, row[i]);
            span.greatest = std::max(span.greatest, row[i]);
        }
    return span;
}

void count_row(const float* row, const std::uint8_t* counted, int n, float least, float scale, std::uint32_t* histogram) {
    for (int i = 0; i < n; ++i)
        if (!counted || counted[i]) ++histogram[std::min(static_cast<int>((row[i] - least) * scale), bins - 1)];
}

/// Value below which `share` of `total` cells lie.
double value_at(const std::vector<std::uint64_t>& histogram, double share, double total, double least, double step) {
    const double wanted = share * total;
    double below = 0;
    for (std::size_t k = 0; k < histogram.size(); ++k) {
        const auto here = static_cast<double>(histogram[k]);
        if (below + here >= wanted && here > 0) {
            const double within = std::clamp((wanted - below) / here, 0.0, 1.0);
            return least + (static_cast<double>(k) + within) * step;
        }
        below += here;
    }
    return least + static_cast<double>(histogram.size()) * step;
}

}  // namespace

Range percentiles(const HeightMap& map, const Mask& counted, double low, double high, const Crew& crew) {
    const auto mask_row = [&](int j) { return counted.empty() ? nullptr : counted.row(j); };
    std::mutex door;
    Span span;
    over_rows(crew, map.height(), band_rows, [&](int first, int last) {
        Span mine;
        for (int j = first; j < last; ++j) mine = span_of(map.row(j), mask_row(j), map.width(), mine);
        const std::lock_guard lock(door);
        span.least = std::min(span.least, mine.least);
        span.greatest = std::max(span.greatest, mine.greatest);
    });
    if (span.least > span.greatest) return {};
    if (!(span.greatest > span.least)) return {span.least, span.least, span.least, span.least};
    const double step = (static_cast<double>(span.greatest) - span.least) / bins;
    std::vector<std::uint64_t> histogram(bins);
    // Few, large bands: each carries a histogram of its own.
    over_rows(crew, map.height(), std::max(band_rows, (map.height() + 7) / 8), [&](int first, int last) {
        std::vector<std::uint32_t> mine(bins);
        const auto scale = static_cast<float>(1 / step);
        for (int j = first; j < last; ++j) count_row(map.row(j), mask_row(j), map.width(), span.least, scale, mine.data());
        const std::lock_guard lock(door);
        for (std::size_t k = 0; k < mine.size(); ++k) histogram[k] += mine[k];
    });
    double total = 0;
    for (const auto n : histogram) total += static_cast<double>(n);
    return {value_at(histogram, low, total, span.least, step), value_at(histogram, high, total, span.least, step), span.least,
            span.greatest};
}

HeightMap halved(const HeightMap& map, const Crew& crew) {
    const int w = map.width(), h = map.height();
    HeightMap out((w + 1) / 2, (h + 1) / 2, map.cell() * 2, map.origin());
    over_rows(crew, out.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const float* a = map.row(2 * j);
            const float* b = map.row(std::min(2 * j + 1, h - 1));
            float* to = out.row(j);
            for (int i = 0; i < w / 2; ++i) to[i] = 0.25F * ((a[2 * i] + a[2 * i + 1]) + (b[2 * i] + b[2 * i + 1]));
            if (w % 2) to[w / 2] = 0.5F * (a[w - 1] + b[w - 1]);
        }
    });
    return out;
}

void fill_uncounted(HeightMap& map, const Mask& counted, const Crew& crew) {
    if (counted.empty()) return;
    const int w = map.width(), h = map.height();
    bool gaps = false;
    HeightMap coarse((w + 1) / 2, (h + 1) / 2, map.cell() * 2, map.origin());
    Mask coarse_counted((w + 1) / 2, (h + 1) / 2, map.cell() * 2, map.origin());
    for (int j = 0; j < h; ++j)
        for (int i = 0; i < w; ++i) gaps = gaps || !counted(i, j);
    if (!gaps) return;
    crew.check();
    for (int j = 0; j < coarse.height(); ++j)
        for (int i = 0; i < coarse.width(); ++i) {
            float sum = 0;
            int n = 0;
            for (int y = 2 * j; y < std::min(2 * j + 2, h); ++y)
                for (int x = 2 * i; x < std::min(2 * i + 2, w); ++x)
                    if (counted(x, y)) {
                        sum += map(x, y);
                        ++n;
                    }
            coarse(i, j) = n ? sum / static_cast<float>(n) : 0;
            coarse_counted(i, j) = n > 0;
        }
    if (w > 1 || h > 1) fill_uncounted(coarse, coarse_counted, crew);
    for (int j = 0; j < h; ++j)
        for (int i = 0; i < w; ++i) {
            if (counted(i, j)) continue;
            const int ci = i / 2, cj = j / 2;
            const int ni = std::clamp(i % 2 ? ci + 1 : ci - 1, 0, coarse.width() - 1);
            const int nj = std::clamp(j % 2 ? cj + 1 : cj - 1, 0, coarse.height() - 1);
            map(i, j) = 0.5F * coarse(ci, cj) + 0.25F * (coarse(ni, cj) + coarse(ci, nj));
        }
}

}  // namespace burin
