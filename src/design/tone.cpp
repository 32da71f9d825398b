/// Heights straight from the values of a picture: depth maps, lightness, and plates to be seen against the light.
///
/// map: the coded value is the height, linear. tone: lightness L*, which is even to the eye (ISO/CIE 11664-4), stretched
/// between two percentiles. transmit: a plate of thickness t lets exp(−μ t) of the light through (Beer–Lambert), so the
/// wanted brightness b takes t = −ln b / μ; white wants what the least thickness lets through, as a lamp has no fixed
/// brightness, and the tones below follow in proportion. Cost: a pass or two over the cells.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "renderings.hpp"

namespace burin {
namespace {

constexpr int band_rows = 64;

template <class Work>
void each_row(HeightMap& map, const Crew& crew, Work work) {
    over_rows(crew, map.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) work(map.row(j), map.width());
    });
}

void invert(HeightMap& map, const Crew& crew) {
    each_row(map, crew, [](float* row, int n) {
        for (int i = 0; i < n; ++i) row[i] = 1 - row[i];
    });
}

void raise_to(HeightMap& map, double power, const Crew& crew) {
    if (power == 1) return;
    const auto p = static_cast<float>(power);
    each_row(map, crew, [p](float* row, int n) {
        for (int i = 0; i < n; ++i) row[i] = std::pow(row[i], p);
    });
}

/// 1 is the stock top, 0 is `depth` below it.
void to_heights(HeightMap& map, double depth, const Crew& crew) {
    const auto d = static_cast<float>(depth);
    each_row(map, crew, [d](float* row, int n) {
        for (int i = 0; i < n; ++i) row[i] = row[i] * d - d;
    });
}

void smooth(HeightMap& map, double radius, const Crew& crew) {
    // Grain and compression marks stay below a tenth of the span, edges worth keeping above it.
    if (radius > 0) map = edge_preserving(map, radius, 0.1, crew);
}

void clip(HeightMap& map, const Crew& crew) {
    each_row(map, crew, [](float* row, int n) {
        for (int i = 0; i < n; ++i) row[i] = std::clamp(row[i], 0.0F, 1.0F);
    });
}

}  // namespace

Mask opaque_cells(const Picture& picture, double width, double height, double cell, const Crew& crew) {
    if (picture.alpha.empty()) return {};
    const HeightMap opacity = on_cells(picture, Reading::opacity, width, height, cell, crew);
    Mask mask = opacity.like(std::uint8_t{0});
    std::size_t opaque = 0;
    for (std::size_t k = 0; k < mask.size(); ++k) {
        mask.values()[k] = opacity.values()[k] >= 0.5F;
        opaque += mask.values()[k];
    }
    if (opaque == 0)
        throw Error(
            Fault::refused,
            "All of the picture is transparent, which means: leave the stock alone. Save it with a background, or choose another picture.");
    return opaque == mask.size() ? Mask() : mask;
}

double detail_radius(const HeightMap& map) { return std::min(1.5, std::min(map.width(), map.height()) * map.cell() / 16); }

void strengthen_detail(HeightMap& map, double strength, const Crew& crew) {
    if (strength == 1) return;
    const HeightMap base = edge_preserving(map, detail_radius(map), 0.1, crew);
    const auto s = static_cast<float>(strength);
    over_rows(crew, map.height(), band_rows, [&](int first, int last) {
        for (int j = first; j < last; ++j) {
            float* row = map.row(j);
            const float* low = base.row(j);
            for (int i = 0; i < map.width(); ++i) row[i] = low[i] + s * (row[i] - low[i]);
        }
    });
}

void to_unit(HeightMap& map, double low, double high, const Crew& crew) {
    const auto lo = static_cast<float>(low), scale = static_cast<float>(1 / (high - low));
    each_row(map, crew, [lo, scale](float* row, int n) {
        for (int i = 0; i < n; ++i) row[i] = std::clamp((row[i] - lo) * scale, 0.0F, 1.0F);
    });
}

