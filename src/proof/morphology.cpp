// Grey-scale dilation and erosion with the exact shape of a bit (Serra 1982, ch. XII), and their closing.
//
//     T(c) = max over |k − c| < R of design(k) − rise(|k − c|),   reach(x) = min over |x − c| < R of T(c) + rise(|x − c|).
// The second is the first of −T, negated. The shape is the same left and right, front and back, so the rows c ± dj are
// joined by their larger value first, then the columns ± di: one subtraction serves four cells under the bit.
// Pruned: over 32 neighbouring cells, a row or column of the shape whose rise is more than the highest of the heights under it
// stands above the lowest value found so far can change nothing; rise grows outwards, so neither can any beyond it.
// Cost: cells × a quarter of the cells under the bit at worst, on smooth ground a small part of it.
#include "morphology.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "burin/base/clones.hpp"

namespace burin::proving {
namespace {

constexpr int block = 32;
constexpr double edge = 1e-6;  // mm: a cell exactly on the rim is not under the bit, so that a channel as wide as the bit is reached
constexpr float nothing = -std::numeric_limits<float>::max();

/// The bit's rise by rows: rises[dj][di], di = 0 … widths[dj].
struct Shape {
    int radius = 0;
    std::vector<std::vector<float>> rises;
    Shape(const Bit& bit, double cell) {
        const double r = bit.radius();
        radius = static_cast<int>(r / cell);
        for (int j = 0; j <= radius; ++j) {
            auto& row = rises.emplace_back();
            for (int i = 0; i <= radius; ++i) {
                const double d = std::sqrt(static_cast<double>(i * i + j * j)) * cell;
                if (d > 0 && d > r - edge) break;
                row.push_back(static_cast<float>(bit.rise(d)));
            }
        }
    }
};

BURIN_CLONES void join_rows(const float* __restrict a, const float* __restrict b, float* __restrict out, int n) {
    for (int i = 0; i < n; ++i) out[i] = a[i] > b[i] ? a[i] : b[i];
}

BURIN_CLONES void block_tops(const float* __restrict row, int blocks, float* __restrict tops) {
    for (int b = 0; b < blocks; ++b) {
        float lanes[8];
        for (int k = 0; k < 8; ++k) lanes[k] = row[b * block + k];
        for (int n = 8; n < block; n += 8)
            for (int k = 0; k < 8; ++k) lanes[k] = lanes[k] > row[b * block + n + k] ? lanes[k] : row[b * block + n + k];
        float top = lanes[0];
        for (int k = 1; k < 8; ++k) top = top > lanes[k] ? top : lanes[k];
        tops[b] = top;
    }
}

/// best[i] = max(best[i], max(row[i − d], row[i + d]) − rise[d]) for d = from … to over one block.
BURIN_CLONES void widen_block(const float* row, const float* rise, int from, int to, float* __restrict best) {
    float kept[block];
    for (int i = 0; i < block; ++i) kept[i] = best[i];
    for (int d = from; d < to; ++d) {
        const float* left = row - d;
        const float* right = row + d;
        const float up = rise[d];
        for (int i = 0; i < block; ++i) {
            const float higher = left[i] > right[i] ? left[i] : right[i];
            const float value = higher - up;
            kept[i] = kept[i] > value ? kept[i] : value;
        }
    }
    for (int i = 0; i < block; ++i) best[i] = kept[i];
}

float least_of(const float* values) {
    float least = values[0];
    for (int i = 1; i < block; ++i) least = std::min(least, values[i]);
    return least;
}

/// T of the head of this file, of sign × in; the result times sign.
HeightMap dilated(const Shape& shape, const HeightMap& in, float sign, float least, const Crew& crew) {
    HeightMap out = in.like(0.0F);
    const int width = in.width(), height = in.height(), r = shape.radius;
    const int blocks = (width + block - 1) / block;
    const int margin = (r + block) / block * block;  // whole blocks, so that tops line up
    const int padded = 2 * margin + blocks * block;
    over_rows(crew, height, 32, [&](int first, int last) {
        // The band's rows, signed and padded, are copied once.
        const int low = std::max(0, first - r), high = std::min(height, last + r);
        const auto pitch = static_cast<std::size_t>(padded);
        std::vector<float> rows(pitch * static_cast<std::size_t>(high - low), nothing), joined(pitch), tops(pitch / block), best(pitch);
        for (int j = low; j < high; ++j) {
            const float* from = in.row(j);
            float* to = rows.data() + pitch * static_cast<std::size_t>(j - low) + margin;
            for (int i = 0; i < width; ++i) to[i] = sign * from[i];
        }
        const auto row_at = [&](int j) { return rows.data() + pitch * static_cast<std::size_t>(j - low); };
        std::vector<float> lows(static_cast<std::size_t>(blocks));
        for (int j = first; j < last; ++j) {
            std::fill(best.begin(), best.end(), least);
            std::fill(lows.begin(), lows.end(), least);
            for (int dj = 0; dj <= r; ++dj) {
                const auto& rise = shape.rises[static_cast<std::size_t>(dj)];
                const int to = static_cast<int>(rise.size());
                if (to == 0) break;
                const bool below = j - dj >= low, above = j + dj < high;
                if (!below && !above) continue;
                const float* row = below ? row_at(j - dj) : row_at(j + dj);
                if (below && above && dj > 0) {
                    join_rows(row_at(j - dj), row_at(j + dj), joined.data(), padded);
                    row = joined.data();
                }
                block_tops(row, padded / block, tops.data());
                const int side = margin / block;
                for (int b = 0; b < blocks; ++b) {
                    const auto n = static_cast<std::size_t>(b);
                    float top = tops[n];
                    for (int k = 1; k <= 2 * side; ++k) top = std::max(top, tops[n + static_cast<std::size_t>(k)]);
                    if (top - rise[0] <= lows[n]) continue;
                    const float* at = row + margin + b * block;
                    float* kept = best.data() + b * block;
                    // In runs, so that the bound tightens on the way.
                    for (int d = 0; d < to && top - rise[static_cast<std::size_t>(d)] > lows[n]; d += 4) {
                        widen_block(at, rise.data(), d, std::min(to, d + 4), kept);
                        lows[n] = least_of(kept);
                    }
                }
            }
            float* result = out.row(j);
            for (int i = 0; i < width; ++i) result[i] = sign * best[static_cast<std::size_t>(i)];
        }
    });
    return out;
}

}  // namespace

HeightMap reach_of(const Bit& bit, const HeightMap& design, const Crew& crew) {
    const Shape shape(bit, design.cell());
    const HeightMap tips = dilated(shape, design, 1.0F, static_cast<float>(-bit.spec().cutting_length), crew);
    return dilated(shape, tips, -1.0F, nothing, crew);
}

}  // namespace burin::proving
