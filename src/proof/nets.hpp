#pragma once
// Whether a board's copper still joins what its artwork joins; inside the room only.
#include <vector>

#include "copper.hpp"
#include "figure.hpp"

namespace burin::proving {

/// Cells of a board: what the artwork asks for, and what is there of it.
struct BoardCells {
    const BoardDesign& design;
    const Crew& crew;
    Cells art;           ///< the artwork's pieces
    Cells left;          ///< 1 where any of it, or of what lies round it, may join pieces
    Cells whole;         ///< the artwork's piece where it is there for sure
    bool grows = false;  ///< what may be lost lies outside the artwork: openings of a mask, which may grow
};

/// How a board's checks speak.
struct BoardWords {
    const char *no_short, *no_break, *width;       ///< names of the checks
    const char *piece, *pieces, *gap, *neck;       ///< "piece of copper", "gap", "track"
    const char* loser;                             ///< "the copper"
    const char *joined, *unparted, *gone, *apart;  ///< flaws, each before "at X… Y…", the last before "in 2 at X… Y…"
    const char *mend_short, *mend_break, *mend_width;
};

/// Three checks in the order of their names; fills Proof::nets with what the cells show. Cost: as of check_nets.
[[nodiscard]] std::vector<Check> check_board(const BoardCells& board, const BoardWords& words, Proof& proof);

/// The copper that is left against the artwork, `c.figure.board`: "no short", "no break", "tracks keep their width"; fills Proof::nets.
/// Cost: some passes over the cells of the stock, four grids of its size.
[[nodiscard]] std::vector<Check> check_nets(const FigureCase& c, Proof& proof);

}  // namespace burin::proving
