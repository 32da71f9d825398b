#pragma once
/// Gaps that are too narrow for what is to run through them; inside the room only.
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/design/board.hpp"

namespace burin {

/// mm that a tool keeps off the copper besides its radius: arcs of offsets are chords.
inline constexpr double gap_spare = 0.003;

struct Closed {
    std::vector<NarrowGap> gaps;    ///< the narrowest first
    Region uncut;                   ///< those that stay closed
    std::vector<Polyline> middles;  ///< of gaps that are cut all the same
};

/// Every place between and within the copper's pieces that a disc of `radius` does not get into; `grown` is the copper grown by that.
/// A gap between two pieces of which either side may lose enough, `squeeze` mm at most, is cut along its middle (medial axis, Blum 1967).
[[nodiscard]] Closed look_at_gaps(const Region& copper, const Region& grown, double radius, double squeeze, const Crew& crew);

/// Those that join pieces before the others, each kind by its width.
void narrowest_first(std::vector<NarrowGap>& gaps);

}  // namespace burin
