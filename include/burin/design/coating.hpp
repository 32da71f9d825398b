#pragma once
/// Circuit boards by a beam: which part of the coating on the copper is burnt off, so that acid or solder gets at it.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/design/board.hpp"

namespace burin {

/// How a coating is to be burnt off. Lengths mm.
struct CoatingWishes {
    bool mask = false;      ///< off where the artwork is, as over pads; else everywhere but there: what is bare will be etched
    double spot = 0.1;      ///< what the beam marks across
    double least = 0.1;     ///< least width of a place that the beam gets into: the spot, or more where rows alone may miss it
    bool follows = true;    ///< it may follow the middle of narrower places
    double squeeze = 0.01;  ///< what the coating on either side of such a place may lose at most
    double around = 0;      ///< resist: off so far round the copper only; 0: all over the field
};

/// What is burnt, and what that must come to.
struct CoatingDesign {
    Region burnt;                   ///< loses its coating: the beam's middle keeps half a spot inside its line
    std::vector<Polyline> middles;  ///< of places that are narrower, and followed all the same
    /// Mask: `copper` is the artwork, whose figures are openings, and a gap is one that is narrower than the spot.
    BoardDesign board;
    std::vector<std::string> notes, warnings;
};

/// Artwork and the drawing's field as they lie on the stock. Round the copper the coating always goes at least two spots wide, so that
/// pieces at the drawing's edge are parted too. Gaps of the resist are those of `look_at_gaps`; openings of a mask are too narrow where
/// opening them by the spot (Serra 1982) leaves them out. Cost: some offsets of the artwork.
/// Throws Error (refused): no artwork; nothing to be burnt; places too narrow for the beam, with their places and what opens them.
[[nodiscard]] CoatingDesign plan_coating(const Region& artwork, const Region& field, const CoatingWishes& wishes, const Crew& crew);

}  // namespace burin
