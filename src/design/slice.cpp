/// From a photo of a piece to its lines in millimetres. slice_table.cpp tells the piece from the table, slice_edge.cpp settles the lines;
/// here is the order, and what is too unsure is refused.
#include "burin/design/slice.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "slice_parts.hpp"

namespace burin {
namespace {

constexpr double least_scale = 2;          // photo pixels to a millimetre
constexpr double clear_change = 4;         // spreads
constexpr double least_clear = 0.85;       // of the edge
constexpr double most_bark = 0.2;          // of the radius of a disc as large
constexpr double corner_tolerance = 0.02;  // mm

[[nodiscard]] Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

double area_of(const Loop& loop) {
    double sum = 0;
    for (std::size_t k = 0; k < loop.size(); ++k) {
        const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
        sum += a.x * b.y - b.x * a.y;
    }
    return sum / 2;
}

/// One figure's line with no more corners than it needs.
Loop tidy(const Loop& loop) {
    const Region region = simplified(Region({loop}, FillRule::nonzero), corner_tolerance);
    if (region.empty())
        throw refused("The piece's outline holds nothing. Take the photo again, or draw the outline by hand with --outline.");
    const auto& figures = region.figures();
    return std::max_element(figures.begin(), figures.end(),
                            [](const Figure& a, const Figure& b) { return area_of(a.outer) < area_of(b.outer); })
        ->outer;
}

Loop in_mm(const std::vector<Point>& line, double step, const Homography& to_mm) {
    Loop loop;
    for (const Point& p : line) loop.push_back(mapped(to_mm, {p.x * step, p.y * step}));
    return loop;
}

void check_clear(const SliceFound& found) {
    if (found.sure >= least_clear) return;
    throw refused(fmt::format(
        "The piece's edge is not clear: it stands out from the table along {:.0f} % of its length only. Put it on plain paper of another "
        "colour, light it evenly from two sides, and take the photo again; or draw the outline by hand with --outline.",
        found.sure * 100));
}

void part_bark(const AgainstTable& table, const EdgeLine& line, const Homography& to_mm, double scale, double smooth, SliceFound& found) {
    const double radius = std::sqrt(std::abs(area_of(found.outer)) / std::numbers::pi);
    const Bark bark = find_bark(table.light, line, scale, std::min(15.0, most_bark * radius + 2), smooth);
    found.bark_contrast = bark.contrast;
    if (bark.depth.empty()) return;
    std::vector<Point> inner;
    for (std::size_t k = 0; k < line.at.size(); ++k)
        inner.push_back({line.at[k].x - line.outward[k].x * bark.depth[k], line.at[k].y - line.outward[k].y * bark.depth[k]});
    const Region wood = common(Region({in_mm(inner, table.step, to_mm)}, FillRule::nonzero), Region({found.outer}));
    if (wood.empty()) return;
    found.wood = tidy(wood.figures().front().outer);
    double sum = 0;
    for (const double d : bark.depth) sum += d / scale;
    found.bark = sum / static_cast<double>(bark.depth.size());
    if (bark.contrast < 3)
        found.warnings.push_back("Bark and wood hardly differ in the photo: look at the inner line before you trust it.");
}

}  // namespace

SliceFound find_slice(const Picture& photo, const Homography& to_mm, const SliceWishes& wishes, const Crew& crew) {
    if (std::min(photo.width, photo.height) < 100)
        throw refused(fmt::format("The photo is too small: {} × {} pixels. Take one of at least 1000 × 1000.", photo.width, photo.height));
    SliceFound found;
    crew.say("looking for the piece");
    const AgainstTable table = against_table(photo, crew);
    const cv::Mat mask = piece_mask(table, found.warnings);
    EdgeLine line = line_of(mask, 4);
    // Pixels of the reduced photo to a millimetre, by areas: what the piece measures in both.
    const double seen = std::abs(area_of(line.at)), real = std::abs(area_of(in_mm(line.at, table.step, to_mm)));
    if (!(real > 0) || !std::isfinite(real)) throw refused("The marks or the distance make no sense of this photo. Give them again.");
    const double scale = std::sqrt(seen / real);
    found.pixels_per_mm = scale * table.step;
    if (found.pixels_per_mm < least_scale)
        throw refused(
            fmt::format("The piece is too small in the photo: {:.1f} pixels to a millimetre, and {} are the least. Come nearer, or take "
                        "a photo with more pixels.",
                        found.pixels_per_mm, least_scale));
    const double apart = 2 * std::sqrt(seen * std::numbers::pi) / static_cast<double>(line.at.size());  // pixels between places, nearly
    const double smooth = wishes.smooth * scale / apart;
    // First by light and colour in their logarithms, where the edge of a shadow is no clearer than that of the piece; then, near it, where
    // the mixture of light says.
    const std::vector<double> clear = settle_edge(table.planes, std::max(5.0, 1.2 * scale), smooth / std::numbers::sqrt2, line);
    (void)settle_edge(table.light, 2.5, smooth / std::numbers::sqrt2, line);
    crew.check();
    std::vector<double> sorted = clear;
    std::sort(sorted.begin(), sorted.end());
    found.contrast = sorted[sorted.size() / 2];
    found.sure = static_cast<double>(std::count_if(clear.begin(), clear.end(), [](double c) { return c > clear_change; })) /
                 static_cast<double>(clear.size());
    check_clear(found);
    found.outer = found.wood = tidy(in_mm(line.at, table.step, to_mm));
    if (wishes.bark) part_bark(table, line, to_mm, scale, smooth, found);
    if (found.sure < 0.97)
        found.warnings.push_back(fmt::format(
            "{:.0f} % of the edge hardly stands out from the table: look at the outline before you trust it.", (1 - found.sure) * 100));
    return found;
}

SliceFound slice_by_hand(const Loop& outline, const Homography& to_mm) {
    SliceFound found;
    Loop loop;
    for (const Point& p : outline) loop.push_back(mapped(to_mm, p));
    const Region region({loop}, FillRule::even_odd);
    if (region.figures().size() != 1)
        throw refused("The outline drawn by hand is not that of one piece: it crosses itself, or holds nothing. Mend its points.");
    found.outer = found.wood = region.figures().front().outer;
    found.sure = 1;
    found.pixels_per_mm = std::sqrt(std::abs(area_of(outline) / region.area()));
    return found;
}

}  // namespace burin
