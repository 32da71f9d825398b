#pragma once
/// The marks of a test card in a photo, wherever they are and whichever way they look.
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/base/point.hpp"

namespace burin {

/// Something that looks like a mark: a ring, and in its middle a disc.
struct SeenMark {
    Point centre;          ///< in the light's millimetres (cells of 1: pixels from the lower left corner)
    double radius = 0;     ///< of the ring's outer edge, as a circle of its area
    bool large = false;    ///< the disc
    bool lighter = false;  ///< than what is around
    int seen = 0;          ///< at how many levels of light
};

/// How hard to look.
struct MarkSearch {
    double smooth = 0.9;  ///< of grain, pixels of the reduced picture
    int levels = 20;      ///< of light that are tried
};

/// `light`: luminance, cells of 1. Those seen most often first. Cost: contours of the reduced picture at each level, twice.
[[nodiscard]] std::vector<SeenMark> find_marks(const HeightMap& light, const MarkSearch& search, const Crew& crew);

}  // namespace burin
