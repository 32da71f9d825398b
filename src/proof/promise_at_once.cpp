// Promise 3: nothing too much at once. Heights come from the replay (removal.cpp); here sections and plunges.
//
// Section: stock removed ÷ length moved over any half bit diameter of way. From every piece backwards the fewest pieces are taken
// that make up the window (way.hpp); where the way begins sooner (after a rapid, a plunge or a way in the air) what there is
// counts, as at least half a window. It is held against m times the bit's width at the height at which its tip runs below the top.
// Plunge: straight down, legs that follow each other count together until the bit has come up to where it began to cut.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "promises.hpp"

namespace burin::proving {
namespace {

struct Section {
    double share = 0;
    std::uint32_t first = 0, last = 0;  // pieces of the window
};

struct Sections {
    Section largest, first_over;
};

Sections sections_of(const Way& way) {
    Sections result;
    const auto& legs = way.legs;
    const double m = way.asked->most_at_once;
    struct Part {
        std::uint32_t piece;
        double length, volume, low;
    };
    std::vector<Part> run;  // since the last interruption
    std::size_t begin = 0;  // first part of the window in run
    double length = 0, volume = 0;
    for (std::size_t leg = 0; leg < legs.size(); ++leg) {
        if (way.kinds[leg] != LegKind::cut) {
            if (way.from(leg) == legs[leg].to) continue;
            run.clear(), begin = 0, length = volume = 0;
            continue;
        }
        const std::uint32_t first = way.first_piece[leg], count = way.first_piece[leg + 1] - first;
        const Point3 &a = way.from(leg), &b = legs[leg].to;
        const double step = distance(a, b) / count;
        for (std::uint32_t n = 0; n < count; ++n) {
            const double z0 = a.z + (b.z - a.z) * n / count, z1 = a.z + (b.z - a.z) * (n + 1) / count;
            run.push_back({first + n, step, way.volumes[first + n], std::min(z0, z1)});
            length += step, volume += run.back().volume;
            while (length - run[begin].length >= way.window - 1e-9) {
                length -= run[begin].length, volume -= run[begin].volume;
                ++begin;
            }
            double low = 0;
            for (std::size_t k = begin; k < run.size(); ++k) low = std::min(low, run[k].low);
            const double width = way.asked->bit.width_at(-low);
            if (volume < least_volume || !(width > 0) || !(m > 0)) continue;
            const Section section{volume / std::max(length, way.window / 2) / (m * width), run[begin].piece, run.back().piece};
            if (section.share > result.largest.share) result.largest = section;
            if (section.share > 1 + section_slack && result.first_over.share <= 0) result.first_over = section;
        }
    }
    return result;
}

struct Peck {
    double height = 0;
    std::size_t leg = 0;
};

/// The largest plunge and the first above `may`.
std::pair<Peck, Peck> pecks_of(const Way& way, double may) {
    Peck largest, first_over;
    const auto& legs = way.legs;
    double height = 0, low = 0;
    for (std::size_t leg = 0; leg < legs.size(); ++leg) {
        const Point3 &a = way.from(leg), &b = legs[leg].to;
        const bool straight_down = way.kinds[leg] == LegKind::vertical && b.z < a.z;
        if (straight_down) {
            const double taken = static_cast<double>(way.most[way.first_piece[leg]]);
            if (taken > 0) height += taken, low = b.z;
            if (height > largest.height) largest = {height, leg};
            if (height > may && first_over.height <= 0) first_over = {height, leg};
        } else if (way.kinds[leg] == LegKind::cut || b.z >= std::min(0.0, low + height) - place_slack) {
            height = 0;
        }
    }
    return {largest, first_over};
}

}  // namespace

Check check_at_once(const std::vector<Way>& ways, std::size_t index, const Replay& replay, ProgramFigures& figures) {
    const Way& way = ways[index];
    const double m = way.asked->most_at_once;
    const auto& legs = way.legs;
    std::vector<Breach> breaches;
    figures.most_at_once = static_cast<double>(replay.most_at_once);
    if (replay.too_much.found()) {
        const std::uint32_t stride = way.strides[replay.too_much.piece];
        std::uint32_t first = replay.too_much.piece;
        while (first > 0 && way.strides[first - 1] != 0 && way.strides[first - 1] + 1 >= stride && way.strides[first - 1] <= stride)
            --first;
        const std::uint32_t piece = greatest_at(replay.too_much.place, ways, index, first, replay.too_much.piece);
        const Point3 place{replay.too_much.place.x, replay.too_much.place.y, legs[way.leg_of(piece)].to.z};
        breaches.push_back(
            {way.line_of(piece), place,
             fmt::format("At {} the stock is lowered by {:.2f} mm at once, and {:.2f} is allowed (the most in this program: {:.2f}). "
                         "Lower the depth per pass, or let a larger bit rough first.",
                         at_place(place), replay.too_much.height, m, replay.most_at_once)});
    }
    const Sections sections = sections_of(way);
    figures.largest_section = sections.largest.share;
    if (sections.first_over.share > 0) {
        std::uint32_t most = sections.first_over.first;
        for (std::uint32_t k = sections.first_over.first; k <= sections.first_over.last; ++k)
            if (way.volumes[k] > way.volumes[most]) most = k;
        const Point3 place = legs[way.leg_of(most)].to;
        breaches.push_back(
            {way.line_of(most), place,
             fmt::format("Near {} the bit takes {:.0f} % of the chip section that is allowed (the most in this program: {:.0f} %). "
                         "Take less depth or a smaller step sideways, or go down more gently.",
                         at_place(place), 100 * sections.first_over.share, 100 * sections.largest.share)});
    }
    const auto [largest, over] = pecks_of(way, m + height_slack);
    figures.largest_peck = largest.height;
    if (over.height > 0)
        breaches.push_back({legs[over.leg].line, legs[over.leg].to,
                            fmt::format("A straight plunge at {} takes {:.2f} mm before it clears its chips, and {:.2f} is allowed. "
                                        "Go down in several plunges, lifting the bit out between them.",
                                        at_place(legs[over.leg].to), over.height, m)});
    return verdict(
        "nothing too much at once", way.asked->file,
        fmt::format("At most {:.2f} mm at once of {:.2f} allowed, {:.0f} % of the chip section allowed, {:.2f} mm in a straight plunge.",
                    figures.most_at_once, m, 100 * figures.largest_section, figures.largest_peck),
        std::move(breaches));
}

}  // namespace burin::proving
