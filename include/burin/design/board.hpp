#pragma once
/// Circuit boards: copper artwork becomes grooves that part its pieces from each other and from the copper that is not needed.
#include <cstddef>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// How a board is to be isolated. Lengths mm.
struct BoardWishes {
    double copper = 0.035;  ///< thickness of the layer; 35 µm is what a square foot of one ounce comes to (common practice)
    int passes = 1;         ///< grooves beside each other round every piece
    double overlap = 0.3;   ///< share of a groove that the next one covers again, 0 … 0.9
    bool clear = false;     ///< all copper goes that no piece needs
    double squeeze = 0.01;  ///< where a gap is narrower than the groove: what both its sides may lose at most
};

/// A gap of the artwork that is narrower than the groove.
struct NarrowGap {
    Point at;               ///< where it is narrowest
    double width = 0;       ///< there
    bool joins = true;      ///< between two pieces; else within one, where copper stays that harms nobody
    bool squeezed = false;  ///< cut all the same, along its middle
};

/// What the grooves of a board must leave; held against what they do leave by the electrical proof.
struct BoardDesign {
    Region copper;                ///< the artwork where it lies: every figure is a piece of copper of its own
    double layer = 0.035;         ///< thickness of the copper, mm
    double groove = 0;            ///< width of one groove at the top
    double slack = 0.02;          ///< mm that a piece may lose sideways
    Region uncut;                 ///< gaps that stay closed
    std::vector<NarrowGap> gaps;  ///< the narrowest first
};

}  // namespace burin
