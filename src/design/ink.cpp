/// From samples to the share of each pixel that is ink.
///
/// What is measured is a coded value: lightness as the file has it (BT.709's sum of coded red, green and blue), or how far a pixel's
/// colour lies from the ink's. Drawing programs mix ink and paper of an edge's pixels in coded values, so the share of ink
/// is linear in them: 0 at the paper's median, 1 at the ink's, the two classes being told apart by Otsu's threshold.
/// A photo has tones between all over, not only at its edges: that is how it is told from a drawing.
/// Cost: a few passes over the pixels.
#include "ink.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr int grain = 64;
constexpr float unit = 1.0F / 65535;

struct Colour {
    float red, green, blue;
};

Colour colour_of(const std::string& text) {
    unsigned value = 0;
    const bool good = text.size() == 7 && text[0] == '#' && std::all_of(text.begin() + 1, text.end(), [&](char c) {
                          const int digit = c >= '0' && c <= '9'   ? c - '0'
                                            : c >= 'a' && c <= 'f' ? c - 'a' + 10
                                            : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                                                   : -1;
                          value = value * 16 + static_cast<unsigned>(std::max(digit, 0));
                          return digit >= 0;
                      });
    if (!good)
        throw Error(Fault::usage,
                    fmt::format("The ink's colour '{}' is none. Give red, green and blue as six digits, like #1a2b7f.", text));
    return {static_cast<float>(value >> 16) / 255, static_cast<float>((value >> 8) & 255) / 255, static_cast<float>(value & 255) / 255};
}

void grey_row(const std::uint16_t* in, int n, float* out) {
    for (int i = 0; i < n; ++i) out[i] = static_cast<float>(in[i]) * unit;
}

void grey_row_rgb(const std::uint16_t* in, int n, float* out) {
    for (int i = 0; i < n; ++i) {
        const auto r = static_cast<float>(in[3 * i]), g = static_cast<float>(in[3 * i + 1]), b = static_cast<float>(in[3 * i + 2]);
        out[i] = (0.2126F * r + 0.7152F * g + 0.0722F * b) * unit;
    }
}

/// Distance of colours over that from black to white: linear along a mixture of the ink with any one other colour.
void distance_row(const std::uint16_t* in, int channels, int n, Colour ink, float* out) {
    for (int i = 0; i < n; ++i) {
        const std::uint16_t* p = in + channels * i;
        const float r = static_cast<float>(p[0]) * unit - ink.red, g = static_cast<float>(p[channels == 3 ? 1 : 0]) * unit - ink.green,
                    b = static_cast<float>(p[channels == 3 ? 2 : 0]) * unit - ink.blue;
        out[i] = std::sqrt((r * r + g * g + b * b) / 3);
    }
}

void lay_on(float* values, const std::uint16_t* alpha, int n, float ground) {
    for (int i = 0; i < n; ++i) {
        const float a = static_cast<float>(alpha[i]) * unit;
        values[i] = values[i] * a + ground * (1 - a);
    }
}

/// Lightness, or distance from the ink; what is transparent is as the paper.
HeightMap values_of(const Picture& picture, const std::optional<Colour>& ink, float ground, const Crew& crew) {
    HeightMap values(picture.width, picture.height, 1);
    const auto w = static_cast<std::size_t>(picture.width), c = static_cast<std::size_t>(picture.channels);
    over_rows(crew, picture.height, grain, [&](int low, int high) {
        for (int j = low; j < high; ++j) {
            const std::size_t from = static_cast<std::size_t>(picture.height - 1 - j) * w;
            const std::uint16_t* in = picture.samples.data() + from * c;
            if (ink)
                distance_row(in, picture.channels, picture.width, *ink, values.row(j));
            else if (picture.channels == 1)
                grey_row(in, picture.width, values.row(j));
            else
                grey_row_rgb(in, picture.width, values.row(j));
            if (!picture.alpha.empty()) lay_on(values.row(j), picture.alpha.data() + from, picture.width, ground);
        }
    });
    return values;
}

/// Tones of both classes, and where they part.
struct Tones {
    double threshold = 0.5, ink = 0, paper = 1;  ///< ink < threshold < paper
};

Tones tones_of(const Histogram& counts, double threshold) {
    const int part = std::clamp(static_cast<int>(std::ceil(threshold * (histogram_bins - 1))), 1, histogram_bins - 1);
    return {threshold, quantile(counts, 0, part - 1, 0.5), quantile(counts, part, histogram_bins - 1, 0.5)};
}

