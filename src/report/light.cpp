// Many distant lamps over a height field, each with its own cast shadows.
//
// A lamp's shadow on a height field is a running horizon: going away from the lamp row by row,
//   S(row) = max(h, S)(row before, shifted sideways by the lamp's bearing) − slope · step,
// and a place is dark by as much as S stands above it (horizon sweeps: Sloan and Cohen 2000; here one sweep a lamp).
// Lamps are grouped by the side that they shine from; lamps from left and right work on the transposed map so that the
// inner loop always runs along a row and vectorises. Cost: cells × lamps, some 1 ns each.

#include "light.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/clones.hpp"

namespace burin::light {
namespace {

struct Lamp {
    double azimuth_deg, elevation_deg, weight;
    bool key;
    float softness;  ///< mm of height over which its shadows fade
};

constexpr double key_azimuth = 124, key_elevation = 28;

/// Four groups, the key light in the first: from the top, the bottom, the right and the left of the picture (azimuth counts from +x towards
/// +y).
std::array<std::vector<Lamp>, 4> lamps() {
    std::array<std::vector<Lamp>, 4> sides;
    const auto put = [&](Lamp lamp) {
        const double a = std::fmod(lamp.azimuth_deg + 360, 360);
        const std::size_t side = a >= 45 && a < 135 ? 0 : a >= 225 && a < 315 ? 1 : a < 45 || a >= 315 ? 2 : 3;
        sides[side].push_back(lamp);
    };
    for (const auto& [da, de] : {std::pair{0.0, 0.0}, {-5.0, -3.0}, {5.0, -3.0}, {-5.0, 3.0}, {5.0, 3.0}})
        put({key_azimuth + da, key_elevation + de, 0.2, true, 0.10f});
    // Brighter on one side of the key light, so that grooves which run towards it show too; in all as much as from everywhere alike.
    for (int k = 0; k < 12; ++k) {
        const double azimuth = 30.0 * k + 7, aside = std::cos((azimuth - key_azimuth - 90) * std::numbers::pi / 180);
        put({azimuth, 24, 0.8 / 12 * (1 + 0.75 * aside), false, 0.30f});
    }
    for (int k = 0; k < 8; ++k) put({45.0 * k + 20, 55, 1.0 / 8, false, 0.30f});
    return sides;
}

/// One row: takes over the horizon of the row before and adds what the lamp gives. `before` and `horizon` have one
/// element of padding at either end; `left` and `right` weigh the two cells of the row before that the light came over.
BURIN_CLONES
void sweep_row(const float* before, float* horizon, const float* heights, const float* nx, const float* ny, const float* nz, float* sum,
               int width, int shift, float left, float right, float drop, float lx, float ly, float lz, float weight, float per_soft) {
    const float* from = before + 1 + shift;
    float* to = horizon + 1;
    for (int i = 0; i < width; ++i) {
        const float shadow = left * from[i] + right * from[i + 1] - drop, h = heights[i];
        const float open = std::clamp(1.0f - (shadow - h) * per_soft, 0.0f, 1.0f);
        const float facing = std::max(0.0f, nx[i] * lx + ny[i] * ly + nz[i] * lz);
        sum[i] += weight * facing * open;
        to[i] = std::max(shadow, h);
    }
}

/// Maps with their normals, ready to be swept from row 0 on or from the last row back.
struct Field {
    int width, height;
    double pixel;
    const float *heights, *nx, *ny, *nz;
};

/// `along` is the direction of the lamp in the rows' own frame: x with the row, y towards the row before.
void sweep(const Field& field, const Lamp& lamp, bool backwards, double x, double y, const std::array<float, 3>& direction,
           std::vector<float>& sum) {
    const int width = field.width;
    const double t = x / y, slope = std::tan(lamp.elevation_deg * std::numbers::pi / 180);
    const int shift = t < 0 ? -1 : 0;
    const auto right = static_cast<float>(t - shift), left = 1 - right;
    const auto drop = static_cast<float>(slope * field.pixel * std::sqrt(1 + t * t));
    const auto lz = direction[2];
    const auto weight = static_cast<float>(lamp.weight) / lz;  // so that the level surface gets 1 from all
    std::vector<float> before(static_cast<std::size_t>(width) + 3, -1e6f), horizon = before;
    for (int step = 0; step < field.height; ++step) {
        const auto row = static_cast<std::size_t>(backwards ? field.height - 1 - step : step) * static_cast<std::size_t>(width);
        sweep_row(before.data(), horizon.data(), field.heights + row, field.nx + row, field.ny + row, field.nz + row, sum.data() + row,
                  width, shift, left, right, drop, direction[0], direction[1], lz, weight, 1 / lamp.softness);
        horizon[0] = horizon[1];
        horizon[static_cast<std::size_t>(width) + 1] = horizon[static_cast<std::size_t>(width)];
        std::swap(before, horizon);
    }
}

constexpr int tile = 32;

std::vector<float> transposed(const std::vector<float>& from, int width, int height) {
    std::vector<float> to(from.size());
    for (int j0 = 0; j0 < height; j0 += tile)
        for (int i0 = 0; i0 < width; i0 += tile)
            for (int j = j0; j < std::min(height, j0 + tile); ++j)
                for (int i = i0; i < std::min(width, i0 + tile); ++i)
                    to[static_cast<std::size_t>(i) * static_cast<std::size_t>(height) + static_cast<std::size_t>(j)] =
                        from[static_cast<std::size_t>(j) * static_cast<std::size_t>(width) + static_cast<std::size_t>(i)];
    return to;
}

BURIN_CLONES
void normals_row(const float* above, const float* row, const float* below, int width, float per_step, float* nx, float* ny, float* nz) {
    // A wall between two pixels would be steeper than anything: its slope is held at 3.5.
    for (int i = 0; i < width; ++i) {
        const float dx = (row[std::min(i + 1, width - 1)] - row[std::max(i - 1, 0)]) * per_step, dy = (above[i] - below[i]) * per_step;
        const float x = -std::clamp(dx, -3.5f, 3.5f), y = -std::clamp(dy, -3.5f, 3.5f), unit = 1 / std::sqrt(x * x + y * y + 1);
        nx[i] = x * unit;
        ny[i] = y * unit;
        nz[i] = unit;
    }
}

void add_to(std::vector<float>& sum, const std::vector<float>& more) {
    for (std::size_t k = 0; k < sum.size(); ++k) sum[k] += more[k];
}

/// `more` lies: width × height are those of `sum`.
void add_lying(std::vector<float>& sum, const std::vector<float>& more, int width, int height) {
    for (int j0 = 0; j0 < height; j0 += tile)
        for (int i0 = 0; i0 < width; i0 += tile)
            for (int j = j0; j < std::min(height, j0 + tile); ++j)
                for (int i = i0; i < std::min(width, i0 + tile); ++i)
                    sum[static_cast<std::size_t>(j) * static_cast<std::size_t>(width) + static_cast<std::size_t>(i)] +=
                        more[static_cast<std::size_t>(i) * static_cast<std::size_t>(height) + static_cast<std::size_t>(j)];
}

/// The lamps of one side, those that make the key light or the others, on a field of `count` cells: what they give in all.
/// In the lying map rows are columns (left to right) and run along y downwards.
std::vector<float> lit_from(const std::array<std::vector<Lamp>, 4>& sides, std::size_t side, bool key, const Field& field) {
    std::vector<float> sum(static_cast<std::size_t>(field.width) * static_cast<std::size_t>(field.height));
    for (const auto& lamp : sides[side]) {
        if (lamp.key != key) continue;
        const double a = lamp.azimuth_deg * std::numbers::pi / 180, e = lamp.elevation_deg * std::numbers::pi / 180;
        const double x = std::cos(a), y = std::sin(a);
        const std::array<float, 3> direction{static_cast<float>(x * std::cos(e)), static_cast<float>(y * std::cos(e)),
                                             static_cast<float>(std::sin(e))};
        if (side == 0) sweep(field, lamp, false, x, y, direction, sum);
        if (side == 1) sweep(field, lamp, true, x, -y, direction, sum);
        if (side == 2) sweep(field, lamp, true, -y, x, direction, sum);
        if (side == 3) sweep(field, lamp, false, -y, -x, direction, sum);
    }
    return sum;
}

}  // namespace

Direction towards_key() {
    const double a = key_azimuth * std::numbers::pi / 180, e = key_elevation * std::numbers::pi / 180;
    return {static_cast<float>(std::cos(a) * std::cos(e)), static_cast<float>(std::sin(a) * std::cos(e)), static_cast<float>(std::sin(e))};
}

Lit light_up(const Relief& relief, const Crew& crew) {
    const int width = relief.width, height = relief.height;
    const std::size_t count = relief.heights.size();
    Lit lit;
    lit.normal_x.resize(count);
    lit.normal_y.resize(count);
    std::vector<float> nz(count);
    over_rows(crew, height, 64, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const auto row = [&](int r) {
                return static_cast<std::size_t>(std::clamp(r, 0, height - 1)) * static_cast<std::size_t>(width);
            };
            normals_row(relief.heights.data() + row(j - 1), relief.heights.data() + row(j), relief.heights.data() + row(j + 1), width,
                        static_cast<float>(1 / (2 * relief.pixel)), lit.normal_x.data() + row(j), lit.normal_y.data() + row(j),
                        nz.data() + row(j));
        }
    });
    // First those from the top and the bottom, then those from the sides, for which the maps lie; what they give is added in
    // this order. The key light comes from the top.
    const auto sides = lamps();
    std::vector<float> from_below;
    {
        const Field upright{width, height, relief.pixel, relief.heights.data(), lit.normal_x.data(), lit.normal_y.data(), nz.data()};
        in_parallel(crew, 3, [&](int k) {
            (k == 0 ? lit.key : k == 1 ? lit.sky : from_below) = lit_from(sides, k == 2 ? 1 : 0, k == 0, upright);
        });
    }
    add_to(lit.sky, from_below);
    from_below = std::vector<float>();
    std::array<std::vector<float>, 4> turned;
    const std::array<const std::vector<float>*, 4> maps{&relief.heights, &lit.normal_x, &lit.normal_y, &nz};
    in_parallel(crew, 4,
                [&](int k) { turned[static_cast<std::size_t>(k)] = transposed(*maps[static_cast<std::size_t>(k)], width, height); });
    nz = std::vector<float>();
    const Field lying{height, width, relief.pixel, turned[0].data(), turned[1].data(), turned[2].data(), turned[3].data()};
    std::array<std::vector<float>, 2> from_side;
    in_parallel(crew, 2, [&](int k) {
        const auto n = static_cast<std::size_t>(k);
        from_side[n] = lit_from(sides, 2 + n, false, lying);
    });
    for (const auto& sum : from_side) add_lying(lit.sky, sum, width, height);
    float sky_total = 0;
    for (const auto& side : sides)
        for (const auto& lamp : side)
            if (!lamp.key) sky_total += static_cast<float>(lamp.weight);
    for (auto& s : lit.sky) s /= sky_total;
    return lit;
}

}  // namespace burin::light
