#pragma once
/// Small steps that roughing and finishing share when they predict the stock.
#include <cstdint>
#include <vector>

#include "burin/base/grid.hpp"
#include "burin/toolpath/relief.hpp"
#include "clearing.hpp"

namespace burin {

using Mask = Grid<std::uint8_t>;

/// Where no tip has been.
inline constexpr float untouched = 1e6F;

/// stock = min(stock, swept), cell by cell.
void lower(HeightMap& stock, const HeightMap& swept);
/// Rows [low, high) of a map. What is wanted of a filter's result at a few places only is reckoned in bands of rows with as
/// many beside them as the filter looks at, so that the result is never held as a whole.
[[nodiscard]] HeightMap rows_of(const HeightMap& map, int low, int high);
struct RowBand {
    int first, last;  ///< rows of the band
    int low, high;    ///< and with those beside them
};
[[nodiscard]] std::vector<RowBand> bands_of(int height, int beside);
/// Rows beside a cell that a bit above it covers, and one more.
[[nodiscard]] int bit_rows(const Bit& bit, const HeightMap& map);

/// The stock after the bit's tip has been at `reached` (untouched: not there).
void lower_swept(HeightMap& stock, const Bit& bit, const HeightMap& reached, const Crew& crew);
[[nodiscard]] bool any(const Mask& mask);
[[nodiscard]] float lowest_of(const HeightMap& map);

/// How this bit clears a level that lies `spacing` below the one before: loops so close that the ridges between them stay
/// below a quarter of that.
[[nodiscard]] LevelOrder level_order(const ReliefBit& bit, double z, double spacing, double tolerance);

}  // namespace burin
