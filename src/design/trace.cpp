/// A drawing's ink as a region: ink → contours → specks away → corners and curves → region.
///
/// Specks and small holes go by the nesting of the contours, before anything is done to their lines, so that a hundred thousand of them
/// cost little. The lines that stay are worked on one by one, in parallel. Sources: contour.hpp, ink.hpp, outline.hpp.
#include "burin/design/trace.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "burin/base/error.hpp"
#include "contour.hpp"
#include "ink.hpp"
#include "outline.hpp"

namespace burin {
namespace {

/// The most lines that are made into figures, and the most specks that are shown.
constexpr std::size_t most_figures = 50'000, most_shown = 2'000;
constexpr double sliver_width = 0.008;  // mm: twice what later steps simplify by

/// mm a pixel along both axes, and which pixels' corner is 0, 0.
struct Scale {
    double x = 1, y = 1;
    Point corner;
    [[nodiscard]] Point in_mm(const Point& p) const { return {(p.x - corner.x) * x, (p.y - corner.y) * y}; }
    [[nodiscard]] double area() const { return x * y; }
    [[nodiscard]] double pixel() const { return std::sqrt(area()); }
};

/// What becomes of a line; one that goes because of what is around it leaves its inside as ink or as paper.
enum class Fate : std::uint8_t { kept, dropped, gone_in_ink, gone_in_paper };

/// Small figures (a ring by its ink) and small holes go, and with a hole all that it holds.
std::vector<Fate> fates_of(const Contours& contours, const TraceWishes& wishes, double pixel_area) {
    const auto& lines = contours.outlines;
    std::vector<double> ink(lines.size());
    for (std::size_t k = 0; k < lines.size(); ++k) ink[k] = std::abs(lines[k].area) * pixel_area;
    for (const Outline& line : lines)
        if (line.hole && line.parent >= 0) ink[static_cast<std::size_t>(line.parent)] -= std::abs(line.area) * pixel_area;
    std::vector<Fate> fates(lines.size(), Fate::kept);
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const Outline& line = lines[k];
        const Fate around = line.parent < 0 ? Fate::kept : fates[static_cast<std::size_t>(line.parent)];
        Fate& fate = fates[k];
        if (line.hole) {
            if (around == Fate::kept)
                fate = std::abs(line.area) * pixel_area < wishes.fill ? Fate::dropped : Fate::kept;
            else
                fate = around == Fate::dropped ? Fate::gone_in_paper : Fate::gone_in_ink;
        } else if (around == Fate::dropped || around == Fate::gone_in_ink) {
            fate = Fate::gone_in_ink;
        } else {
            fate = ink[k] < wishes.despeckle ? Fate::dropped : Fate::kept;
        }
    }
    return fates;
}

std::span<const Point> points_of(const Contours& contours, const Outline& line) {
    return {contours.points.data() + line.first, line.count};
}

/// Round all lines of a fate, pixels.
std::optional<Box> box_of(const Contours& contours, const std::vector<Fate>& fates) {
    std::optional<Box> box;
    for (std::size_t k = 0; k < fates.size(); ++k) {
        if (fates[k] != Fate::kept || contours.outlines[k].hole) continue;
        for (const Point& p : points_of(contours, contours.outlines[k])) {
            if (!box) box = Box{p, p};
            box->lo = {std::min(box->lo.x, p.x), std::min(box->lo.y, p.y)};
            box->hi = {std::max(box->hi.x, p.x), std::max(box->hi.y, p.y)};
        }
    }
    return box;
}

/// `box`, in pixels, becomes the width and height wished for; one that is 0 follows the other.
Scale scale_of(const Box& box, const TraceWishes& wishes) {
    const double x = wishes.width / box.width(), y = wishes.height / box.height();
    return {x > 0 ? x : y, y > 0 ? y : x, box.lo};
}

[[noreturn]] void refuse_empty(const Contours& contours, double pixel_area, const TraceWishes& wishes) {
    double most = 0;
    for (const Outline& line : contours.outlines) most = std::max(most, line.area * pixel_area);
    if (contours.outlines.empty())
        throw Error(
            Fault::refused,
            "There is nothing to cut: no place of the picture counts as ink. Invert it where the figure is the lighter part, or set "
            "another threshold.");
    if (!(most < wishes.despeckle))
        throw Error(
            Fault::refused,
            fmt::format("There is nothing to cut: the largest of the picture's {} spots measures {:.4f} mm², too small for a figure "
                        "to be traced round it. Give a larger width, or another threshold.",
                        contours.outlines.size(), most));
    throw Error(
        Fault::refused,
        fmt::format("There is nothing to cut: the picture holds only specks, {} of them, the largest of {:.4f} mm², and those below {} mm² "
                    "are dropped. Give a larger width, or drop smaller specks only.",
                    contours.outlines.size(), most, wishes.despeckle));
}

/// A line with what was found on the way.
struct Traced {
    Loop loop;             ///< pixels
    bool stepped = false;  ///< a staircase was smoothed
    double noise = 0;      ///< pixels
};

bool is_hard(std::span<const std::uint8_t> marks) {
    std::size_t count = 0;
    for (const std::uint8_t mark : marks) count += (mark & hard) != 0;
    return count * 10 > marks.size() * 8;
}

Traced traced(const Contours& contours, const Outline& line, Slack slack, const Box& picture) {
    const std::span<const std::uint8_t> marks{contours.marks.data() + line.first, line.count};
    Traced out;
    const bool edges_are_hard = is_hard(marks);
    std::vector<Point> points = sure_points(points_of(contours, line), marks, edges_are_hard);
    // Beyond what is asked for, lines are smoothed only by what the picture does not know: half a pixel where edges have no grey,
    // else its grain.
    if (edges_are_hard) {
        slack.smooth = std::max(slack.smooth, 0.5);
        slack.thin = std::max(slack.thin, 0.1);
    } else {
        out.noise = noise_of(points);
        slack.noise = std::max(slack.noise, out.noise);
        if (slack.noise > 0.04) slack.smooth = std::max(slack.smooth, 2.5 * slack.noise);
        slack.thin = std::max(slack.thin, 1.2 * slack.noise);
    }
    CorneredLine cornered = with_corners(std::move(points), slack, edges_are_hard);
    smooth(cornered, slack);
    out.loop = thinned(cornered, slack.thin);
    // Corners of what the picture's border cuts off are not looked for beyond it.
    for (Point& p : out.loop) p = {std::clamp(p.x, picture.lo.x, picture.hi.x), std::clamp(p.y, picture.lo.y, picture.hi.y)};
    if (edges_are_hard)
        for (std::size_t k = 0; k < out.loop.size(); ++k) {
            const Point &a = out.loop[k], &b = out.loop[(k + 1) % out.loop.size()];
            out.stepped = out.stepped || std::min(std::abs(a.x - b.x), std::abs(a.y - b.y)) > 0.05;
        }
    return out;
}

void note_specks(const Contours& contours, const std::vector<Fate>& fates, double pixel_area, Tracing& out) {
    std::size_t specks = 0, holes = 0;
    double area = 0, filled = 0;
    for (std::size_t k = 0; k < fates.size(); ++k) {
        if (fates[k] != Fate::dropped) continue;
        const Outline& line = contours.outlines[k];
        ++(line.hole ? holes : specks);
        (line.hole ? filled : area) += std::abs(line.area) * pixel_area;
    }
    if (specks > 0) out.notes.push_back(fmt::format("{} specks were dropped, {:.3f} mm² in all.", specks, area));
    if (holes > 0) out.notes.push_back(fmt::format("{} small holes were filled, {:.3f} mm² in all.", holes, filled));
    if (specks + holes > most_shown)
        out.notes.push_back(fmt::format("Of what was dropped and filled, the {} largest places are shown.", most_shown));
    if (area > 0.2 * out.region.area())
        out.warnings.push_back(fmt::format(
            "Specks of {:.1f} mm² in all were dropped, and only {:.1f} mm² of figures are left. If dots belong to the drawing, drop "
            "smaller specks only.",
            area, out.region.area()));
}

void note_lines(const std::vector<Traced>& lines, const Slack& slack, double pixel, Tracing& out) {
    std::size_t stepped = 0, noisy = 0;
    double noise = 0;
    for (const Traced& line : lines) {
        stepped += line.stepped && slack.smooth < 0.5;
        noisy += line.noise > 0.04 && 2.5 * line.noise > slack.smooth;
        noise = std::max(noise, line.noise);
    }
    if (stepped > 0)
        out.notes.push_back(
            fmt::format("{} lines have no grey at their edge, so they are known to half a pixel only and were smoothed by up to {:.3f} mm.",
                        stepped, pixel / 2));
    if (noisy > 0)
        out.notes.push_back(
            fmt::format("{} lines are grainy and were smoothed by up to {:.3f} mm.", noisy, std::max(2.5 * noise, slack.smooth) * pixel));
    if (pixel > 0.3)
        out.warnings.push_back(fmt::format(
            "A pixel is {:.2f} mm wide: the line is only as good as that allows. A picture with more pixels gives a truer one.", pixel));
}

/// The mean width of strokes, as area over half the length of their lines.
void warn_of_thin(const std::vector<Traced>& lines, Tracing& out) {
    double area = 0, length = 0;
    for (const Traced& line : lines)
        for (std::size_t k = 0; k < line.loop.size(); ++k) {
            const Point &a = line.loop[k], &b = line.loop[(k + 1) % line.loop.size()];
            area += (a.x * b.y - a.y * b.x) / 2;
            length += distance(a, b);
        }
    if (area < length)
        out.warnings.push_back(fmt::format(
            "The drawing's lines are only about {:.1f} pixels wide: thinner ones may be broken or lost. A picture with more pixels keeps "
            "them.",
            2 * area / length));
}

/// Without loops that are slivers: lines that came to cross when they were smoothed leave some, far below what the picture knows.
/// One with next to no width would be lost where figures are simplified later on, and then be cut over.
Region without_slivers(const Region& region, double width) {
    const auto sliver = [&](const Loop& loop) {
        double area = 0, length = 0;
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point a{loop[k].x - loop[0].x, loop[k].y - loop[0].y}, &next = loop[(k + 1) % loop.size()];
            const Point b{next.x - loop[0].x, next.y - loop[0].y};
            area += (a.x * b.y - a.y * b.x) / 2;
            length += distance(a, b);
        }
        return 2 * std::abs(area) < width * length;
    };
    std::vector<Loop> kept;
    bool any = false;
    for (const Figure& figure : region.figures()) {
        if (sliver(figure.outer)) {
            any = true;
            continue;
        }
        kept.push_back(figure.outer);
        for (const Loop& hole : figure.holes) {
            if (sliver(hole))
                any = true;
            else
                kept.push_back(hole);
        }
    }
    return any ? Region(kept, FillRule::positive) : region;
}