/// Between the classes' medians; where lines are so thin that the median is an edge's pixel, the darkest and lightest tell more.
Tones tones_of(const Histogram& counts) {
    Tones tones = tones_of(counts, otsu_threshold(counts));
    const int part = static_cast<int>(tones.threshold * (histogram_bins - 1)) + 1;
    const double dark = quantile(counts, 0, part - 1, 0.05), light = quantile(counts, part, histogram_bins - 1, 0.95);
    const double edge = 0.1 * (light - dark);
    if (tones.ink > dark + edge) tones.ink = dark;
    if (tones.paper < light - edge) tones.paper = light;
    tones.threshold = (tones.ink + tones.paper) / 2;
    return tones;
}

void share_row(float* row, int n, float at_half, float slope) {
    for (int i = 0; i < n; ++i) row[i] = 0.5F + slope * (row[i] - at_half);
}

/// Shares of ink from values, 0.5 at the threshold: 0 on paper and 1 in ink where that lies midway between both.
void to_shares(HeightMap& values, const Tones& tones, bool light_is_ink, const Crew& crew) {
    const double slope = 1 / std::max(tones.paper - tones.ink, 0.001);
    over_rows(crew, values.height(), grain, [&](int low, int high) {
        for (int j = low; j < high; ++j)
            share_row(values.row(j), values.width(), static_cast<float>(tones.threshold),
                      static_cast<float>(light_is_ink ? slope : -slope));
    });
}

/// Counts, in 256 bins, tones between ink and paper that no edge explains: within three pixels they change by less than a third of the
/// span. Every other pixel of every other row is asked.
void count_soft(const HeightMap& values, int j, float low, float high, float step, std::array<std::uint64_t, 256>& counts) {
    constexpr int reach = 3;
    const float *row = values.row(j), *above = values.row(j + reach), *below = values.row(j - reach);
    for (int i = reach; i + reach < values.width(); i += 2) {
        const float v = row[i];
        if (v <= low || v >= high) continue;
        const float across = std::max(std::abs(row[i + reach] - v), std::abs(row[i - reach] - v));
        const float along = std::max(std::abs(above[i] - v), std::abs(below[i] - v));
        if (std::max(across, along) < step) ++counts[static_cast<std::size_t>(std::clamp(v, 0.0F, 1.0F) * 255)];
    }
}

/// Whether a picture has tones between ink and paper away from its edges, and of many kinds: a photo, or a sheet lit unevenly. Flat
/// areas of grey are a drawing's too, but come in few tones.
bool is_photo(const HeightMap& values, const Tones& tones, const Crew& crew) {
    const auto span = static_cast<float>(tones.paper - tones.ink);
    const float low = static_cast<float>(tones.ink) + 0.15F * span, high = static_cast<float>(tones.paper) - 0.15F * span;
    if (values.width() < 16 || values.height() < 16) return false;
    using Counts = std::array<std::uint64_t, 256>;
    constexpr int band = 4 * grain, edge = 3;
    std::vector<Counts> parts(static_cast<std::size_t>((values.height() + band - 1) / band), Counts{});
    over_rows(crew, values.height(), band, [&](int first, int last) {
        for (int j = std::max(first, edge + 1) & ~1; j < std::min(last, values.height() - edge); j += 2)
            count_soft(values, j, low, high, span / 3, parts[static_cast<std::size_t>(first / band)]);
    });
    Counts counts{};
    for (const Counts& part : parts)
        for (std::size_t k = 0; k < counts.size(); ++k) counts[k] += part[k];
    std::sort(counts.begin(), counts.end(), std::greater<>());
    double soft = 0, most = 0;
    for (std::size_t k = 0; k < counts.size(); ++k) {
        soft += static_cast<double>(counts[k]);
        if (k < 12) most += static_cast<double>(counts[k]);
    }
    return soft > 0.12 * static_cast<double>(values.size()) / 4 && most < 0.6 * soft;
}

[[noreturn]] void refuse_blank() {
    throw Error(Fault::refused,
                "There is nothing to cut: the picture is blank, or as good as. Is it the right file? Where the figure is lighter than its "
                "ground, invert it.");
}

/// A figure drawn in one colour on nothing: what is opaque is ink.
bool only_opacity(const Picture& picture) {
    if (picture.alpha.empty()) return false;
    const auto [least, greatest] = std::minmax_element(picture.alpha.begin(), picture.alpha.end());
    if (*greatest - *least < 32768) return false;
    const auto c = static_cast<std::size_t>(picture.channels);
    std::optional<std::size_t> first;
    for (std::size_t k = 0; k < picture.alpha.size(); ++k) {
        if (picture.alpha[k] < 32768) continue;
        if (!first) first = k;
        for (std::size_t q = 0; q < c; ++q)
            if (std::abs(picture.samples[k * c + q] - picture.samples[*first * c + q]) > 2000) return false;
    }
    return true;
}

