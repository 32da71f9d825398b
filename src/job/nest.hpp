#pragma once
/// Many small pieces on boards: where each lies, and the job that cuts a whole board.
#include <string>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/job/job.hpp"

namespace burin {

struct Spot {
    std::size_t board = 0;
    Point lo;  ///< the piece's lower left corner, from the board's
};
/// Rectangles in shelves, the higher ones first and of equal ones the earlier, each on the first shelf that has room, a new board where
/// no shelf has; `gap` between pieces and from the board's edges. Same pieces, same spots. A piece that does not fit an empty board has
/// no spot: its board is no_board. Cost: pieces × shelves. (First fit by decreasing height: Coffman, Garey, Johnson, Tarjan 1980.)
[[nodiscard]] std::vector<Spot> packed(const std::vector<Point>& sizes, const Point& board, double gap);
inline constexpr std::size_t no_board = static_cast<std::size_t>(-1);

struct Piece {
    std::string name;  ///< stands before the ids of its cuts
    Job job;
};

/// Width and height of a piece's stock. Throws Error (usage): it has none, it is not as thick as the board, or it is a trial.
[[nodiscard]] Point piece_size(const Job& job, const std::string& board);

/// How far pieces must lie apart: the widest bit that cuts out, and the allowance on both sides of it; 0 where nothing is cut out.
/// `bits` are the diameters of each cut's bits, mm.
[[nodiscard]] double least_gap(const Job& job, const std::vector<double>& widest_bits);

/// One job for all pieces of a board, whose zero is its lower left corner: cuts keep their place on their piece. Cuts with `fit` must
/// have been sized before. Throws Error (usage)
/// where the pieces do not agree on machine, material or the like.
[[nodiscard]] Job board_job(const std::vector<Piece>& pieces, const std::vector<Point>& lower_left, const std::string& board,
                            const std::string& name);

}  // namespace burin
