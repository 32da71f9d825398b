#pragma once
/// Finishing in parallel lines along the rows of the grid: what they take one after the other, and their way.
#include <cstdint>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/workshop/bit.hpp"
#include "pen.hpp"

namespace burin {

/// Heights of the tip along y = constant, one for each column: linear between rows of `tips`, but no more than a hair below
/// the higher row where that one is the nearer: the edge of a wall may lie half a cell nearer than the centre of its cell.
void tip_row(const HeightMap& tips, double y, std::vector<float>& row);

struct TakeLimits {
    double most = 1;   ///< m, mm: the most that may be taken in height
    double strip = 0;  ///< strips up to this wide do not count, mm
};

struct LinesTaken {
    HeightMap stock;              ///< what the lines leave
    Grid<std::uint8_t> too_much;  ///< cells where one line alone would take more than the limits
    std::size_t count = 0;        ///< of such cells
};

/// Runs the lines in order of y over the stock, each over its whole length, and sees what every single one takes: the
/// height, with strips no wider than `strip` left out of account, and the section against most × the diameter at work.
/// Cost: cells of the lines × cells under the bit.
[[nodiscard]] LinesTaken run_lines(const Bit& bit, const HeightMap& tips, const HeightMap& stock, const std::vector<double>& lines,
                                   const TakeLimits& limits, const Crew& crew);

struct LinesOrder {
    double stepover = 0.1;
    double tolerance = 0.005;
    double least_take = 0.004;  ///< places where less stands above the tip's way are passed over, mm
    double clearance = 0.5;
    bool one_way = false;
    double wall = 5;     ///< cells: steps higher than this are walls and taken straight
    bool sharp = false;  ///< the bit's lowest edge is sharp (flat): every rise is a wall
};

/// Writes the lines: parts with nothing to take are passed over, neighbouring parts are joined at their ends, and a part
/// is cut only after every part beside it on the line before. `meets`: over every cell the height at which the bit first
/// meets stock. `where` (may be null): cells
/// outside are passed over. Thinned, never below `tips`.
void write_lines(Pen& pen, const HeightMap& tips, const HeightMap& meets, const std::vector<double>& lines, const Grid<std::uint8_t>* where,
                 const LinesOrder& order);

}  // namespace burin
