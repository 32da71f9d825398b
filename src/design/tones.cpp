/// Darkness for every cell. Cost: a pass or two over the picture.
#include "burin/design/tones.hpp"

#include <fmt/format.h>

#include <cmath>

#include "renderings.hpp"

namespace burin {
namespace {

Range levels_of(const HeightMap& light, const Mask& counted, const TonesWishes& wishes, Tones& tones, const Crew& crew) {
    Range range = percentiles(light, counted, wishes.black / 100, wishes.white / 100, crew);
    if (range.greatest - range.least < 0.002)
        throw Error(Fault::refused,
                    "The picture is blank: all of it has the same tone, so there is nothing to show. Choose a picture with light and dark "
                    "in it.");
    if (range.high - range.low < 0.01) {
        range.low = range.least, range.high = range.greatest;
        tones.notes.push_back(fmt::format(
            "Nearly all of the picture has one tone; its darkest and lightest spots were taken as darkest and bare instead of the {:g} and "
            "{:g} per cent levels.",
            wishes.black, wishes.white));
    }
    tones.notes.push_back(
        fmt::format("Levels: {:.1f} % of the light was taken as darkest, {:.1f} % as bare (--levels).", 100 * range.low, 100 * range.high));
    if (range.high - range.low < 0.06)
        tones.warnings.push_back(
            "The picture is nearly blank: its tones were stretched to the whole scale, and grain with them. Take one with more contrast.");
    return range;
}

}  // namespace

Tones make_tones(const Picture& picture, const TonesWishes& wishes, const Crew& crew) {
    crew.say("tones");
    Tones tones;
    const double cell = wishes.width / std::max(1.0, std::round(wishes.width / wishes.cell));
    tones.darkness = on_cells(picture, Reading::light, wishes.width, wishes.height, cell, crew);
    const Mask counted = opaque_cells(picture, wishes.width, wishes.height, cell, crew);
    const Range range = levels_of(tones.darkness, counted, wishes, tones, crew);
    const auto low = static_cast<float>(range.low), scale = static_cast<float>(1 / (range.high - range.low)),
               power = static_cast<float>(wishes.gamma);
    over_rows(crew, tones.darkness.height(), 64, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float* row = tones.darkness.row(j);
            for (int i = 0; i < tones.darkness.width(); ++i) {
                float light = std::clamp((row[i] - low) * scale, 0.0F, 1.0F);
                if (power != 1) light = std::pow(light, power);
                row[i] = !counted.empty() && counted(i, j) == 0 ? 0 : wishes.invert ? light : 1 - light;
            }
        }
    });
    return tones;
}

}  // namespace burin
