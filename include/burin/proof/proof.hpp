#pragma once
/// The proof: programs are read back, run on a model of the stock with the exact bit, and held against the promises.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/figure.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "burin/workshop/bit.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

/// One program to be proved, in running order.
struct ProofProgram {
    std::string file;  ///< for sentences
    std::string_view text;
    Bit bit;
    double feed = 0, plunge = 0;            ///< mm/min, the most that may be
    double most_at_once = 0;                ///< m of promise 3, mm
    double spin_up_s = 0;                   ///< least dwell between spindle on and the first cut
    std::vector<std::uint32_t> pass_lines;  ///< where passes begin, from the writer; may be empty
};

/// What the programs are held against.
struct ProofTask {
    const HeightMap* design = nullptr;     ///< over the whole stock, its cells; 0 where the stock must stay. Null: free program
    const FigureDesign* figure = nullptr;  ///< in place of `design`: a figure, held against its very line
    Machine machine;
    Stock stock;
    std::vector<ProofProgram> programs;
    double allowance = 0.3;   ///< g, mm; strips up to 0.1 wide never count
    double scallop = 0;       ///< asked for, mm
    double breakthrough = 0;  ///< declared, mm below the stock's underside (a figure's own counts too)
    double overrun = 0;       ///< declared, mm: how far beside the stock the bit's middle may go below its top (facing)
    /// z that the programs have at what is the stock's top here: a floor that earlier cuts made, or above 0 the highest place of a stock
    /// that is faced. Places and heights of figures and passes are the programs' own; those within sentences count from the stock's top.
    double top = 0;
    const HeightMap* uneven = nullptr;  ///< the stock's top beside `top`, nowhere above 0 (read as height_at does); null: flat
    ReadLimits read;    ///< how texts are read; with `wide` they are of another hand, and rapids high above the stock may be slanted
    double lift = 0;    ///< of a dry run: 4, 5, 7, 8 only are proved on the lifted text
    double cell = 0.1;  ///< where there is no design; figures: see prove
};

/// One promise checked at one program (or the whole job). Names, in this order: "nothing below the design", "nothing left
/// standing" (whole job, only with a design or figure), "nothing over the line", "nothing short of the line" (whole job, only
/// with a figure), "the tones of the picture" (a photo as grooves or dots), "no short", "no break", "tracks keep their
/// width" (a circuit board); then for each program "nothing too much at once", "no crash",
/// "inside stock and travel", "clear of keep-outs" (only where the stock has some), "time by the motion rules", "plain text for any
/// controller". That the same job gives the same bytes cannot be seen on one text and has no check.
/// Diameter of the nut that holds the bit: nothing that stands may come up to it (common practice, no source), mm.
inline constexpr double collet_nut_diameter = 20;
inline constexpr const char* clear_of_keep_outs = "clear of keep-outs";  ///< the name of that check
struct Check {
    std::string name;  ///< short and stable, as above
    bool ok = true;
    std::string detail;      ///< a sentence with the number; when broken: place, and what would mend it
    std::string file;        ///< empty: the whole job
    std::uint32_t line = 0;  ///< 0: no line
    Point3 place;
};

struct PassFigures {
    double z = 0, length = 0, time_s = 0;  ///< lowest z, mm; way in feed, mm
    std::uint32_t first_line = 0;
};

/// What grooves or dots of a photo cover of the surface at the stock top, beside what was wanted. Shares 0 … 1.
struct ToneFigures {
    Grid<float> coverage;                ///< seen, cell by cell
    double least = 0, most = 0;          ///< what they can show at all
    double worst = 0, rms = 0;           ///< difference from the wanted, over a window about the pitch
    double judged = 0;                   ///< share of the picture (bare parts left out) where it was compared
    double too_light = 0, too_dark = 0;  ///< share that is lighter, darker than can be shown
};

