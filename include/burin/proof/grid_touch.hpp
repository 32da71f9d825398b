#pragma once
/// The proof of a program that probes a stock's top at many places: its text is run on tops that lie anywhere within reach.
#include <string>
#include <string_view>
#include <vector>

#include "burin/proof/proof.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

/// What the program was asked to do. Lengths mm, work coordinates.
struct GridTouchTask {
    std::string file;  ///< for sentences
    std::string_view text;
    Machine machine;
    Stock stock;
    std::vector<Point> places;  ///< to be touched, in their order
    double safe_z = 3;          ///< the least height of ways across
    double highest = 1;         ///< the top, plate included, is looked for between these
    double lowest = -1;
    double probe_feed = 60;  ///< mm/min, the most that may be
};

struct GridTouchProof {
    /// "spindle off", "touches gently", "every place is touched", "keeps clear of the stock", "inside the travel", "text that the
    /// controller takes", in this order; of stock with keep-outs then "clear of keep-outs".
    std::vector<Check> checks;
    ProgramFigures figures;  ///< time with every touch at the end of its way
    [[nodiscard]] bool holds() const;
};

/// Reads the text by the proof's own reader of probing words. Cost: lines times three tops (the highest, the lowest, one between).
[[nodiscard]] GridTouchProof prove_grid_touch(const GridTouchTask& task);

}  // namespace burin
