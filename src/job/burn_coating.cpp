/// A circuit board's coating, burnt off: what the person may ask for, and what becomes of it.
#include <algorithm>
#include <cmath>

#include "burin/job/options.hpp"
#include "burn.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "place.hpp"
#include "settle_parts.hpp"
#include "source.hpp"

namespace burin {
namespace {

constexpr double usual_squeeze = 0.01;  // mm, as of grooves
constexpr double most_spacing = 0.9;    // of the spot: what is rounded must not leave stripes
constexpr double left_out = 0.03;       // mm

std::vector<BeamFigure> held_against(const SettledBurn& burn, const CoatingDesign& design) {
    std::vector<BeamFigure> out;
    const double spot = burn.laser.spot_mm;
    BeamFigure figure;
    figure.region = opened_by(design.burnt, (burn.edge ? spot : spot + burn.tone.spacing) / 2);
    figure.left_out = burn.edge ? left_out : left_out + burn.tone.spacing;
    if (!figure.region.empty()) out.push_back(figure);
    if (!burn.edge) {  // rows that go into narrower parts are welcome there too
        figure.region = design.burnt;
        figure.left_out = 2;
        out.push_back(figure);
    }
    if (!design.middles.empty()) {
        BeamFigure along;
        along.cover = BeamCover::along;
        along.lines = design.middles;
        along.times = burn.passes;
        along.outside += spot / 4;  // a dot is burnt as a short line
        out.push_back(std::move(along));
    }
    return out;
}

}  // namespace

void check_coating(const Cut& cut) {
    if (!cut.coating) {
        check_in_vain(cut, "circuit boards (--coating resist or mask)", {"around", "squeeze", "layer", "turn-over"});
        return;
    }
    if (cut.cover && *cut.cover != "filled" && *cut.cover != "rows")
        throw Error(Fault::usage, fmt::format("--cover {} would leave the coating standing inside the lines: give filled or rows, or leave "
                                              "it out.",
                                              *cut.cover));
    if (*cut.coating == "mask") check_in_vain(cut, "--coating resist", {"around"});
    if (cut.focus_step)
        throw Error(Fault::usage,
                    "--focus-step says nothing here: a coating is thinner than any step, and what lies under it must not be "
                    "burnt. Leave it out.");
}

void settle_coating(Chooser& choose, SettledBurn& burn) {
    Cut& cut = burn.job.written.cuts[0];
    const double spot = burn.laser.spot_mm, spacing = burn.tone.spacing;
    if (spacing > most_spacing * spot)
        throw refused(
            fmt::format("Rows {} mm apart leave stripes of the coating between them: the spot is {} mm. Give --line-spacing {} or less.",
                        number_text(spacing), number_text(spot), number_text(std::floor(most_spacing * spot * 1000) / 1000)));
    CoatingWishes wishes;
    wishes.mask = *cut.coating == "mask";
    wishes.spot = spot;
    wishes.follows = burn.edge;
    wishes.least = burn.edge ? spot : spot + std::max(spacing, spot / 2);  // shorter pieces of rows are not lit
    choose.given("squeeze", cut.squeeze, usual_squeeze);
    wishes.squeeze = *cut.squeeze;
    wishes.around = cut.around.value_or(0);
    if (cut.around && wishes.around < 2 * spot)
        throw refused(fmt::format("--around {} is less than two spots of {} mm, too little to part the copper. Give {} or more.",
                                  number_text(wishes.around), number_text(spot), number_text(2 * spot)));
    burn.coating = wishes;
    if (burn.job.material.for_spindle)  // what is cut with a bit is no coating
        burn.job.warnings.push_back(fmt::format(
            "The power is reckoned for {}, not for a coating on copper: take the material coated-copper, or one that a test card "
            "made.",
            burn.job.material.title));
}

BurnPlan plan_board(SettledBurn& burn, const Drawing& drawing, const Crew& crew) {
    BurnPlan plan;
    plan.notes = drawing.notes;
    plan.warnings = drawing.warnings;
    const SettledJob& job = burn.job;
    Drawing artwork = drawing;
    artwork.lines.clear();
    const Placed placed = placed_on_stock(artwork, job);
    crew.say("toolpaths");
    CoatingDesign design = plan_coating(placed.traced, placed.field, *burn.coating, crew);
    append(plan.notes, design.notes);
    append(plan.warnings, design.warnings);
    plan.work = design.burnt.bounds();
    if (!burn.scaled) {  // else the power follows where short lines slow the head down
        const auto rows = fill_rows(offset_by(design.burnt, -burn.laser.spot_mm / 2), burn.tone.spacing, 1, burn.angle, job.at,
                                    burn.laser.spot_mm / 2, crew);
        (void)settle_pace(burn, fastest_feed(rows, job.machine, burn.angle), plan);
    }
    BurnFigureOrder order = figure_order(burn, plan.work);
    order.narrow = 0;  // the design says which narrow places are followed
    plan.path = plan_burnt_figure(design.burnt, design.middles, order, crew);
    plan.figures = held_against(burn, design);
    plan.coating = std::move(design);
    return plan;
}

}  // namespace burin