HeightMap opacities(const Picture& picture, const Crew& crew) {
    HeightMap values(picture.width, picture.height, 1);
    over_rows(crew, picture.height, grain, [&](int low, int high) {
        for (int j = low; j < high; ++j)
            grey_row(picture.alpha.data() + static_cast<std::size_t>(picture.height - 1 - j) * static_cast<std::size_t>(picture.width),
                     picture.width, values.row(j));
    });
    return values;
}

/// What is transparent is no ink, whatever the threshold makes of its ground.
void drop_transparent(const Picture& picture, Grid<float>& share, const Crew& crew) {
    if (picture.alpha.empty()) return;
    over_rows(crew, picture.height, grain, [&](int low, int high) {
        for (int j = low; j < high; ++j) {
            const std::uint16_t* alpha =
                picture.alpha.data() + static_cast<std::size_t>(picture.height - 1 - j) * static_cast<std::size_t>(picture.width);
            float* row = share.row(j);
            for (int i = 0; i < picture.width; ++i) row[i] = std::min(row[i], static_cast<float>(alpha[i]) * unit);
        }
    });
}

Ink by_colour(const Picture& picture, const TraceWishes& wishes, const Crew& crew) {
    Ink ink;
    ink.share = values_of(picture, colour_of(*wishes.ink), 1.0F, crew);
    const Histogram counts = histogram_of(ink.share, crew);
    const Tones tones = tones_of(counts);
    if (quantile(counts, 0, histogram_bins - 1, 0.0) > 0.25)
        throw Error(Fault::refused,
                    fmt::format("No pixel has the ink's colour {} or one near it. Pick the colour in the picture itself.", *wishes.ink));
    if (tones.paper - tones.ink < 0.04) refuse_blank();
    ink.notes.push_back(
        fmt::format("Ink is what lies nearer to {} than {:.0f} % of the way from black to white.", *wishes.ink, 100 * tones.threshold));
    to_shares(ink.share, tones, wishes.invert, crew);
    return ink;
}

}  // namespace

Ink ink_of(const Picture& picture, const TraceWishes& wishes, const Crew& crew) {
    if (wishes.ink) {
        Ink ink = by_colour(picture, wishes, crew);
        drop_transparent(picture, ink.share, crew);
        return ink;
    }
    if (only_opacity(picture)) {
        Ink ink{opacities(picture, crew), 0.5, {"The drawing is of one colour on nothing: what is opaque is the figure."}, {}};
        if (wishes.invert)
            throw Error(Fault::refused,
                        "The drawing is of one colour on nothing: there is no ground that could be cut. Leave out the inverting.");
        return ink;
    }
    Ink ink;
    ink.share = values_of(picture, {}, wishes.invert ? 0.0F : 1.0F, crew);
    Histogram counts = histogram_of(ink.share, crew);
    Tones tones = wishes.threshold == Threshold::value ? tones_of(counts, wishes.value) : tones_of(counts);
    const double span = quantile(counts, 0, histogram_bins - 1, 1) - quantile(counts, 0, histogram_bins - 1, 0);
    if (span < 0.03) refuse_blank();
    bool levelled = wishes.threshold == Threshold::local;
    if (wishes.threshold != Threshold::value) {
        const bool photo = is_photo(ink.share, tones, crew);
        if (photo && wishes.threshold == Threshold::automatic) levelled = true;
        if (levelled) {
            level_light(ink.share, crew);
            counts = histogram_of(ink.share, crew);
            tones = tones_of(counts);
        }
        const bool still = levelled ? is_photo(ink.share, tones, crew) : photo;
        if (still) {
            if (wishes.threshold == Threshold::automatic)
                throw Error(
                    Fault::refused,
                    "The picture looks like a photo: it has tones between dark and light all over, and figures need a drawing of ink on "
                    "paper. Use relief for a photo, or say by hand at which tone its figure begins.");
            ink.warnings.emplace_back("The picture looks like a photo rather than a drawing; look at the traced line. Photos suit relief.");
        }
    }
    if (tones.paper - tones.ink < 0.03) refuse_blank();
    if (tones.paper - tones.ink < 0.2)
        ink.warnings.push_back(
            fmt::format("The ink is faint: {:.0f} % darker than the paper. Look at the traced line.", 100 * (tones.paper - tones.ink)));
    if (levelled) {
        ink.notes.push_back(
            fmt::format("The light on the sheet was made even; the line runs where the picture is {:.0f} % as light as the paper around.",
                        100 * tones.threshold / 0.9));
    } else {
        ink.threshold = tones.threshold;
        ink.notes.push_back(fmt::format("The line runs at the coded value {:.3f}, ink being {:.3f} and paper {:.3f}{}.", tones.threshold,
                                        tones.ink, tones.paper,
                                        wishes.threshold == Threshold::value ? "" : " (parted by Otsu's threshold)"));
    }
    to_shares(ink.share, tones, wishes.invert, crew);
    drop_transparent(picture, ink.share, crew);
    return ink;
}

}  // namespace burin
