// Whether the light is the wanted one: both are blurred as the eye or the material does, so that lines, runs and dots become means, and
// compared. Edges may lie half a spot (or cell) off, which counts as the lowest and highest wanted mean within that. Cost: cells × taps.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "beam_checks.hpp"
#include "beam_light.hpp"
#include "blur.hpp"

namespace burin::proving {
namespace {

/// `wanted` with a margin of `margin` empty cells round it.
Grid<float> with_margin(const Grid<float>& wanted, int margin) {
    const double side = wanted.cell();
    Grid<float> wide(wanted.width() + 2 * margin, wanted.height() + 2 * margin, side,
                     {wanted.origin().x - margin * side, wanted.origin().y - margin * side});
    for (int j = 0; j < wanted.height(); ++j) std::copy(wanted.row(j), wanted.row(j) + wanted.width(), wide.row(j + margin) + margin);
    return wide;
}

/// The range within `reach` cells, a part of a cell too: as much of the way to the next whole one.
Spread range_of(const Grid<float>& cells, double reach, const Crew& crew) {
    const int whole = static_cast<int>(std::floor(reach + 1e-9));
    const auto part = static_cast<float>(std::max(0.0, reach - whole));
    Spread near = spread_of(cells, whole, crew);
    if (part < 1e-6F) return near;
    const Spread far = spread_of(cells, whole + 1, crew);
    const auto go_on = [&](Grid<float>& from, const Grid<float>& to) {
        for (std::size_t k = 0; k < from.size(); ++k) from.values()[k] += part * (to.values()[k] - from.values()[k]);
    };
    go_on(near.lowest, far.lowest);
    go_on(near.highest, far.highest);
    return near;
}

struct Off {
    double off = 0;  ///< beyond the range, J/mm²; below it negative
    int i = -1, j = -1;
};

Off worst_of(const Grid<float>& given, const Spread& wanted) {
    Off worst;
    for (int j = 0; j < given.height(); ++j) {
        const float *g = given.row(j), *lo = wanted.lowest.row(j), *hi = wanted.highest.row(j);
        for (int i = 0; i < given.width(); ++i) {
            const float off = g[i] > hi[i] ? g[i] - hi[i] : g[i] < lo[i] ? g[i] - lo[i] : 0.0F;
            if (std::abs(static_cast<double>(off)) > std::abs(worst.off) + 1e-12) worst = {off, i, j};
        }
    }
    return worst;
}

}  // namespace

Check check_tones(const BeamRules& rules, const std::vector<BeamWay>& ways, double& worst) {
    const Grid<float>& asked = *rules.task.exposure;
    const double cell = asked.cell();
    const double sigma = rules.task.blur > 0 ? rules.task.blur : std::max(rules.spot, cell);
    const double reach = std::max({rules.spot / 2, cell / 2, sigma / 3}) / cell;  // in cells; dots have no edges finer than the blur
    const int margin = static_cast<int>(std::ceil(4 * sigma / cell + reach)) + 1;
    Grid<float> wanted = with_margin(asked, margin), given = wanted.like(0.0F);
    const double full = static_cast<double>(*std::max_element(wanted.values().begin(), wanted.values().end()));
    lay_light(given, ways, rules.crew);
    blur(given, sigma, rules.crew);
    blur(wanted, sigma, rules.crew);
    const Spread range = range_of(wanted, reach, rules.crew);
    wanted = Grid<float>();
    const Off seen = worst_of(given, range);
    worst = full > 0 ? std::abs(seen.off) / full : 0;
    std::vector<Breach> breaches;
    std::string file;
    if (worst > rules.task.tone_tolerance) {
        const Point at = given.centre(seen.i, seen.j);
        const double got = static_cast<double>(given(seen.i, seen.j));
        const double meant = static_cast<double>(seen.off > 0 ? range.highest(seen.i, seen.j) : range.lowest(seen.i, seen.j));
        const NearestMove near = nearest_move(ways, {at.x, at.y, 0});
        if (near.way != nullptr) file = near.way->asked->file;
        breaches.push_back({near.line,
                            {at.x, at.y, 0},
                            fmt::format("At {} there is {:.3f} J/mm², where {:.3f} {} asked for: {:.1f} % of the darkest too {}. Keep the "
                                        "line spacing, and the feed and power that were reckoned for it.",
                                        at_xy(at), got, meant, seen.off > 0 ? "at most is" : "at least is", 100 * worst,
                                        seen.off > 0 ? "much" : "little")});
    }
    return verdict(
        "tone as wanted", file,
        fmt::format("Means over {:.2f} mm differ from those asked for by {:.2f} % of the darkest at most ({:.1f} % allowed), edges "
                    "by half a spot.",
                    sigma, 100 * worst, 100 * rules.task.tone_tolerance),
        std::move(breaches));
}

}  // namespace burin::proving
