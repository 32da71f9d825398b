// The surface that is left against the design and against what the bit can reach (promises 1 and 2).
//
// gouge    = (lowest of the design within one cell) − surface,
// standing = ((lowest of the surface within one cell) − reach) ⁄ √(1 + steepest²), steepest the largest slope of the reach within
// one cell: a height above a slope φ stands off by its cosine, measured along the normal (plane geometry). The slack of one cell
// is why a wall that lies between two cell centres is neither. Cost: a dozen operations a cell, row by row.
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "burin/base/clones.hpp"
#include "morphology.hpp"
#include "way.hpp"

#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC optimize("no-math-errno", "no-trapping-math")
#endif
#if defined(__GNUC__)
// It never sees a negative value here, so it sets no errno; with that said and the pragma above the loops become vectors.
extern "C" [[gnu::const]] float sqrtf(float) noexcept;
#endif

namespace burin::proving {
namespace {

constexpr int lanes = 8;

/// out[i] = least of a, b, c at i − 1 … i + 1; rows have a cell more on both sides.
BURIN_CLONES void least_of_nine(const float* a, const float* b, const float* c, int n, float* __restrict column, float* __restrict out) {
    for (int i = -1; i <= n; ++i) {
        const float ab = a[i] < b[i] ? a[i] : b[i];
        column[i] = ab < c[i] ? ab : c[i];
    }
    for (int i = 0; i < n; ++i) {
        const float lr = column[i - 1] < column[i + 1] ? column[i - 1] : column[i + 1];
        out[i] = lr < column[i] ? lr : column[i];
    }
}
BURIN_CLONES void most_of_nine(const float* a, const float* b, const float* c, int n, float* __restrict column, float* __restrict out) {
    for (int i = -1; i <= n; ++i) {
        const float ab = a[i] > b[i] ? a[i] : b[i];
        column[i] = ab > c[i] ? ab : c[i];
    }
    for (int i = 0; i < n; ++i) {
        const float lr = column[i - 1] > column[i + 1] ? column[i - 1] : column[i + 1];
        out[i] = lr > column[i] ? lr : column[i];
    }
}

/// Squared slope: central differences, `across` = 1 / (2 cell), `along` = 1 / (distance of the rows a and c).
BURIN_CLONES void squared_slope(const float* a, const float* b, const float* c, int n, float across, float along, float* __restrict out) {
    for (int i = 0; i < n; ++i) {
        const float gx = (b[i + 1] - b[i - 1]) * across, gy = (c[i] - a[i]) * along;
        out[i] = gx * gx + gy * gy;
    }
}

BURIN_CLONES void differ(const float* __restrict high, const float* __restrict low, int n, float* __restrict out) {
    for (int i = 0; i < n; ++i) out[i] = high[i] - low[i];
}

BURIN_CLONES void stand_off(const float* __restrict surface, const float* __restrict reach, const float* __restrict slope2, int n,
                            float* __restrict out) {
    for (int i = 0; i < n; ++i) out[i] = (surface[i] - reach[i]) / sqrtf(1.0F + slope2[i]);
}

/// Sum of squares of what is above 0, where the reach is below the top; and how many such cells.
BURIN_CLONES void square_sum(const float* __restrict standing, const float* __restrict reach, int blocks, float* __restrict sum,
                             float* __restrict count) {
    for (int b = 0; b < blocks; ++b)
        for (int k = 0; k < lanes; ++k) {
            const float v = standing[b * lanes + k] > 0 ? standing[b * lanes + k] : 0;
            const float counts = reach[b * lanes + k] < -1e-6F ? 1.0F : 0.0F;
            sum[k] += counts * v * v;
            count[k] += counts;
        }
}

BURIN_CLONES float highest(const float* row, int blocks) {
    float top[lanes];
    for (int k = 0; k < lanes; ++k) top[k] = row[k];
    for (int b = 1; b < blocks; ++b)
        for (int k = 0; k < lanes; ++k) top[k] = top[k] > row[b * lanes + k] ? top[k] : row[b * lanes + k];
    float most = top[0];
    for (int k = 1; k < lanes; ++k) most = most > top[k] ? most : top[k];
    return most;
}

/// A row with its first and last cell repeated outside.
class Row {
public:
    explicit Row(int width) : cells_(static_cast<std::size_t>(width) + 2 + lanes, 0.0F) {}
    float* at() { return cells_.data() + 1; }
    void repeat_ends(int width) { at()[-1] = at()[0], at()[width] = at()[width - 1]; }
    void copy(const HeightMap& map, int j) {
        std::copy_n(map.row(std::clamp(j, 0, map.height() - 1)), map.width(), at());
        repeat_ends(map.width());
    }

private:
    std::vector<float> cells_;
};

/// Rows j − 1, j, j + 1 of a map.
struct Three {
    std::array<Row, 3> rows;
    const HeightMap& map;
    Three(const HeightMap& m, int j) : rows{Row(m.width()), Row(m.width()), Row(m.width())}, map(m) {
        for (int k = 0; k < 3; ++k) rows[static_cast<std::size_t>(k)].copy(m, j - 1 + k);
    }
    void next(int j) {
        std::rotate(rows.begin(), rows.begin() + 1, rows.end());
        rows[2].copy(map, j + 1);
    }
    const float* operator[](std::size_t k) { return rows[k].at(); }
};

void slope_row(const HeightMap& reach, int j, Row& out) {
    const int width = reach.width(), height = reach.height();
    j = std::clamp(j, 0, height - 1);
    const int below = std::max(0, j - 1), above = std::min(height - 1, j + 1);
    const float cell = static_cast<float>(reach.cell()), across = 0.5F / cell;
    const float along = above > below ? 1.0F / (static_cast<float>(above - below) * cell) : 0.0F;
    const float *a = reach.row(below), *b = reach.row(j), *c = reach.row(above);
    if (width > 2) squared_slope(a + 1, b + 1, c + 1, width - 2, across, along, out.at() + 1);
    const auto end = [&](int i, int from, int to) {
        const float gx = to > from ? (b[to] - b[from]) / cell : 0.0F, gy = (c[i] - a[i]) * along;
        out.at()[i] = gx * gx + gy * gy;
    };
    end(0, 0, std::min(1, width - 1));
    if (width > 1) end(width - 1, width - 2, width - 1);
    out.repeat_ends(width);
}

struct BandFigures {
    Worst gouge, standing;
    double squares = 0, cells = 0;
};

void keep_worst(Row& row, int width, int j, Worst& worst) {
    const int blocks = (width + lanes - 1) / lanes;
    std::fill(row.at() + width, row.at() + blocks * lanes, row.at()[width - 1]);
    const float most = highest(row.at(), blocks);
    if (most > worst.value) worst = {most, static_cast<int>(std::find(row.at(), row.at() + width, most) - row.at()), j};
}

}  // namespace

Comparison compare(const HeightMap& surface, const HeightMap& design, const HeightMap& reach, const Crew& crew) {
    const int width = surface.width(), height = surface.height(), grain = 64;
    const bool slack = surface.cell() <= most_slack;
    std::vector<BandFigures> parts(static_cast<std::size_t>((height + grain - 1) / grain));
    over_rows(crew, height, grain, [&](int first, int last) {
        BandFigures& figures = parts[static_cast<std::size_t>(first / grain)];
        Three designs(design, first), surfaces(surface, first);
        std::array<Row, 3> slopes{Row(width), Row(width), Row(width)};
        for (int k = 0; k < 3; ++k) slope_row(reach, first - 1 + k, slopes[static_cast<std::size_t>(k)]);
        Row column(width), lowest(width), steepest(width), difference(width);
        const int whole = width / lanes;
        for (int j = first; j < last; ++j) {
            if (j > first) {
                designs.next(j), surfaces.next(j);
                std::rotate(slopes.begin(), slopes.begin() + 1, slopes.end());
                slope_row(reach, j + 1, slopes[2]);
            }
            if (slack) least_of_nine(designs[0], designs[1], designs[2], width, column.at(), lowest.at());
            differ(slack ? lowest.at() : designs[1], surfaces[1], width, difference.at());
            keep_worst(difference, width, j, figures.gouge);
            if (slack) least_of_nine(surfaces[0], surfaces[1], surfaces[2], width, column.at(), lowest.at());
            most_of_nine(slopes[0].at(), slopes[1].at(), slopes[2].at(), width, column.at(), steepest.at());
            stand_off(slack ? lowest.at() : surfaces[1], reach.row(j), steepest.at(), width, difference.at());
            float sum[lanes] = {}, count[lanes] = {};
            square_sum(difference.at(), reach.row(j), whole, sum, count);
            for (int i = whole * lanes; i < width; ++i)
                if (reach(i, j) < -1e-6F) {
                    const float v = std::max(0.0F, difference.at()[i]);
                    sum[0] += v * v, count[0] += 1;
                }
            for (int k = 0; k < lanes; ++k) figures.squares += static_cast<double>(sum[k]), figures.cells += static_cast<double>(count[k]);
            keep_worst(difference, width, j, figures.standing);
        }
    });
    Comparison result;
    double squares = 0, cells = 0;
    for (const BandFigures& part : parts) {
        if (part.gouge.value > result.gouge.value) result.gouge = part.gouge;
        if (part.standing.value > result.standing.value) result.standing = part.standing;
        squares += part.squares, cells += part.cells;
    }
    result.standing_rms = cells > 0 ? std::sqrt(squares / cells) : 0;
    return result;
}

float lowest_beside(const HeightMap& map, int i, int j) {
    if (map.cell() > most_slack) return map(i, j);
    float lowest = map(i, j);
    for (int b = std::max(0, j - 1); b <= std::min(map.height() - 1, j + 1); ++b)
        for (int a = std::max(0, i - 1); a <= std::min(map.width() - 1, i + 1); ++a) lowest = std::min(lowest, map(a, b));
    return lowest;
}

}  // namespace burin::proving
