#pragma once
/// Holding tabs: what keeps a piece in the stock until it is cut loose by hand.
#include <vector>

#include "burin/design/figure.hpp"

namespace burin {

struct TabWishes {
    int count = 4;      ///< round every line; short lines get fewer
    double width = 4;   ///< mm along the line
    double height = 1;  ///< mm above the stock's underside
};

/// Tabs beside every line of a cut-out (`design.traced`), across the slot of `design.band` mm: evenly round the line, each moved
/// to where it runs straightest nearby, the way between two at least as long as a tab with its slot; lines too short for two get one,
/// lines shorter than a tab with its slot none, nor holes out of which nothing wider than the slot comes loose. `thickness` of the stock.
/// Throws Error (refused) where tabs are as high as the stock. Cost: the corners of all lines, and some hundred places a tab. Common
/// practice, no source: on straight or gently curved parts.
[[nodiscard]] std::vector<Tab> place_tabs(const FigureDesign& design, double thickness, const TabWishes& wishes);

}  // namespace burin
