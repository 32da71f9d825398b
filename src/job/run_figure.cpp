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

namespace burin {
namespace {

/// The traced figures and the picture's rectangle, in work coordinates.
struct Placed {
    Region traced, field;
    Box box;  ///< round the field
};

Region rectangle(const Box& box) { return Region({{box.lo, {box.hi.x, box.lo.y}, box.hi, {box.lo.x, box.hi.y}}}); }

/// Pictures that say their own size are traced whole and cut to the ink then; others are cut while they are traced.
Tracing traced(const Picture& picture, const Cut& cut, const Crew& crew) {
    const TraceWishes wishes = settle_trace(cut, picture);
    crew.say("tracing");
    Tracing tracing = trace_drawing(picture, wishes, crew);
    if (cut.trim.value_or(false) && !wishes.trim) {
        const Box ink = tracing.region.bounds();
        const Point back{-ink.lo.x, -ink.lo.y};
        tracing.region = moved(tracing.region, 0, false, back);
        tracing.dropped = moved(tracing.dropped, 0, false, back);
        tracing.width = ink.width();
        tracing.height = ink.height();
    }
    return tracing;
}

Placed placed_on_stock(const Tracing& tracing, const SettledJob& job) {
    const auto place = [&](const Region& region) {
        const Region centred = moved(region, 0, false, {-tracing.width / 2, -tracing.height / 2});
        return moved(centred, job.rotate_deg * std::numbers::pi / 180, job.mirror, job.at);
    };
    Placed placed{place(tracing.region), place(rectangle({{0, 0}, {tracing.width, tracing.height}})), {}};
    placed.box = placed.field.bounds();
    return placed;
}

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
    placed = {moved(within, 0, false, to), moved(common(placed.field, part), 0, false, to), {}};
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
    order.safe_height = figure.job.safe_height;
    order.tolerance = figure.job.tolerance;
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

/// A bit that goes round a figure must find stock there too.
void check_room_round(const FigureDesign& design, const SettledFigure& figure) {
    const bool goes_round =
        figure.design.kind == FigureKind::cutout || (figure.design.kind == FigureKind::outline && figure.design.side == LineSide::outside);
    const Stock& stock = figure.job.stock;
    if (!goes_round || stock.outline != Outline::rectangle || design.traced.empty()) return;
    const double bit = figure.job.bits.back().bit.diameter(), beside = bit / 2 + figure.design.allowance;
    const Box box = design.traced.bounds();
    if (stock.bounds.holds({box.lo.x - beside, box.lo.y - beside}, 0.01) &&
        stock.bounds.holds({box.hi.x + beside, box.hi.y + beside}, 0.01))
        return;
    throw Error(
        Fault::refused,
        fmt::format("The bit has no room to go round the figure: that measures {:.1f} × {:.1f} mm where it lies, the bit {} mm, and "
                    "its middle would leave the stock of {} × {} mm. Give a larger --stock, a smaller --width, or --trim.",
                    box.width(), box.height(), number_text(bit), number_text(stock.bounds.width()), number_text(stock.bounds.height())));
}

Proved plan_until_proved(const SettledFigure& figure, const FigureDesign& design, const Crew& crew) {
    FigureOrder order = order_of(figure);
    Proved proved;
    for (int attempt = 0;; ++attempt) {
        crew.say("toolpaths");
        FigurePlan plan = planned(figure.design.kind, design, order, crew);
        if (plan.paths.empty())
            throw Error(Fault::refused, "There is nothing to cut: the bits find no place to go down. Check the drawing and the bits.");
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
    if (!proved.proof.holds) throw Error(Fault::refused, refusal(proved.proof));
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

Finished run_figure(const Job& job, const Workshop& workshop, const Picture& picture, const std::string& sha256, const Crew& crew) {
    Tracing tracing = traced(picture, job.cuts.front(), crew);
    SettledFigure figure = settle_figure(job, workshop, sha256, tracing);
    SettledJob& settled = figure.job;
    Placed placed = placed_on_stock(tracing, settled);
    if (settled.trial) reduce_to_trial(placed, settled);
    FigureDesign design = design_figure(placed.traced, placed.field, figure.design, settled.bits.back().bit, crew);
    check_room_round(design, figure);
    if (figure.design.kind == FigureKind::cutout) hold_down(design, figure);
    Proved proved = plan_until_proved(figure, design, crew);
    settle_release(settled, proved.programs, proved.proof, crew);
    settled.depth = deepest_of(proved.proof.surface);
    JobReport report = report_of(settled, placed.box, picture, proved.programs, std::move(proved.proof));
    append(report.assumed, tracing.notes);
    append(report.assumed, design.notes);
    append(report.assumed, proved.notes);
    append(report.warnings, tracing.warnings);
    append(report.warnings, design.warnings);
    FigureReport drawing;
    const bool trimmed = job.cuts.front().trim.value_or(false);
    if (!trimmed) drawing.picture_box = {{0, 0}, {tracing.width, tracing.height}};
    drawing.drawn = std::move(tracing.region);
    drawing.dropped = std::move(tracing.dropped);
    drawing.design = std::move(design);
    drawing.unreached = std::move(proved.unreached);
    drawing.fill = figure.fill;
    report.figure = std::move(drawing);
    return finished_of(report, settled.written, std::move(proved.programs), crew);
}

}  // namespace burin
