#pragma once
/// Small steps that roughing and finishing share when they predict the stock.
#include <cstdint>

#include "burin/base/grid.hpp"
#include "burin/toolpath/relief.hpp"
#include "clearing.hpp"

namespace burin {

using Mask = Grid<std::uint8_t>;

/// Where no tip has been.
inline constexpr float untouched = 1e6F;

/// stock = min(stock, swept), cell by cell.
void lower(HeightMap& stock, const HeightMap& swept);
/// The stock after the bit's tip has been at `reached` (untouched: not there).
void lower_swept(HeightMap& stock, const Bit& bit, const HeightMap& reached, const Crew& crew);
[[nodiscard]] bool any(const Mask& mask);
[[nodiscard]] float lowest_of(const HeightMap& map);

/// How this bit clears a level that lies `spacing` below the one before: loops so close that the ridges between them stay
/// below a quarter of that.
[[nodiscard]] LevelOrder level_order(const ReliefBit& bit, double z, double spacing, double tolerance);

}  // namespace burin
