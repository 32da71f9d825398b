#pragma once
/// The sheet of a board that is made from both sides: what comes in which order, and how the board is turned in between.
#include <string>
#include <vector>

#include "burin/design/nets.hpp"
#include "burin/shape/region.hpp"

namespace burin {

struct BoardSide {
    struct Program {
        std::string file, bit;
        double time_s = 0;
    };
    std::string name;  ///< "top"
    std::string page;  ///< its own report: "top-report.html"
    std::vector<Program> programs;
};
struct BoardSheet {
    std::string name, version;
    BoardSide top, bottom;
    bool left_right = true;             ///< how the board is turned
    std::string stock;                  ///< in words
    Region copper_above, copper_below;  ///< as seen from above, mm from the drawings' lower left corner
    std::vector<Point> holes;
    NetList nets;
    std::vector<std::string> warnings, cautions;
};

/// One file, no outside references but the links to the sides' own pages in the same folder.
[[nodiscard]] std::string board_sheet_html(const BoardSheet& sheet);

}  // namespace burin
