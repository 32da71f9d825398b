#pragma once
/// The walls of figures with upright walls: roughed beside, then skimmed; inside the room only.
#include <optional>
#include <vector>

#include "burin/toolpath/figures.hpp"
#include "figure_entry.hpp"

namespace burin {

/// How wide the bit cuts at the stock top with its tip at the floor, halved: where the tip may run is the figure shrunk by this.
[[nodiscard]] double half_at(const Bit& bit, double floor);

/// Figures are simplified within this before the tip's lines are reckoned, mm.
inline constexpr double simpler = 0.002;

/// What is narrower than the bit by less than this on each side is entered all the same, mm.
inline constexpr double fit = 0.003;

/// The allowance that a bit of that diameter leaves beside walls: no more than it can skim off in corners too.
[[nodiscard]] double wall_allowance(double allowance, double diameter);

/// A wall: the tip's line along it, and how it is taken.
struct Wall {
    std::vector<Point> points;
    bool closed = true;
    std::vector<double> levels;       ///< that the last passes go at
    bool skimmed = false;             ///< each a strip no wider than the allowance: the bit may come in from the side at full depth
    std::optional<Point> begin;       ///< closed: where to come in, about
    std::vector<std::size_t> beside;  ///< skimmed: roughed lines that must be cut before, by their index
};

struct WallOrder {
    CutRules rules;
    double floor = 0;      ///< z
    double left = 0;       ///< mm that roughing leaves beside the wall
    double allowance = 0;  ///< g of promise 3
    double tolerance = 0.005;
};

/// Decides for each line in how many passes it is taken: one, where nowhere more than a strip as wide as the allowance stands
/// beside what was roughed and its section stays within what may be taken; a few where only the section asks for it; else as many
/// as a slot takes. `rough`: the tip's lines that cleared down to the floor.
[[nodiscard]] std::vector<Wall> plan_walls(const std::vector<Polyline>& lines, const LineIndex& rough, const WallOrder& order);

/// Cuts one wall: closed and skimmed, it is entered from the roughed side and left to there, with an overlap; else level by level.
void cut_wall(Pen& pen, const Wall& wall, const LineIndex& rough, const WallOrder& order);

/// The parts of closed lines that lie at `away` mm from the figure's traced line, and not somewhere else, as round the picture's
/// border. `traced` empty: all of them.
[[nodiscard]] std::vector<Polyline> along_line(const std::vector<Loop>& loops, const LineIndex& traced, double away);

/// Throws Error (refused) where the floor is deeper than the bit cuts.
void check_depth(const Bit& bit, double depth);

}  // namespace burin
