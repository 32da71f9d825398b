#pragma once
/// What a drawing shall become on the stock: the figure's true line, and how deep which side of it may go.
#include <string>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// A line that the bit's tip follows once, with the depth it has at each point.
struct Groove {
    std::vector<Point3> tip;  ///< mm, work coordinates
    bool closed = false;
};

/// A holding tab: stock that a cut-out leaves standing.
struct Tab {
    Region place;    ///< where stock must stay up to `top`, across the whole way of the bit
    double top = 0;  ///< z
};

/// A figure to be cut, in work coordinates. Three kinds of design, told by what is filled in:
/// - a floor with upright walls (pocket, outline inside and outside, cut-out): `may`, `floor`, perhaps `band` and `tabs`;
/// - a floor with walls as steep as a vee bit (incised): `may`, `floor`, `half_angle`;
/// - grooves (stroke, outline on the line): `grooves`; the surface is what the bit leaves that follows them.
struct FigureDesign {
    Region traced;          ///< the traced line itself, for the report
    Region may;             ///< where stock may be taken, at the stock top; its line is the traced line
    double floor = 0;       ///< lowest z of the tip, < 0
    double half_angle = 0;  ///< of the walls against the vertical, radians; 0: upright
    double band = 0;        ///< mm: only what a bit reaches that follows the line of `may` once is to be cut, so wide; 0: all of it
    std::vector<Tab> tabs;
    std::vector<Groove> grooves;
    double breakthrough = 0;  ///< mm that `floor` lies below the stock's underside, declared
    std::vector<std::string> notes, warnings;
};

}  // namespace burin