/// Figures that the picture's border cuts off.
void warn_of_border(const Region& region, const Box& picture, double pixel, Tracing& out) {
    if (region.empty()) return;
    const Box box = region.bounds();
    std::string sides;
    const auto say = [&](bool touches, const char* side) {
        if (touches) sides += (sides.empty() ? "" : ", ") + std::string(side);
    };
    const double near = 0.02 * pixel;
    say(box.lo.x < picture.lo.x + near, "left");
    say(box.hi.x > picture.hi.x - near, "right");
    say(box.lo.y < picture.lo.y + near, "bottom");
    say(box.hi.y > picture.hi.y - near, "top");
    if (!sides.empty()) out.warnings.push_back(fmt::format("The figure runs off the picture ({}) and is closed along its border.", sides));
}

Region shown(const Contours& contours, const std::vector<Fate>& fates, const Scale& scale) {
    std::vector<std::size_t> dropped;
    for (std::size_t k = 0; k < fates.size(); ++k)
        if (fates[k] == Fate::dropped) dropped.push_back(k);
    std::sort(dropped.begin(), dropped.end(), [&](std::size_t a, std::size_t b) {
        const double p = std::abs(contours.outlines[a].area), q = std::abs(contours.outlines[b].area);
        return p != q ? p > q : a < b;
    });
    if (dropped.size() > most_shown) dropped.resize(most_shown);
    std::vector<Loop> loops;
    for (const std::size_t k : dropped) {
        Loop& loop = loops.emplace_back();
        for (const Point& p : points_of(contours, contours.outlines[k])) loop.push_back(scale.in_mm(p));
    }
    return loops.empty() ? Region() : Region(loops, FillRule::nonzero);
}

