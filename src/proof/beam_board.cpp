// A board's coating, burnt off line by line, against the board's artwork: the milled board's questions about pieces, asked of the coating
// that is left (what stays coated stays copper), or of a mask's openings. Nothing here is shared with what plans the lines.
#include <algorithm>
#include <cmath>

#include "beam_checks.hpp"
#include "beam_cover.hpp"
#include "nets.hpp"

namespace burin::proving {
namespace {

constexpr double finest = 0.02, most_cells = 16e6;  // mm
constexpr double beyond = 1;                        // mm of coating looked at round all that is burnt
constexpr double rounding = 0.002;                  // mm: places are written in thousandths, arcs are chords
constexpr double weak = 0.98;                       // of the light that opens: F and S are rounded

constexpr BoardWords resist{"no short",
                            "no break",
                            "tracks keep their width",
                            "piece of copper",
                            "pieces of copper",
                            "gap",
                            "track",
                            "the coating over the copper",
                            "the coating of two pieces that the artwork parts stays joined",
                            "the coating of a piece is not parted from the coating round it",
                            "no coating is left over the piece",
                            "the coating of a piece is burnt through",
                            "Etching would leave copper there. A line is missing, too weak, or not run in every pass: do not burn these "
                            "programs; have them made again.",
                            "Etching would take the copper there. A line runs over it, or the track is thinner than what --squeeze may "
                            "take: have the programs made again with a smaller one, or draw the track wider.",
                            "Have the programs made again; do not burn these."};

constexpr BoardWords mask{"openings apart",
                          "openings whole",
                          "openings keep their size",
                          "opening",
                          "openings",
                          "bridge between them",
                          "neck of one",
                          "the coating round the openings",
                          "two openings that the artwork parts run into one",
                          "an opening runs on beyond its line",
                          "the coating is not taken off the opening",
                          "an opening is opened only",
                          "A line runs over the bridge between them: do not burn these programs; have them made again.",
                          "A line is missing, too weak, or not run in every pass: do not burn these programs; have them made again.",
                          "Have the programs made again; do not burn these."};

Grid<float> cells_round(const BeamBoard& board, const std::vector<BeamWay>& ways) {
    Box box = board.design.copper.bounds();
    for (const BeamWay& way : ways)
        if (!way.asked->border)
            for (const BeamLeg& leg : way.legs)
                for (const Point& p : {leg.from, leg.to}) box = joined(box, {p, p});
    box = {{box.lo.x - beyond, box.lo.y - beyond}, {box.hi.x + beyond, box.hi.y + beyond}};
    const double cell = std::max(finest, std::sqrt(box.width() * box.height() / most_cells));
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / cell - 1e-9))); };
    return {count(box.width()), count(box.height()), cell, box.lo};
}

/// The pass, from 1, that a line of a program's text belongs to.
int pass_of(const BeamProgram& program, std::uint32_t line) {
    const auto& begin = program.pass_lines;
    return begin.empty() ? 1 : static_cast<int>(std::upper_bound(begin.begin(), begin.end(), line) - begin.begin());
}

/// How often every cell was opened, each pass counted once, and whether it was lit at all.
struct Lit {
    Grid<std::uint8_t> opened, lit;
};

Lit lit_cells(const BeamBoard& board, const Grid<float>& like, const BeamRules& rules, const std::vector<BeamWay>& ways) {
    Lit found{like.like<std::uint8_t>(0), like.like<std::uint8_t>(0)};
    auto last = like.like<std::uint16_t>(0);  // the pass that opened a cell last, of all programs
    std::uint16_t before = 0;
    for (const BeamWay& way : ways) {
        if (way.asked->border) continue;
        const auto see = [&](const BeamLeg& leg, int j, int first, int end) {
            std::fill(found.lit.row(j) + first, found.lit.row(j) + end, std::uint8_t{1});
            if (static_cast<double>(leg.joules_per_mm) < weak * board.least_light) return;
            const auto pass = static_cast<std::uint16_t>(before + pass_of(*way.asked, leg.line));
            for (int i = first; i < end; ++i) {
                if (last(i, j) >= pass) continue;
                last(i, j) = pass;
                if (found.opened(i, j) < 255) ++found.opened(i, j);
            }
        };
        over_covered(like, std::span(&way, 1), rules.spot / 2 + rounding, rules.crew, see);
        before = static_cast<std::uint16_t>(before + std::max<std::size_t>(1, way.asked->pass_lines.size()));
    }
    return found;
}

}  // namespace

std::vector<Check> check_coating(const BeamRules& rules, const std::vector<BeamWay>& ways, Proof& proof) {
    const BeamBoard& asked = *rules.task.board;
    const Grid<float> like = cells_round(asked, ways);
    BoardCells board{
        asked.design, rules.crew, figures_on(asked.design.copper, like), like.like<std::int32_t>(0), like.like<std::int32_t>(0),
        asked.mask};
    const Lit found = lit_cells(asked, like, rules, ways);
    for (std::size_t n = 0; n < like.size(); ++n) {
        const bool bare = found.opened.values()[n] >= asked.times, lit = found.lit.values()[n] > 0;
        board.left.values()[n] = (asked.mask ? lit : !bare) ? 1 : 0;
        board.whole.values()[n] = (asked.mask ? bare : !lit) ? board.art.values()[n] : 0;
    }
    return check_board(board, asked.mask ? mask : resist, proof);
}

}  // namespace burin::proving
