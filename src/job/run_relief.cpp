/// Reliefs: picture → heights → design on the stock → toolpaths → programs → proof → report. Here is the order and the
/// retries; every step's work is done in its own room.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/toolpath/relief.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "place.hpp"

namespace burin {
namespace {

/// No cell of the design may be cut where round or traced stock has none.
void check_on_round(const DesignedRelief& placed, const Stock& stock) {
    if (stock.outline == Outline::rectangle) return;
    for (int j = 0; j < placed.design.height(); ++j)
        for (int i = 0; i < placed.design.width(); ++i)
            if (placed.design(i, j) < 0 && !stock.holds(placed.design.centre(i, j), 0.05))
                throw Error(Fault::refused,
                            fmt::format("The design is larger than the {}: at X{:.1f} Y{:.1f} it would cut beside it. Give a smaller "
                                        "--width or a larger --stock, or a picture whose corners are transparent.",
                                        stock.piece ? "wood of the piece" : "round stock", placed.design.centre(i, j).x,
                                        placed.design.centre(i, j).y));
}

/// The trial piece in place of the whole: a stock of its own, the same margin, thickness and kind of zero.
void reduce_to_trial(DesignedRelief& placed) {
    SettledJob& job = placed.relief.job;
    const Point size = *job.trial;
    const Box piece = trial_piece(job, placed.box, demanding_piece(placed.design, placed.box, size.x, size.y));
    const HeightMap heights = cut_out(placed.design, piece, 0);
    if (std::all_of(heights.values().begin(), heights.values().end(), [](float z) { return z >= 0; }))
        throw Error(Fault::refused, "In the trial piece there is nothing to cut. Give another place with --trial-at.");
    become_trial(job, piece, {heights.width() * heights.cell(), heights.height() * heights.cell()});
    placed.design = on_stock(heights, job.at, job.stock);
    placed.box = design_box(heights, job.at);
}

ReliefOrder order_of(const SettledRelief& relief) {
    ReliefOrder order;
    order.bits = planned_bits(relief.job);
    order.allowance = relief.job.allowance;
    order.stepover = relief.stepover;
    order.scallop = relief.job.scallop;
    order.angle = relief.angle_deg * std::numbers::pi / 180;
    order.one_way = relief.one_way;
    order.safe_height = relief.job.safe_height;
    order.tolerance = relief.job.tolerance;
    return order;
}

/// Planned, written and proved.
struct Proved {
    std::vector<std::string> notes;
    Programs programs;
    Proof proof;
};

/// Whether a promise is broken as a bit breaks it that cannot go straight down.
bool pits_may_be_why(const Proof& proof) {
    return std::any_of(proof.checks.begin(), proof.checks.end(),
                       [](const Check& check) { return !check.ok && (check.name == "no crash" || check.name == "nothing left standing"); });
}

/// `placed.design` is put away while toolpaths are planned, which takes the most memory, and laid back for the proof.
Proved plan_until_proved(DesignedRelief& placed, const Crew& crew) {
    const SettledRelief& relief = placed.relief;
    double widest = 0;
    for (const SettledBit& bit : relief.job.bits) widest = std::max(widest, bit.bit.radius());
    const double margin = widest + 2 * placed.design.cell();
    const StockCells whole = cells_of(placed.design);
    ReliefOrder order = order_of(relief);
    Proved proved;
    for (int attempt = 0;; ++attempt) {
        crew.say("toolpaths");
        HeightMap ground = cut_out(placed.design, placed.box, margin);
        drop(placed.design);
        drop(proved);
        ReliefPlan plan = plan_relief(ground, order, crew);
        if (plan.paths.empty())
            throw Error(Fault::refused, "There is nothing to cut: the bits find no place to go down. Check the picture and --depth.");
        crew.say("programs");
        proved.notes = std::move(plan.notes);
        proved.programs = write_programs(relief.job, std::move(plan.paths), crew);
        crew.say("proof");
        placed.design = laid_back(ground, whole);
        drop(ground);
        proved.proof = proof_of(relief.job, {&placed.design, nullptr}, proved.programs, crew);
        const Broken broken = broken_promises(proved.proof);
        if (attempt == 3 || !broken.can_be_mended()) break;
        if (broken.too_much_at_once) order.take -= 0.15;
        if (!broken.left_standing) continue;
        order.seen = cut_out(proved.proof.surface, placed.box, margin);
        if (attempt == 0) continue;  // mostly the plan had not foreseen what stands; else closer lines help
        order.stepover *= 0.6;
        order.scallop = scallop_of(order.bits.back().bit, order.stepover);
    }
    if (order.stepover < relief.stepover)
        proved.notes.push_back(fmt::format(
            "Finishing lines were laid closer than {} mm, {:.3f} mm apart: this design's slopes would have kept more than is promised.",
            number_text(relief.stepover), order.stepover));
    if (!proved.proof.holds) {
        std::string more;
        if (placed.design.cell() > 0.1)
            more += fmt::format("\n  Cells of {} mm are too coarse for this design: leave --cell out.", number_text(placed.design.cell()));
        const Bit& finishing = relief.job.bits.back().bit;
        if (!finishing.spec().centre_cutting && pits_may_be_why(proved.proof))
            more += fmt::format(
                "\n  The bit '{}' does not cut at its centre and cannot go straight down into closed pits. Take a centre-cutting bit to "
                "finish with, or smooth such pits away (--smooth).",
                finishing.name());
        refuse(relief.job, proved.programs, proved.proof, more);
    }
    return proved;
}

}  // namespace

DesignedRelief design_relief(SettledRelief&& relief, const Picture& picture, const Crew& crew) {
    crew.say("heights");
    DesignHeights heights = make_heights(picture, relief.heights, crew);
    append(relief.job.assumed, heights.notes);
    append(relief.job.warnings, heights.warnings);
    DesignedRelief placed{std::move(relief), {}, {}};
    {
        const SettledJob& job = placed.relief.job;
        HeightMap design = turned(heights.heights, job.rotate_deg, job.mirror, crew);
        drop(heights.heights);
        if (job.rows * job.columns > 1) design = tiled(design, job.rows, job.columns, job.gap);
        placed.design = on_stock(design, placed.relief.job.at, placed.relief.job.stock);
        placed.box = design_box(design, placed.relief.job.at);
    }
    check_on_round(placed, placed.relief.job.stock);
    if (placed.relief.job.trial) reduce_to_trial(placed);
    return placed;
}

ProvedCut prove_relief(DesignedRelief&& placed, const Crew& crew) {
    Proved proved = plan_until_proved(placed, crew);
    ProvedCut cut;
    cut.unreached = unreached(placed.design, proved.proof.reach, crew);
    drop(placed.design);
    drop(proved.proof.reach);
    append(placed.relief.job.assumed, proved.notes);
    cut.job = std::move(placed.relief.job);
    cut.programs = std::move(proved.programs);
    cut.proof = std::move(proved.proof);
    cut.box = placed.box;
    return cut;
}

}  // namespace burin
