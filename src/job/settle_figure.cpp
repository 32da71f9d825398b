/// Every question of a drawing answered: how it is traced, how large it lies where, with which bit, how deep. As for reliefs, what
/// the person gave wins, the rest is reckoned and told.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/job/options.hpp"
#include "fmt/format.h"
#include "settle_parts.hpp"

namespace burin {
namespace {

constexpr double usual_thickness = 12, cutout_thickness = 6, board_thickness = 1.6;

FigureKind kind_of(const std::string& make) {
    return make == "incise"    ? FigureKind::incise
           : make == "outline" ? FigureKind::outline
           : make == "pocket"  ? FigureKind::pocket
           : make == "stroke"  ? FigureKind::stroke
           : make == "isolate" ? FigureKind::isolate
           : make == "drill"   ? FigureKind::drill
                               : FigureKind::cutout;
}

double usual_thickness_of(FigureKind kind) {
    if (kind == FigureKind::isolate) return board_thickness;
    return kind == FigureKind::cutout || kind == FigureKind::drill ? cutout_thickness : usual_thickness;
}

void settle_tracing(Chooser& choose, SettledJob& job) {
    Cut& cut = job.written.cuts[0];
    choose.given("threshold", cut.threshold, std::string("auto"));
    choose.given("invert", cut.invert, false);
    choose.given("trim", cut.trim, false);
    const bool specks = choose.given("despeckle", cut.despeckle, usual_speck),
               holes = choose.given("close-holes", cut.close_holes, usual_speck);
    if (!specks || !holes)
        job.assumed.push_back(fmt::format("Spots and holes smaller than {} mm² and {} mm² are left out (--despeckle, --close-holes).",
                                          number_text(*cut.despeckle), number_text(*cut.close_holes)));
    if (!choose.given("smooth", cut.smooth, usual_smooth))
        job.assumed.push_back(fmt::format("Curves are smoothed by at most {} mm, corners stay (--smooth).", number_text(usual_smooth)));
    choose.given("megapixels", cut.megapixels, PictureLimits{}.most_megapixels);
}

void settle_text(Chooser& choose, SettledJob& job) {
    Cut& cut = job.written.cuts[0];
    if (!cut.fit_width && !choose.given("cap-height", cut.cap_height, usual_cap_height))
        job.assumed.push_back(fmt::format("No height was given for the letters: capitals are {} mm high.", number_text(usual_cap_height)));
    choose.given("text-align", cut.text_align, std::string("centre"));
    if (cut.arc) choose.given("reading", cut.reading, std::string("top"));
}

void settle_depth(const Workshop& workshop, int step, Chooser& choose, SettledFigure& figure) {
    SettledJob& job = figure.job;
    Cut& cut = job.written.cuts[0];
    FigureWishes& design = figure.design;
    design.thickness = job.stock.thickness;
    const double thickness = job.stock.thickness;
    if (design.kind == FigureKind::cutout || design.kind == FigureKind::drill) {
        if (!choose.given("breakthrough", cut.breakthrough, 0.2))
            job.assumed.push_back("The bit goes 0.2 mm into the spoilboard (--breakthrough).");
        design.breakthrough = *cut.breakthrough;
        if (design.kind == FigureKind::drill) {
            // The drill's point must be through before the hole has its full width.
            design.breakthrough += std::ceil(workshop.bits.back().tip_height() * 100) / 100;
            choose.given("hole-slack", cut.hole_slack, 0.1);
            design.hole_slack = *cut.hole_slack;
            if (cut.hole_sizes) design.hole_sizes = *cut.hole_sizes;
        }
        if (design.breakthrough > workshop.machine.spoilboard)
            throw refused(
                fmt::format("A breakthrough of {} mm is more than the spoilboard of '{}' is thick ({} mm). Give a smaller "
                            "--breakthrough.",
                            number_text(design.breakthrough), workshop.machine.name, number_text(workshop.machine.spoilboard)));
        design.depth = job.depth = thickness + design.breakthrough;
        return;
    }
    design.breakthrough = 0;
    if (design.kind == FigureKind::incise) {
        if (cut.depth) check_depth(*cut.depth, thickness, job.stock.assumed);
        design.depth = cut.depth.value_or(0);
        if (!cut.depth) job.assumed.push_back("No depth was given: the figure is cut as deep as its width asks of the bit.");
        return;
    }
    if (design.kind == FigureKind::isolate) {
        settle_board(choose, figure);
        return;
    }
    if (!choose.given("depth", cut.depth, 2.0)) job.assumed.push_back("No depth was given: 2 mm.");
    check_depth(*cut.depth, thickness, job.stock.assumed);
    const double steps = cut.steps.value_or(1);
    design.depth = *cut.depth / steps;
    job.top = -design.depth * step;
    job.depth = design.depth - job.top;
    for (const Bit& bit : workshop.bits)
        if (steps > 1 && bit.spec().cutting_length < *cut.depth)
            throw refused(
                fmt::format("The bit '{}' cuts on {} mm of its length, and the lowest step is {} mm deep. Give another --bit, or a "
                            "smaller --depth.",
                            bit.name(), number_text(bit.spec().cutting_length), number_text(*cut.depth)));
}

void settle_way(Chooser& choose, SettledFigure& figure) {
    SettledJob& job = figure.job;
    Cut& cut = job.written.cuts[0];
    const FigureKind kind = figure.design.kind;
    if (kind == FigureKind::outline) {
        if (!choose.given("side", cut.side, std::string("on")))
            job.assumed.push_back("No side was given: the bit follows the line itself.");
        figure.design.side = *cut.side == "on" ? LineSide::on : *cut.side == "inside" ? LineSide::inside : LineSide::outside;
    }
    if (kind == FigureKind::pocket) {
        if (!choose.given("part", cut.part, std::string("figure"))) job.assumed.push_back("No part was given: the figure is lowered.");
        figure.design.ground = *cut.part == "ground";
        choose.given("raster", cut.raster, false);
        figure.raster = *cut.raster;
    }
    if (kind == FigureKind::stroke) {
        choose.given("follow-width", cut.follow_width, false);
        figure.design.follow_width = *cut.follow_width;
    }
    const bool along_walls = kind == FigureKind::outline || kind == FigureKind::pocket || kind == FigureKind::cutout;
    if (along_walls) {
        if (!choose.given("allowance", cut.allowance, 0.3) && (kind != FigureKind::outline || figure.design.side != LineSide::on))
            job.assumed.push_back("0.3 mm are left along walls for a last pass (common practice).");
        choose.given("conventional", cut.conventional, false);
        figure.conventional = *cut.conventional;
    }
    job.allowance = cut.allowance.value_or(0);
    // A last pass must find something to lean on.
    if (const Bit& bit = job.bits.back().bit; job.allowance > bit.diameter() / 2)
        throw refused(
            fmt::format("An allowance of {} mm is more than half of the bit's diameter ({} mm): the last pass along the wall would "
                        "have to take nearly a full cut. Give a smaller --allowance.",
                        number_text(job.allowance), number_text(bit.diameter() / 2)));
    figure.design.allowance = job.allowance;
    choose.given("arcs", cut.arcs, false);
    figure.arcs = *cut.arcs;
    if (cut.fill) figure.fill = parse_colour(*cut.fill);
    settle_tolerance(choose, job);
}

void settle_tabs(Chooser& choose, SettledFigure& figure) {
    Cut& cut = figure.job.written.cuts[0];
    if (figure.design.kind != FigureKind::cutout) return;
    const bool tabs = choose.given("tabs", cut.tabs, 4.0), width = choose.given("tab-width", cut.tab_width, 4.0),
               height = choose.given("tab-height", cut.tab_height, 1.0);
    figure.tabs = {static_cast<int>(*cut.tabs), *cut.tab_width, *cut.tab_height};
    if (!tabs || !width || !height)
        figure.job.assumed.push_back(
            fmt::format("Up to {} tabs round every line, {} mm wide and {} mm high (--tabs, --tab-width, --tab-height).",
                        number_text(*cut.tabs), number_text(*cut.tab_width), number_text(*cut.tab_height)));
    choose.given("onion-skin", cut.onion_skin, 0.0);
    figure.onion_skin = *cut.onion_skin;
}

/// From the field's middle to the centre of the arc that letters stand on, turned as they are.
Point arc_middle(const Cut& cut, const Drawing& drawing) {
    if (!drawing.arc_centre) return {};
    const Facing facing(cut.rotate.value_or(0), cut.mirror.value_or(false));
    return facing({drawing.arc_centre->x - drawing.width / 2, drawing.arc_centre->y - drawing.height / 2});
}

}  // namespace

TraceWishes settle_trace(const Cut& cut, const Picture& picture) {
    TraceWishes wishes;
    const ThresholdChoice threshold = parse_threshold(cut.threshold.value_or("auto"));
    wishes.threshold = threshold.kind;
    wishes.value = threshold.value;
    wishes.ink = cut.ink;
    wishes.invert = cut.invert.value_or(false);
    wishes.despeckle = cut.despeckle.value_or(usual_speck);
    wishes.fill = cut.close_holes.value_or(usual_speck);
    wishes.smooth = cut.smooth.value_or(usual_smooth);
    const Point own = own_size(picture);
    const bool given = cut.width || cut.height;
    if (!given && !(own.x > 0))
        throw Error(
            Fault::usage,
            "The picture does not say how large it is: give --width MM (or --height MM), the size of the whole picture on the stock.");
    wishes.trim = cut.trim.value_or(false) && given;
    wishes.width = given ? cut.width.value_or(0) : rounded(own.x);
    wishes.height = cut.height.value_or(0);
    return wishes;
}

SettledFigure settle_figure(const Job& given, const Workshop& workshop, const Source& source, int step) {
    const Drawing& drawing = source.drawing;
    SettledFigure figure;
    SettledJob& job = figure.job;
    job.written = given;
    const Cut& cut = given.cuts.at(0);
    Cut& written_cut = job.written.cuts.at(0);
    Chooser choose(job.written.reckoned), choose_cut(written_cut.reckoned);
    figure.design.kind = kind_of(cut.make);
    settle_names(given, workshop, source, workshop.bits.front().name(), choose, choose_cut, job);
    const Point field{drawing.width, drawing.height};
    const Point flat_size = cut.picture ? settle_size(cut, field, field.y / field.x, choose_cut, written_cut, job) : field;
    const Point size = settle_copies(turned_size(flat_size, cut.rotate.value_or(0)), choose_cut, job);
    settle_stock(cut, size, usual_thickness_of(figure.design.kind), arc_middle(cut, drawing), choose, choose_cut, job);
    if (!source.picture.samples.empty()) settle_tracing(choose_cut, job);
    if (cut.text) settle_text(choose_cut, job);
    settle_turn(choose_cut, job);
    if (figure.design.kind == FigureKind::isolate || cut.layer) settle_layer(choose_cut, job);
    check_fit(job, size, {});
    settle_run(choose, job);
    settle_depth(workshop, step, choose_cut, figure);
    settle_bits(workshop, true, job);
    settle_way(choose_cut, figure);
    settle_tabs(choose_cut, figure);
    return figure;
}

}  // namespace burin
