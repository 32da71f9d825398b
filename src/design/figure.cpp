/// From traced figures and wishes to what is to be cut: where stock may be taken, and how deep; or which lines the tip follows.
/// A vee as deep as its cone is wide, a groove as wide as its stroke: both follow from the bit's width at a height above its tip.
/// Cost: one boolean of regions; for strokes the medial axis (see trace.hpp).
#include "burin/design/figure.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/screen.hpp"
#include "burin/design/trace.hpp"
#include "drill.hpp"
#include "isolate.hpp"

namespace burin {
namespace {

constexpr double left_below = 1;     // mm of stock that an incised figure without a limit keeps under it
constexpr double shallowest = 0.05;  // mm: strokes thinner than the tip still get a scratch; our choice, no source
constexpr double around_slots = 2;   // mm beyond the slot beside a line, so that the world's edge is no line to be followed

[[nodiscard]] Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

/// Everything but the figure, so far out that a slot of `width` beside it has room.
Region world_around(const Region& figure, double width) {
    Box box = figure.bounds();
    const double more = 2 * width + around_slots;
    box = {{box.lo.x - more, box.lo.y - more}, {box.hi.x + more, box.hi.y + more}};
    return without(rectangle(box), figure);
}

void incised(FigureDesign& design, const FigureWishes& wishes, const Bit& bit) {
    if (bit.shape() != BitShape::vee)
        throw refused(
            fmt::format("'{}' is no vee bit, and incised figures are cut with one: their depth follows their width. Give one "
                        "with --bit, such as vee:60:0.1:3.175; a flat bit for wide floors may stand before it.",
                        bit.name()));
    design.may = design.traced;
    design.half_angle = bit.spec().angle / 2;
    const double cone = bit.tip_height(), stock = wishes.thickness - std::min(left_below, wishes.thickness / 2);
    const double limit = wishes.depth > 0 ? wishes.depth : stock;
    design.floor = -std::min(cone, limit);
    if (wishes.depth > 0 && wishes.depth > cone)
        design.notes.push_back(
            fmt::format("The depth of {:.4g} mm is never reached: the cone of '{}' is {:.2f} mm high.", wishes.depth, bit.name(), cone));
    design.notes.push_back(fmt::format("Where the figure is wider than {:.2f} mm its floor is flat, {:.2f} mm deep ({}).",
                                       bit.width_at(-design.floor), -design.floor,
                                       limit >= cone      ? "the height of the bit's cone"
                                       : wishes.depth > 0 ? "as asked for"
                                                          : "the stock is no thicker"));
}

/// Beside the line: the figure's side or the ground's.
void beside_line(FigureDesign& design, bool inside, double depth, const FigureWishes& wishes, const Bit& bit) {
    design.floor = -depth;
    design.band = bit.width_at(depth) + wishes.allowance;
    design.may = inside ? design.traced : world_around(design.traced, design.band);
}

void on_line(FigureDesign& design, double depth) {
    design.floor = -depth;
    for (const Loop& loop : design.traced.loops()) {
        Groove groove;
        groove.closed = true;
        for (const Point& p : loop) groove.tip.push_back({p.x, p.y, -depth});
        design.grooves.push_back(std::move(groove));
    }
}

/// Strokes thinner than the tip still get a scratch.
double stroke_depth(const Bit& bit, double width, double limit) {
    return std::min(std::max(depth_for_width(bit, width, limit), shallowest), limit);
}

void strokes(FigureDesign& design, const std::vector<MiddleLine>& lines, const FigureWishes& wishes, const Bit& bit) {
    design.floor = -wishes.depth;
    for (const MiddleLine& line : lines) {
        if (line.line.points.empty()) continue;
        Groove groove;
        groove.closed = line.line.closed;
        for (std::size_t k = 0; k < line.line.points.size(); ++k) {
            const Point& p = line.line.points[k];
            groove.tip.push_back({p.x, p.y, -(wishes.follow_width ? stroke_depth(bit, line.width[k], wishes.depth) : wishes.depth)});
        }
        design.grooves.push_back(std::move(groove));
    }
    if (design.grooves.empty()) throw refused("The drawing has no strokes that could be followed. Check its threshold and --despeckle.");
    if (wishes.follow_width && bit.width_at(0) >= bit.diameter() - 1e-9)
        design.warnings.push_back(fmt::format("--follow-width says nothing for '{}', which is as wide at its tip as above.", bit.name()));
    design.notes.push_back(
        fmt::format("{} {} followed along the middle.", design.grooves.size(), design.grooves.size() == 1 ? "stroke is" : "strokes are"));
}

}  // namespace

FigureDesign design_figure(const Region& traced, const Region& field, const FigureWishes& wishes, const Bit& bit, const Crew& crew,
                           const std::vector<MiddleLine>& lines) {
    if (traced.empty() && (wishes.kind != FigureKind::stroke || lines.empty()))
        throw refused(lines.empty() ? "There is nothing to cut: the drawing holds no figure. Check its threshold and --invert."
                                    : "There is nothing to cut: the drawing holds lines only, which `stroke` follows.");
    FigureDesign design;
    design.traced = traced;
    switch (wishes.kind) {
        case FigureKind::incise:
            incised(design, wishes, bit);
            break;
        case FigureKind::outline:
            if (wishes.side == LineSide::on)
                on_line(design, wishes.depth);
            else
                beside_line(design, wishes.side == LineSide::inside, wishes.depth, wishes, bit);
            break;
        case FigureKind::pocket:
            design.floor = -wishes.depth;
            design.may = wishes.ground ? without(field, traced) : traced;
            if (design.may.empty()) throw refused("There is nothing to lower: the figure fills the picture. Give --part figure.");
            break;
        case FigureKind::stroke:
            strokes(design, lines.empty() ? middle_lines(design.traced, crew) : lines, wishes, bit);
            break;
        case FigureKind::cutout:
            beside_line(design, false, wishes.thickness + wishes.breakthrough, wishes, bit);
            design.breakthrough = wishes.breakthrough;
            break;
        case FigureKind::drill:
            drill_holes(design, wishes, bit);
            break;
        case FigureKind::isolate:
            isolate(design, field, wishes, bit, crew);
            break;
        case FigureKind::screen:
        case FigureKind::stipple:
            throw Error(Fault::usage, "Photos are not drawings: they are made by make_screen and the like.");
    }
    return design;
}

}  // namespace burin
