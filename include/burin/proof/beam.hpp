#pragma once
/// The proof of programs that burn with a beam: their texts are read back, their energy is laid down along the moves at the speeds that
/// the motion rules give, and held against the promises. No bit, no stock taken.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/design/board.hpp"
#include "burin/proof/proof.hpp"
#include "burin/shape/region.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/stock.hpp"

namespace burin {

/// One program to be proved, in running order.
struct BeamProgram {
    std::string file;  ///< for sentences
    std::string_view text;
    std::vector<std::uint32_t> pass_lines;  ///< where passes begin, from the writer; may be empty
    /// It shows where the job will lie: S may be Laser::pilot_s at most, and what it lights is no burning, so that it counts neither for
    /// nor against tones and figures. All other promises hold for it too.
    bool border = false;
};

/// How a figure is burnt.
enum class BeamCover : std::uint8_t {
    fill,  ///< everything inside its line
    along  ///< its very lines: engraved, or cut through in passes
};

/// A figure as the beam's centre sees it (for a cut already grown or shrunk by what the beam takes away).
struct BeamFigure {
    Region region;
    BeamCover cover = BeamCover::fill;
    std::vector<Polyline> lines;  ///< along: followed as the region's are; one of a single point is a dot
    /// along: the heights of the head at which every line is followed, each `times` times; none: {0}. fill: not used, tones tell it.
    std::vector<double> heights;
    int times = 1;
    double outside = 0.03;   ///< mm that the beam's centre may leave the figure (along: its line) by, aside from the arcs' chords
    double left_out = 0.03;  ///< mm, beyond half a spot, that a place of it may be from the nearest burnt line
};

/// A board's coating. Each pass of the burning programs (each program whole, where the writer told of none) opens by itself all that is to
/// be opened, so that what is asked for twice is lit twice.
struct BeamBoard {
    BoardDesign design;  ///< of a mask: its figures are openings
    bool mask = false;   ///< opened is the artwork; else all round it
    int times = 1;       ///< passes
    /// Light that takes the coating off, J for every mm of line; weaker lines do not open, but they do harm what is to stay.
    double least_light = 0;
};

/// What the programs are held against. Exposure is light per area: power in W ÷ (speed in mm/s × line spacing in mm), J/mm².
struct BeamTask {
    Machine machine;  ///< with a laser
    Stock stock;
    double spot = 0;  ///< mm; 0: the machine's
    std::vector<BeamProgram> programs;
    /// What each cell shall get on the mean, all programs together, J/mm²; 0: nothing may be burnt there, nor beyond the grid but in
    /// figures. Null: no tones are asked for.
    const Grid<float>* exposure = nullptr;
    /// Means are taken with a Gaussian of this standard deviation, mm; 0: the larger of spot and cell. Continuous tones: one line
    /// spacing. Dithered ones: two or three, as the eye does.
    double blur = 0;
    /// Of the greatest exposure asked for: how far the mean may be off. Edges may lie half a spot, half a cell or a third of `blur` off.
    double tone_tolerance = 0.02;
    std::vector<BeamFigure> figures;
    std::optional<BeamBoard> board;
    double cell = 0;  ///< of BeamProof::exposure, mm; 0: half a spot, more where the stock would have above 4 million cells
};

/// Where a row of moves cannot be run at the feed that it asks for.
struct BeamPace {
    double slowest_share = 1;    ///< least real speed of a burning move ÷ what it could run at with a controller that is quick enough
    std::uint32_t line = 0;      ///< where
    std::size_t slow_moves = 0;  ///< burning moves slower by more than 2 %
    double asked_feed = 0;       ///< greatest F of a burning move, mm/min
    double fastest_feed = 0;     ///< mm/min, whole: with no F above it every burning move keeps up; asked_feed where all do now
};

/// What the proof saw of one program.
struct BeamNumbers {
    double burnt_length = 0, dark_length = 0;  ///< mm of feed with power, and without it
    double burnt_s = 0;                        ///< time with power
    double energy_j = 0;                       ///< light given off
    double most_power = 0;                     ///< greatest S
    bool constant_power = false;               ///< burns somewhere under M3
    BeamPace pace;
};

struct BeamProof {
    /// `beam` is set: what is a bit's only (surface, reach, gouge, left standing, at once, rapids in stock) says nothing. `holds`,
    /// `checks`, `programs` and `inside_travel` as of any proof.
    Proof proof;
    std::vector<BeamNumbers> programs;  ///< in the same order
    /// Light that falls on each cell over the stock's box, all burning programs together, spread by a spot with a Gaussian profile of which
    /// the diameter (where it has fallen to 1/e²) is the spot's: J/mm².
    Grid<float> exposure;
    double worst_tone = 0;  ///< greatest difference of means beyond the edges' slack, as share of the greatest exposure asked for
};

/// Reads the texts back and holds them against the promises. Checks, in this order, for the whole job: "tone as wanted" (with exposure),
/// "nothing burnt outside" (with exposure or figures), "nothing left out" (with figures), "no short", "no break" and "tracks keep their
/// width" (with a board: on cells of 0.02 mm, at most 16 million of them; a cell is lit when its middle lies within half a spot of a line;
/// of a mask "openings apart", "openings whole" and "openings keep their size"); for each program: "dark but while burning" (an
/// explicit S0 or M5 before every rapid, dwell, pause and the end), "no standing beam", "steady speed", "power within the scale",
/// "keeps up", "inside stock and travel", "time by the motion rules", "plain text for any controller",
/// "clear of keep-outs" (only where the stock has some).
///
/// Energy of a move: its share of the laser's power (S ÷ scale) × its time. Where M4 scales power with speed, that is power ÷ F for every
/// mm whatever the real speed; under M3 the real speed counts, and a burning move that is anywhere slower than 98 % of its F breaks
/// "steady speed". "keeps up" is broken under M3 only: scaled power keeps its tone, and the sentence tells what the time will be.
/// A broken check names the first line, in running order, that breaks the promise; for tones the move nearest to the worst place.
/// Deterministic on any number of threads. Cost: length of lines ÷ half a cell, some ten nanoseconds each.
/// Throws Error: stopped; usage: a machine without laser, or that cannot be.
[[nodiscard]] BeamProof prove_beam(const BeamTask& task, const Crew& crew);

}  // namespace burin
