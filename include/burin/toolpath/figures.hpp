#pragma once
/// Figures become toolpaths: incised, outlined, pocketed, followed as strokes, cut out.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/design/figure.hpp"
#include "burin/toolpath/relief.hpp"

namespace burin {

/// How a figure is to be cut. Lengths mm.
struct FigureOrder {
    std::vector<ReliefBit> bits;  ///< the larger first; incise: a flat one for the floor may stand before the vee
    double allowance = 0.3;       ///< g: what the last pass along a wall takes
    bool conventional = false;    ///< the other way round; else climb
    bool raster = false;          ///< pockets in rows; else along the contour
    bool arcs = false;            ///< runs that lie on a circle become G2 and G3
    double onion_skin = 0;        ///< cut-out: this much is left to a last pass at the end
    double safe_height = 3;       ///< above the stock top
    double tolerance = 0.005;
    double take = 1;  ///< share of what promise 3 allows that is planned with
};

struct FigurePlan {
    std::vector<ReliefToolpath> paths;  ///< in running order; a bit with nothing to do has none
    Region unreached;                   ///< of `may`: what none of the bits can enter, at the stock top
    std::vector<std::string> notes;
};

/// Throw Error (refused) where nothing is to be cut or no bit fits anywhere, naming what would mend it.
[[nodiscard]] FigurePlan plan_incised(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
[[nodiscard]] FigurePlan plan_outline(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
[[nodiscard]] FigurePlan plan_pocket(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
[[nodiscard]] FigurePlan plan_grooves(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
[[nodiscard]] FigurePlan plan_cutout(const FigureDesign& design, const FigureOrder& order, const Crew& crew);

}  // namespace burin
