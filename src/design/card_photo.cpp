/// A card's photo read from end to end: marks, straightening, even light, patches, curve; and what to say where one of them fails.
/// A patch is striped, so that single pixels tell nothing: it is cut in blocks one groove wide, and the mean of the middle blocks counts
/// (trimmed mean, a fifth off at either end), which leaves out crumbs, knots and scratches. A groove's width is the light that it takes
/// away across, divided by what a full tone takes: blur does not change that. Cost: see the steps' files.
#include "burin/design/card_photo.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "card_marks.hpp"
#include "card_straight.hpp"

namespace burin {
namespace {

constexpr double fewest_pixels = 3;  // to a millimetre: the gap in a mark is one wide
constexpr double least_contrast = 0.02;
constexpr double least_clear = 0.5;     // of the contrast, between ring and disc of the large mark
constexpr double even = 0.1;            // of the contrast: blocks of a patch that differ by more make it count half
constexpr double same_exposure = 0.04;  // as a share: powers and feeds meet in nearly the same exposures
constexpr double falls = 0.04;          // darkness: more than noise

[[nodiscard]] Error refused(const std::string& sentence) { return {Fault::refused, sentence}; }

double trimmed_mean(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    const std::size_t off = values.size() / 5;
    double sum = 0;
    for (std::size_t k = off; k < values.size() - off; ++k) sum += values[k];
    return sum / static_cast<double>(values.size() - 2 * off);
}

/// Light of a patch, and how far its blocks differ: from the lowest quarter to the highest.
struct Seen {
    double light = 0, spread = 0;
};

Seen patch_light(const HeightMap& straight, const Card& card, const CardPatch& patch) {
    const bool grooves = card.wishes.kind == CardKind::grooves;
    const double step = grooves ? card.wishes.pitch : std::max(card.wishes.spacing, patch.box.width() / 10);
    const auto lines = static_cast<int>(std::lround(patch.box.width() / step));
    const double edge = std::max(0.8, grooves ? card.wishes.pitch : 0.0);
    const int off = std::min((lines - 1) / 2, static_cast<int>(std::ceil(edge / step - 1e-6)));
    const double inset = std::min(edge + (grooves ? card.wishes.pitch / 2 : 0), patch.box.height() / 3);
    const double tall = patch.box.height() - 2 * inset;
    const int blocks = std::max(1, static_cast<int>(std::lround(tall)));
    std::vector<double> means;
    for (int k = off; k < lines - off; ++k)
        for (int b = 0; b < blocks; ++b) {
            const double x = patch.box.lo.x + k * step, y = patch.box.lo.y + inset + tall * b / blocks;
            means.push_back(mean_over(straight, {{x, y}, {x + step, y + tall / blocks}}));
        }
    std::sort(means.begin(), means.end());
    const double spread = means[means.size() * 3 / 4] - means[means.size() / 4];
    return {trimmed_mean(std::move(means)), spread};
}

/// Width of a groove: what is missing in a band across it, against the bare surface at both ends of the band.
double rung_width(const HeightMap& straight, const Card& card, const CardRung& rung, double full) {
    const double room = (card.wishes.patch + 2) / 2, half = std::min(room, rung.width / 2 + 1.2), side = 0.4;
    const double inset = std::min(rung.width / 2 + 0.8, (rung.high.y - rung.low.y) / 3);
    const double low = rung.low.y + inset, tall = rung.high.y - inset - low;
    constexpr int bands = 7;
    std::vector<double> widths;
    for (int k = 0; k < bands; ++k) {
        const double y0 = low + tall * k / bands, y1 = low + tall * (k + 1) / bands, x = rung.low.x;
        const double bare =
            (mean_over(straight, {{x - half - side, y0}, {x - half, y1}}) + mean_over(straight, {{x + half, y0}, {x + half + side, y1}})) /
            2;
        widths.push_back((bare - mean_over(straight, {{x - half, y0}, {x + half, y1}})) * 2 * half / full);
    }
    return trimmed_mean(std::move(widths));
}

/// How clearly the gap between ring and disc of the large mark is seen, from 0 to 1.
double clearness(const HeightMap& straight, const Card& card) {
    const Point& c = card.marks[0].centre;
    const auto at = [&](double r) {
        double sum = 0;
        constexpr int n = 24;
        for (int k = 0; k < n; ++k) {
            const double a = 6.283185307179586 * k / n;
            sum += light_at(straight, {(c.x + r * std::cos(a)) / straight.cell(), (c.y + r * std::sin(a)) / straight.cell()});
        }
        return sum / n;
    };
    const double ring = at((Card::ring_inner + Card::ring_outer) / 2), gap = at((Card::ring_inner + Card::large_disc) / 2);
    return std::abs(1 - ring) > 1e-6 ? (gap - ring) / (1 - ring) : 0;
}

SeenCard find_card(const HeightMap& light, const Card& card, const Crew& crew) {
    std::vector<SeenMark> marks;
    bool other = false;
    // Grainy and pale photos want more smoothing and finer levels; others are found at once.
    for (const MarkSearch& search : {MarkSearch{0.9, 20}, MarkSearch{1.6, 60}}) {
        marks = find_marks(light, search, crew);
        if (const auto found = card_among(marks, light, card, other)) return *found;
        if (other) break;
    }
    if (other)
        throw refused(
            "The photo shows a card, but another than the job's: the row of dots at its lower edge, or the place of its marks, is not "
            "this card's. Give the job.toml that was written beside this card's programs.");
    std::size_t large = 0, small = 0;
    for (const bool lighter : {false, true}) {
        const auto count = [&](bool disc) {
            return static_cast<std::size_t>(
                std::count_if(marks.begin(), marks.end(), [&](const SeenMark& m) { return m.lighter == lighter && m.large == disc; }));
        };
        if (count(true) + count(false) > large + small) large = count(true), small = count(false);
    }
    const std::string again =
        "Take the photo straight from above, in even light without glare, in focus, with all four rings in the picture and the card "
        "filling most of it";
    if (large + small == 0)
        throw refused(
            fmt::format("No marks of a card are to be seen: four rings, one in each corner, with a disc in the middle. {}. Where "
                        "the grooves hardly show, ink them and wipe the surface clean first.",
                        again));
    throw refused(
        fmt::format("Of the card's four marks only {} can be told: {} with a small disc (three are wanted) and {} with a large one (one "
                    "is). The others are hidden, blurred, dirty or out of the picture. {}.",
                    std::min<std::size_t>(3, large + small), small, large, again));
}

/// How a patch is called: as its figures on the card.
std::string called(const CardPatch& patch, bool grooves) {
    return grooves ? fmt::format("{:.4g} %", 100 * patch.amount) : fmt::format("{:.3g} J/mm²", patch.amount);
}

/// What the patches change of the bare surface's light; what differs within itself counts less.
std::vector<ToneSample> tone_samples(const HeightMap& straight, const Card& card, double sign) {
    std::vector<ToneSample> samples;
    std::vector<double> spreads;
    double strongest = 0;
    for (const CardPatch& patch : card.patches) {
        const Seen seen = patch_light(straight, card, patch);
        samples.push_back({patch.amount, sign * (1 - seen.light), 1});
        spreads.push_back(seen.spread);
        strongest = std::max(strongest, samples.back().darkness);
    }
    if (!(strongest > least_contrast))
        throw refused(
            fmt::format("The patches do not stand out from the bare surface: the strongest changes its light by {:.1f} %. Ink or stain the "
                        "grooves and wipe the surface clean, or burn stronger, and photograph again.",
                        100 * strongest));
    for (std::size_t k = 0; k < samples.size(); ++k) {
        const double share = spreads[k] / (even * strongest);
        samples[k].weight = 1 / (1 + share * share);
    }
    return samples;
}

void tell_what_is_off(CardReading& reading, const Card& card, const std::vector<ToneSample>& samples) {
    const bool grooves = card.wishes.kind == CardKind::grooves;
    std::string dirty, off;
    double most = 0;
    for (std::size_t k = 0; k < card.patches.size(); ++k) {
        const double by = std::abs(samples[k].darkness - darkness_for(reading.curve, card.patches[k].amount));
        if (by > falls && by > most) most = by, off = called(card.patches[k], grooves);
        if (samples[k].weight < 0.2) dirty += fmt::format("{}{}", dirty.empty() ? "" : ", ", called(card.patches[k], grooves));
    }
    if (!dirty.empty())
        reading.warnings.push_back(
            fmt::format("Not the same all over, by dirt, a shadow or glare: {}. Wipe the card, or photograph it in evener light.", dirty));
    if (!off.empty())
        reading.warnings.push_back(
            fmt::format("The patches do not grow darker evenly: that of {} lies {:.0f} % off the rising curve through all. A "
                        "second card, or a photo in evener light, would be surer.",
                        off, most * 100));
}

}  // namespace

CardReading read_card(const Picture& photo, const Card& card, const Crew& crew) {
    if (photo.width < 1 || photo.height < 1) throw Error(Fault::input, "The photo has no pixels.");
    crew.say("looking for the card");
    const HeightMap light = luminance(photo, photo.width);
    const SeenCard seen = find_card(light, card, crew);
    CardReading reading;
    reading.marks = seen.marks;
    reading.lighter = seen.lighter;
    const PhotoScale scale = photo_scale(seen.to_photo, card);
    reading.pixels_per_mm = scale.least;
    if (scale.least < fewest_pixels)
        throw refused(
            fmt::format("The card is too small in the photo: {:.1f} pixels to a millimetre, and {} are wanted. Go nearer, so that "
                        "the card fills the picture, or photograph with more pixels.",
                        scale.least, fewest_pixels));
    crew.say("measuring");
    reading.straight = straightened(light, seen.to_photo, card, 1 / std::clamp(scale.least, fewest_pixels, 12.0), crew);
    even_out(reading.straight, card);
    if (clearness(reading.straight, card) < least_clear)
        throw refused(
            "The photo is out of focus, or was moved: the gap in the card's rings runs together. Take it again, with the camera held "
            "still and focused on the card.");
    const double sign = reading.lighter ? -1 : 1;
    std::vector<ToneSample> samples = tone_samples(reading.straight, card, sign);
    // Pooled first, so that one patch by chance does not say what the strongest tone is. Differences may be above 1 (white on black).
    const double near = card.wishes.kind == CardKind::beam ? same_exposure : 1e-9;
    double strongest = 0;
    for (const ToneSample& s : samples) strongest = std::max(strongest, s.darkness);
    for (ToneSample& s : samples) s.darkness /= strongest;
    reading.contrast = strongest * rising_curve(samples, near).points.back().y;
    for (ToneSample& s : samples) s.darkness *= strongest / reading.contrast;
    for (const ToneSample& s : samples) reading.darkness.push_back(s.darkness);
    reading.curve = rising_curve(samples, near);
    for (const CardRung& rung : card.rungs) reading.widths.push_back(rung_width(reading.straight, card, rung, sign * reading.contrast));
    tell_what_is_off(reading, card, samples);
    return reading;
}

}  // namespace burin
