#pragma once
/// Following the line of a figure once, beside it: outlines and cut-outs; inside the room only.
#include <string>
#include <vector>

#include "burin/toolpath/figures.hpp"
#include "figure_walls.hpp"

namespace burin {

struct FollowOrder {
    ReliefBit bit;
    double allowance = 0.3;
    double safe_height = 3;
    double tolerance = 0.005;
    double take = 1;
    double skin = 0;  ///< mm above the stock's underside left to a pass at the very end
    bool conventional = false;
};

struct Followed {
    Toolpath path;
    Region unreached;
    bool anything = false;
};

/// Roughs a slot beside the line, the allowance left where `band` gives room for it, then skims the wall; inner lines before outer
/// ones; over tabs the tip stays above their tops.
[[nodiscard]] Followed follow_walls(const FigureDesign& design, const FollowOrder& order, const Crew& crew);

/// The line with the tip raised over the tabs, wherever the bit, `half` wide to each side, would touch them.
[[nodiscard]] TipLine over_tabs(const Polyline& line, double floor, const std::vector<Tab>& tabs, double half);

/// Corners of a closed line at which it may be entered: all, or some evenly chosen.
[[nodiscard]] std::vector<Point> entries_of(const std::vector<Point>& loop);

}  // namespace burin