/// Dots or grain all over: a photo made of dots, noise, or the grain of blank paper.
void refuse_noise(std::size_t crossings, const Picture& picture) {
    const double pixels = static_cast<double>(picture.width) * picture.height;
    if (pixels >= 4096 && static_cast<double>(crossings) > 0.3 * pixels)
        throw Error(Fault::refused,
                    "The picture is grain or dots all over, not a drawing: it is noise, blank paper, or a photo made of dots. For a photo "
                    "use relief; else take a smoother picture.");
}

void check(const TraceWishes& wishes) {
    const auto sound = [](double v) { return std::isfinite(v) && v >= 0; };
    if (!sound(wishes.width) || !sound(wishes.height) || wishes.width + wishes.height == 0)
        throw Error(Fault::usage, "A drawing needs a width or a height above 0 mm.");
    if (!sound(wishes.despeckle) || !sound(wishes.fill) || !sound(wishes.smooth))
        throw Error(Fault::usage, "The sizes of specks, holes and smoothing are 0 or more.");
    if (wishes.threshold == Threshold::value && !(wishes.value > 0 && wishes.value < 1))
        throw Error(Fault::usage, "A threshold set by hand lies between 0 (black) and 1 (white).");
}

/// Contours of a picture, and what was said of its ink.
Contours contours_in(const Picture& picture, const TraceWishes& wishes, const Crew& crew, Tracing& out) {
    Ink ink = ink_of(picture, wishes, crew);
    refuse_noise(crossings_of(ink.share, 0.5F, crew), picture);
    out.notes = std::move(ink.notes);
    out.warnings = std::move(ink.warnings);
    out.threshold = ink.threshold;
    return contours_of(ink.share, 0.5F, crew);
}

