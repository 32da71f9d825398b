/// Darkness → exposure → power, and cells of equal power → runs.
///
/// The beam puts P ÷ (v · s) joules on each mm², v its speed and s the distance of the rows: that is what the material's curve is drawn
/// over. So the S for a darkness is what the curve asks there, in levels of exposure that the eye cannot tell apart: a picture of 256
/// greys would else have a line of the program for nearly every cell. Cost: a look-up a cell.
#include "burin/toolpath/burn_raster.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace burin {

/// A darkness next to none: what it asks for is where the curve leaves the bare surface.
constexpr double onset = 1e-6;

double exposure_of(const BurnTone& tone, double s) { return tone.power_w * s / tone.scale / (tone.feed / 60 * tone.spacing); }

std::uint16_t power_for(const BurnTone& tone, double darkness) {
    if (!(darkness > 0)) return 0;
    const double d = std::min(darkness, 1.0);
    double s = 0;
    if (tone.curve.empty()) {
        s = tone.least_s + std::round(d * tone.levels) / tone.levels * (tone.most_s - tone.least_s);
        if (std::round(d * tone.levels) == 0) return 0;
    } else {
        const double bare = amount_for(tone.curve, onset), most = exposure_of(tone, tone.most_s), wanted = amount_for(tone.curve, d);
        // The levels lie between the exposure that begins to show and the darkest; what rounds to the first stays bare.
        const double first = bare < most ? bare : 0, level = std::round((wanted - first) / (most - first) * tone.levels);
        if (level <= 0) return 0;
        s = tone.most_s * (first + std::min(level / tone.levels, 1.0) * (most - first)) / most;
    }
    s = std::round(s);
    return s < std::max(tone.least_s, 1.0) ? std::uint16_t{0} : static_cast<std::uint16_t>(std::min(s, std::floor(tone.most_s)));
}

double darkness_at(const BurnTone& tone, double s) {
    if (!tone.curve.empty()) return darkness_for(tone.curve, exposure_of(tone, s));
    return s <= 0 ? 0 : std::clamp((s - tone.least_s) / std::max(tone.most_s - tone.least_s, 1e-9), 0.0, 1.0);
}

double darkest_feed(const BurnTone& tone) {
    if (tone.curve.empty()) return 0;
    return 60 * tone.power_w * tone.most_s / tone.scale / (amount_for(tone.curve, 1) * tone.spacing);
}

Grid<std::uint16_t> power_by_tone(const Grid<float>& darkness, const BurnTone& tone, const Crew& crew) {
    constexpr std::size_t steps = 4096;
    std::array<std::uint16_t, steps + 1> known{};
    for (std::size_t k = 0; k <= steps; ++k) known[k] = power_for(tone, static_cast<double>(k) / steps);
    auto power = darkness.like<std::uint16_t>(0);
    over_rows(crew, darkness.height(), 64, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            const float* from = darkness.row(j);
            std::uint16_t* to = power.row(j);
            for (int i = 0; i < darkness.width(); ++i)
                to[i] = known[static_cast<std::size_t>(std::clamp(from[i], 0.0F, 1.0F) * static_cast<float>(steps) + 0.5F)];
        }
    });
    return power;
}

Grid<std::uint16_t> power_by_dots(const Grid<std::uint8_t>& dots, std::uint16_t s) {
    auto power = dots.like<std::uint16_t>(0);
    const auto from = dots.values();
    const auto to = power.values();
    for (std::size_t k = 0; k < from.size(); ++k) to[k] = from[k] != 0 ? s : std::uint16_t{0};
    return power;
}

std::vector<BurnRow> rows_of(const Grid<std::uint16_t>& power) {
    std::vector<BurnRow> rows(static_cast<std::size_t>(power.height()));
    const double left = power.origin().x, cell = power.cell();
    for (int j = 0; j < power.height(); ++j) {
        BurnRow& row = rows[static_cast<std::size_t>(j)];
        row.y = power.centre(0, j).y;
        const std::uint16_t* p = power.row(j);
        for (int i = 0; i < power.width();) {
            const int first = i;
            while (i < power.width() && p[i] == p[first]) ++i;
            if (p[first] > 0) row.runs.push_back({left + first * cell, left + i * cell, p[first]});
        }
    }
    return rows;
}

}  // namespace burin
