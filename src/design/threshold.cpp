/// Global and local thresholds, and sheets that are lit unevenly. Sources: see ink.hpp.
///
/// Sauvola's threshold says which pixels are paper, but neither how dark full ink is nor where within a grey edge the line runs, and
/// it hollows out areas of ink wider than its window. So here it only finds the paper: the light on the paper is
/// known wherever there is paper, is smooth, and is carried on under the ink; what is divided by it can be parted by
/// one threshold for the whole sheet. Cost: five passes over the pixels.
#include <algorithm>
#include <cmath>
#include <opencv2/imgproc.hpp>

#include "burin/shape/filters.hpp"
#include "ink.hpp"

namespace burin {
namespace {

constexpr int grain = 64;

void count_row(const float* row, int n, Histogram& counts) {
    for (int i = 0; i < n; ++i) ++counts[static_cast<std::size_t>(std::clamp(row[i], 0.0F, 1.0F) * (histogram_bins - 1) + 0.5F)];
}

cv::Mat as_matrix(HeightMap& map) { return {map.height(), map.width(), CV_32F, map.row(0)}; }
cv::Mat as_matrix(const HeightMap& map) { return {map.height(), map.width(), CV_32F, const_cast<float*>(map.row(0))}; }

void threshold_row(float* mean, const float* square, float k, int n) {
    for (int i = 0; i < n; ++i) {
        const float m = mean[i], s = std::sqrt(std::max(square[i] - m * m, 0.0F));
        mean[i] = m * (1 + k * (s / 0.5F - 1));
    }
}

/// The paper's light in blocks: the 70th percentile of what Sauvola takes for paper.
struct Light {
    HeightMap value;
    Mask known;
};

Light light_of(const HeightMap& values, const HeightMap& threshold, int block, const Crew& crew) {
    const int w = (values.width() + block - 1) / block, h = (values.height() + block - 1) / block;
    Light light{HeightMap(w, h, 1), Mask(w, h, 1)};
    const int step = block > 12 ? 2 : 1;
    over_rows(crew, h, 4, [&](int low, int high) {
        std::vector<float> paper;
        for (int b = low; b < high; ++b)
            for (int a = 0; a < w; ++a) {
                paper.clear();
                int seen = 0;
                for (int j = b * block; j < std::min((b + 1) * block, values.height()); j += step)
                    for (int i = a * block; i < std::min((a + 1) * block, values.width()); i += step) {
                        ++seen;
                        if (values(i, j) > threshold(i, j)) paper.push_back(values(i, j));
                    }
                if (static_cast<int>(paper.size()) * 3 < seen) continue;
                const auto at = paper.begin() + static_cast<std::ptrdiff_t>(paper.size() * 7 / 10);
                std::nth_element(paper.begin(), at, paper.end());
                light.value(a, b) = *at;
                light.known(a, b) = 1;
            }
    });
    return light;
}

/// Within large areas of ink Sauvola sees paper: what is less than half as light as the lightest paper nearby is none.
void forget_ink(Light& light) {
    const int reach = std::max(light.value.width(), light.value.height()) / 4;
    cv::Mat lightest;
    cv::dilate(as_matrix(light.value), lightest, cv::getStructuringElement(cv::MORPH_RECT, {2 * reach + 1, 2 * reach + 1}));
    for (int j = 0; j < light.value.height(); ++j)
        for (int i = 0; i < light.value.width(); ++i)
            if (light.value(i, j) < 0.5F * lightest.at<float>(j, i)) light.known(i, j) = 0;
}

/// Divides row j by the light, linear between the middles of the blocks.
void divide_row(float* row, int n, int j, const HeightMap& light, int block) {
    const double v = std::clamp((j + 0.5) / block - 0.5, 0.0, light.height() - 1.0);
    const int b = std::min(static_cast<int>(v), std::max(light.height() - 2, 0));
    const auto up = static_cast<float>(v - b);
    const float *low = light.row(b), *high = light.row(std::min(b + 1, light.height() - 1));
    for (int i = 0; i < n; ++i) {
        const double u = std::clamp((i + 0.5) / block - 0.5, 0.0, light.width() - 1.0);
        const int a = std::min(static_cast<int>(u), std::max(light.width() - 2, 0)), a1 = std::min(a + 1, light.width() - 1);
        const auto right = static_cast<float>(u - a);
        const float paper = (low[a] * (1 - right) + low[a1] * right) * (1 - up) + (high[a] * (1 - right) + high[a1] * right) * up;
        // The paper comes to 0.9, so that what is lighter than the paper still fits.
        row[i] = std::min(0.9F * row[i] / std::max(paper, 0.02F), 1.0F);
    }
}

}  // namespace

Histogram histogram_of(const HeightMap& values, const Crew& crew) {
    const int bands = (values.height() + 4 * grain - 1) / (4 * grain);
    std::vector<Histogram> parts(static_cast<std::size_t>(bands));
    over_rows(crew, values.height(), 4 * grain, [&](int low, int high) {
        Histogram& part = parts[static_cast<std::size_t>(low / (4 * grain))];
        part.fill(0);
        for (int j = low; j < high; ++j) count_row(values.row(j), values.width(), part);
    });
    Histogram all{};
    for (const Histogram& part : parts)
        for (std::size_t k = 0; k < all.size(); ++k) all[k] += part[k];
    return all;
}

double otsu_threshold(const Histogram& histogram) {
    double count = 0, sum = 0;
    for (std::size_t k = 0; k < histogram.size(); ++k) {
        count += static_cast<double>(histogram[k]);
        sum += static_cast<double>(histogram[k]) * static_cast<double>(k);
    }
    double below = 0, sum_below = 0, best = -1;
    std::size_t first = 0, last = 0;
    for (std::size_t k = 0; k + 1 < histogram.size(); ++k) {
        below += static_cast<double>(histogram[k]);
        sum_below += static_cast<double>(histogram[k]) * static_cast<double>(k);
        const double above = count - below;
        if (below == 0 || above == 0) continue;
        const double apart = sum_below / below - (sum - sum_below) / above, between = below * above * apart * apart;
        if (between > best * (1 + 1e-12)) {
            best = between;
            first = last = k;
        } else if (histogram[k] == 0 && last + 1 == k) {
            last = k;
        }
    }
    return (static_cast<double>(first + last) / 2 + 0.5) / (histogram_bins - 1);
}

double quantile(const Histogram& histogram, int first, int last, double share) {
    double count = 0;
    for (int k = first; k <= last; ++k) count += static_cast<double>(histogram[static_cast<std::size_t>(k)]);
    double seen = 0;
    for (int k = first; k <= last; ++k) {
        seen += static_cast<double>(histogram[static_cast<std::size_t>(k)]);
        if (seen > 0 && seen >= share * count) return static_cast<double>(k) / (histogram_bins - 1);
    }
    return static_cast<double>(last) / (histogram_bins - 1);
}

HeightMap sauvola_threshold(const HeightMap& values, int window, double k, const Crew& crew) {
    HeightMap mean = values.like(0.0F), square = values.like(0.0F);
    in_parallel(crew, 2, [&](int which) {
        cv::Mat out = as_matrix(which == 0 ? mean : square);
        const cv::Mat in = as_matrix(values);
        if (which == 0)
            cv::boxFilter(in, out, CV_32F, {window, window}, {-1, -1}, true, cv::BORDER_REFLECT_101);
        else
            cv::sqrBoxFilter(in, out, CV_32F, {window, window}, {-1, -1}, true, cv::BORDER_REFLECT_101);
    });
    over_rows(crew, values.height(), grain, [&](int low, int high) {
        for (int j = low; j < high; ++j) threshold_row(mean.row(j), square.row(j), static_cast<float>(k), values.width());
    });
    return mean;
}

void level_light(HeightMap& values, const Crew& crew) {
    const int shorter = std::min(values.width(), values.height());
    const int block = std::max(4, shorter / 96);
    const int window = std::max(15, shorter / 12) | 1;
    Light light = light_of(values, sauvola_threshold(values, std::min(window, 2 * shorter - 1), 0.3, crew), block, crew);
    forget_ink(light);
    fill_uncounted(light.value, light.known, crew);
    light.value = window_mean(light.value, 1.5, crew);
    over_rows(crew, values.height(), grain, [&](int low, int high) {
        for (int j = low; j < high; ++j) divide_row(values.row(j), values.width(), j, light.value, block);
    });
}

}  // namespace burin
