/// A drawing's ink as a region: threshold → contours → specks away → corners and curves → region.
///
/// Contours are worked on one by one and in parallel; specks and small holes go before that, by the nesting of the contours, so that a
/// hundred thousand of them cost little. Sources: contour.hpp, ink.hpp, outline.hpp.
#include "burin/design/trace.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "contour.hpp"
#include "ink.hpp"
#include "outline.hpp"

namespace burin {
namespace {

/// The most lines that are made into figures, and the most specks that are shown.
constexpr std::size_t most_figures = 50'000, most_shown = 2'000;

/// mm a pixel along both axes, and the picture's corner.
struct Scale {
    double x = 1, y = 1;
    Point corner;  ///< pixels
    [[nodiscard]] Point in_mm(const Point& p) const { return {(p.x - corner.x) * x, (p.y - corner.y) * y}; }
    [[nodiscard]] double area() const { return x * y; }
};

enum class Fate : std::uint8_t { kept, dropped, swallowed };

/// Small figures and holes are dropped with all that they hold.
std::vector<Fate> fates_of(const Contours& contours, const TraceWishes& wishes, double pixel_area) {
    const auto& lines = contours.outlines;
    std::vector<double> area(lines.size());
    for (std::size_t k = 0; k < lines.size(); ++k) area[k] = std::abs(lines[k].area) * pixel_area;
    std::vector<double> net = area;  // a ring is as large as its ink
    for (const Outline& line : lines)
        if (line.hole && line.parent >= 0) net[static_cast<std::size_t>(line.parent)] -= std::abs(line.area) * pixel_area;
    std::vector<Fate> fates(lines.size(), Fate::kept);
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const Outline& line = lines[k];
        const Fate around = line.parent < 0 ? Fate::kept : fates[static_cast<std::size_t>(line.parent)];
        // What lies within a filled hole is gone with it; a figure within a dropped ring is judged by itself, the ring's holes are not.
        if (around != Fate::kept && (line.hole || lines[static_cast<std::size_t>(line.parent)].hole)) {
            const bool ring_gone = !line.hole && around == Fate::swallowed;
            fates[k] = ring_gone && net[k] >= wishes.despeckle ? Fate::kept : Fate::swallowed;
            if (!line.hole && around == Fate::dropped) fates[k] = Fate::swallowed;
            continue;
        }
        if (line.hole ? area[k] < wishes.fill : net[k] < wishes.despeckle) fates[k] = Fate::dropped;
    }
    return fates;
}

std::span<const Point> points_of(const Contours& contours, const Outline& line) {
    return {contours.points.data() + line.first, line.count};
}
std::span<const std::uint8_t> marks_of(const Contours& contours, const Outline& line) {
    return {contours.marks.data() + line.first, line.count};
}

bool is_hard(std::span<const std::uint8_t> marks) {
    std::size_t count = 0;
    for (const std::uint8_t mark : marks) count += (mark & hard) != 0;
    return count * 10 > marks.size() * 8;
}

Loop loop_of(const Contours& contours, const Outline& line, Slack slack, const Scale& scale) {
    const auto marks = marks_of(contours, line);
    const bool edges_are_hard = is_hard(marks);
    std::vector<Point> points = sure_points(points_of(contours, line), marks, edges_are_hard);
    slack.noise = std::max(slack.noise, noise_of(points));
    CorneredLine cornered = with_corners(std::move(points), slack, edges_are_hard);
    smooth(cornered, slack);
    Loop loop = thinned(cornered, slack.thin);
    for (Point& p : loop) p = scale.in_mm(p);
    return loop;
}

}  // namespace

Tracing trace_drawing(const Picture& picture, const TraceWishes& wishes, const Crew& crew) {
    Ink ink = ink_of(picture, wishes, crew);
    const Contours contours = contours_of(ink.share, 0.5F, crew);
    Tracing out;
    out.notes = std::move(ink.notes);
    out.warnings = std::move(ink.warnings);
    out.threshold = ink.threshold;
    out.width = wishes.width;
    out.height = wishes.height;
    const Scale scale{wishes.width / picture.width, wishes.height / picture.height, {}};
    const std::vector<Fate> fates = fates_of(contours, wishes, scale.area());
    const double pixel = std::sqrt(scale.area());
    const Slack slack{0.75 * wishes.smooth / pixel, std::max(0.25 * wishes.smooth, 0.001) / pixel, 0.02};
    std::vector<std::size_t> kept, dropped;
    for (std::size_t k = 0; k < fates.size(); ++k) {
        if (fates[k] == Fate::kept) kept.push_back(k);
        if (fates[k] == Fate::dropped) dropped.push_back(k);
    }
    if (kept.empty()) throw Error(Fault::refused, "There is nothing to cut: no ink is left.");
    if (kept.size() > most_figures) throw Error(Fault::refused, "The picture holds too many separate spots.");
    std::vector<Loop> loops(kept.size());
    over_rows(crew, static_cast<int>(kept.size()), 16, [&](int low, int high) {
        for (int k = low; k < high; ++k) {
            const auto at = static_cast<std::size_t>(k);
            loops[at] = loop_of(contours, contours.outlines[kept[at]], slack, scale);
        }
    });
    out.region = Region(loops, FillRule::even_odd);
    std::sort(dropped.begin(), dropped.end(), [&](std::size_t a, std::size_t b) {
        const double p = std::abs(contours.outlines[a].area), q = std::abs(contours.outlines[b].area);
        return p != q ? p > q : a < b;
    });
    if (dropped.size() > most_shown) dropped.resize(most_shown);
    std::vector<Loop> specks;
    for (const std::size_t k : dropped) {
        Loop& loop = specks.emplace_back();
        for (const Point& p : points_of(contours, contours.outlines[k])) loop.push_back(scale.in_mm(p));
    }
    if (!specks.empty()) out.dropped = Region(specks, FillRule::nonzero);
    return out;
}

}  // namespace burin
