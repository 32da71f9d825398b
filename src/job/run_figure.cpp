/// Drawings: picture → traced figures → their place on the stock → design → toolpaths → programs → proof → report. Here is the
/// order and the retries; every step's work is done in its own room.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "burin/toolpath/figures.hpp"
#include "fmt/format.h"
#include "pipeline.hpp"
#include "place.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

/// Length of lines within a box, by their middles.
double line_within(const Region& region, const Box& box) {
    double length = 0;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
            if (box.holds({(a.x + b.x) / 2, (a.y + b.y) / 2})) length += distance(a, b);
        }
    return length;
}

/// The piece with the most line in it; of equal ones the lowest, then the leftmost.
Box busiest_piece(const Placed& placed, const Point& size) {
    constexpr int steps = 12;
    const double free_x = std::max(0.0, placed.box.width() - size.x), free_y = std::max(0.0, placed.box.height() - size.y);
    Box best;
    double most = -1;
    for (int j = 0; j <= steps; ++j)
        for (int i = 0; i <= steps; ++i) {
            const Point lo{placed.box.lo.x + free_x * i / steps, placed.box.lo.y + free_y * j / steps};
            const Box piece{lo, {std::min(lo.x + size.x, placed.box.hi.x), std::min(lo.y + size.y, placed.box.hi.y)}};
            if (const double length = line_within(placed.traced, piece); length > most + 1e-9) most = length, best = piece;
        }
    return best;
}

void reduce_to_trial(Placed& placed, SettledJob& job) {
    const Box piece = trial_piece(job, placed.box, busiest_piece(placed, *job.trial));
    const Region part = rectangle(piece), within = common(placed.traced, part);
    if (within.empty()) throw Error(Fault::refused, "In the trial piece there is nothing to cut. Give another place with --trial-at.");
    const Point middle = piece.centre();
    become_trial(job, piece, {piece.width(), piece.height()});
    const Point to{job.at.x - middle.x, job.at.y - middle.y};
    placed = {moved(within, 0, false, to), moved(common(placed.field, part), 0, false, to), {}, {}};
    placed.box = placed.field.bounds();
}

FigureOrder order_of(const SettledFigure& figure) {
    FigureOrder order;
    order.bits = planned_bits(figure.job);
    order.allowance = figure.job.allowance;
    order.conventional = figure.conventional;
    order.raster = figure.raster;
    order.arcs = figure.arcs;
    order.onion_skin = figure.onion_skin;
    order.safe_height = figure.job.safe_height - figure.job.top;
    order.tolerance = figure.job.tolerance;
    if (figure.design.kind == FigureKind::stipple) order.hop = figure.dots.hop;
    if (figure.design.kind == FigureKind::drill) order.hop = order.safe_height;
    return order;
}

FigurePlan planned(FigureKind kind, const FigureDesign& design, const FigureOrder& order, const Crew& crew) {
    switch (kind) {
        case FigureKind::incise:
            return plan_incised(design, order, crew);
        case FigureKind::outline:
            return plan_outline(design, order, crew);
        case FigureKind::pocket:
            return plan_pocket(design, order, crew);
        case FigureKind::stroke:
        case FigureKind::screen:
        case FigureKind::stipple:
        case FigureKind::isolate:
        case FigureKind::drill:
            return plan_grooves(design, order, crew);
        case FigureKind::cutout:
            break;
    }
    return plan_cutout(design, order, crew);
}

/// Planned, written and proved.
struct Proved {
    std::vector<std::string> notes;
    Region unreached;
    Programs programs;
    Proof proof;
};

/// A toolpath planned for a top at 0 goes to where that top really is.
void lower(Toolpath& path, double top) {
    if (top == 0) return;
    path.track.start.z += top;
    for (Move& move : path.track.moves) move.to.z += top;
    for (Pass& pass : path.passes) pass.z += top;
}

Proved plan_until_proved(const SettledFigure& figure, const FigureDesign& design, const Crew& crew) {
    FigureOrder order = order_of(figure);
    Proved proved;
    for (int attempt = 0;; ++attempt) {
        crew.say("toolpaths");
        FigurePlan plan = planned(figure.design.kind, design, order, crew);
        if (plan.paths.empty())
            throw Error(Fault::refused, "There is nothing to cut: the bits find no place to go down. Check the drawing and the bits.");
        for (ReliefToolpath& path : plan.paths) lower(path.path, figure.job.top);
        crew.say("programs");
        proved.notes = std::move(plan.notes);
        proved.unreached = std::move(plan.unreached);
        proved.programs = write_programs(figure.job, std::move(plan.paths), crew);
        crew.say("proof");
        proved.proof = proof_of(figure.job, {nullptr, &design}, proved.programs, crew);
        const Broken broken = broken_promises(proved.proof);
        if (attempt == 3 || broken.others || !broken.too_much_at_once) break;
        order.take -= 0.15;
    }
    if (!proved.proof.holds) refuse(figure.job, proved.programs, proved.proof);
    return proved;
}

