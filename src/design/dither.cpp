/// Greys become dots: by error diffusion, or by a matrix of thresholds.
///
/// Error diffusion (Floyd and Steinberg 1976; Jarvis, Judice and Ninke 1976; Stucki 1981) sets a dot where a cell and what came to
/// it is darker than the half, and hands what that is too much or too little to cells not yet seen. It keeps fine detail and
/// makes worms in even greys; going to and fro breaks those up. A matrix of thresholds (Bayer 1973; Ulichney 1993) asks each cell
/// alone: no worms, less detail, any cell in any order. Cost: a pass over the cells, with the products of the kernel for each.
#include "burin/design/dither.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cstring>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr int reach = 2;  // cells that the widest kernel goes to each side

constexpr std::array<DiffusedShare, 4> floyd_steinberg{{{1, 0, 7.0F / 16}, {-1, 1, 3.0F / 16}, {0, 1, 5.0F / 16}, {1, 1, 1.0F / 16}}};
constexpr std::array<DiffusedShare, 12> jarvis{{{1, 0, 7.0F / 48},
                                                {2, 0, 5.0F / 48},
                                                {-2, 1, 3.0F / 48},
                                                {-1, 1, 5.0F / 48},
                                                {0, 1, 7.0F / 48},
                                                {1, 1, 5.0F / 48},
                                                {2, 1, 3.0F / 48},
                                                {-2, 2, 1.0F / 48},
                                                {-1, 2, 3.0F / 48},
                                                {0, 2, 5.0F / 48},
                                                {1, 2, 3.0F / 48},
                                                {2, 2, 1.0F / 48}}};
constexpr std::array<DiffusedShare, 12> stucki{{{1, 0, 8.0F / 42},
                                                {2, 0, 4.0F / 42},
                                                {-2, 1, 2.0F / 42},
                                                {-1, 1, 4.0F / 42},
                                                {0, 1, 8.0F / 42},
                                                {1, 1, 4.0F / 42},
                                                {2, 1, 2.0F / 42},
                                                {-2, 2, 1.0F / 42},
                                                {-1, 2, 2.0F / 42},
                                                {0, 2, 4.0F / 42},
                                                {1, 2, 2.0F / 42},
                                                {2, 2, 1.0F / 42}}};

/// A row of `n` cells, from the first in the direction `way` (1 or −1). The rows of errors have `reach` cells more on each
/// side, which swallow what leaves the picture; `errors[0]` belongs to this row, the others to the next two.
void diffuse_row(const float* darkness, std::uint8_t* dots, int n, int way, const std::array<float*, 3>& errors,
                 std::span<const DiffusedShare> shares) {
    for (int step = 0; step < n; ++step) {
        const int i = way > 0 ? step : n - 1 - step;
        const float wanted = std::clamp(darkness[i], 0.0F, 1.0F) + errors[0][i + reach];
        const bool dot = wanted > 0.5F;
        dots[i] = dot ? 1 : 0;
        const float error = wanted - (dot ? 1.0F : 0.0F);
        for (const DiffusedShare& s : shares) errors[static_cast<std::size_t>(s.down)][i + way * s.right + reach] += error * s.share;
    }
}

Grid<std::uint8_t> diffused(const Grid<float>& darkness, std::span<const DiffusedShare> shares, bool serpentine, const Crew& crew) {
    auto dots = darkness.like<std::uint8_t>(0);
    const int n = darkness.width();
    const std::size_t wide = static_cast<std::size_t>(n) + 2 * reach;
    std::vector<float> memory(3 * wide, 0.0F);
    std::array<float*, 3> errors{memory.data(), memory.data() + wide, memory.data() + 2 * wide};
    for (int row = 0; row < darkness.height(); ++row) {
        if (row % 256 == 0) crew.check();
        const int j = darkness.height() - 1 - row;
        diffuse_row(darkness.row(j), dots.row(j), n, serpentine && row % 2 == 1 ? -1 : 1, errors, shares);
        std::rotate(errors.begin(), errors.begin() + 1, errors.end());
        std::fill_n(errors[2], wide, 0.0F);
    }
    return dots;
}

/// A dot where the darkness is above the threshold; the matrix of side `side` lies over the picture from its upper left corner.
Grid<std::uint8_t> by_matrix(const Grid<float>& darkness, const std::vector<std::uint16_t>& order, int side, const Crew& crew) {
    auto dots = darkness.like<std::uint8_t>(0);
    const auto levels = static_cast<float>(side * side);
    over_rows(crew, darkness.height(), 64, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const std::uint16_t* line = order.data() + static_cast<std::ptrdiff_t>((darkness.height() - 1 - j) % side) * side;
            const float* from = darkness.row(j);
            std::uint8_t* to = dots.row(j);
            for (int i = 0; i < darkness.width(); ++i) to[i] = from[i] * levels > static_cast<float>(line[i % side]) + 0.5F ? 1 : 0;
        }
    });
    return dots;
}

}  // namespace

std::span<const DiffusedShare> diffused_shares(Dither method) {
    switch (method) {
        case Dither::floyd_steinberg:
            return floyd_steinberg;
        case Dither::jarvis:
            return jarvis;
        case Dither::stucki:
            return stucki;
        default:
            return {};
    }
}

std::vector<std::uint16_t> bayer_matrix(int side) {
    if (side != 2 && side != 4 && side != 8 && side != 16)
        throw Error(Fault::usage, fmt::format("An ordered matrix has a side of 2, 4, 8 or 16 cells, not {}.", side));
    const auto n = static_cast<std::size_t>(side);
    std::vector<std::uint16_t> matrix(n * n, 0);
    // Each doubling sets four copies of four times the smaller one side by side and adds 0 2 / 3 1 (Bayer 1973).
    for (std::size_t half = 1; half < n; half *= 2)
        for (std::size_t j = half; j-- > 0;)
            for (std::size_t i = half; i-- > 0;) {
                const auto four = static_cast<std::uint16_t>(4 * matrix[j * n + i]);
                matrix[j * n + i] = four;
                matrix[j * n + i + half] = static_cast<std::uint16_t>(four + 2);
                matrix[(j + half) * n + i] = static_cast<std::uint16_t>(four + 3);
                matrix[(j + half) * n + i + half] = static_cast<std::uint16_t>(four + 1);
            }
    return matrix;
}

Grid<std::uint8_t> dithered(const Grid<float>& darkness, Dither method, bool serpentine, const Crew& crew) {
    switch (method) {
        case Dither::ordered:
            return by_matrix(darkness, bayer_matrix(4), 4, crew);
        case Dither::ordered_fine:
            return by_matrix(darkness, bayer_matrix(8), 8, crew);
        case Dither::blue_noise:
            return by_matrix(darkness, void_and_cluster(64), 64, crew);
        default:
            return diffused(darkness, diffused_shares(method), serpentine, crew);
    }
}

}  // namespace burin
