// Incised figures: a vee bit so deep everywhere that it just touches the figure's line on both sides.
//
// The bit's cone about a place of the medial axis is tangent to the line where the axis' disc is (Blum 1967): with the disc's radius r,
// the tip's diameter t and the half angle a the tip goes (r − t/2) / tan a deep, and following all of the axis cuts all of the figure
// that the tip can enter, rising into the corners. Where that is deeper than the limit (asked for, or the cone's end) the floor is flat:
// the tip may be at the limit wherever the figure shrunk by the limit's radius R lets it; following that region's edge cuts the walls,
// clearing it the floor: by a flat bit first, where there is one, then by the vee in rows so close that no more than a scallop stays.
// Before the last level rows lie farther apart; their ridges and the last level's depth together stay within what may be taken.
// Cost: n log n for the axis; the length of the ways.
#include <fmt/format.h>

#include <cmath>

#include "burin/base/error.hpp"
#include "burin/shape/medial_axis.hpp"
#include "burin/toolpath/figures.hpp"
#include "figure_arcs.hpp"
#include "figure_axis.hpp"
#include "figure_clear.hpp"
#include "figure_grooves.hpp"
#include "figure_parts.hpp"
#include "figure_walls.hpp"

namespace burin {
namespace {

constexpr double simpler = 0.003;      // mm: the figure is simplified within this before its axis is reckoned
constexpr double arms = 0.003;         // mm that arms must shape to be followed
constexpr double scallop = 0.015;      // mm between rows over the floor
constexpr double beside_flat = 0.005;  // mm between the flat bit and the foot of the walls
constexpr double left_by_flat = 0.02;  // mm: narrower strips along the walls are covered by the wall's own pass

class Incision {
public:
    Incision(const FigureDesign& design, const FigureOrder& order, const Crew& crew)
        : order_(order), crew_(crew), vee_(order.bits.back()), may_(simplified(design.may, simpler)) {
        const BitSpec& spec = vee_.bit.spec();
        if (vee_.bit.shape() != BitShape::vee)
            throw Error(
                Fault::refused,
                fmt::format("Figures are incised with a vee bit, and {} is none. Take one, such as vee:60:0.1:3.175.", vee_.bit.name()));
        cut_.tan = std::tan(spec.angle / 2), cut_.tip = spec.tip;
        cut_.deepest = std::min(-design.floor, (spec.diameter - spec.tip) / 2 / cut_.tan);
        places_ = shrunk(may_, cut_.deepest * cut_.tan + cut_.tip / 2, 0.002, crew);
    }

