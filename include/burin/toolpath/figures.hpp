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
    double hop = 0;               ///< above the stock top between dots that lie near each other; 0: the safe height
    double tolerance = 0.005;
    double take = 1;  ///< share of what promise 3 allows that is planned with
};

struct FigurePlan {
    std::vector<ReliefToolpath> paths;  ///< in running order; a bit with nothing to do has none
    Region unreached;                   ///< of `may`: what none of the bits can enter, at the stock top
    std::vector<std::string> notes;
};

/// Of all: levels lie no farther apart than the depth per pass × `take`; the bit ramps in along its way, plunges (in pecks) only where
/// no ramp finds room and it cuts at its centre; figures are simplified within 0.002 mm and the tip's lines reckoned within 0.002
/// more; lines and figures come in an order with little idle travel, inner ones before outer ones. With `arcs` lines leave these by up
/// to `tolerance`. Same moves on any number of threads. Throw Error (refused) where nothing is to be cut, a bit does not fit
/// anywhere or is too short, naming what would mend it; Error (stopped).

/// The last bit is a vee whose half angle is the design's; it follows the medial axis (Blum 1967), and where that lies deeper than
/// `floor` (which must not lie below the end of the bit's cone) the floor's edge and the floor. Flat bits before it clear what they
/// can get at of the floor.
[[nodiscard]] FigurePlan plan_incised(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
/// The last bit alone follows the line once, beside it (`may`, `floor`, `band`) or on it (`grooves`: as plan_grooves does). Where `band`
/// is wider than the bit the slot is roughed that much wider (but by no more than nine tenths of the allowance, or a quarter of the
/// bit), and the wall skimmed last, in one pass where promise 3 lets it. Parts of the line of `may` that `traced` does not have are
/// not followed.
[[nodiscard]] FigurePlan plan_outline(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
/// Each bit clears what it can get at and none before it could.
[[nodiscard]] FigurePlan plan_pocket(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
/// The last bit alone; lines whose ends meet at one height become one. Grooves of a single point are dots: straight down, in pecks of
/// at most the depth per pass; throws Error (refused) where all are and the bit does not cut at its centre.
[[nodiscard]] FigurePlan plan_grooves(const FigureDesign& design, const FigureOrder& order, const Crew& crew);
/// The order of many places with little way between them, from `start` on: as dots are cut. Always the same for the same places.
/// Throws Error (stopped). Cost: 20,000 in half a second.
[[nodiscard]] std::vector<std::size_t> short_order(const std::vector<Point>& places, const Point& start, const Crew& crew);
/// As an outline, over the tabs: the tip is lifted to their tops wherever the bit would touch them, and ramps in again behind them.
/// With an onion skin all lines are cut down to it first, and through it in a last pass.
[[nodiscard]] FigurePlan plan_cutout(const FigureDesign& design, const FigureOrder& order, const Crew& crew);

}  // namespace burin