void hold_down(FigureDesign& design, const SettledFigure& figure) {
    design.tabs = place_tabs(design, figure.job.stock.thickness, figure.tabs);
    const std::size_t count = design.tabs.size();
    if (count > 0)
        design.notes.push_back(fmt::format("{} {} the pieces, {} mm wide and {} mm high; lines too short for all have fewer or none.",
                                           count, count == 1 ? "tab holds" : "tabs hold", number_text(figure.tabs.width),
                                           number_text(figure.tabs.height)));
    else if (figure.onion_skin <= 0)
        design.warnings.push_back(
            "No tab holds the pieces, which come loose while the bit still turns: stick them down with double-sided tape, or "
            "give --tabs or --onion-skin.");
}

double deepest_of(const HeightMap& surface) {
    const auto values = surface.values();
    return -static_cast<double>(*std::min_element(values.begin(), values.end()));
}

}  // namespace

/// What the bit's middle may follow at most must lie on the stock: proved later, told here in words that help.
void check_on_stock(const FigureDesign& design, const SettledFigure& figure) {
    const FigureWishes& wishes = figure.design;
    const Stock& stock = figure.job.stock;
    const bool goes_round =
        (wishes.kind == FigureKind::cutout || (wishes.kind == FigureKind::outline && wishes.side == LineSide::outside)) &&
        !design.traced.empty();
    const double bit = figure.job.bits.back().bit.diameter();
    std::optional<Point> beyond;
    const auto look = [&](const Region& region) {
        for (const Loop& loop : region.loops())
            for (const Point& p : loop)
                if (!beyond && !stock.holds(p, 0.01)) beyond = p;
    };
    if (goes_round)
        look(offset_by(design.traced, bit / 2 + wishes.allowance));
    else
        look(wishes.kind == FigureKind::pocket ? design.may : design.traced);
    for (const Groove& groove : design.grooves)
        for (const Point3& p : groove.tip)
            if (!beyond && !stock.holds(flat(p), 0.01)) beyond = flat(p);
    if (!beyond) return;
    const std::string place = fmt::format("X{:.1f} Y{:.1f}", beyond->x, beyond->y), lies = stock_words(stock);
    const char* smaller = size_option(figure.job.written.cuts.front());
    if (!goes_round)
        throw refused(fmt::format("The design sticks out of the {} at {}. Give a smaller {}, a larger --stock, or another --at.", lies,
                                  place, smaller));
    const Box box = design.traced.bounds();
    throw refused(fmt::format(
        "The bit has no room to go round the figure: that measures {:.1f} × {:.1f} mm where it lies, the bit {} mm, and "
        "at {} its middle would leave the {}. Give a larger --stock, a smaller {}{}.",
        box.width(), box.height(), number_text(bit), place, lies, smaller, figure.job.written.cuts.front().picture ? ", or --trim" : ""));
}

DesignedFigure design_figure_cut(SettledFigure&& settled, Source&& source, const Crew& crew) {
    DesignedFigure cut{std::move(settled), {}, {}, std::move(source.dropped), {}, source.picture_box};
    SettledJob& job = cut.figure.job;
    Placed placed = placed_on_stock(source.drawing, job);
    if (job.trial) reduce_to_trial(placed, job);
    cut.design = design_figure(placed.traced, placed.field, cut.figure.design, job.bits.back().bit, crew, placed.lines);
    check_on_stock(cut.design, cut.figure);
    if (cut.figure.design.kind == FigureKind::cutout) hold_down(cut.design, cut.figure);
    cut.box = placed.box;
    cut.drawn = std::move(source.drawing.region);
    append(job.assumed, source.drawing.notes);
    append(job.assumed, cut.design.notes);
    append(job.warnings, source.drawing.warnings);
    append(job.warnings, cut.design.warnings);
    return cut;
}

ProvedCut prove_figure(DesignedFigure&& cut, const Crew& crew) {
    Proved proved = plan_until_proved(cut.figure, cut.design, crew);
    ProvedCut result;
    result.job = std::move(cut.figure.job);
    result.job.depth = deepest_of(proved.proof.surface);
    append(result.job.assumed, proved.notes);
    result.programs = std::move(proved.programs);
    result.proof = std::move(proved.proof);
    result.box = cut.box;
    FigureReport drawing;
    drawing.picture_box = cut.picture_box;
    drawing.drawn = std::move(cut.drawn);
    drawing.dropped = std::move(cut.dropped);
    drawing.design = std::move(cut.design);
    drawing.unreached = std::move(proved.unreached);
    drawing.fill = cut.figure.fill;
    result.figure = std::move(drawing);
    return result;
}

}  // namespace burin
