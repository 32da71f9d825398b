/// A silhouette puffed up: ∇²u = −4 on the figure, u = 0 on its outline, height √u.
///
/// On a disc of radius R that is u = R² − r², so the disc becomes a hemisphere; a long strip of width 2b becomes a half
/// ellipse, √2 b high. The figure is what is darker than Otsu's threshold (Otsu 1979). The outline lies between cells, where the
/// grey crosses the threshold: the conductor to it is the shorter the nearer it is (Gibou, Fedkiw, Cheng, Kang 2002,
/// symmetric and of second order), so round things come out round and not stepped. Solved by multigrid.
/// Cost: a handful of cycles, each about ten passes over the cells.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "burin/shape/poisson.hpp"
#include "renderings.hpp"

namespace burin {
namespace {

constexpr int bins = 256;
constexpr float transparent = -2;  ///< marks cells that are outside for another reason than their grey

/// The grey that parts the counted cells into two classes with the largest variance between them; in the middle of the
/// gap where many do.
double threshold_of(const HeightMap& grey, const Mask& counted) {
    std::array<double, bins> histogram{};
    double total = 0, sum = 0;
    for (std::size_t k = 0; k < grey.size(); ++k) {
        if (!counted.empty() && !counted.values()[k]) continue;
        const auto bin = static_cast<std::size_t>(std::clamp<long>(std::lround(grey.values()[k] * (bins - 1)), 0, bins - 1));
        ++histogram[bin];
        ++total;
        sum += static_cast<double>(bin);
    }
    double below = 0, sum_below = 0, best = -1, first = 0, last = 0;
    for (std::size_t t = 0; t + 1 < bins; ++t) {
        below += histogram[t];
        sum_below += histogram[t] * static_cast<double>(t);
        if (below <= 0 || below >= total) continue;
        const double gap = sum_below / below - (sum - sum_below) / (total - below);
        const double between = below * (total - below) * gap * gap;
        const double place = static_cast<double>(t) + 0.5;
        if (between > best * (1 + 1e-12)) {
            best = between;
            first = last = place;
        } else if (between >= best * (1 - 1e-12)) {
            last = place;
        }
    }
    return (first + last) / 2 / (bins - 1);
}

/// How far inside the figure each cell is, in grey: above 0 inside.
HeightMap inside_of(const Picture& picture, const Mask& counted, const HeightsWishes& wishes, const Crew& crew) {
    HeightMap inside = on_cells(picture, Reading::coded, wishes.width, wishes.height, wishes.cell, crew);
    const Range range = percentiles(inside, counted, 0, 1, crew);
    const bool one_tone = range.greatest - range.least < 0.04;
    if (one_tone && counted.empty())
        throw Error(
            Fault::refused,
            "The picture is blank: there is no dark figure on a light ground to make a dome of. Choose a picture with a silhouette in it.");
    const auto threshold = static_cast<float>(one_tone ? 0 : threshold_of(inside, counted));
    const float sign = wishes.invert ? -1.0F : 1.0F;
    bool any = false, all = true;
    for (std::size_t k = 0; k < inside.size(); ++k) {
        float& v = inside.values()[k];
        const bool here = counted.empty() || counted.values()[k];
        // A picture of one colour on a transparent ground: what is not transparent is the figure.
        v = !here ? transparent : one_tone ? 1.0F : sign * (threshold - v);
        any = any || v > 0;
        all = all && v > 0;
    }
    if (!any)
        throw Error(Fault::refused,
                    "The picture has no dark figure to make a dome of. Choose a picture with a silhouette in it, or swap light and dark "
                    "with --invert.");
    if (all && counted.empty())
        throw Error(Fault::refused, "All of the picture is figure, and a dome needs a ground around it. Choose another picture.");
    return inside;
}

/// Conductor from a cell inside to the outline before a neighbour outside; half a cell away at the border of the
/// picture and of what is not transparent.
float to_outline(float in, float out) { return 1 / std::max(in / (in - out), 0.1F); }

Net net_of(const HeightMap& inside, const Crew& crew) {
    const int w = inside.width(), h = inside.height();
    Net net{inside.like(0.0F), inside.like(0.0F), inside.like(0.0F)};
    over_rows(crew, h, 64, [&](int first, int last) {
        for (int j = first; j < last; ++j)
            for (int i = 0; i < w; ++i) {
                const float v = inside(i, j);
                if (!(v > 0)) continue;
                const auto neighbour = [&](int x, int y) { return inside.holds(x, y) && inside(x, y) > transparent ? inside(x, y) : -v; };
                float ground = 0;
                for (const auto& [x, y] : {std::array{i - 1, j}, std::array{i + 1, j}, std::array{i, j - 1}, std::array{i, j + 1}}) {
                    const float n = neighbour(x, y);
                    if (!(n > 0)) ground += to_outline(v, n);
                }
                net.ground(i, j) = ground;
                net.right(i, j) = neighbour(i + 1, j) > 0 ? 1.0F : 0.0F;
                net.up(i, j) = neighbour(i, j + 1) > 0 ? 1.0F : 0.0F;
            }
    });
    return net;
}

}  // namespace

HeightMap dome_heights(const Picture& picture, const Mask& counted, const HeightsWishes& wishes, Remarks& remarks, const Crew& crew) {
    HeightMap source = inside_of(picture, counted, wishes, crew);
    const Net net = net_of(source, crew);
    const auto four = static_cast<float>(4 * wishes.cell * wishes.cell);
    for (float& v : source.values()) v = v > 0 ? four : 0;
    HeightMap dome = source.like(0.0F);
    solve_net(net, std::move(source), dome, 1e-4, 20, crew);
    float highest = 0;
    for (float& v : dome.values()) {
        v = std::sqrt(std::max(v, 0.0F));
        highest = std::max(highest, v);
    }
    const auto depth = static_cast<float>(wishes.depth);
    if (wishes.dome_limit > 0) {
        // Follows the dome where it is low and flattens out towards the limit, without a kink.
        const auto limit = static_cast<float>(std::min(wishes.dome_limit, wishes.depth));
        for (float& v : dome.values()) {
            const float q = v / limit, q2 = q * q;
            v = std::min(v / std::sqrt(std::sqrt(1 + q2 * q2)), limit);
        }
        remarks.notes.push_back(fmt::format("The dome would be {:.2f} mm high and was flattened towards {:.2f} mm.", highest, limit));
    } else if (highest > depth) {
        for (float& v : dome.values()) v *= depth / highest;
        remarks.notes.push_back(
            fmt::format("The dome would be {:.2f} mm high and was pressed down to the depth of {:.2f} mm.", highest, depth));
    } else {
        remarks.notes.push_back(fmt::format("The dome is {:.2f} mm high and stands on a floor {:.2f} mm deep.", highest, depth));
    }
    for (float& v : dome.values()) v = std::min(v - depth, 0.0F);
    return dome;
}

}  // namespace burin
