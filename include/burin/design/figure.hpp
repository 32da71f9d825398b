#pragma once
/// What a drawing shall become on the stock: the figure's true line, and how deep which side of it may go.
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/base/point.hpp"
#include "burin/design/board.hpp"
#include "burin/design/trace.hpp"
#include "burin/shape/region.hpp"
#include "burin/workshop/bit.hpp"

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

/// What grooves or dots are to look like from afar.
struct ToneDesign {
    Grid<float> coverage;        ///< share of the surface that is to be covered, 0 … 1, work coordinates; 0 beyond it
    double window = 1;           ///< mm: spread of the Gaussian over which tones are compared, 1.5 pitches
    double least = 0, most = 1;  ///< what can be covered at all: by the shallowest grooves, by the deepest
    double slack = 0.02;         ///< share of the surface by which the coverage may be off there
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
    std::optional<ToneDesign> tone;    ///< grooves of a photo
    std::optional<BoardDesign> board;  ///< grooves of a circuit board
    double breakthrough = 0;           ///< mm that `floor` lies below the stock's underside, declared
    std::vector<std::string> notes, warnings;
};

enum class FigureKind { incise, outline, pocket, stroke, cutout, screen, stipple, isolate, drill };
enum class LineSide { on, inside, outside };

/// What is to be made of a traced drawing. Lengths mm.
struct FigureWishes {
    FigureKind kind = FigureKind::outline;
    LineSide side = LineSide::on;  ///< outline: which side of the line the bit runs on; outside is the ground's, in holes too
    bool ground = false;           ///< pocket: the ground is lowered, not the figure
    double depth = 2;              ///< of the floor; incise: at most so deep, 0 for as deep as the bit; not for cut-outs
    bool follow_width = false;     ///< stroke: as deep as the stroke is wide there for the bit, at most `depth`
    double allowance = 0.3;        ///< what a last pass along the wall takes: slots beside a line may be wider by it
    double thickness = 12;         ///< of the stock
    double breakthrough = 0.2;     ///< cut-out: below its underside
    BoardWishes board;             ///< isolate
    double hole_slack = 0.1;       ///< drill: by how much a hole may be wider or narrower than the bit
    Point hole_sizes{0, 1e4};      ///< drill: others than those so wide are left to other cuts
};

/// The design for figures that lie where `traced` says, in work coordinates; `lines` are what strokes follow (none: the
/// middles of what is traced); `field` is the picture's rectangle there and bounds the ground. `bit` cuts the line. Tabs are not placed
/// here. Throws Error (refused) where nothing is left to cut, or the bit cannot do this. Cost: one boolean; strokes: a medial axis.
[[nodiscard]] FigureDesign design_figure(const Region& traced, const Region& field, const FigureWishes& wishes, const Bit& bit,
                                         const Crew& crew, const std::vector<MiddleLine>& lines = {});

/// A disc's diameter or the width of a slot, mm.
struct HoleSize {
    double width = 0;
    bool slot = false;
};
enum class HoleWork { none, drilled, milled };
/// What a bit makes of such a hole that may be off its size by `slack`: drills go straight down, flat bits mill wider holes and slots too.
[[nodiscard]] HoleWork work_of(const Bit& bit, const HoleSize& hole, double slack);
/// Of each figure. Throws Error (refused) where one is neither.
[[nodiscard]] std::vector<HoleSize> hole_sizes(const Region& holes);

}  // namespace burin
