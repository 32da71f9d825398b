#pragma once
/// From a picture to heights on the stock.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/picture/picture.hpp"

namespace burin {

enum class HeightsKind {
    map,      ///< sample values are heights, linear: white the stock top, black `depth` below; levels are not applied
    tone,     ///< lightness L* (ISO/CIE 11664-4) between two percentiles is height
    sculpt,   ///< bas-relief: large slopes attenuated, small ones kept, put together by Poisson's equation. From lightness;
              ///< grey of 16 bits counts as a map of depths and is taken as it is
    dome,     ///< the dark figure puffed up: ∇²u = −4, height √u, on a floor at −depth
    transmit  ///< a plate to be seen against the light: thickness by Beer–Lambert, white what the least thickness lets through
};

struct HeightsWishes {
    HeightsKind kind = HeightsKind::tone;
    double width = 0, height = 0;  ///< mm of the whole picture on the stock (both set by the caller)
    double cell = 0.1;             ///< mm; width and height are made whole cells, the picture stretched by less than half a cell
    double depth = 2;              ///< mm: map, depth of black; else the lowest point
    double black = 1, white = 99;  ///< percentiles taken as black and white (tone, sculpt's input, transmit)
    double gamma = 1;              ///< of the heights: share of the depth, 0 at the floor, to this power (not for dome)
    bool invert = false;           ///< light and dark swapped; dome: the light figure
    double smooth = 0;             ///< mm, edge-preserving: grain weaker than a tenth of the span is levelled
    double detail = 1;             ///< strength of detail smaller than 1.5 mm; 1 = as it is (sculpt: as suits a relief)
    double steepest_deg = 90;      ///< slopes above this are laid back, by lowering stock only, but for transparent parts
    double border_blend = 0;       ///< mm over which heights go up to 0 at the picture's border; 0: step
    double dome_limit = 0;         ///< dome: greatest height above its floor, mm; 0: free, pressed down to the depth
    double mu_per_mm = 0;          ///< transmit; 0: such that the most thickness lets through a fiftieth of what the least does
    double least_thickness = 0.8, most_thickness = 0;  ///< transmit, mm; 0: the stock's
    double stock_thickness = 12;
};

struct DesignHeights {
    HeightMap heights;  ///< mm, ≤ 0; the picture's rectangle with its lower left corner at (0, 0)
    std::vector<std::string> notes, warnings;
};

/// Heights of `picture` on round(width / cell) × round(height / cell) cells, by area means when shrinking, linear when
/// enlarging, as they are when there are as many pixels as cells. Always −depth ≤ height ≤ 0 (transmit: thickness minus
/// stock_thickness). Cells less than half opaque are 0: the stock is left alone there.
/// Notes say what was assumed (levels, how a dome was fitted), warnings what the user should look at (colour taken as a
/// map, a nearly blank picture). Throws Error (refused): blank picture (nothing to cut), everything transparent, a plate
/// with no room between its least and most thickness.
[[nodiscard]] DesignHeights make_heights(const Picture& picture, const HeightsWishes& wishes, const Crew& crew);

}  // namespace burin