Range levels_of(const HeightMap& tones, const Mask& counted, const HeightsWishes& wishes, const std::string& unit, double factor,
                Remarks& remarks, const Crew& crew) {
    Range range = percentiles(tones, counted, wishes.black / 100, wishes.white / 100, crew);
    if (range.greatest - range.least < 0.004)  // one step of eight bits
        throw Error(
            Fault::refused,
            "The picture is blank: all of it has the same tone, so there is nothing to carve. Choose a picture with light and dark in it.");
    if (range.high - range.low < 0.02) {
        // A thin drawing: nearly all of it is paper.
        range.low = range.least;
        range.high = range.greatest;
        remarks.notes.push_back(
            fmt::format("Nearly all of the picture has one tone; its darkest and lightest spots were taken as black and white instead of "
                        "the {:g} and {:g} per cent levels.",
                        wishes.black, wishes.white));
    }
    const double span = range.high - range.low;
    remarks.notes.push_back(
        fmt::format("Levels: {} {:.1f} was taken as black, {:.1f} as white.", unit, range.low * factor, range.high * factor));
    if (span < 0.12)
        remarks.warnings.push_back(
            fmt::format("The picture is nearly blank: its tones span only {:.0f} per cent of the scale. They were stretched to the whole "
                        "depth, and grain "
                        "with them; smooth it (--smooth 0.5), carve less deep, or take a picture with more contrast.",
                        span * 100));
    return range;
}

/// What all kinds do to tones of 0 to 1, in this order.
void shape_tones(HeightMap& map, const Mask& counted, const HeightsWishes& wishes, const Crew& crew) {
    fill_uncounted(map, counted, crew);
    smooth(map, wishes.smooth, crew);
    strengthen_detail(map, wishes.detail, crew);
    if (wishes.detail != 1) clip(map, crew);
    if (wishes.invert) invert(map, crew);
    raise_to(map, wishes.gamma, crew);
}

HeightMap map_heights(const Picture& picture, const Mask& counted, const HeightsWishes& wishes, Remarks& remarks, const Crew& crew) {
    HeightMap map = on_cells(picture, Reading::coded, wishes.width, wishes.height, wishes.cell, crew);
    if (has_colour(picture))
        remarks.warnings.push_back(
            "The picture is in colour; as a map of heights its colours were summed by BT.709's weights. A map of heights should be grey: "
            "if "
            "this is a photo, --heights tone or --heights sculpt suits it better.");
    shape_tones(map, counted, wishes, crew);
    const Range range = percentiles(map, counted, 0, 1, crew);
    if (range.least >= 1)
        throw Error(Fault::refused,
                    "The picture is blank: all of it is white, which is the stock top in a map of heights, so nothing would be cut. Choose "
                    "another picture, "
                    "or swap light and dark with --invert.");
    if (range.greatest - range.least < 0.5 / 255)
        remarks.warnings.push_back(
            fmt::format("The picture has only one tone: the cut is a flat floor at {:.3f} mm.", (range.least - 1) * wishes.depth));
    else if (range.greatest - range.least < 0.04)
        remarks.warnings.push_back(
            fmt::format("The picture is nearly blank: its heights differ by only {:.3f} mm. A map of heights should run from black to "
                        "white; stretch its "
                        "levels first, or give a larger --depth.",
                        (range.greatest - range.least) * wishes.depth));
    to_heights(map, wishes.depth, crew);
    return map;
}

HeightMap tone_heights(const Picture& picture, const Mask& counted, const HeightsWishes& wishes, Remarks& remarks, const Crew& crew) {
    HeightMap map = on_cells(picture, Reading::lightness, wishes.width, wishes.height, wishes.cell, crew);
    const Range levels = levels_of(map, counted, wishes, "lightness L*", 100, remarks, crew);
    to_unit(map, levels.low, levels.high, crew);
    fill_uncounted(map, counted, crew);
    smooth(map, wishes.smooth, crew);
    if (wishes.detail != 1) {
        strengthen_detail(map, wishes.detail, crew);
        // Strong detail overshoots: what goes beyond by more than a thousandth of the cells squeezes the rest.
        const Range reach = percentiles(map, counted, 0.001, 0.999, crew);
        to_unit(map, std::min(reach.low, 0.0), std::max(reach.high, 1.0), crew);
    }
    if (wishes.invert) invert(map, crew);
    raise_to(map, wishes.gamma, crew);
    to_heights(map, wishes.depth, crew);
    return map;
}

