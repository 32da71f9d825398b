// Grey-scale dilation and erosion of a height map by the shape of a bit (Serra 1982, ch. XII).
//
// The footprint is a list of cells with the bit's rise over each, sorted by rise. The map is worked on in tiles: for each
// tile the footprint is gone through from the lowest rise up, and left as soon as what is highest round the tile, less the
// next rise, cannot come above the lowest value the tile has by then. Cost: cells × cells under the bit at worst, all in
// long vectors; on smooth surfaces most of the footprint is never touched.
#include "burin/toolpath/offset.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <vector>

#include "cloning.hpp"

namespace burin {
namespace {

constexpr int tile_width = 64, tile_height = 16;
constexpr float nothing = -1e6F;

struct Foot {
    std::ptrdiff_t shift;  // within a tile's neighbourhood
    float rise;
};

/// The cells under the bit, lowest rise first. A tile's neighbourhood is kept by itself, `stride` floats a row: rows of a
/// wide map lie so far apart that they would drive each other out of the cache.
struct Footprint {
    int reach = 0;  // cells
    std::ptrdiff_t stride = 0;
    std::vector<Foot> feet;
};

template <class Rise>
Footprint footprint(double radius, double cell, const Rise& rise) {
    Footprint print;
    print.reach = std::max(0, static_cast<int>(std::ceil(radius / cell - 1e-9)));
    print.stride = tile_width + 2 * print.reach;
    for (int dy = -print.reach; dy <= print.reach; ++dy)
        for (int dx = -print.reach; dx <= print.reach; ++dx) {
            const double r = std::hypot(dx, dy) * cell;
            if ((dx != 0 || dy != 0) && r < radius - 1e-6) print.feet.push_back({dy * print.stride + dx, static_cast<float>(rise(r))});
        }
    std::stable_sort(print.feet.begin(), print.feet.end(), [](const Foot& a, const Foot& b) { return a.rise < b.rise; });
    return print;
}

using Lanes = float __attribute__((vector_size(64)));

/// acc[x] = max(acc[x], from[x + shift] − rise) over the feet, for one row of a tile.
BURIN_CLONES void raise_row(float* acc, const float* from, const Foot* feet, std::size_t count) {
    Lanes best[4], v[4];
    std::memcpy(best, acc, sizeof best);
    for (std::size_t k = 0; k < count; ++k) {
        std::memcpy(v, from + feet[k].shift, sizeof v);
        const float rise = feet[k].rise;
        for (int q = 0; q < 4; ++q) {
            v[q] = v[q] - rise;
            best[q] = v[q] > best[q] ? v[q] : best[q];
        }
    }
    std::memcpy(acc, best, sizeof best);
}

BURIN_CLONES float highest(const float* from, std::ptrdiff_t count, float so_far) {
    float m = so_far;
    for (std::ptrdiff_t x = 0; x < count; ++x) m = from[x] > m ? from[x] : m;
    return m;
}
BURIN_CLONES float lowest(const float* from, std::ptrdiff_t count, float so_far) {
    float m = so_far;
    for (std::ptrdiff_t x = 0; x < count; ++x) m = from[x] < m ? from[x] : m;
    return m;
}

/// The tile's cells and those within reach of it, times sign; beyond the map there is nothing.
void gather(const HeightMap& map, int x0, int y0, float sign, const Footprint& print, std::vector<float>& near) {
    const int reach = print.reach, rows = tile_height + 2 * reach;
    near.assign(static_cast<std::size_t>(rows) * static_cast<std::size_t>(print.stride), nothing);
    const int left = std::max(0, x0 - reach), right = std::min(map.width(), x0 + tile_width + reach);
    for (int y = std::max(0, y0 - reach); y < std::min(map.height(), y0 + tile_height + reach); ++y) {
        const float* from = map.row(y);
        float* to = near.data() + (y - y0 + reach) * print.stride + (reach - x0);
        for (int x = left; x < right; ++x) to[x] = sign * from[x];
    }
}

void raise_tile(const HeightMap& map, const Footprint& print, int x0, int y0, float sign, std::vector<float>& near, HeightMap& out) {
    gather(map, x0, y0, sign, print, near);
    const int wide = std::min(tile_width, map.width() - x0), high = std::min(tile_height, map.height() - y0);
    const auto row = [&](int y) { return near.data() + (y + print.reach) * print.stride + print.reach; };
    float acc[tile_height][tile_width];
    for (int y = 0; y < high; ++y) std::copy_n(row(y), tile_width, acc[y]);
    const float top = highest(near.data(), static_cast<std::ptrdiff_t>(near.size()), nothing);
    constexpr std::size_t chunk = 24;
    for (std::size_t k = 0; top > nothing && k < print.feet.size(); k += chunk) {
        float low = 1e9F;
        for (int y = 0; y < high; ++y) low = lowest(acc[y], wide, low);
        if (top - print.feet[k].rise <= low) break;
        const std::size_t count = std::min(chunk, print.feet.size() - k);
        for (int y = 0; y < high; ++y) raise_row(acc[y], row(y), print.feet.data() + k, count);
    }
    for (int y = 0; y < high; ++y) {
        float* to = out.row(y0 + y) + x0;
        for (int x = 0; x < wide; ++x) to[x] = sign * acc[y][x];
    }
}

template <class Rise>
HeightMap dilated(const HeightMap& map, double radius, const Rise& rise, float sign, const Crew& crew) {
    const Footprint print = footprint(radius, map.cell(), rise);
    HeightMap out = map.like(0.F);
    const int columns = (map.width() + tile_width - 1) / tile_width;
    over_rows(crew, (map.height() + tile_height - 1) / tile_height, 1, [&](int first, int last) {
        std::vector<float> near;
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
