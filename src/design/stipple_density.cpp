// How many dots, and how dense where: the density that shows the tones with sizes between the least and the most.
#include "stipple_density.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin::dots {
namespace {

constexpr double most_dots = 2e6;
// A rounded line through n places per mm² was measured to be 0.86 √n mm per mm² long; 0.73 leaves its width room to make up for turns that
// run together.
constexpr double way = 0.73;

/// k so that the number comes out as wished, within what is possible.
void fit_number(const Grid<float>& share, double wished, Density& density) {
    Density trial = density;
    double low = 0, high = 1;
    for (trial.k = high; count_of(share, trial) < wished && high < 1e9; trial.k = high) high *= 4;
    for (int step = 0; step < 50; ++step) {
        density.k = (low + high) / 2;
        (count_of(share, density) < wished ? low : high) = density.k;
    }
}

}  // namespace

double disc_area(double diameter) { return std::numbers::pi / 4 * diameter * diameter; }

Tones tones_of(const Grid<float>& coverage, double cap) {
    Tones tones{coverage};
    double asked = 0, over = 0;
    for (float& v : tones.share.values()) {
        const double share = std::isfinite(v) ? std::clamp(static_cast<double>(v), 0.0, 1.0) : 0.0;
        asked += share;
        over += std::max(0.0, share - cap);
        tones.darkest = std::max(tones.darkest, std::min(share, cap));
        v = static_cast<float>(std::min(share, cap));
    }
    const double area = coverage.cell() * coverage.cell();
    tones.asked = asked * area, tones.too_dark = over * area;
    return tones;
}

double Density::at(double share) const {
    if (line) {
        const double sparse = share / (way * most), dense = share / (way * least);
        return std::clamp(k * share, sparse * sparse, dense * dense);
    }
    return std::clamp(k * std::sqrt(share), share / disc_area(most), share / disc_area(least));
}

double count_of(const Grid<float>& share, const Density& density) {
    double sum = 0;
    for (const float v : share.values())
        if (v > 0) sum += density.at(static_cast<double>(v));
    return sum * share.cell() * share.cell();
}

double share_at_limits(const Grid<float>& share, const Density& density) {
    double all = 0, limited = 0;
    for (const float v : share.values()) {
        if (!(v > 0)) continue;
        const double s = static_cast<double>(v), n = density.at(s), free = density.line ? density.k * s : density.k * std::sqrt(s);
        all += n, limited += free != n ? n : 0;
    }
    return all > 0 ? limited / all : 0;
}

std::size_t number_of(Tones& tones, const StippleWishes& wishes, Density& density, std::vector<std::string>& notes) {
    density = {0, wishes.least, wishes.most, wishes.line};
    const double fewest = count_of(tones.share, density);
    density.k = 1e12;
    const double most = count_of(tones.share, density);
    density.k = wishes.line ? tones.darkest / (way * wishes.most * way * wishes.most) : std::sqrt(tones.darkest) / disc_area(wishes.most);
    const bool equal = wishes.most - wishes.least < 1e-9;
    double wished = wishes.dots > 0 ? wishes.dots : equal ? fewest : count_of(tones.share, density);
    const char* what = wishes.line ? "places of a line of" : "dots of";
    if (std::round(wished) > std::round(most)) {
        notes.push_back(fmt::format("{:.0f} {} {:.4g} mm already cover what the picture asks for; {} would make it darker.", most, what,
                                    wishes.least, wishes.dots));
        wished = most;
    }
    wished = std::max(1.0, std::round(wished));
    if (wished > most_dots)
        throw Error(Fault::refused, fmt::format("The picture would need {:.0f} dots, and more than {:.0f} are not made. Give larger dots, "
                                                "or a smaller picture.",
                                                wished, most_dots));
    if (wished < fewest * 0.98) {
        const double part = wishes.line ? std::sqrt(wished / fewest) : wished / fewest;
        notes.push_back(
            fmt::format("{:.0f} {} at most {:.4g} mm are too few for this picture: all tones come out at {:.0f} % of what they "
                        "should be. {:.0f} show them.",
                        wished, what, wishes.most, 100 * part, std::ceil(fewest)));
        for (float& v : tones.share.values()) v *= static_cast<float>(part);
        tones.scale = part, tones.darkest *= part;
    }
    if (!equal) fit_number(tones.share, wished, density);
    return static_cast<std::size_t>(wished);
}

}  // namespace burin::dots
