#pragma once
/// From a picture to heights on the stock.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/picture/picture.hpp"

namespace burin {

enum class HeightsKind { map, tone, sculpt, dome, transmit };

struct HeightsWishes {
    HeightsKind kind = HeightsKind::tone;
    double width = 0, height = 0;  ///< mm of the whole picture on the stock (both set by the caller)
    double cell = 0.1;             ///< mm; width and height are made whole cells
    double depth = 2;              ///< mm: map, depth of black; else the lowest point
    double black = 1, white = 99;  ///< percentiles taken as black and white (tone, sculpt's input, transmit)
    double gamma = 1;              ///< of the heights
    bool invert = false;
    double smooth = 0;                                 ///< mm, edge-preserving
    double detail = 1;                                 ///< strength of small detail; 1 = as it is
    double steepest_deg = 90;                          ///< slopes above this are laid back, by lowering stock only
    double border_blend = 0;                           ///< mm; 0: step
    double dome_limit = 0;                             ///< dome: greatest height above its floor, mm; 0: free
    double mu_per_mm = 0;                              ///< transmit
    double least_thickness = 0.8, most_thickness = 0;  ///< transmit, mm; 0: the stock's
    double stock_thickness = 12;
};

struct DesignHeights {
    HeightMap heights;  ///< mm, ≤ 0; the picture's rectangle with its lower left corner at (0, 0)
    std::vector<std::string> notes, warnings;
};

/// Throws Error (refused): blank picture (nothing to cut), everything transparent.
[[nodiscard]] DesignHeights make_heights(const Picture& picture, const HeightsWishes& wishes, const Crew& crew);

}  // namespace burin
