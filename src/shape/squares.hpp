#pragma once
/// Segments sorted into the squares of a grid, so that neighbours are found without asking all.
#include <algorithm>
#include <cstdint>
#include <vector>

#include "lattice.hpp"

namespace burin {

struct LatticeSegment {
    LatticePoint a, b;
    [[nodiscard]] std::int64_t left() const { return std::min(a.x, b.x); }
    [[nodiscard]] std::int64_t right() const { return std::max(a.x, b.x); }
    [[nodiscard]] std::int64_t low() const { return std::min(a.y, b.y); }
    [[nodiscard]] std::int64_t high() const { return std::max(a.y, b.y); }
};

/// For every square the segments that may enter it: those of square k (row by row) are entries[first[k]] … entries[first[k + 1] − 1].
struct Squares {
    LatticePoint lo;
    std::int64_t step = 1, columns = 0, rows = 0;
    std::vector<std::uint32_t> first, entries;
};

/// About as many squares as segments. Cost: n for segments of like lengths, n √n for long ones.
[[nodiscard]] Squares sorted_into_squares(const std::vector<LatticeSegment>& segments);

}  // namespace burin
