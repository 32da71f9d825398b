// Grey-scale dilation and erosion of a height map by the shape of a bit (Serra 1982, ch. XII).
//
// The map is worked on in tiles, sixteen cells of a row at a time. The cells under the bit are gone through row by row from
// the axis outwards, eight at a time; a group is left out when the highest cell it could bring in, less the least rise in
// the group, does not come above the lowest of the sixteen values. Where the bit is flat no height is taken off, and a
// row of it is the highest of a window, put together from two windows of a power of two. Cost: cells × cells under the bit
// at worst; on real surfaces a small part of that; for flat bits cells × rows under the bit.
#include "burin/toolpath/offset.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <vector>

#include "burin/base/clones.hpp"

namespace burin {
namespace {

constexpr int lanes = 16, tile_width = 64, tile_height = 32, group = 8;
constexpr float nothing = -1e6F;
constexpr int windows = 7;  // of 1, 2, 4 … 64 cells

using Lanes = float __attribute__((vector_size(lanes * sizeof(float))));

/// One row of cells under the bit: dx from −half to half.
struct FootRow {
    std::ptrdiff_t shift;  // of the row, in the tile's neighbourhood
    int half;
    int window;         // flat: the largest power of two not above the row's length is 1 << window
    std::size_t first;  // of its rises
    float least;        // rise at dx = 0
};

struct Footprint {
    int reach = 0;
    std::ptrdiff_t stride = 0;  // of a tile's neighbourhood
    bool flat = true;
    std::vector<FootRow> rows;  // from the axis outwards
    std::vector<float> rises;
};

template <class Rise>
Footprint footprint(double radius, double cell, const Rise& rise) {
    Footprint print;
    print.reach = std::max(0, static_cast<int>(std::ceil(radius / cell - 1e-9)));
    print.stride = tile_width + 2 * print.reach + lanes + group;
    for (int out = 0; out <= print.reach; ++out)
        for (const int dy : {-out, out}) {
            if (dy == 0 && !print.rows.empty()) continue;
            int half = -1;
            while (std::hypot(half + 1, dy) * cell < radius - 1e-6) ++half;
            if (half < 0 && dy != 0) continue;
            half = std::max(half, 0);
            FootRow row{dy * print.stride, half, 0, print.rises.size(), static_cast<float>(rise(std::abs(dy) * cell))};
            while ((2 << row.window) <= 2 * half + 1 && row.window + 1 < windows) ++row.window;
            for (int dx = -half; dx <= half; ++dx) {
                print.rises.push_back(static_cast<float>(rise(std::hypot(dx, dy) * cell)));
                print.flat = print.flat && print.rises.back() == 0 && 2 * half + 1 <= (2 << row.window);
            }
            print.rows.push_back(row);
        }
    return print;
}

/// A tile's cells and those within reach of it, and the highest of the 2^k cells from each on.
struct Near {
    std::array<std::vector<float>, windows> highest;
    [[nodiscard]] const float* cells(std::size_t k, std::ptrdiff_t at) const { return highest[k].data() + at; }
};

BURIN_CLONES void widen(float* __restrict to, const float* __restrict from, std::ptrdiff_t step, std::ptrdiff_t count) {
    for (std::ptrdiff_t x = 0; x < count - step; ++x) to[x] = from[x] > from[x + step] ? from[x] : from[x + step];
}

/// Fills the neighbourhood of the tile at (x0, y0) with the map times sign; beyond the map there is nothing.
void gather(const HeightMap& map, int x0, int y0, float sign, const Footprint& print, Near& near) {
    const int reach = print.reach, rows = tile_height + 2 * reach;
    const std::ptrdiff_t count = rows * print.stride + lanes * 4;
    near.highest[0].assign(static_cast<std::size_t>(count), nothing);
    const int left = std::max(0, x0 - reach), right = std::min(map.width(), x0 + tile_width + reach);
    for (int y = std::max(0, y0 - reach); y < std::min(map.height(), y0 + tile_height + reach); ++y) {
        const float* from = map.row(y);
        float* to = near.highest[0].data() + (y - y0 + reach) * print.stride + (reach - x0);
        for (int x = left; x < right; ++x) to[x] = sign * from[x];
    }
    int most = 4;  // the groups' bounds need windows of 16
    if (print.flat)
        for (const FootRow& row : print.rows) most = std::max(most, row.window);
    for (int k = 1; k <= most; ++k) {
        auto& wide = near.highest[static_cast<std::size_t>(k)];
        wide.resize(static_cast<std::size_t>(count), nothing);
        widen(wide.data(), near.highest[static_cast<std::size_t>(k - 1)].data(), std::ptrdiff_t{1} << (k - 1), count);
    }
}

/// Sixteen cells against every row under a round or pointed bit. `cells` and `highest16` point at the first of the sixteen.
BURIN_CLONES void raise_lanes(float* acc, const float* cells, const float* highest16, const FootRow* rows, std::size_t count,
                              const float* rises) {
    using Eight = float __attribute__((vector_size(32)));
    using Four = float __attribute__((vector_size(16)));
    Lanes best, v;
    std::memcpy(&best, acc, sizeof best);
    float low = nothing;
    bool raised = true;
    for (std::size_t r = 0; r < count; ++r) {
        if (raised) {  // the lowest of the sixteen, by halves
            Eight a[2];
            Four b[2];
            std::memcpy(a, &best, sizeof a);
            a[0] = a[0] < a[1] ? a[0] : a[1];
            std::memcpy(b, a, sizeof b);
            b[0] = b[0] < b[1] ? b[0] : b[1];
            const float c = b[0][0] < b[0][1] ? b[0][0] : b[0][1], d = b[0][2] < b[0][3] ? b[0][2] : b[0][3];
            low = c < d ? c : d;
            raised = false;
        }
        const int half = rows[r].half;
        const float* tops = highest16 + rows[r].shift;
        float top = tops[half];
        for (int k = -half; k < half; k += lanes) top = tops[k] > top ? tops[k] : top;
        if (top - rows[r].least <= low) continue;
        const float *source = cells + rows[r].shift, *rise = rises + rows[r].first + half;
        for (int dx = -half; dx <= half; dx += group) {
            const int last = dx + group - 1 < half ? dx + group - 1 : half;
            const float reachable = tops[dx] > tops[last] ? tops[dx] : tops[last];
            const int nearest = dx > 0 ? dx : last < 0 ? last : 0;
            if (reachable - rise[nearest] <= low) continue;
            raised = true;
            for (int k = dx; k <= last; ++k) {
                std::memcpy(&v, source + k, sizeof v);
                v = v - rise[k];
                best = v > best ? v : best;
            }
        }
    }
    std::memcpy(acc, &best, sizeof best);
}

/// acc[x] = max(acc[x], a[x], b[x]) over a row of the tile.
BURIN_CLONES void raise_flat(float* __restrict acc, const float* __restrict a, const float* __restrict b) {
    for (int x = 0; x < tile_width; ++x) {
        const float m = a[x] > b[x] ? a[x] : b[x];
        acc[x] = m > acc[x] ? m : acc[x];
    }
}

void raise_tile(const HeightMap& map, const Footprint& print, int x0, int y0, float sign, Near& near, HeightMap& out) {
    gather(map, x0, y0, sign, print, near);
    const int wide = std::min(tile_width, map.width() - x0), high = std::min(tile_height, map.height() - y0);
    float acc[tile_width];
    for (int y = 0; y < high; ++y) {
        const std::ptrdiff_t at = (y + print.reach) * print.stride + print.reach;
        std::copy_n(near.cells(0, at), tile_width, acc);
        if (print.flat)
            for (const FootRow& row : print.rows) {
                const float* from = near.cells(static_cast<std::size_t>(row.window), at + row.shift);
                raise_flat(acc, from - row.half, from + row.half + 1 - (1 << row.window));
            }
        else
            for (int x = 0; x < wide; x += lanes)
                raise_lanes(acc + x, near.cells(0, at + x), near.cells(4, at + x), print.rows.data(), print.rows.size(),
                            print.rises.data());
        float* to = out.row(y0 + y) + x0;
        for (int x = 0; x < wide; ++x) to[x] = sign * acc[x];
    }
}

template <class Rise>
HeightMap dilated(const HeightMap& map, double radius, const Rise& rise, float sign, const Crew& crew) {
    const Footprint print = footprint(radius, map.cell(), rise);
    HeightMap out = map.like(0.F);
    const int columns = (map.width() + tile_width - 1) / tile_width;
    over_rows(crew, (map.height() + tile_height - 1) / tile_height, 1, [&](int first, int last) {
        Near near;
        for (int ty = first; ty < last; ++ty)
            for (int tx = 0; tx < columns; ++tx) raise_tile(map, print, tx * tile_width, ty * tile_height, sign, near, out);
    });
    return out;
}

}  // namespace

HeightMap offset_for(const Bit& bit, const HeightMap& target, const Crew& crew, double wider) {
    return dilated(
        target, bit.radius() + wider, [&](double r) { return bit.rise(std::max(0.0, r - wider)); }, 1.F, crew);
}

HeightMap swept_by(const Bit& bit, const HeightMap& tips, const Crew& crew) {
    return dilated(
        tips, bit.radius(), [&](double r) { return bit.rise(r); }, -1.F, crew);
}

HeightMap dilated_by_disc(const HeightMap& heights, double radius, const Crew& crew) {
    return dilated(
        heights, radius + 1e-5, [](double) { return 0.0; }, 1.F, crew);
}

HeightMap eroded_by_disc(const HeightMap& heights, double radius, const Crew& crew) {
    return dilated(
        heights, radius + 1e-5, [](double) { return 0.0; }, -1.F, crew);
}

}  // namespace burin
