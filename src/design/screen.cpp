/// Grooves that swell with the tone.
///
/// A groove that is w wide, at a distance p from the next, covers w / p of the surface (plane geometry); so w = a p, and the tip goes as
/// deep as makes the bit w wide. The lines are walked in steps of a fifth of the pitch; each step reads the coverage as its mean over a
/// square of one pitch, which is as fine as grooves can show it. Then slopes are bounded, by going less deep, and the points are thinned.
/// That mean, the round bit that covers more than its section where the depth changes fast, lines that bend: all of it moves tones a
/// little. So it is looked how much the grooves cover, and what is missing is added to what is aimed at, three times.
#include "burin/design/screen.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/shape/filters.hpp"
#include "covered_share.hpp"
#include "screen_lines.hpp"
#include "swelling.hpp"

namespace burin {
namespace {

constexpr double over_gap = 0.3;     // mm above the stock over gaps that are not worth a lift; our choice, no source
constexpr double shortest_lift = 4;  // mm: shorter gaps are walked over
constexpr double step_share = 0.2;   // of the pitch
constexpr double thin_share = 0.3;
constexpr int corrections = 3;

[[nodiscard]] Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

/// Depths along one line: 0 where there is no groove.
std::vector<double> depths_along(const ScreenLine& line, const Grid<float>& coverage, const ScreenWishes& wishes, double narrowest,
                                 const Depths& depth_of) {
    const bool shared = wishes.kind == ScreenKind::crossed;
    std::vector<double> depths;
    for (std::size_t k = 0; k < line.points.size(); ++k) {
        double a = value_at(coverage, line.points[k]);
        if (shared) a = 1 - std::sqrt(1 - std::min(a, 1.0));
        const double width = a * line.pitch[k];
        depths.push_back(width < narrowest / 2 ? 0 : std::max(wishes.least_depth, depth_of.at(width)));
    }
    return depths;
}

/// From depths to heights of the tip: up to `over_gap` where a gap is short, and no slope above the steepest.
class Heights {
public:
    Heights(const std::vector<Point>& points, const std::vector<double>& depths, const ScreenWishes& wishes) : steepest_(wishes.steepest) {
        for (std::size_t k = 0; k < points.size(); ++k) {
            way_.push_back(k == 0 ? 0 : way_.back() + distance(points[k - 1], points[k]));
            heights.push_back(depths[k] > 0 ? -depths[k] : over_gap);
        }
        heights.front() = std::max(heights.front(), 0.0);  // the tip comes in from above, without a plunge
        heights.back() = std::max(heights.back(), 0.0);
        for (std::size_t k = 1; k < heights.size(); ++k) heights[k] = std::max(heights[k], heights[k - 1] - rise(k));
        for (std::size_t k = heights.size(); k-- > 1;) heights[k - 1] = std::max(heights[k - 1], heights[k] - rise(k));
    }
    /// Where the line is cut into grooves: the first and the last point of each.
    [[nodiscard]] std::vector<std::pair<std::size_t, std::size_t>> grooves() const {
        std::vector<std::pair<std::size_t, std::size_t>> spans;
        for (std::size_t k = 0; k < heights.size(); ++k) {
            if (heights[k] >= 0) continue;
            if (!spans.empty() && way_[k] - way_[spans.back().second] <= shortest_lift)
                spans.back().second = k;
            else
                spans.emplace_back(k, k);
        }
        return spans;
    }
    std::vector<double> heights;

private:
    [[nodiscard]] double rise(std::size_t k) const { return (way_[k] - way_[k - 1]) * steepest_; }
    std::vector<double> way_;
    double steepest_;
};

void cut_along(const ScreenLine& line, const std::vector<double>& depths, const ScreenWishes& wishes, std::vector<Groove>& grooves) {
    if (line.closed && std::all_of(depths.begin(), depths.end(), [](double d) { return d > 0; })) {
        std::vector<Point3> points;
        for (std::size_t k = 0; k < depths.size(); ++k) points.push_back({line.points[k].x, line.points[k].y, -depths[k]});
        points.push_back(points.front());
        points = thinned(points, wishes.tolerance * thin_share);
        points.pop_back();
        grooves.push_back({std::move(points), true});
        return;
    }
    const Heights heights(line.points, depths, wishes);
    for (const auto& [first, last] : heights.grooves()) {
        std::vector<Point3> points;
        const auto put = [&](std::size_t k, double z) { points.push_back({line.points[k].x, line.points[k].y, z}); };
        if (first > 0) put(first - 1, 0);
        for (std::size_t k = first; k <= last; ++k) put(k, heights.heights[k]);
        if (last + 1 < line.points.size()) put(last + 1, 0);
        grooves.push_back({thinned(points, wishes.tolerance * thin_share), false});
    }
}

void check(const ScreenWishes& wishes, const Bit& bit) {
    if (bit.width_at(0) >= bit.diameter() - 1e-9)
        throw refused(
            fmt::format("'{}' is as wide at its tip as above, so its grooves cannot swell with the tone. Take a vee, a tapered or a "
                        "ball bit, such as vee:60:0.1:3.175.",
                        bit.name()));
    if (wishes.most_depth <= wishes.least_depth)
        throw refused(
            fmt::format("The deepest groove ({:.3g} mm) must be deeper than the shallowest ({:.3g} mm). Give a larger --depth or "
                        "a smaller --least-depth.",
                        wishes.most_depth, wishes.least_depth));
    if (bit.width_at(wishes.least_depth) >= wishes.pitch)
        throw refused(
            fmt::format("Grooves {:.3g} mm apart run together even where they are shallowest ({:.3g} mm wide). Give a larger "
                        "--pitch, or a finer bit.",
                        wishes.pitch, bit.width_at(wishes.least_depth)));
}

std::vector<Groove> grooves_for(const Grid<float>& coverage, const std::vector<ScreenLine>& lines, const ScreenWishes& wishes,
                                const Bit& bit, const Crew& crew) {
    const Grid<float> seen = window_mean(coverage, wishes.pitch / 2, crew);
    const Depths depth_of(bit, wishes.most_depth);
    const double narrowest = bit.width_at(wishes.least_depth);
    std::vector<std::vector<Groove>> made(lines.size());
    in_parallel(crew, static_cast<int>(lines.size()), [&](int k) {
        const auto n = static_cast<std::size_t>(k);
        ScreenLine line = lines[n];
        std::vector<double> depths = depths_along(line, seen, wishes, narrowest, depth_of);
        if (line.closed) {  // a gap, where there is one, comes to lie at the ends
            const auto gap = std::find(depths.begin(), depths.end(), 0.0) - depths.begin();
            if (gap < static_cast<std::ptrdiff_t>(depths.size())) {
                std::rotate(depths.begin(), depths.begin() + gap, depths.end());
                std::rotate(line.points.begin(), line.points.begin() + gap, line.points.end());
            }
        }
        cut_along(line, depths, wishes, made[n]);
    });
    std::vector<Groove> grooves;
    for (std::vector<Groove>& some : made) std::move(some.begin(), some.end(), std::back_inserter(grooves));
    return grooves;
}

}  // namespace

Screen make_screen(const Grid<float>& coverage, const ScreenWishes& wishes, const Bit& bit, const Crew& crew) {
    check(wishes, bit);
    Screen screen;
    const auto both = [&](double a) { return wishes.kind == ScreenKind::crossed ? 1 - (1 - a) * (1 - a) : a; };
    screen.least = both(std::min(1.0, bit.width_at(wishes.least_depth) / wishes.pitch));
    screen.most = both(std::min(1.0, bit.width_at(wishes.most_depth) / wishes.pitch));
    const std::vector<ScreenLine> lines = screen_lines(coverage.bounds(), wishes, wishes.pitch * step_share);
    Grid<float> aim = coverage;
    for (int round = 0;; ++round) {
        screen.grooves = grooves_for(aim, lines, wishes, bit, crew);
        if (round == corrections || screen.grooves.empty()) break;
        const Grid<float> lacking =
            missing(coverage, covered_share(screen.grooves, bit, coverage, crew), screen.least, screen.most, wishes.pitch, crew);
        for (std::size_t k = 0; k < aim.size(); ++k) aim.values()[k] = std::clamp(aim.values()[k] + lacking.values()[k], 0.0F, 1.0F);
    }
    if (screen.grooves.empty())
        throw refused("The picture is so light that no groove would be cut. Give other --levels, a --gamma above 1, or --invert.");
    return screen;
}

}  // namespace burin
