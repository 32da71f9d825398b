// Grooves (strokes, outlines on the line) against what is left: the surface that the bit leaves when its tip follows the lines
// exactly.
//
// Up and down: that surface is reckoned by the sweep, with the lines shifted by the sideways slack in eight directions; the lowest
// of the eight, less 0.02 mm, is as low as may be, the highest and 0.02 mm as high. Lines may move against each other too, so what
// stands above that is asked again: only where the bit, smaller by the slack all round, would have cut is it missed. Sideways, finer than
// the cells: each point of way is held against the line nearest to it, as the bit's width at the stock top would tell,
//     over = min over the line of |way − line| + half width(way) − half width(line),
// and each point of line against the way nearest to it, the other way round.
// Cost: the lines swept eight times; points each 0.05 mm of way and of line × the pieces near them.
#include <array>
#include <cmath>
#include <numbers>

#include "figure.hpp"

namespace burin::proving {
namespace {

constexpr int grain = 64, spare = 16;
constexpr double sample = 0.05, missed = 1.0;  // mm
constexpr std::size_t most_samples = 4'000'000;

/// The grooves' lines piece by piece, below the stock top.
std::vector<std::pair<Point3, Point3>> pieces_of(const std::vector<Groove>& grooves) {
    std::vector<std::pair<Point3, Point3>> pieces;
    for (const Groove& groove : grooves) {
        const auto& tip = groove.tip;
        if (tip.size() == 1) pieces.emplace_back(tip[0], tip[0]);
        for (std::size_t k = 1; k < tip.size(); ++k) pieces.emplace_back(tip[k - 1], tip[k]);
        if (groove.closed && tip.size() > 2) pieces.emplace_back(tip.back(), tip.front());
    }
    std::erase_if(pieces, [](const auto& p) { return std::min(p.first.z, p.second.z) >= 0; });
    return pieces;
}

/// What of the surface's rows differs from the grooves, with their limits.
class GrooveRows {
public:
    GrooveRows(const FigureCase& c, const std::vector<std::pair<Point3, Point3>>& pieces)
        : c_(c),
          pieces_(pieces),
          bit_(profile_of(c.task.programs.back().bit, c.surface.cell() <= most_slack)),
          dip_(c.task.programs.back().bit),
          radius_(c.task.programs.back().bit.radius()) {}

