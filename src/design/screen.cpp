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

namespace burin {
namespace {

constexpr double over_gap = 0.3;     // mm above the stock over gaps that are not worth a lift; our choice, no source
constexpr double shortest_lift = 4;  // mm: shorter gaps are walked over
constexpr double step_share = 0.2;   // of the pitch
constexpr double thin_share = 0.3;
constexpr int corrections = 3;

[[nodiscard]] Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

/// Between the centres of cells, the outermost going on to the border.
double value_at(const Grid<float>& grid, const Point& p) {
    const double x = std::clamp((p.x - grid.origin().x) / grid.cell() - 0.5, 0.0, grid.width() - 1.0),
                 y = std::clamp((p.y - grid.origin().y) / grid.cell() - 0.5, 0.0, grid.height() - 1.0);
    const int i = std::min(static_cast<int>(x), std::max(0, grid.width() - 2)),
              j = std::min(static_cast<int>(y), std::max(0, grid.height() - 2));
    const int right = std::min(i + 1, grid.width() - 1), up = std::min(j + 1, grid.height() - 1);
    const double u = x - i, v = y - j;
    const auto at = [&](int a, int b) { return static_cast<double>(grid(a, b)); };
    return (at(i, j) * (1 - u) + at(right, j) * u) * (1 - v) + (at(i, up) * (1 - u) + at(right, up) * u) * v;
}

/// depth_for_width for many widths: straight between 2048 of them.
class Depths {
public:
    Depths(const Bit& bit, double limit) : widest_(bit.width_at(limit)) {
        for (int k = 0; k <= count; ++k) depths_.push_back(depth_for_width(bit, widest_ * k / count, limit));
    }
    [[nodiscard]] double at(double width) const {
        const double place = std::clamp(width / widest_, 0.0, 1.0) * count;
        const auto k = std::min(static_cast<std::size_t>(place), std::size_t{count - 1});
        return depths_[k] + (depths_[k + 1] - depths_[k]) * (place - static_cast<double>(k));
    }

private:
    static constexpr int count = 2048;
    double widest_;
    std::vector<double> depths_;
};

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

double away(const Point3& p, const Point3& a, const Point3& b) {
    const double x = b.x - a.x, y = b.y - a.y, z = b.z - a.z, length = x * x + y * y + z * z;
    const double t = length > 0 ? std::clamp(((p.x - a.x) * x + (p.y - a.y) * y + (p.z - a.z) * z) / length, 0.0, 1.0) : 0;
    return distance(p, {a.x + t * x, a.y + t * y, a.z + t * z});
}

/// Douglas and Peucker 1973, in space.
std::vector<Point3> thinned(const std::vector<Point3>& points, double tolerance) {
    if (points.size() < 3) return points;
    std::vector<bool> kept(points.size(), false);
    kept.front() = kept.back() = true;
    std::vector<std::pair<std::size_t, std::size_t>> open{{0, points.size() - 1}};
    while (!open.empty()) {
        const auto [from, to] = open.back();
        open.pop_back();
        double most = tolerance;
        std::size_t at = 0;
        for (std::size_t k = from + 1; k < to; ++k)
            if (const double d = away(points[k], points[from], points[to]); d > most) most = d, at = k;
        if (at == 0) continue;
        kept[at] = true;
        open.emplace_back(from, at);
        open.emplace_back(at, to);
    }
    std::vector<Point3> out;
    for (std::size_t k = 0; k < points.size(); ++k)
        if (kept[k]) out.push_back(points[k]);
    return out;
}

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

}  // namespace

double depth_for_width(const Bit& bit, double width, double limit) {
    double lo = 0, hi = limit;
    if (bit.width_at(limit) <= width) return limit;
    for (int k = 0; k < 50; ++k) {
        const double middle = (lo + hi) / 2;
        (bit.width_at(middle) < width ? lo : hi) = middle;
    }
    return hi;
}

namespace {

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

/// Mean over a window as if the grid went on mirrored beyond its border, where grooves half a pitch from it go on too.
Grid<float> mirrored_mean(const Grid<float>& map, double window, const Crew& crew) {
    const int margin = std::min({static_cast<int>(std::ceil(2 * window / map.cell())) + 1, map.width(), map.height()});
    Grid<float> wide(map.width() + 2 * margin, map.height() + 2 * margin, map.cell());
    const auto inside = [](int k, int n) { return k < 0 ? -1 - k : k >= n ? 2 * n - 1 - k : k; };
    for (int j = 0; j < wide.height(); ++j)
        for (int i = 0; i < wide.width(); ++i) wide(i, j) = map(inside(i - margin, map.width()), inside(j - margin, map.height()));
    wide = window_mean(window_mean(wide, window, crew), window, crew);
    Grid<float> mean = map.like(0.0F);
    for (int j = 0; j < mean.height(); ++j) std::copy_n(wide.row(j + margin) + margin, mean.width(), mean.row(j));
    return mean;
}

/// What is wanted beyond what the grooves cover, over a window about the pitch; nothing where it cannot be shown.
Grid<float> missing(const Grid<float>& coverage, const Grid<float>& covered, double least, double most, double window, const Crew& crew) {
    Grid<float> difference = coverage.like(0.0F);
    for (std::size_t k = 0; k < coverage.size(); ++k) {
        const float wanted = coverage.values()[k];
        if (static_cast<double>(wanted) >= least && static_cast<double>(wanted) <= most)
            difference.values()[k] = wanted - covered.values()[k];
    }
    return mirrored_mean(difference, window, crew);
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
