/// Fill and stroke of one path.
///
/// Curves are flattened and strokes widened in the element's own space, as the standard has it, then everything goes to mm: so a
/// transform that stretches a shape stretches its strokes too. Cost: the chords, and a boolean for what crosses itself or is clipped.
#include "svg_paint.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace burin {

Tone tone_of(const SvgColour& colour, double opacity) {
    const double alpha = colour.alpha * opacity, over_black = alpha * colour.luma(), over_white = over_black + 1 - alpha;
    return over_white < 0.5 ? Tone::dark : over_black >= 0.5 ? Tone::light : Tone::none;
}

namespace {

constexpr double far = 9000;  ///< mm; within what a Region may reach

/// The part of a loop on one side of an upright or level line (Sutherland and Hodgman 1974); winding numbers there stay.
Loop cut(const Loop& loop, double Point::*axis, double limit, bool below) {
    Loop kept;
    const auto inside = [&](const Point& p) { return below ? p.*axis <= limit : p.*axis >= limit; };
    for (std::size_t k = 0, before = loop.size() - 1; k < loop.size(); before = k++) {
        const Point &a = loop[before], &b = loop[k];
        if (inside(a) != inside(b)) {
            const double t = (limit - a.*axis) / (b.*axis - a.*axis);
            Point p{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
            p.*axis = limit;
            kept.push_back(p);
        }
        if (inside(b)) kept.push_back(b);
    }
    return kept;
}

void check_place(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, const Point& p) {
    const Point mm = state.to_mm(p);
    if (!std::isfinite(p.x) || !std::isfinite(p.y) || !std::isfinite(mm.x) || !std::isfinite(mm.y))
        reading.document.fail(node, fmt::format("<{}> has a coordinate that is not a number, or too large for one. Repair or delete it.",
                                                reading.document.element(node)));
    if (std::max(std::abs(mm.x), std::abs(mm.y)) > svg_limits::farthest)
        reading.document.fail(node, fmt::format("<{}> reaches {:.0f} m away from the page. Repair or delete it.",
                                                reading.document.element(node), std::max(std::abs(mm.x), std::abs(mm.y)) / 1000));
}

/// Loops that wind a positive number of times round what is filled.
std::vector<Loop> positive(const std::vector<Loop>& loops, FillRule rule) { return Region(loops, rule).loops(); }

void put(SvgReading& reading, const SvgState& state, std::vector<Loop> loops, Tone tone) {
    if (state.clip) {
        const Box box = bounds_of(loops), clip = state.clip->region.bounds();
        const bool inside = state.clip->rectangle && clip.holds(box.lo) && clip.holds(box.hi);
        if (!inside) loops = common(Region(loops, FillRule::positive), state.clip->region).loops();
    }
    reading.canvas.add(std::move(loops), tone);
}

/// How paint counts; half-transparent paint that does neither is told.
Tone settled_tone(SvgReading& reading, const SvgPaint& paint, double opacity, const pugi::xml_node& node) {
    if (!paint.some) return Tone::none;
    const std::optional<SvgColour> colour = colour_of(reading, paint, node);
    if (!colour) return Tone::none;
    const double alpha = colour->alpha * opacity;
    const Tone tone = tone_of(*colour, opacity);
    if (alpha > 0.05 && alpha < 0.95)
        reading.remarks.note("Half-transparent paint counts as dark, as light, or as none, whichever it comes nearest to",
                             reading.document.line_of(node));
    return tone;
}

void fill(SvgReading& reading, const SvgState& state, const std::vector<CentreLine>& lines, Tone tone) {
    std::vector<Loop> loops;
    for (const CentreLine& line : lines)
        if (line.line.points.size() > 2) loops.push_back(line.line.points);
    if (loops.empty()) return;
    put(reading, state, positive(in_mm(state.to_mm, std::move(loops)), state.style.fill_rule), tone);
}

std::vector<CentreLine> dashes_of(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, std::vector<CentreLine> lines) {
    if (state.style.dashes.empty()) return lines;
    constexpr std::size_t most = 100'000;
    std::vector<CentreLine> out;
    for (const CentreLine& line : lines) {
        std::optional<std::vector<CentreLine>> dashes = dashed(line, state.style.dashes, state.style.dash_offset, most);
        if (!dashes || dashes->size() > reading.points_left) {
            reading.remarks.warn("A line has too many dashes to be drawn; it is drawn without gaps", reading.document.line_of(node));
            return lines;
        }
        reading.points_left -= dashes->size();
        out.insert(out.end(), std::make_move_iterator(dashes->begin()), std::make_move_iterator(dashes->end()));
    }
    return out;
}

void follow(SvgReading& reading, const SvgState& state, const std::vector<CentreLine>& lines) {
    const double width = state.style.stroke_width * std::sqrt(std::abs(state.to_mm.determinant()));
    for (const CentreLine& line : lines) {
        MiddleLine followed;
        followed.line.closed = line.line.closed;
        for (const Point& p : line.line.points) {
            const Point mm = state.to_mm(p);
            if (followed.line.points.empty() || distance(followed.line.points.back(), mm) > Region::lattice)
                followed.line.points.push_back(mm);
        }
        if (followed.line.closed && followed.line.points.size() > 1 &&
            distance(followed.line.points.front(), followed.line.points.back()) <= Region::lattice)
            followed.line.points.pop_back();
        if (followed.line.points.size() < 3) followed.line.closed = followed.line.closed && followed.line.points.size() == 2;
        if (followed.line.points.size() == 1 && state.style.cap == Cap::butt) continue;
        followed.width.assign(followed.line.points.size(), width);
        if (!state.clip) {
            reading.canvas.add(std::move(followed));
            continue;
        }
        for (MiddleLine& part : line_parts(followed, state.clip->region, true)) reading.canvas.add(std::move(part));
    }
}

void stroke(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, const std::vector<CentreLine>& lines, Tone tone) {
    const SvgStyle& style = state.style;
    const std::vector<CentreLine> dashes = dashes_of(reading, state, node, lines);
    if (reading.follow_strokes && tone == Tone::dark) {
        follow(reading, state, dashes);
        return;
    }
    std::vector<Loop> loops;
    const double tolerance = reading.tolerance / state.to_mm.longest();
    for (const CentreLine& line : dashes)
        for (Loop& loop : pen_loops(line, {style.stroke_width, style.cap, style.join, style.miter_limit}, tolerance))
            loops.push_back(std::move(loop));
    // A mirroring transform turns the loops round.
    if (state.to_mm.determinant() < 0)
        for (Loop& loop : loops) std::reverse(loop.begin(), loop.end());
    put(reading, state, in_mm(state.to_mm, std::move(loops)), tone);
}

}  // namespace

std::vector<Loop> in_mm(const Affine& to_mm, std::vector<Loop> loops) {
    for (Loop& loop : loops) {
        bool out = false;
        for (Point& p : loop) {
            p = to_mm(p);
            out = out || std::max(std::abs(p.x), std::abs(p.y)) > far;
        }
        if (!out) continue;
        for (double Point::*axis : {&Point::x, &Point::y}) {
            if (!loop.empty()) loop = cut(loop, axis, far, true);
            if (!loop.empty()) loop = cut(loop, axis, -far, false);
        }
    }
    std::erase_if(loops, [](const Loop& loop) { return loop.size() < 3; });
    return loops;
}

std::vector<CentreLine> chords(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, const SvgPath& path) {
    for (const SubPath& sub : path) {
        check_place(reading, state, node, sub.start);
        for (const PathPiece& step : sub.steps) {
            check_place(reading, state, node, step.to);
            if (step.kind == PathPiece::Kind::cubic)
                check_place(reading, state, node, step.first), check_place(reading, state, node, step.second);
            if (step.kind == PathPiece::Kind::arc)
                check_place(reading, state, node, {step.arc.centre.x + std::max(step.arc.rx, step.arc.ry), step.arc.centre.y});
        }
    }
    const double grows = state.to_mm.longest();
    if (!(grows > 0)) return {};
    std::vector<CentreLine> lines = flattened(path, reading.tolerance / grows, reading.points_left);
    if (reading.points_left == 0)
        reading.document.fail(
            node, fmt::format("The drawing has more than {} million points up to here. Simplify it.", svg_limits::points / 1'000'000));
    return lines;
}

void paint_path(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, const SvgPath& path) {
    if (!state.style.visible || state.to_mm.determinant() == 0) return;
    const SvgStyle& style = state.style;
    const Tone inside = settled_tone(reading, style.fill, style.fill_opacity * state.alpha, node);
    const Tone line = style.stroke_width > 0 ? settled_tone(reading, style.stroke, style.stroke_opacity * state.alpha, node) : Tone::none;
    const std::vector<CentreLine> lines = chords(reading, state, node, path);
    if (line != Tone::none && style.stroke_first) stroke(reading, state, node, lines, line);
    if (inside != Tone::none) fill(reading, state, lines, inside);
    if (line != Tone::none && !style.stroke_first) stroke(reading, state, node, lines, line);
}

}  // namespace burin