    /// Lowest and highest that may be, row after row; what a sweep leaves without slack is not needed.
    void reckon(int first, int last, std::vector<float>& low, std::vector<float>& high) const {
        const HeightMap& surface = c_.surface;
        const int rows = last - first, pitch = surface.width() + spare;
        const std::size_t size = static_cast<std::size_t>(pitch) * static_cast<std::size_t>(rows);
        low.assign(size, 0.0F), high.assign(size, 0.0F);
        const double margin = radius_ + line_slack + surface.cell();
        const double y0 = surface.centre(0, first).y - margin, y1 = surface.centre(0, last - 1).y + margin;
        std::vector<const std::pair<Point3, Point3>*> here;
        for (const auto& piece : pieces_)
            if (std::max(piece.first.y, piece.second.y) >= y0 && std::min(piece.first.y, piece.second.y) <= y1) here.push_back(&piece);
        if (here.empty()) return;
        std::fill(high.begin(), high.end(), far_below);
        std::vector<float> one(size), taken(size, 0.0F), before(size, 0.0F);
        constexpr int directions = 8;
        for (int k = 0; k < directions; ++k) {
            std::fill(one.begin(), one.end(), 0.0F);
            const double angle = 2 * std::numbers::pi * k / directions, dx = line_slack * std::cos(angle),
                         dy = line_slack * std::sin(angle);
            Band band;
            band.surface = one.data(), band.taken = taken.data(), band.before = before.data();
            band.width = surface.width(), band.rows = rows, band.pitch = pitch, band.own_last = rows, band.cell = surface.cell();
            band.x = surface.centre(0, first).x, band.y = surface.centre(0, first).y;
            for (const auto* piece : here) {
                Point3 a = piece->first, b = piece->second;
                a.x += dx, b.x += dx, a.y += dy, b.y += dy;
                Touched touched;
                sweep(bit_, piece_between(a, b, dip_), Use::cut, band, touched);
            }
            for (std::size_t n = 0; n < size; ++n) low[n] = std::min(low[n], one[n]), high[n] = std::max(high[n], one[n]);
        }
    }

private:
    const FigureCase& c_;
    const std::vector<std::pair<Point3, Point3>>& pieces_;
    Profile bit_;
    Dip dip_;
    double radius_;
};

/// How low each place is at most, wherever within the slack each line runs by itself.
class SurelyCut {
public:
    SurelyCut(const Bit& bit, const std::vector<std::pair<Point3, Point3>>& pieces) : bit_(bit), index_(heights_of(pieces), 0.5) {}
    [[nodiscard]] double at(const Point& p) const {
        double lowest = 0;
        index_.near(p, p, bit_.radius(), [&](const Segment& s) {
            const double away = distance_to(s, p) + line_slack;
            if (away <= bit_.radius()) lowest = std::min(lowest, s.a_more + (s.b_more - s.a_more) * nearest_share(s, p) + bit_.rise(away));
            return true;
        });
        return lowest;
    }

private:
    static std::vector<Segment> heights_of(const std::vector<std::pair<Point3, Point3>>& pieces) {
        std::vector<Segment> segments;
        for (const auto& [a, b] : pieces) segments.push_back({flat(a), flat(b), a.z, b.z, 0});
        return segments;
    }
    const Bit& bit_;
    SegmentIndex index_;
};

struct RowsSeen {
    Peak below, standing;
    double squares = 0, cells = 0;
};

void look_up_and_down(const FigureCase& c, const std::vector<std::pair<Point3, Point3>>& pieces, FigureSeen& seen) {
    const HeightMap& surface = c.surface;
    const GrooveRows rows(c, pieces);
    const SurelyCut surely(c.task.programs.back().bit, pieces);
    std::vector<RowsSeen> bands(static_cast<std::size_t>((surface.height() + grain - 1) / grain));
    HeightMap limit;
    const auto look = [&](bool with_limit) {
        over_rows(c.crew, surface.height(), grain, [&](int first, int last) {
            RowsSeen& band = bands[static_cast<std::size_t>(first / grain)];
            std::vector<float> low, high;
            rows.reckon(first, last, low, high);
            for (int j = first; j < last; ++j) {
                const float* s = surface.row(j);
                const std::size_t at = static_cast<std::size_t>(j - first) * static_cast<std::size_t>(surface.width() + spare);
                for (int i = 0; i < surface.width(); ++i) {
                    const float lo = low[at + static_cast<std::size_t>(i)], hi = high[at + static_cast<std::size_t>(i)];
                    if (s[i] >= 0 && hi >= 0) continue;
                    const double z = static_cast<double>(s[i]), under = static_cast<double>(lo) - z;
                    double above = z - static_cast<double>(hi);
                    if (above > depth_slack) above = z - std::max(static_cast<double>(hi), surely.at(surface.centre(i, j)));
                    if (with_limit) {
                        if (under > depth_slack) limit(i, j) = lo - static_cast<float>(depth_slack);
                        continue;
                    }
                    if (under > band.below.value) band.below.take(under, surface.centre(i, j), z);
                    if (above > band.standing.value) band.standing.take(above, surface.centre(i, j), z);
                    if (hi < 0) band.squares += above > 0 ? above * above : 0, band.cells += 1;
                }
            }
        });
    };
    look(false);
    RowsSeen all;
    for (const RowsSeen& band : bands) {
        all.below.take(band.below), all.standing.take(band.standing);
        all.squares += band.squares, all.cells += band.cells;
    }
    seen.below = {all.below.value, all.below.place, all.below.value > depth_slack, {}};
    seen.standing = {all.standing.value, all.standing.place, all.standing.value > seen.may_stand, {}};
    seen.standing_rms = all.cells > 0 ? std::sqrt(all.squares / all.cells) : 0;
    if (seen.below.broken) {
        limit = surface.like(far_below);
        look(true);
        seen.below.by = first_below(limit, c.ways, c.crew);
    }
    if (seen.standing.broken) {
        const Point place{seen.standing.place.x, seen.standing.place.y};
        seen.standing.by = lowest_at(place, c.ways);
        if (!seen.standing.by) seen.standing.by = nearest_to(place, c.ways);
    }
}

/// Lines with the bit's half width along them, and points along them.
struct Lines {
    std::vector<Segment> segments;
    double widest = 0, length = 0;
    void add(const Point3& a, const Point3& b, const Bit& bit, std::uint32_t tag) {
        over_even_widths(bit, a, b, [&](const Point3& p, const Point3& q, double ep, double eq) {
            widest = std::max({widest, ep, eq});
            length += distance(flat(p), flat(q));
            segments.push_back({flat(p), flat(q), ep, eq, tag});
        });
    }
};

struct Apart {
    Peak peak;
    std::uint32_t tag = 0, nearest = 0;  ///< of the line asked, and of the one that is nearest to it
    std::optional<std::uint32_t> first;  ///< the first asked that is too far away
};

/// How far `asked` lies sideways beyond `given`, at worst: points of it against the nearest of the given. Told up to `missed`.
std::vector<Apart> beyond(const FigureCase& c, const std::vector<Segment>& asked, double length, const SegmentIndex& given, double widest) {
    const double step = std::max(sample, length / static_cast<double>(most_samples));
    constexpr std::size_t lines_a_job = 512;
    std::vector<Apart> parts((asked.size() + lines_a_job - 1) / lines_a_job);
    in_parallel(c.crew, static_cast<int>(parts.size()), [&](int job) {
        Apart& worst = parts[static_cast<std::size_t>(job)];
        const std::size_t from = static_cast<std::size_t>(job) * lines_a_job, to = std::min(asked.size(), from + lines_a_job);
        const Segment* last = nullptr;
        for (std::size_t n = from; n < to; ++n) {
            const Segment& line = asked[n];
            const int count = std::max(1, static_cast<int>(std::ceil(distance(line.a, line.b) / step)));
            for (int k = 0; k <= count; ++k) {
                const double t = static_cast<double>(k) / count, half = line.a_more + (line.b_more - line.a_more) * t;
                const Point p{line.a.x + (line.b.x - line.a.x) * t, line.a.y + (line.b.y - line.a.y) * t};
                double best = missed;
                const Segment* by = nullptr;
                const auto see = [&](const Segment& s) {
                    const double u = nearest_share(s, p), v = distance_to(s, p) + half - (s.a_more + (s.b_more - s.a_more) * u);
                    if (v < best) best = v, by = &s;
                    return best > std::min(worst.peak.value, line_slack);
                };
                if (last && !see(*last)) continue;
                given.near(p, p, missed + widest, see);
                if (by) last = by;
                if (best > line_slack && !worst.first) worst.first = line.tag;
                if (best > worst.peak.value) worst.peak.take(best, p, 0), worst.tag = line.tag, worst.nearest = by ? by->tag : 0;
            }
        }
    });
    return parts;
}

void look_sideways(const FigureCase& c, const std::vector<std::pair<Point3, Point3>>& pieces, FigureSeen& seen) {
    // What is asked begins a little below the top: there a ball's width changes fast, and a hair of depth would count as much.
    Lines wanted, cut, wanted_below, cut_below;
    const Bit& bit = c.task.programs.back().bit;
    std::uint32_t tag = 0;
    for (auto [a, b] : pieces) {
        wanted.add(a, b, bit, tag);
        if (clip_below(a, b, -depth_slack)) wanted_below.add(a, b, bit, tag);
        ++tag;
    }
    std::vector<Culprit> cuts;  // by tag
    for (std::size_t w = 0; w < c.ways.size(); ++w) {
        const Way& way = c.ways[w];
        over_cuts(way, 0, way.kinds.size(), [&](std::uint32_t piece, Point3 a, Point3 b) {
            if (std::min(a.z, b.z) >= 0) return;
            const auto number = static_cast<std::uint32_t>(cuts.size());
            cuts.push_back({w, piece, static_cast<float>(std::min(a.z, b.z)), flat(a)});
            cut.add(a, b, way.asked->bit, number);
            if (clip_below(a, b, -depth_slack)) cut_below.add(a, b, way.asked->bit, number);
        });
    }
    const double widest_line = wanted.widest, widest_cut = cut.widest;
    const SegmentIndex by_line(std::move(wanted.segments), 0.5), by_way(std::move(cut.segments), 0.5);
    for (const Apart& part : beyond(c, cut_below.segments, cut_below.length, by_line, widest_line)) {
        if (part.peak.value > seen.over.value) seen.over.value = part.peak.value, seen.over.place = part.peak.place;
        if (part.first && !seen.over.by) seen.over.by = cuts[*part.first];
    }
    for (const Apart& part : beyond(c, wanted_below.segments, wanted_below.length, by_way, widest_cut))
        if (part.peak.value > seen.short_of.value) {
            seen.short_of.value = part.peak.value, seen.short_of.place = part.peak.place;
            seen.short_of.by.reset();
            if (!cuts.empty() && part.peak.value < missed) seen.short_of.by = cuts[part.nearest];
        }
    seen.over.broken = seen.over.value > line_slack;
    seen.short_of.broken = seen.short_of.value > line_slack;
    if (!seen.over.broken) seen.over.by.reset();
    if (seen.short_of.broken && !seen.short_of.by) seen.short_of.by = nearest_to({seen.short_of.place.x, seen.short_of.place.y}, c.ways);
}

}  // namespace

FigureSeen against_grooves(const FigureCase& c) {
    FigureSeen seen;
    const auto pieces = pieces_of(c.figure.grooves);
    look_up_and_down(c, pieces, seen);
    look_sideways(c, pieces, seen);
    return seen;
}

}  // namespace burin::proving
