/// Means over square windows and the edge-preserving filter built on them.
///
/// A window sum is moved down the rows by adding the row that enters and taking off the one that leaves, and along the
/// row by a running sum; so the cost does not grow with the window. Sums are in double: flat ground must stay flat.
/// The edge-preserving filter is the guided filter guided by the map itself (He, Sun, Tang, Guided Image Filtering, 2010,
/// eq. 5, 6, 8): per window value = a·I + b with a = variance / (variance + contrast²), then the mean of all such lines.
/// Cost: four window means.
#include <algorithm>
#include <cmath>
#include <vector>

#include "burin/shape/filters.hpp"

namespace burin {
namespace {

constexpr int band_rows = 160;
constexpr float least = 1e-12F;  // a contrast of nothing: keeps 0 / 0 away

/// Half-width r in cells, shrunk to stay inside 0 … n: whole cells to each side and the share of the next one.
struct Reach {
    int whole;
    double share, total;
};
Reach reach_at(int k, int n, double r) {
    const double here = std::min({r, k + 0.5, n - k - 0.5});
    const int whole = static_cast<int>(std::floor(here - 0.5));
    return {whole, here - 0.5 - whole, 2 * here};
}

/// Moves a window down a grid row by row. `Source::row(j)` gives row j of what is averaged.
template <class Source>
class WindowRows {
public:
    WindowRows(const Source& source, int width, int height, double r)
        : source_(source),
          width_(width),
          height_(height),
          r_(r),
          sum_(static_cast<std::size_t>(width)),
          rim_(sum_.size()),
          prefix_(sum_.size() + 1) {
        for (int i = 0; i < width; ++i) reaches_.push_back(reach_at(i, width, r));
    }
    /// Row j of the means. Rows must come in order, without gaps, from any first one.
    void mean(int j, float* out) {
        const Reach reach = reach_at(j, height_, r_);
        if (next_ < 0) first_ = next_ = j - reach.whole;
        for (; next_ <= j + reach.whole; ++next_) add(next_, 1);
        for (; first_ < j - reach.whole; ++first_) add(first_, -1);
        std::copy(sum_.begin(), sum_.end(), rim_.begin());
        if (reach.share > 0) {
            add_share(j - reach.whole - 1, reach.share);
            add_share(j + reach.whole + 1, reach.share);
        }
        prefix_[0] = 0;
        for (std::size_t i = 0; i < rim_.size(); ++i) prefix_[i + 1] = prefix_[i] + rim_[i];
        for (int i = 0; i < width_; ++i) {
            const auto [whole, share, total] = reaches_[static_cast<std::size_t>(i)];
            const auto at = static_cast<std::size_t>(i), lo = at - static_cast<std::size_t>(whole),
                       hi = at + static_cast<std::size_t>(whole) + 1;
            double value = prefix_[hi] - prefix_[lo];
            if (share > 0) value += share * (rim_[lo - 1] + rim_[hi]);
            out[i] = static_cast<float>(value / (total * reach.total));
        }
    }

private:
    void add(int j, double sign) {
        const float* row = source_.row(j);
        double* sum = sum_.data();
        for (int i = 0; i < width_; ++i) sum[i] += sign * source_.value(row[i]);
    }
    void add_share(int j, double share) {
        if (j < 0 || j >= height_) return;  // a share of 0 by rounding
        const float* row = source_.row(j);
        double* rim = rim_.data();
        for (int i = 0; i < width_; ++i) rim[i] += share * source_.value(row[i]);
    }
    const Source& source_;
    int width_, height_;
    double r_;
    int first_ = 0, next_ = -1;
    std::vector<double> sum_, rim_, prefix_;
    std::vector<Reach> reaches_;
};

struct Plain {
    const HeightMap& map;
    [[nodiscard]] const float* row(int j) const { return map.row(j); }
    [[nodiscard]] static double value(float v) { return v; }
};
struct Squared {
    const HeightMap& map;
    [[nodiscard]] const float* row(int j) const { return map.row(j); }
    [[nodiscard]] static double value(float v) { return static_cast<double>(v) * v; }
};

/// a and b of the line that fits a window, from its mean and its mean square.
template <class Contrast>
void fit_lines(const float* mean, const float* mean_square, Contrast contrast2, int n, float* a, float* b) {
    for (int i = 0; i < n; ++i) {
        const float variance = std::max(mean_square[i] - mean[i] * mean[i], 0.0F);
        const float slope = variance / (variance + contrast2(i));
        a[i] = slope;
        b[i] = mean[i] - slope * mean[i];
    }
}

template <class Contrast>
HeightMap guided(const HeightMap& map, double r, Contrast contrast2, const Crew& crew) {
    const int w = map.width(), h = map.height();
    HeightMap a = map.like(0.0F), b = map.like(0.0F);
    over_rows(crew, h, band_rows, [&](int first, int last) {
        const Plain plain{map};
        const Squared squared{map};
        WindowRows means(plain, w, h, r);
        WindowRows squares(squared, w, h, r);
        std::vector<float> mean(static_cast<std::size_t>(w)), square(mean.size());
        for (int j = first; j < last; ++j) {
            means.mean(j, mean.data());
            squares.mean(j, square.data());
            fit_lines(
                mean.data(), square.data(), [&](int i) { return contrast2(i, j); }, w, a.row(j), b.row(j));
        }
    });
    HeightMap out = map.like(0.0F);
    over_rows(crew, h, band_rows, [&](int first, int last) {
        const Plain slopes{a}, starts{b};
        WindowRows slope_rows(slopes, w, h, r), start_rows(starts, w, h, r);
        std::vector<float> slope(static_cast<std::size_t>(w)), start(slope.size());
        for (int j = first; j < last; ++j) {
            slope_rows.mean(j, slope.data());
            start_rows.mean(j, start.data());
            const float* in = map.row(j);
            float* to = out.row(j);
            for (int i = 0; i < w; ++i) to[i] = slope[static_cast<std::size_t>(i)] * in[i] + start[static_cast<std::size_t>(i)];
        }
    });
    return out;
}

}  // namespace

HeightMap window_mean(const HeightMap& map, double radius, const Crew& crew) {
    const double r = radius / map.cell();
    if (!(r > 0.5)) return map;
    HeightMap out = map.like(0.0F);
    over_rows(crew, map.height(), band_rows, [&](int first, int last) {
        const Plain plain{map};
        WindowRows rows(plain, map.width(), map.height(), r);
        for (int j = first; j < last; ++j) rows.mean(j, out.row(j));
    });
    return out;
}

HeightMap edge_preserving(const HeightMap& map, double radius, double contrast, const Crew& crew) {
    const double r = radius / map.cell();
    if (!(r > 0.5) || !(contrast > 0)) return map;
    const auto c = static_cast<float>(contrast * contrast);
    return guided(
        map, r, [c](int, int) { return c; }, crew);
}

HeightMap edge_preserving(const HeightMap& map, double radius, const HeightMap& contrast, const Crew& crew) {
    const double r = radius / map.cell();
    if (!(r > 0.5)) return map;
    return guided(
        map, r, [&](int i, int j) { return std::max(contrast(i, j) * contrast(i, j), least); }, crew);
}

}  // namespace burin
