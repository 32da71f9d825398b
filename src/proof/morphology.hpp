#pragma once
// What of a design a bit can reach, and how a surface compares with it; inside the room only.
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/workshop/bit.hpp"

namespace burin::proving {

/// Closing of the design by the bit (Serra 1982, ch. XII): the lowest surface that the bit can leave without going below the
/// design, with its tip's centre over the grid and never deeper than its cutting length (so that its shank never meets stock).
[[nodiscard]] HeightMap reach_of(const Bit& bit, const HeightMap& design, const Crew& crew);

struct Worst {
    float value = 0;
    int i = 0, j = 0;
};
struct Comparison {
    Worst gouge;              ///< below the design, mm; a wall counts as its lowest height within one cell
    Worst standing;           ///< above the reach along its normal, mm; with the same slack
    double standing_rms = 0;  ///< over the cells that are to be cut
};
/// All three grids alike. Cells larger than 0.1 mm give no slack: it is never more than that.
[[nodiscard]] Comparison compare(const HeightMap& surface, const HeightMap& design, const HeightMap& reach, const Crew& crew);

/// Lowest height within one cell (cells up to 0.1 mm, else itself).
[[nodiscard]] float lowest_beside(const HeightMap& map, int i, int j);

}  // namespace burin::proving
