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

/// The pieces of a window of way that moves on, each with its length, what it took and how low it ran.
class Window {
public:
    Window(const Way& way) : way_(way) {}

    void clear() { parts_.clear(), lows_.clear(), begin_ = low_ = 0, length_ = volume_ = 0; }
    void add(std::uint32_t piece, double length, double low) {
        const double volume = way_.volumes[piece];
        parts_.push_back({piece, length, volume});
        while (lows_.size() > low_ && lows_.back().z >= low) lows_.pop_back();
        lows_.push_back({piece, low});
        length_ += length, volume_ += volume;
        while (length_ - parts_[begin_].length >= way_.window - 1e-9) {
            length_ -= parts_[begin_].length, volume_ -= parts_[begin_].volume;
            ++begin_;
        }
        while (lows_[low_].piece < first()) ++low_;
        forget(parts_, begin_), forget(lows_, low_);
    }
    [[nodiscard]] std::uint32_t first() const { return parts_[begin_].piece; }
    [[nodiscard]] std::uint32_t last() const { return parts_.back().piece; }
    [[nodiscard]] double length() const { return length_; }
    [[nodiscard]] double volume() const { return volume_; }
    [[nodiscard]] double low() const { return std::min(0.0, lows_[low_].z); }

private:
    struct Part {
        std::uint32_t piece;
        double length, volume;
    };
    struct Low {
        std::uint32_t piece;
        double z;
    };
    /// What lies before the window goes once there is much of it.
    template <class Value>
    static void forget(std::vector<Value>& values, std::size_t& begin) {
        constexpr std::size_t much = 4096;
        if (begin < much || 2 * begin < values.size()) return;
        values.erase(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(begin));
        begin = 0;
    }

    const Way& way_;
    std::vector<Part> parts_;
    std::vector<Low> lows_;  // rising: of those that are left, each is lower than all after it
    std::size_t begin_ = 0, low_ = 0;
    double length_ = 0, volume_ = 0;
};

Sections sections_of(const Way& way) {
    Sections result;
    const auto& legs = way.legs;
    const double m = way.asked->most_at_once;
    Window window(way);  // since the last interruption
    for (std::size_t leg = 0; leg < legs.size(); ++leg) {
        if (way.kinds[leg] != LegKind::cut) {
            if (!(way.from(leg) == legs[leg].to)) window.clear();
            continue;
        }
        const std::uint32_t first = way.first_piece[leg], count = way.first_piece[leg + 1] - first;
        const Point3 &a = way.from(leg), &b = legs[leg].to;
        const double step = distance(a, b) / count;
        for (std::uint32_t n = 0; n < count; ++n) {
            const double z0 = a.z + (b.z - a.z) * n / count, z1 = a.z + (b.z - a.z) * (n + 1) / count;
            window.add(first + n, step, std::min(z0, z1));
            if (window.volume() < least_volume || !(m > 0)) continue;
            const double width = way.asked->bit.width_at(-window.low());
            if (!(width > 0)) continue;
            const Section section{window.volume() / std::max(window.length(), way.window / 2) / (m * width), window.first(), window.last()};
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
