#pragma once
/// Greys become dots that are there or not.
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"

namespace burin {

enum class Dither {
    floyd_steinberg,  ///< /16: 7 · 3 5 1 (Floyd and Steinberg 1976)
    jarvis,           ///< /48: 7 5 · 3 5 7 5 3 · 1 3 5 3 1 (Jarvis, Judice and Ninke 1976)
    stucki,           ///< /42: 8 4 · 2 4 8 4 2 · 1 2 4 2 1 (Stucki 1981)
    ordered,          ///< Bayer's matrix of 4 × 4: 17 levels, so a mean is kept to 1/32 (Bayer 1973)
    ordered_fine,     ///< the same of 8 × 8: 65 levels
    blue_noise        ///< void and cluster (Ulichney 1993): as even as it goes, without a pattern
};

/// 1 where a dot is, 0 where none: as many dots as `darkness` (0 bare … 1 full; what lies beyond counts as 0 or 1) says, on
/// the same cells. The rows are taken from the top one (highest y) down, as a picture is read. Where the error is diffused, the
/// first goes from left to right; so do all others, or with `serpentine` every second goes back. Error that would leave the
/// picture is dropped. The matrices begin in the upper left corner. Cost: twelve products a cell at most.
[[nodiscard]] Grid<std::uint8_t> dithered(const Grid<float>& darkness, Dither method, bool serpentine = true, const Crew& crew = {});

/// Where the error of a cell goes: `share` of it `right` cells on in the direction of the row and `down` rows on.
struct DiffusedShare {
    int right, down;
    float share;
};
/// The shares of a method that diffuses the error; of another none.
[[nodiscard]] std::span<const DiffusedShare> diffused_shares(Dither method);

/// A square of `side` × `side` cells (4 to 256) that tiles the plane, each holding its place 0 … side² − 1 in the order in which
/// dots are set so that they are as even as they can be at every number of them (Ulichney 1993, a Gaussian of 1.5 cells).
/// The same on every machine: the reckoning is in whole numbers. Cost: side⁴; 64: some milliseconds. Throws Error (usage).
[[nodiscard]] std::vector<std::uint16_t> void_and_cluster(int side);
/// Bayer's matrix, row by row from the top: side 2, 4, 8 or 16, each number 0 … side² − 1 once. Throws Error (usage).
[[nodiscard]] std::vector<std::uint16_t> bayer_matrix(int side);

}  // namespace burin