    FigurePlan plan() {
        FigurePlan plan;
        check_depth(vee_.bit, deepest());
        Region cleared;
        for (std::size_t k = 0; k + 1 < order_.bits.size(); ++k) clear_by_flat(k, cleared, plan);
        Pen pen(vee_.feed, vee_.plunge, order_.safe_height);
        const CutRules rules = cut_rules(vee_, order_.take);
        if (!places_.empty()) floor_by_vee(pen, cleared, rules);
        crew_.say("incise", 0.5);
        cut_lines(pen, lines_over(axis_, cut_), rules, "figures", crew_);
        if (!pen.started())
            throw Error(Fault::refused,
                        fmt::format("The tip of the bit {} is wider than the figure everywhere. Take a finer one or a larger --width.",
                                    vee_.bit.name()));
        pen.retract();
        plan.paths.push_back({order_.bits.size() - 1, with_arcs(pen.take(), order_)});
        if (cut_.tip > 0) plan.unreached = out_of_reach(may_, cut_.tip / 2, 0.006, crew_);
        return plan;
    }

private:
    double deepest() {
        axis_ = pruned(medial_axis(may_, simpler, crew_), arms);
        double radius = 0;
        for (const AxisNode& node : axis_.nodes) radius = std::max(radius, node.radius);
        return std::min(cut_.deepest, (radius - cut_.tip / 2) / cut_.tan);
    }
    void clear_by_flat(std::size_t k, Region& cleared, FigurePlan& plan) {
        const ReliefBit& bit = order_.bits[k];
        const auto nothing = [&](const char* why) {
            plan.notes.push_back(fmt::format("The bit {} {} and gets no program.", bit.bit.name(), why));
        };
        if (bit.bit.shape() != BitShape::flat) return nothing("is not flat, as a floor wants it,");
        if (bit.bit.spec().cutting_length < cut_.deepest) return nothing("is too short for the floor");
        const double half = bit.bit.radius();
        std::vector<Figure> tips = shrunk(may_, cut_.deepest * cut_.tan + half + beside_flat, 0.002, crew_);
        if (!cleared.empty())
            tips = common(Region(loops_of(tips)),
                          offset_by(opened_by(without(Region(loops_of(shrunk(may_, cut_.deepest * cut_.tan, 0.002, crew_))), cleared),
                                              left_by_flat),
                                    half + 0.1))
                       .figures();
        if (tips.empty()) return nothing("finds no floor wide enough");
        Pen pen(bit.feed, bit.plunge, order_.safe_height);
        ClearOrder clear{cut_rules(bit, order_.take),           clearing_step(bit.bit, scallop), 0.005, order_.conventional, order_.raster,
                         0.45 * clearing_step(bit.bit, scallop)};
        pen.pass("floor", -cut_.deepest);
        clear_figures(pen, tips, levels_to(-cut_.deepest, clear.rules.step), clear, crew_);
        if (!pen.started()) return nothing("finds no room to ramp in");
        pen.retract();
        plan.paths.push_back({k, with_arcs(pen.take(), order_)});
        cleared = united(cleared, offset_by(Region(loops_of(tips)), half, 0.002));
    }
    void floor_by_vee(Pen& pen, const Region& cleared, const CutRules& rules) {
        std::vector<Figure> places = places_;
        const double fine = cut_.tip + 2 * scallop * cut_.tan;
        if (!cleared.empty()) {
            const Region left = opened_by(
                without(Region(loops_of(shrunk(may_, cut_.deepest * cut_.tan, 0.002, crew_))), offset_by(cleared, 0.002)), left_by_flat);
            places = common(Region(loops_of(places_)), offset_by(left, cut_.tip / 2 + 0.05)).figures();
        }
        // Levels such that the ridges between rows that lie farther apart may be taken with the last one.
        const std::vector<double> levels = levels_to(-cut_.deepest, 0.7 * rules.step);
        const double step = cut_.deepest / static_cast<double>(levels.size()), ridge = std::min(0.9 * (rules.step - step), 0.5 * step);
        pen.pass("floor", -cut_.deepest);
        if (levels.size() > 1) clear(pen, places, {levels.begin(), levels.end() - 1}, cut_.tip + 2 * ridge * cut_.tan, 0, rules);
        clear(pen, places, {levels.back()}, fine, levels.size() > 1 ? std::min(0.0, levels[levels.size() - 2] + ridge) : 0, rules);
        if (cleared.empty()) return;
        // The walls' feet, where the floor was cleared.
        std::vector<TipLine> walls;
        for (Loop loop : loops_of(places_)) {
            if (order_.conventional) std::reverse(loop.begin(), loop.end());
            walls.push_back({at_height(loop, -cut_.deepest), true, true, {}});
        }
        cut_lines(pen, std::move(walls), rules, "walls", crew_);
    }

    /// Rows over figures that are wide, rings in narrow ones; lines `width` mm wide leave nothing between them.
    void clear(Pen& pen, const std::vector<Figure>& places, const std::vector<double>& levels, double width, double above,
               const CutRules& rules) {
        std::vector<Figure> narrow, wide;
        for (const Figure& figure : places) (shrunk(alone(figure), 2 * width, 0.005, crew_).empty() ? narrow : wide).push_back(figure);
        ClearOrder order{rules, width, 0.002, order_.conventional, true, 0};
        clear_figures(pen, wide, levels, order, crew_, above);
        order.raster = false, order.stepover = 0.48 * width;
        clear_figures(pen, narrow, levels, order, crew_, above);
    }

    const FigureOrder& order_;
    const Crew& crew_;
    const ReliefBit& vee_;
    Region may_;
    std::vector<Figure> places_;  // of the tip at the floor
    AxisCut cut_;
    MedialAxis axis_;
};

}  // namespace

FigurePlan plan_incised(const FigureDesign& design, const FigureOrder& order, const Crew& crew) {
    if (design.may.empty() || !(design.floor < 0))
        throw Error(Fault::refused, "There is nothing to incise: the figure is empty. Check the drawing, its threshold and --invert.");
    return Incision(design, order, crew).plan();
}

}  // namespace burin
