#pragma once
/// Tones as dots: many small discs whose sizes, or whose number, cover as much of the surface as a picture asks for.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/base/point.hpp"

namespace burin {

/// A disc on the surface, mm.
struct Dot {
    Point at;
    double diameter = 0;
};

/// How a picture's tones become dots. Lengths mm.
struct StippleWishes {
    int dots = 0;        ///< how many; 0: as many as the darkest tone needs with dots of `most`
    double least = 0.3;  ///< diameters; both the same: equal dots, whose number alone carries the tone
    double most = 1.2;
    double gap = 0;        ///< least distance between two dots' rims; below 0 they may run together by so much
    bool line = false;     ///< the dots become one line: `least` and `most` are its widths, dots get no diameter and may lie anyhow near
    int most_rounds = 40;  ///< of moving each dot to the middle of its cell
};

struct Stipple {
    std::vector<Dot> dots;
    double asked = 0;     ///< mm² that the picture wants covered
    double covered = 0;   ///< mm² of all dots together
    double darkest = 1;   ///< share that is shown at most: dots of `most` that do not run together, × scale
    double scale = 1;     ///< of the coverage: below 1 where the number wished is too small, and all tones come out lighter
    double too_dark = 0;  ///< mm² asked for above that share, which are not there
    int too_close = 0;    ///< dots left out, or made smaller, because no room was found for them
    int rounds = 0;       ///< that the cells took
    std::vector<std::string> notes;
};

/// The share of the surface that discs of a diameter, at least `gap` apart, are laid at most: 0.80 (dense, without order) of the
/// discs' share of a disc with half the gap around it. (Hexagons of touching discs cover π ⁄ √12 = 0.907.)
[[nodiscard]] double darkest_share(double diameter, double gap);

/// Weighted centroidal Voronoi stippling (Secord 2002) of `coverage`, the share of the surface that is to be covered (0 … 1).
///
/// Dots lie as dense as n(x) = k·√coverage, but never so dense that those of the least diameter, or so sparse that those of the most,
/// would cover something else; k makes their number right. The area of each is the coverage that its Voronoi cell holds, within
/// the diameters allowed, so that all together cover what the picture asks for, less what is too dark for dots that do not run
/// together. No dot lies outside the picture or where it is bare (coverage 0). In an order in which neighbours mostly lie near.
/// Same dots on any number of threads. Throws Error: usage, where diameters or the number cannot be; refused, where the picture is
/// bare, or more than two million dots would be needed; stopped. Cost: 20,000 dots 2.2 s of processor time (equal ones 3.2 s).
[[nodiscard]] Stipple stipple(const Grid<float>& coverage, const StippleWishes& wishes, const Crew& crew);

}  // namespace burin