std::vector<std::size_t> kept_of(const std::vector<Fate>& fates) {
    std::vector<std::size_t> kept;
    for (std::size_t k = 0; k < fates.size(); ++k)
        if (fates[k] == Fate::kept) kept.push_back(k);
    if (kept.size() > most_figures)
        throw Error(Fault::refused,
                    fmt::format("The picture holds {} separate spots: that is grain, or a photo made of dots. Drop larger specks, or use "
                                "relief for a photo.",
                                kept.size()));
    return kept;
}

/// Round all points; corners reach farther than the contour did.
Box box_of(const std::vector<Traced>& lines, const Box& otherwise) {
    constexpr double far = std::numeric_limits<double>::max();
    Box box{{far, far}, {-far, -far}};
    for (const Traced& line : lines)
        for (const Point& p : line.loop) {
            box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
            box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
        }
    return box.hi.x > box.lo.x && box.hi.y > box.lo.y ? box : otherwise;
}

/// `field`: the pixels that become the width and height wished for; empty: all of them, or the ink's box after a trim, and
/// it says then which.
Tracing trace(const Picture& picture, const TraceWishes& wishes, std::optional<Box>& field, const Crew& crew) {
    check(wishes);
    crew.say("tracing", 0);
    Tracing out;
    const Contours contours = contours_in(picture, wishes, crew, out);
    crew.say("tracing", 0.5);
    const Box whole{{0, 0}, {static_cast<double>(picture.width), static_cast<double>(picture.height)}};
    const bool trim = wishes.trim && !field;
    Scale scale = scale_of(field.value_or(whole), wishes);
    std::vector<Fate> fates = fates_of(contours, wishes, scale.area());
    std::optional<Box> ink = box_of(contours, fates);
    if (!ink) refuse_empty(contours, scale.area(), wishes);
    // The smaller the box, the larger a pixel, and the fewer specks to drop: that soon ends.
    for (int k = 0; trim && k < 4; ++k) {
        scale = scale_of(*ink, wishes);
        fates = fates_of(contours, wishes, scale.area());
        ink = box_of(contours, fates);
        if (!ink) refuse_empty(contours, scale.area(), wishes);
    }
    const std::vector<std::size_t> kept = kept_of(fates);
    const double pixel = scale.pixel();
    const Slack slack{0.75 * wishes.smooth / pixel, std::max(0.25 * wishes.smooth, 0.001) / pixel, 0.02};
    std::vector<Traced> lines(kept.size());
    over_rows(crew, static_cast<int>(kept.size()), 8, [&](int low, int high) {
        for (auto k = static_cast<std::size_t>(low); k < static_cast<std::size_t>(high); ++k)
            lines[k] = traced(contours, contours.outlines[kept[k]], slack, whole);
    });
    if (!field) field = trim ? box_of(lines, *ink) : whole;
    scale = scale_of(*field, wishes);
    out.width = field->width() * scale.x;
    out.height = field->height() * scale.y;
    if (trim)
        out.notes.push_back(fmt::format("The picture was cut to its ink: {:.1f} × {:.1f} of its {} × {} pixels.", field->width(),
                                        field->height(), picture.width, picture.height));
    std::vector<Loop> loops;
    for (const Traced& line : lines) {
        Loop& loop = loops.emplace_back();
        loop.reserve(line.loop.size());
        for (const Point& p : line.loop) loop.push_back(scale.in_mm(p));
    }
    crew.check();
    out.region = without_slivers(Region(loops, FillRule::even_odd), sliver_width);
    if (out.region.empty()) refuse_empty(contours, scale.area(), wishes);
    out.dropped = shown(contours, fates, scale);
    note_specks(contours, fates, scale.area(), out);
    note_lines(lines, slack, pixel, out);
    warn_of_thin(lines, out);
    warn_of_border(out.region, {scale.in_mm(whole.lo), scale.in_mm(whole.hi)}, pixel, out);
    crew.say("tracing", 1);
    return out;
}

}  // namespace

