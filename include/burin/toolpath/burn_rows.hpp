#pragma once
/// Rows of a beam: lit runs, dark run-ups, and the way from row to row. Pictures and filled figures are burnt by them.
#include <cstdint>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/point.hpp"
#include "burin/motion/track.hpp"
#include "burin/workshop/machine.hpp"

namespace burin {

/// A lit stretch of a row: from `from` to `to` (from < to, mm along the row), at S `power` > 0.
struct BurnRun {
    double from = 0, to = 0;
    std::uint16_t power = 0;
    friend bool operator==(const BurnRun&, const BurnRun&) = default;
};
/// Runs of a row from left to right, which do not overlap; none: nothing is lit.
struct BurnRow {
    double y = 0;  ///< mm, in the frame of the rows
    std::vector<BurnRun> runs;
};

/// How rows are run. Their frame is turned by `angle` about `pivot` to give work coordinates.
struct BurnRowsOrder {
    double feed = 1000;    ///< mm/min, of all that is lit
    double run_up = 0;     ///< mm before and behind what is lit, at feed and dark: see run_up_for
    double angle = 0;      ///< radians, counter-clockwise
    Point pivot;           ///< in both frames
    bool one_way = false;  ///< all rows from left to right
    double line_up = 0;    ///< mm to the right, added to all that rows running back light
    double rapid = 2000;   ///< mm/min along the row: gaps are passed at it where that is quicker
    double z = 0;          ///< height of all moves
};

/// The way that it takes to get from rest to `feed` mm/min: v²/(2a), a mm/s² (kinematics).
[[nodiscard]] double run_up_for(double feed, double acceleration);
/// Greatest acceleration and rapid in a direction, mm/s² and mm/min: the least of axis limit ÷ share of the axis.
[[nodiscard]] double acceleration_along(const Machine& machine, double angle);
[[nodiscard]] double rapid_along(const Machine& machine, double angle);

/// Appends the moves for these rows, in the order given, to `path`, which knows where it is: a rapid to the run-up of each row,
/// the run-up at S 0, its runs at their power, gaps between them at S 0 — or, where a rapid gains time, run-out, rapid and run-up —
/// and the run-out at S 0. Rows without runs are passed over; the first row that has some runs to the right, the next back, unless one_way.
/// Every lit move is level and straight, and none is shorter than its run. Cost: the runs. Throws Error (usage) on runs out of order.
void append_rows(Toolpath& path, const std::vector<BurnRow>& rows, const BurnRowsOrder& order, const Crew& crew);

/// The greatest feed, mm/min, at which the controller keeps all lit moves of these rows at one speed: it must be able to stop within the
/// moves that it knows ahead, v² ≤ 2 a Σl over `planned_moves` of them, and gets at most `lines_per_s` lines, v ≤ l R (kinematics). The
/// dark run-outs count as they are at that speed. Rows of long runs: no limit, infinity.
[[nodiscard]] double fastest_feed(const std::vector<BurnRow>& rows, const Machine& machine, double angle);

}  // namespace burin
