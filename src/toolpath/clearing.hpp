#pragma once
/// Clearing a region of one level: loops that follow its edge inwards or straight lines, entered by ramps, joined while the
/// way is clear.
#include <string>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "pen.hpp"

namespace burin {

struct LevelOrder {
    double z = 0;             ///< height of the tip
    double stepover = 1;      ///< between loops, mm; at most 0.95 × the bit's radius, so that nothing is left between them
    double tolerance = 0.02;  ///< of thinning, mm
    double feed = 1000;       ///< mm/min
    double ramp = 0.1;        ///< greatest slope of a ramp, mm a mm
    double most = 1;          ///< m, mm: the section of a slot that deep is not exceeded
    double diameter = 3.175;  ///< of the bit, mm
    double most_peck = 0;     ///< straight plunges take at most this; 0: never
    bool flat = true;         ///< the bit leaves no ridges between loops
    double clearance = 0.5;   ///< above stock, for rapids, mm
};

/// `region`: cells over which the tip may be at z. `stock`: over every cell, the height at which the bit first meets
/// stock (null: it is whole, its top at 0); two cells inside the region of a flat bit that is stock_z at most.
/// Every cell of the region is within one stepover of the way. Ways no longer than a cell are pecked or, where that is not
/// allowed, left out. `reached` (may be null) is marked by mark_way. Returns the number of ways cut.
std::size_t clear_level(Pen& pen, Grid<std::uint8_t> region, const HeightMap* stock, double stock_z, const LevelOrder& order,
                        HeightMap* reached);

/// Straight down from `top`, where the pen is, to order.z, lifting the bit out to clear its chips after every most_peck.
void peck(Pen& pen, const Point& at, double top, const LevelOrder& order);

}  // namespace burin