Tracing trace_drawing(const Picture& picture, const TraceWishes& wishes, const Crew& crew) {
    std::optional<Box> field;
    return trace(picture, wishes, field, crew);
}

std::vector<Tracing> trace_steps(const Picture& picture, const TraceWishes& wishes, const std::vector<double>& values, const Crew& crew) {
    if (values.empty()) throw Error(Fault::usage, "Stepped figures need at least one tone at which they begin.");
    std::vector<double> sorted = values;
    std::sort(sorted.begin(), sorted.end());
    if (!wishes.invert) std::reverse(sorted.begin(), sorted.end());
    std::optional<Box> field;
    std::vector<Tracing> steps;
    for (const double value : sorted) {
        TraceWishes step = wishes;
        step.threshold = Threshold::value;
        step.value = value;
        step.ink.reset();
        try {
            Tracing traced = trace(picture, step, field, crew);
            if (!steps.empty()) traced.region = common(traced.region, steps.back().region);
            steps.push_back(std::move(traced));
        } catch (const Error& error) {
            // The first must hold something; deeper ones may not.
            if (steps.empty() || error.fault() != Fault::refused) throw;
            Tracing& none = steps.emplace_back();
            none.width = steps.front().width;
            none.height = steps.front().height;
            none.threshold = value;
            none.notes.emplace_back(error.what());
        }
    }
    return steps;
}

}  // namespace burin
