/// Resampling of pictures to cells, in strips of the picture, so that no whole picture in floats is ever held.
///
/// Both axes are weights from pixels to cells: the share of a cell that a pixel covers when there are fewer cells than
/// pixels (an area filter: nothing is skipped, nothing counted twice), linear interpolation between pixel centres when
/// there are more. Strips do not depend on the number of threads.
#include "burin/design/cells.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

namespace burin {
namespace {

/// For each cell along an axis the pixels it takes from: first, how many, and their weights one after the other.
struct Axis {
    std::vector<int> first, count;
    std::vector<std::size_t> at;
    std::vector<float> weight;
    bool same = false;  ///< as many cells as pixels
};

Axis axis_of(int pixels, int cells) {
    Axis axis;
    axis.same = pixels == cells;
    const double pitch = static_cast<double>(pixels) / cells;
    for (int k = 0; k < cells; ++k) {
        axis.at.push_back(axis.weight.size());
        if (pixels > cells) {
            const double lo = k * pitch, hi = (k + 1) * pitch;
            const int first = std::min(static_cast<int>(lo), pixels - 1);
            const int last = std::clamp(static_cast<int>(std::ceil(hi)), first + 1, pixels);
            axis.first.push_back(first);
            axis.count.push_back(last - first);
            for (int p = first; p < last; ++p)
                axis.weight.push_back(static_cast<float>((std::min(hi, p + 1.0) - std::max(lo, static_cast<double>(p))) / pitch));
        } else {
            const double centre = std::clamp((k + 0.5) * pitch - 0.5, 0.0, pixels - 1.0);
            const int first = std::min(static_cast<int>(centre), std::max(pixels - 2, 0));
            const auto share = static_cast<float>(centre - first);
            axis.first.push_back(first);
            axis.count.push_back(share > 0 ? 2 : 1);
            axis.weight.push_back(1 - share);
            if (share > 0) axis.weight.push_back(share);
        }
    }
    return axis;
}

void across(const float* in, const Axis& axis, float* out, int cells) {
    if (axis.same) {
        std::copy(in, in + cells, out);
        return;
    }
    for (int k = 0; k < cells; ++k) {
        const auto cell = static_cast<std::size_t>(k);
        const float* from = in + axis.first[cell];
        const float* weight = axis.weight.data() + axis.at[cell];
        float sum = 0;
        for (int p = 0; p < axis.count[cell]; ++p) sum += weight[p] * from[p];
        out[k] = sum;
    }
}

void add_row(float* to, const float* row, float weight, int n) {
    for (int i = 0; i < n; ++i) to[i] += weight * row[i];
}

/// Rows first … last − 1 of the picture, counted from the bottom, as a picture.
Picture strip_of(const Picture& picture, int first, int last) {
    Picture strip;
    strip.width = picture.width;
    strip.height = last - first;
    strip.channels = picture.channels;
    strip.source_bits = picture.source_bits;
    strip.transfer = picture.transfer;
    const auto rows = [&](const std::vector<std::uint16_t>& all, int channels) {
        const auto stride = static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(channels);
        const auto* from = all.data() + static_cast<std::size_t>(picture.height - last) * stride;
        return std::vector<std::uint16_t>(from, from + static_cast<std::size_t>(last - first) * stride);
    };
    strip.samples = rows(picture.samples, picture.channels);
    if (!picture.alpha.empty()) strip.alpha = rows(picture.alpha, 1);
    return strip;
}

/// Resamples a strip that starts at pixel row `base` to cell rows first … last − 1 of `out`.
void resample(const HeightMap& strip, int base, const Axis& x, const Axis& y, int first, int last, HeightMap& out) {
    const int n = out.width();
    HeightMap narrow(n, strip.height(), 1);
    for (int j = 0; j < strip.height(); ++j) across(strip.row(j), x, narrow.row(j), n);
    for (int k = first; k < last; ++k) {
        const auto cell = static_cast<std::size_t>(k);
        const float* weight = y.weight.data() + y.at[cell];
        float* to = out.row(k);
        if (y.count[cell] == 1) {
            const float* from = narrow.row(y.first[cell] - base);
            std::copy(from, from + n, to);
            continue;
        }
        std::fill(to, to + n, 0.0F);
        for (int p = 0; p < y.count[cell]; ++p) add_row(to, narrow.row(y.first[cell] + p - base), weight[p], n);
    }
}

void multiply(HeightMap& by, const HeightMap& what) {
    for (std::size_t k = 0; k < by.size(); ++k) by.values()[k] *= what.values()[k];
}

constexpr int lightness_steps = 65536;

std::vector<float> lightness_table() {
    std::vector<float> table(lightness_steps + 2);
    for (std::size_t k = 0; k < table.size(); ++k) table[k] = static_cast<float>(lightness(static_cast<double>(k) / lightness_steps));
    return table;
}

/// Linear between the table's steps: within 2·10⁻⁶ of the formula.
void lightness_row(float* row, const float* table, int n) {
    for (int i = 0; i < n; ++i) {
        const float at = std::clamp(row[i], 0.0F, 1.0F) * lightness_steps;
        const int k = static_cast<int>(at);
        row[i] = table[k] + (at - static_cast<float>(k)) * (table[k + 1] - table[k]);
    }
}

}  // namespace

double lightness(double luminance) {
    // The two branches meet exactly at (6/29)³ with a slope of (29/3)³.
    constexpr double knee = 216.0 / 24389.0, slope = 24389.0 / 27.0;
    return (luminance > knee ? 116 * std::cbrt(luminance) - 16 : slope * luminance) / 100;
}

HeightMap on_cells(const Picture& picture, Reading reading, double width, double height, double cell, const Crew& crew) {
    const int w = std::max(1, static_cast<int>(std::lround(width / cell))), h = std::max(1, static_cast<int>(std::lround(height / cell)));
    const bool see_through = !picture.alpha.empty();
    if (reading == Reading::opacity && !see_through) return HeightMap(w, h, cell, {}, 1.0F);
    HeightMap out(w, h, cell);
    const Axis x = axis_of(picture.width, w), y = axis_of(picture.height, h);
    const std::vector<float> table = reading == Reading::lightness ? lightness_table() : std::vector<float>();
    const double pixels_per_row = static_cast<double>(picture.width) * picture.height / h;
    const int grain = static_cast<int>(std::clamp(1.5e6 / pixels_per_row, 1.0, 512.0));
    over_rows(crew, h, grain, [&](int first, int last) {
        const auto low = static_cast<std::size_t>(first), high = static_cast<std::size_t>(last - 1);
        const int base = y.first[low], end = y.first[high] + y.count[high];
        const Picture strip = strip_of(picture, base, end);
        if (reading == Reading::opacity) {
            resample(opacity(strip, picture.width), base, x, y, first, last, out);
            return;
        }
        HeightMap values = reading == Reading::coded ? coded_grey(strip, picture.width) : luminance(strip, picture.width);
        if (see_through) {
            const HeightMap opaque = opacity(strip, picture.width);
            multiply(values, opaque);
            resample(values, base, x, y, first, last, out);
            HeightMap share(w, last - first, cell);
            // The same rows of a grid that holds this strip alone.
            Axis here = y;
            here.first.assign(y.first.begin() + first, y.first.begin() + last);
            here.count.assign(y.count.begin() + first, y.count.begin() + last);
            here.at.assign(y.at.begin() + first, y.at.begin() + last);
            resample(opaque, base, x, here, 0, last - first, share);
            for (int j = first; j < last; ++j)
                for (int i = 0; i < w; ++i) {
                    const float s = share(i, j - first);
                    out(i, j) = s > 0 ? std::min(out(i, j) / s, 1.0F) : 0;
                }
        } else {
            resample(values, base, x, y, first, last, out);
        }
        if (reading == Reading::lightness)
            for (int j = first; j < last; ++j) lightness_row(out.row(j), table.data(), w);
    });
    return out;
}

}  // namespace burin
