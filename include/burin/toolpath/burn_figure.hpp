#pragma once
/// Figures burnt: filled in rows, along their edge, along lines; and the border that is walked before.
#include <cstdint>
#include <optional>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/shape/region.hpp"
#include "burin/toolpath/burn_rows.hpp"

namespace burin {

/// Rows over a figure, evenly spread from its lowest to its highest point, no farther apart than `spacing` mm; `turn` as
/// BurnRowsOrder has it: rows are given in their own frame. Runs shorter than `least` mm are left out. Cost: the crossings.
[[nodiscard]] std::vector<BurnRow> fill_rows(const Region& figure, double spacing, std::uint16_t power, double angle, const Point& pivot,
                                             double least, const Crew& crew);

/// What of a figure is narrower than the spot, so that no spot lies inside it; without the crumbs in its corners.
[[nodiscard]] Region too_narrow(const Region& figure, double spot);

/// How a figure is burnt. Lengths mm.
struct BurnFigureOrder {
    double spot = 0.1;     ///< what the beam marks across
    double spacing = 0.1;  ///< of rows
    bool rows = true;      ///< the inside is filled
    bool edge = true;      ///< its edge is followed; corners slow the head down, so only where power goes with the speed
    double narrow = 0;     ///< what is narrower is followed along its middle: the spot, or more where rows may miss it; 0: nothing
    double beside = 0;     ///< how far the spot's middle keeps from the line: inwards, below 0 outwards
    std::uint16_t power = 1000;
    std::optional<BurnRowsOrder> across;  ///< of every second pass: rows in another direction; its z is not used
    BurnRowsOrder run;                    ///< feed, run-up, angle, pivot, …; its z is where the first pass lies
    int passes = 1;
    double focus_step = 0;  ///< the head goes down by so much from pass to pass
    double tolerance = 0.005;
};

/// Filled: rows within the figure shrunk by half a spot (with an edge and close rows, by a spot), from the lowest up; then its edge, every
/// line after those that it holds; then what is narrower than `narrow`, along its middle; then `lines`, as they are. All of it once a
/// pass. Nothing lies farther from the figure than half a spot. What is lit runs at feed and is never a point: a dot becomes a line of
/// half a spot. Throws Error (refused) where there is nothing to be burnt, (stopped).
[[nodiscard]] Toolpath plan_burnt_figure(const Region& figure, const std::vector<Polyline>& lines, const BurnFigureOrder& order,
                                         const Crew& crew);

/// `rounds` times round the rectangle, counter-clockwise from its lower left corner, at S `power` (0: dark).
[[nodiscard]] Toolpath border_run(const Box& box, double feed, std::uint16_t power, int rounds);

}  // namespace burin
