// Samples to grids: coded grey, luminance in linear light, opacity.
// Sources: IEC 61966-2-1 (sRGB's curve); ITU-R BT.709 (weights). Cost: one pass over the samples, the curve from a table of
// 65,536 entries.

#include <array>
#include <cmath>
#include <vector>

#include "burin/picture/picture.hpp"

namespace burin {
namespace {

constexpr float weight_red = 0.2126F, weight_blue = 0.0722F;

/// BT.709's sum, written around green so that equal red, green and blue give exactly their value.
inline float weighted(float r, float g, float b) { return g + weight_red * (r - g) + weight_blue * (b - g); }

std::vector<float> light_table(const Transfer& transfer) {
    std::vector<float> table(65536);
    for (std::size_t v = 0; v < table.size(); ++v) {
        const double c = static_cast<double>(v) / 65535;
        const double light = !transfer.srgb ? std::pow(c, transfer.gamma) : c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
        table[v] = static_cast<float>(light);
    }
    return table;
}

void share_row(const std::uint16_t* in, float* out, int width) {
    for (int x = 0; x < width; ++x) out[x] = static_cast<float>(in[x]) / 65535.0F;
}

void share_row_rgb(const std::uint16_t* in, float* out, int width) {
    for (int x = 0; x < width; ++x)
        out[x] = weighted(static_cast<float>(in[3 * x]), static_cast<float>(in[3 * x + 1]), static_cast<float>(in[3 * x + 2])) / 65535.0F;
}

void light_row(const std::uint16_t* in, const float* table, float* out, int width) {
    for (int x = 0; x < width; ++x) out[x] = table[in[x]];
}

void light_row_rgb(const std::uint16_t* in, const float* table, float* out, int width) {
    for (int x = 0; x < width; ++x) out[x] = weighted(table[in[3 * x]], table[in[3 * x + 1]], table[in[3 * x + 2]]);
}

/// `row(samples, out)` for every row, the picture's top row into the grid's highest.
template <class Row>
HeightMap grid_of(const Picture& picture, const std::vector<std::uint16_t>& samples, int channels, double width_mm, Row row) {
    HeightMap grid(picture.width, picture.height, width_mm / picture.width);
    const std::size_t stride = static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(channels);
    for (int y = 0; y < picture.height; ++y) row(samples.data() + static_cast<std::size_t>(y) * stride, grid.row(picture.height - 1 - y));
    return grid;
}

}  // namespace

HeightMap coded_grey(const Picture& picture, double width_mm) {
    return grid_of(picture, picture.samples, picture.channels, width_mm, [&](const std::uint16_t* in, float* out) {
        picture.channels == 1 ? share_row(in, out, picture.width) : share_row_rgb(in, out, picture.width);
    });
}

HeightMap luminance(const Picture& picture, double width_mm) {
    const std::vector<float> table = light_table(picture.transfer);
    return grid_of(picture, picture.samples, picture.channels, width_mm, [&](const std::uint16_t* in, float* out) {
        picture.channels == 1 ? light_row(in, table.data(), out, picture.width) : light_row_rgb(in, table.data(), out, picture.width);
    });
}

HeightMap opacity(const Picture& picture, double width_mm) {
    if (picture.alpha.empty()) return {};
    return grid_of(picture, picture.alpha, 1, width_mm, [&](const std::uint16_t* in, float* out) { share_row(in, out, picture.width); });
}

bool has_colour(const Picture& picture) {
    if (picture.channels == 1) return false;
    const std::uint16_t* p = picture.samples.data();
    const std::uint16_t* const end = p + picture.samples.size();
    for (; p < end; p += 3)
        if (p[0] != p[1] || p[1] != p[2]) return true;
    return false;
}

}  // namespace burin
