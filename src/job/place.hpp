#pragma once
/// Designs on the stock: turned, mirrored, laid on the stock's cells; pieces of them; places that stay untouched.
#include <optional>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/drawing.hpp"
#include "burin/shape/region.hpp"
#include "burin/workshop/stock.hpp"
#include "settle.hpp"

namespace burin {

/// Mirrored left to right, then turned about its centre, counter-clockwise. Quarter turns move cells exactly; other
/// angles sample between cells, and what lies beside the turned rectangle is 0. The centre of the result is (0, 0).
[[nodiscard]] HeightMap turned(const HeightMap& design, double degrees, bool mirror, const Crew& crew);

/// The design with its centre at `at` on a grid of the same cells that covers the stock, 0 beside it. The design's lower
/// left corner is a corner of cells, so that its own cells stay as they are; the stock's edges may fall within cells.
[[nodiscard]] HeightMap on_stock(const HeightMap& design, const Point& at, const Stock& stock);

/// The cells that `box` touches, grown by `margin` mm, as far as there are cells: beyond the stock there is nothing.
[[nodiscard]] HeightMap cut_out(const HeightMap& heights, const Box& box, double margin);

/// A grid without its heights.
struct StockCells {
    int width = 0, height = 0;
    double cell = 0;
    Point origin;
};
[[nodiscard]] StockCells cells_of(const HeightMap& heights);
/// The grid that `piece` was cut out of by cut_out, 0 beside the piece.
[[nodiscard]] HeightMap laid_back(const HeightMap& piece, const StockCells& cells);

/// The same cells elsewhere.
[[nodiscard]] Grid<float> shifted(const Grid<float>& cells, const Point& by);

/// A drawing on the stock: figures, lines, the rectangle of the drawing, in every copy.
struct Placed {
    Region traced, field;
    std::vector<MiddleLine> lines;
    Box box;  ///< round all copies
};
[[nodiscard]] Placed placed_on_stock(const Drawing& drawing, const SettledJob& job);

/// Where the design lies on the grid of on_stock.
[[nodiscard]] Box design_box(const HeightMap& design, const Point& at);

/// The most demanding piece of width × height within `box`: the one with the most wall (sum of the steps between
/// neighbouring cells) and, of equal ones, the deepest. Its box; a piece larger than `box` is cut down to it.
[[nodiscard]] Box demanding_piece(const HeightMap& heights, const Box& box, double width, double height);

/// A spot of the stock's top that no program cuts, with at least `clear` mm of uncut top round it; outside `design` where
/// there is such a place, with as much room as there is up to 5 mm; of equal ones the nearest to the work zero.
[[nodiscard]] std::optional<Point> touch_spot(const HeightMap& surface, const Stock& stock, const Box& design, double clear);

/// The middles of all copies of the design, row by row from the lower left.
[[nodiscard]] std::vector<Point> copies_of(const SettledJob& job);
/// Copies of one design beside each other, `gap` made whole cells.
[[nodiscard]] HeightMap tiled(const HeightMap& item, int rows, int columns, const Point& gap);

}  // namespace burin
