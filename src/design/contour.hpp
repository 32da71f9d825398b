#pragma once
/// Lines round a picture's ink, at sub-pixel accuracy.
#include <cstdint>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"

namespace burin {

/// What is known of a place where a contour crosses the way between two neighbouring pixels.
enum CrossingMark : std::uint8_t {
    on_column = 1,  ///< between pixels above each other: x is a pixel's centre. Else y is
    askew = 2,      ///< the line runs along the way rather than across it: a crossing of the other kind knows it better
    hard = 4        ///< one pixel is all ink, the other all paper: nothing tells where between their centres the edge was
};

/// One closed line; its points lie in Contours::points.
struct Outline {
    std::size_t first = 0, count = 0;
    int parent = -1;    ///< the line next around this one, or −1
    bool hole = false;  ///< paper within ink
    double area = 0;    ///< pixels; negative for a hole
};

/// Lines with the ink on their left. Lengths in pixels, (0, 0) the lower left corner of the picture.
struct Contours {
    std::vector<Point> points;
    std::vector<std::uint8_t> marks;  ///< of each point, CrossingMark
    std::vector<Outline> outlines;    ///< parents before what they hold
};

/// The most crossings that are followed.
inline constexpr std::size_t most_crossings = 6'000'000;

/// How often the field passes the level between pixels that touch, the paper around the picture included.
[[nodiscard]] std::size_t crossings_of(const Grid<float>& field, float level, const Crew& crew);

/// The lines on which the field passes `level`, the greater values being ink; outside the picture all is paper.
///
/// Which pixels a line parts is told by marching squares (Lorensen and Cline 1987 in the plane; saddles by the mean of their four
/// pixels); where it passes between them by the ink in the row or column across it (partial area effect: Trujillo-Pino,
/// Krissian, Alemán-Flores, Santana-Cedrés 2013), which is exact for straight edges of even coverage, or linear where no ink
/// and paper of full tone lie beside the edge. Nesting as in border following (Suzuki and Abe 1985).
/// The field is 0 on paper and 1 in ink; its cells are the pixels, row 0 lowest.
/// Throws Error (refused) beyond most_crossings. Cost: one pass over the pixels, 64 at a time, and some 50 ns a crossing.
[[nodiscard]] Contours contours_of(const Grid<float>& field, float level, const Crew& crew);

}  // namespace burin
