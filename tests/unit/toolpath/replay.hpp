#pragma once
/// A slow and obvious replay: the tip is put down at places close together along every move.
#include "burin/base/grid.hpp"
#include "burin/motion/track.hpp"
#include "burin/toolpath/relief.hpp"
#include "burin/workshop/bit.hpp"

namespace burin::test {

/// What is allowed while it runs.
struct Rules {
    double most = 100;    ///< m, mm
    double strip = 0;     ///< g, mm: what is narrower does not count for the height
    double plunge = 1e6;  ///< mm/min
};

/// What was seen, over all moves.
struct Seen {
    double rapid_in_stock = 0;  ///< deepest, mm
    std::size_t slanted_rapids = 0;
    std::size_t fast_descents = 0;  ///< moves that go down faster than the plunge feed
    double most_at_once = 0;        ///< height taken by one move over a disc wider than the strip, mm
    Point most_at;                  ///< where
    double section = 0;             ///< stock removed ÷ way over half a diameter, of most × the diameter at work
    Point3 section_at;              ///< where
    double peck = 0;                ///< most height taken by one move straight down, mm
    double lowest = 0;              ///< of the tip
    double removed = 0;             ///< mm³
};

/// Takes off `stock` what the bit takes along the track.
Seen replay(const Bit& bit, const Track& track, const Rules& rules, HeightMap& stock);

/// The same map with cells of half the side.
[[nodiscard]] HeightMap halved(const HeightMap& map);

/// Largest depth of `surface` (cells of half the side) below the design, whose lowest value within one cell counts.
[[nodiscard]] double gouge(const HeightMap& surface, const HeightMap& design);

/// Most that `surface` stands above `reach` along its normal, the lowest of the surface and the steepest slope
/// within one cell counting.
struct Standing {
    double height = 0;
    Point at;
};
[[nodiscard]] Standing standing(const HeightMap& surface, const HeightMap& reach);

}  // namespace burin::test