HeightMap sculpt_heights(const Picture& picture, const Mask& counted, const HeightsWishes& wishes, Remarks& remarks, const Crew& crew) {
    // Grey of 16 bits is a map of depths, as photos do not come that way: its values are already even steps.
    const bool depths = picture.source_bits == 16 && !has_colour(picture);
    HeightMap map = on_cells(picture, depths ? Reading::coded : Reading::lightness, wishes.width, wishes.height, wishes.cell, crew);
    const Range levels = levels_of(map, counted, wishes, depths ? "the value" : "lightness L*", 100, remarks, crew);
    if (depths)
        remarks.notes.push_back(
            "The picture is grey with 16 bits, so it was sculpted as a map of depths: its values as they are, not its lightness.");
    fill_uncounted(map, counted, crew);
    const auto low = static_cast<float>(levels.low), scale = static_cast<float>((wishes.invert ? -1 : 1) / (levels.high - levels.low));
    each_row(map, crew, [low, scale](float* row, int n) {
        for (int i = 0; i < n; ++i) row[i] = (row[i] - low) * scale;
    });
    map = sculpted(std::move(map), depths ? depth_carving : photo_carving, wishes.smooth, wishes.detail, crew);
    const Range reach = percentiles(map, counted, 0.0005, 0.9995, crew);
    const bool thin = !(reach.high - reach.low > 0.1 * (reach.greatest - reach.least));
    to_unit(map, thin ? reach.least : reach.low, thin ? reach.greatest : reach.high, crew);
    raise_to(map, wishes.gamma, crew);
    to_heights(map, wishes.depth, crew);
    return map;
}

HeightMap transmit_heights(const Picture& picture, const Mask& counted, const HeightsWishes& wishes, Remarks& remarks, const Crew& crew) {
    const double least = wishes.least_thickness;
    const double most = wishes.most_thickness > 0 ? std::min(wishes.most_thickness, wishes.stock_thickness) : wishes.stock_thickness;
    if (!(least > 0 && least < most))
        throw Error(
            Fault::refused,
            fmt::format(
                "The plate's least thickness, {:g} mm, must lie between 0 and its most, {:g} mm. Give a thicker stock or a smaller least "
                "thickness.",
                least, most));
    double mu = wishes.mu_per_mm;
    if (!(mu > 0)) {
        mu = std::log(50.0) / (most - least);
        remarks.notes.push_back(
            fmt::format("How strongly the material dims light was not given: {:.3f} per mm was assumed, at which the most thickness lets "
                        "through a fiftieth of what the "
                        "least does. Cut a trial piece and hold it against the lamp.",
                        mu));
    }
    HeightMap map = on_cells(picture, Reading::light, wishes.width, wishes.height, wishes.cell, crew);
    const Range levels = levels_of(map, counted, wishes, "luminance, per cent,", 100, remarks, crew);
    to_unit(map, levels.low, levels.high, crew);
    shape_tones(map, counted, wishes, crew);
    const auto rate = static_cast<float>(1 / mu), thinnest = static_cast<float>(least), thickest = static_cast<float>(most);
    const auto stock = static_cast<float>(wishes.stock_thickness);
    each_row(map, crew, [=](float* row, int n) {
        for (int i = 0; i < n; ++i) {
            const float wanted = std::max(row[i], 1e-20F);
            row[i] = std::min(thinnest - std::log(wanted) * rate, thickest) - stock;
        }
    });
    remarks.notes.push_back(
        fmt::format("Against the light white lets through {:.1f} per cent, black {:.2f} per cent (Beer-Lambert, {:.3f} per mm).",
                    100 * std::exp(-mu * least), 100 * std::exp(-mu * most), mu));
    return map;
}

}  // namespace burin