/// What the proof saw of one program.
struct ProgramFigures {
    std::string file;
    std::uint32_t lines = 0;
    std::size_t bytes = 0;
    double time_s = 0, cut_length = 0, rapid_length = 0, removed_mm3 = 0;
    Point3 lo, hi;  ///< extents of its moves
    double most_at_once = 0, largest_section = 0, largest_peck = 0, fastest_down = 0;
    int rapids_in_stock = 0;
    bool inside_travel = true;
    std::vector<PassFigures> passes;
};

/// The copper that the programs of a board leave, beside its artwork. Lengths mm.
struct NetFigures {
    std::size_t pieces = 0;              ///< of the artwork
    std::size_t shorts = 0, breaks = 0;  ///< pairs that stay joined, pieces that fell apart or are gone
    double lost = 0;                     ///< what a piece loses sideways at most
    /// The narrowest neck between two wider places of a piece, and the narrowest gap between a piece and other copper; empty: there
    /// is none.
    std::optional<double> track, gap;
    Point track_at, gap_at;
};

struct Proof {
    bool holds = false;
    bool beam = false;                                ///< of a beam: what belongs to a bit does not apply, see prove_beam
    HeightMap surface;                                ///< what is left, 0 = stock top
    HeightMap reach;                                  ///< closing of the design by the finishing bit (empty without design)
    double deepest_gouge = 0;                         ///< mm below the design beyond the sideways slack; ≤ 0.02 kept
    double left_standing = 0, left_standing_rms = 0;  ///< mm along the normal above the reach, scallop included
    /// Figures: how far sideways, at the stock top, the cut goes beyond the traced line (or beyond what the bit leaves that
    /// follows the grooves exactly), and how far it stays inside what the bit can reach of it; mm, 0.03 kept.
    std::optional<double> over_line_mm, short_of_line_mm;
    std::optional<ToneFigures> tone;               ///< photos as grooves or dots
    std::optional<NetFigures> nets;                ///< circuit boards
    double most_at_once = 0, largest_section = 0;  ///< over all programs; section as share of what is allowed
    int rapids_in_stock = 0;
    bool inside_travel = true;
    std::vector<ProgramFigures> programs;
    std::vector<Check> checks;  ///< all, kept and broken, in a fixed order
};

/// Reads the texts back, removes stock with the exact bit and holds what it sees against the promises.
///
/// Surface: heights at the cells' centres, exact for straight moves (arcs: chords within 0.0005 mm). Kept are: 0.02 mm below the
/// design and scallop + 0.02 above the reach, both with a sideways slack of one cell up to 0.1 mm; heights at once up to
/// m + 0.05 and sections up to 110 % (what a grid adds); feeds up to 1 % more (F is rounded); rapids up to 0.005 mm deep.
/// Figure: the traced line itself counts, with exact distances, whatever the cells; these are `cell` mm but at most 0.05, 0.02 on
/// small stock, enlarged until there are at most 16 million. Over the line: 0.03 mm sideways (where the stock is lowered by more
/// than 0.02). Short of it: what the bit with the least radius reaches that still stands 0.02 above the floor, but for 0.03 mm at
/// that reach's edge (with `band`, what it reaches along the traced line where that is the line of `may`); walls as steep as a vee are
/// followed from top to bottom, and what its tip's flat cannot enter is taken off. Below the design: 0.02 mm under the floor, and under the
/// tops of tabs. Left standing: floors farther than one bit's radius from their reach's edge, up to 0.02 (walls cut by a vee: 0.04; scallop
/// added). deepest_gouge and left_standing then tell of floors and tabs, for grooves of the surface beside the line, straight up and down.
/// A broken check names the first line, in running order, that breaks the promise; where something was left standing, the
/// line that came nearest. Deterministic on any number of threads; the same on all processors.
/// Cost: cells under the ways, a few nanoseconds each. 2560 × 1600 cells under 500,000 moves of a 1 mm ball: 0.8 s of one core.
/// Throws Error: stopped; refused, where the design does not cover the stock, or a figure holds nothing to be cut; usage, from a machine
/// that cannot be.
[[nodiscard]] Proof prove(const ProofTask& task, const Crew& crew);

}  // namespace burin
