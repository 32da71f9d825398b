#pragma once
/// Tracks that were made for a flat top, bent onto a stock that is not flat.
#include "burin/base/grid.hpp"
#include "burin/motion/track.hpp"

namespace burin {

/// The track with every height counted from the stock's top at its place instead of from 0: `heights` are those of the top beside 0, read
/// as height_at does. Feed moves and arcs become straight moves, cut up so that none leaves the bent way by more than `tolerance` mm; a
/// rapid in X and Y keeps over the highest place on its way, with a rapid of Z alone before it where that takes it up and after it where
/// that left it too high. Each move says the line of the one that it stands for; events stay where they were.
/// Cost: a few lookups for each half millimetre of way.
/// Throws Error (refused): a rapid that moves Z together with X or Y, with its line.
[[nodiscard]] Track follow_top(const Track& track, const HeightMap& heights, double tolerance = 0.005);

}  // namespace burin
