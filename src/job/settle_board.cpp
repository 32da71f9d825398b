/// What a circuit board is asked beside other drawings: how deep through the copper, how many grooves, which side.
#include <cmath>

#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_copper = 0.035;                       // mm; common practice, no source
constexpr double usual_unevenness = 0.05;                    // mm; common practice, no source
constexpr double usual_squeeze = 0.01;                       // mm; our choice: within what a track may lose anyway
constexpr double usual_overlap = 30, clearing_overlap = 50;  // percent; common practice; 50 leaves no ridge between rings
constexpr double most_one_pass = 0.3;                        // mm: deeper grooves are cut in passes like any other

void settle_grooves(Chooser& choose, SettledFigure& figure) {
    SettledJob& job = figure.job;
    Cut& cut = job.written.cuts[0];
    BoardWishes& board = figure.design.board;
    choose.given("clear", cut.clear, false);
    board.clear = *cut.clear;
    if (board.clear && cut.passes)
        throw Error(Fault::usage,
                    "--passes says nothing beside --clear, which cuts as many grooves as there is copper to clear: leave one out.");
    choose.given("passes", cut.passes, 1.0);
    board.passes = static_cast<int>(*cut.passes);
    if (cut.overlap && !board.clear && board.passes == 1)
        throw Error(Fault::usage, "--overlap says nothing for one groove: it belongs to --passes or --clear.");
    if (board.clear || board.passes > 1) {
        const double usual = board.clear ? clearing_overlap : usual_overlap;
        if (!choose.given("overlap", cut.overlap, usual))
            job.assumed.push_back(fmt::format("Grooves beside each other overlap by {} % (--overlap).", number_text(usual)));
        if (board.clear && *cut.overlap < clearing_overlap)
            throw Error(Fault::usage, fmt::format("--overlap {} leaves ridges of copper between the rings of --clear: give 50 or more.",
                                                  number_text(*cut.overlap)));
        board.overlap = *cut.overlap / 100;
    }
    if (!choose.given("squeeze", cut.squeeze, usual_squeeze))
        job.assumed.push_back(
            fmt::format("Where a gap is narrower than the groove, both its sides may lose {} mm (--squeeze).", number_text(usual_squeeze)));
    board.squeeze = *cut.squeeze;
}

}  // namespace

void settle_board(Chooser& choose, SettledFigure& figure) {
    SettledJob& job = figure.job;
    Cut& cut = job.written.cuts[0];
    if (!choose.given("copper", cut.copper, usual_copper))
        job.assumed.push_back(fmt::format("The copper is {} mm thick (--copper).", number_text(usual_copper)));
    if (cut.depth && cut.unevenness)
        throw Error(Fault::usage, "--depth says how deep the groove goes, so --unevenness says nothing: leave one out.");
    const double copper = *cut.copper;
    if (cut.depth && *cut.depth <= copper)
        throw refused(
            fmt::format("A depth of {} mm does not get through copper of {} mm, so nothing would be parted. Give a larger "
                        "--depth, or the true thickness with --copper.",
                        number_text(*cut.depth), number_text(copper)));
    if (!cut.depth) {
        if (!choose.given("unevenness", cut.unevenness, usual_unevenness))
            job.assumed.push_back(fmt::format(
                "The groove goes {} mm deeper than the copper, for a board that is not quite flat (--unevenness; common practice).",
                number_text(usual_unevenness)));
        choose.given("depth", cut.depth, std::round((copper + *cut.unevenness) * 1e4) / 1e4);
    }
    check_depth(*cut.depth, job.stock.thickness, job.stock.assumed);
    figure.design.depth = job.depth = *cut.depth;
    figure.design.board.copper = copper;
    if (*cut.depth <= most_one_pass && !choose.given("depth-per-pass", cut.depth_per_pass, *cut.depth))
        job.assumed.push_back("The groove is cut in one pass: so shallow, no bit minds it (common practice for boards).");
    settle_grooves(choose, figure);
}

void settle_layer(Chooser& choose, SettledJob& job) {
    Cut& cut = job.written.cuts[0];
    choose.given("layer", cut.layer, std::string("top"));
    if (*cut.layer == "top") {
        if (cut.turn_over) throw Error(Fault::usage, "--turn-over says nothing for the top: it belongs to --layer bottom.");
        return;
    }
    const std::string usual = "left-right";
    if (!choose.given("turn-over", cut.turn_over, usual)) job.assumed.push_back("The board is turned over left to right (--turn-over).");
    const bool sideways = *cut.turn_over == usual;
    const Point middle = job.stock.bounds.centre();
    if (sideways)
        job.at.x = 2 * middle.x - job.at.x;
    else
        job.at.y = 2 * middle.y - job.at.y;
    // Mirrored after it was turned, and turned the other way after it was mirrored, are the same.
    job.mirror = !job.mirror;
    job.rotate_deg = (sideways ? 0 : 180) - job.rotate_deg;
    job.warnings.push_back(fmt::format(
        "This is the underside: the artwork is taken as seen from above, through the board, and cut mirrored. Turn the board over {}, and "
        "lay it so that its {} edge is where the {} edge was.",
        sideways ? "left to right" : "front to back", sideways ? "right" : "back", sideways ? "left" : "front"));
}

}  // namespace burin
