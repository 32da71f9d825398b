// Replays all programs on the stock's heights, and looks at what each stretch of way took (promise 3).
//
// A cell's history depends on no other cell, so the stock is cut into bands of rows that are replayed one by one, each with
// all programs in order; results are gathered in the order of the bands and do not depend on the number of threads. Only
// "strips no wider than the allowance do not count" looks sideways: the heights taken in a window of way are eroded by a
// disc (Serra 1982) that no such strip holds, and for this a band carries a margin of rows.
// Cost: cells under the ways (see sweep.cpp); the erosion only where a window took more than any before it.
#include "removal.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <mutex>
#include <numbers>

#include "burin/shape/smooth_surface.hpp"

namespace burin::proving {
namespace {

constexpr int band_rows = 64;
constexpr int spare = 16;  // columns on the right, for blocks of eight that begin at the last cell

struct Offset {
    int i, j;
};

/// Cells of the smallest disc, round a cell's centre or a corner, that no strip of width `allowance` can hold, whatever its
/// direction. A strip holds centres up to its width apart, so the disc must be wider than that in all directions.
std::vector<Offset> strip_disc(double allowance, double cell) {
    if (allowance < 0.5 * cell) return {{0, 0}};
    const double half = allowance / 2 / cell;
    for (double limit = 0.5;; limit += 0.5) {  // squared radius in cells
        for (const double middle : {0.0, 0.5}) {
            std::vector<Offset> disc;
            const auto squared = [&](const Offset& o) { return (o.i - middle) * (o.i - middle) + (o.j - middle) * (o.j - middle); };
            const int r = static_cast<int>(std::sqrt(limit)) + 1;
            for (int j = -r; j <= r; ++j)
                for (int i = -r; i <= r; ++i)
                    if (squared({i, j}) <= limit) disc.push_back({i, j});
            double least = 1e9;  // half of its width in the direction in which that is least
            for (int k = 0; k < 64; ++k) {
                const double angle = k * std::numbers::pi / 64;
                double support = 0;
                for (const Offset& o : disc)
                    support = std::max(support, (o.i - middle) * std::cos(angle) + (o.j - middle) * std::sin(angle));
                least = std::min(least, support);
            }
            if (least <= half + 1e-3) continue;
            // The outermost first: what is no wider than a strip is seen soonest there.
            std::stable_sort(disc.begin(), disc.end(), [&](const Offset& a, const Offset& b) { return squared(a) > squared(b); });
            return disc;
        }
    }
}

/// The surface and the two strides of one band, with their margins.
struct Rows {
    std::vector<float> surface, one, two;
    Band band;

    template <class Fill>
    Rows(const HeightMap& map, int first, int last, int margin, const Fill& fill) {
        const int low = std::max(0, first - margin), high = std::min(map.height(), last + margin);
        band.width = map.width();
        band.rows = high - low;
        band.pitch = map.width() + spare;
        band.own_first = first - low, band.own_last = last - low;
        band.cell = map.cell();
        const Point centre = map.centre(0, low);
        band.x = centre.x, band.y = centre.y;
        surface.assign(static_cast<std::size_t>(band.pitch) * static_cast<std::size_t>(band.rows), far_below);
        for (int j = low; j < high; ++j) fill(j, surface.data() + static_cast<std::ptrdiff_t>(j - low) * band.pitch);
        band.surface = surface.data();
    }
    void make_strides() {
        one.assign(surface.size(), 0.0F);
        two.assign(surface.size(), 0.0F);
        band.taken = one.data(), band.before = two.data();
    }
};

/// Cells that a stride touched.
struct Cells {
    int first_column = std::numeric_limits<int>::max(), last_column = -1, first_row = std::numeric_limits<int>::max(), last_row = -1;
    void add(const Touched& t) {
        if (t.last_column < t.first_column) return;
        first_column = std::min(first_column, t.first_column);
        last_column = std::max(last_column, t.last_column);
        first_row = std::min(first_row, t.first_row);
        last_row = std::max(last_row, t.last_row);
    }
    void add(const Cells& c) {
        first_column = std::min(first_column, c.first_column);
        last_column = std::max(last_column, c.last_column);
        first_row = std::min(first_row, c.first_row);
        last_row = std::max(last_row, c.last_row);
    }
};

/// Whether a + b exceeds the height in one of eight cells.
inline bool any_above(const float* a, const float* b, float height) {
    int above = 0;
    for (int k = 0; k < 8; ++k) above |= static_cast<int>(a[k] + b[k] > height);
    return above != 0;
}

struct Tally {
    std::uint32_t piece;
    float volume, most;
};

struct BandReplay {
    std::vector<std::vector<Tally>> tallies;  // by way
    std::vector<Replay> replays;
};

/// Heights taken in this stride and the one before it.
class Strides {
public:
    Strides(Band& band, const std::vector<Offset>& disc) : band_(band), disc_(disc) {
        const auto [low, high] = std::minmax_element(disc.begin(), disc.end(), [](const Offset& a, const Offset& b) { return a.j < b.j; });
        disc_rows_ = high->j - low->j + 1;
    }

    void begin_way(Replay& replay, double may) {
        close();
        forget();
        replay_ = &replay;
        may_ = static_cast<float>(may);
    }
    /// To be called before a piece of that stride is swept.
    void enter(std::uint32_t stride) {
        if (stride == stride_) return;
        close();
        const bool follows = stride_ != 0 && stride == stride_ + 1;
        clear(band_.before, before_);
        std::swap(band_.before, band_.taken);
        before_ = now_;
        now_ = {};
        if (!follows) {
            clear(band_.before, before_);
            before_ = {};
        }
        stride_ = stride;
        taken_ = 0;
    }
    void add(const Touched& touched, std::uint32_t piece) {
        now_.add(touched);
        taken_ = std::max(taken_, touched.taken);
        last_piece_ = piece;
    }
    /// Looks at the window that ends here.
    void close() {
        if (stride_ == 0 || now_.last_row < 0 || taken_ <= replay_->most_at_once) return;
        Cells cells = now_;
        if (before_.last_row >= 0) cells.add(before_);
        if (!may_hold_disc(cells)) return;
        for (int j = std::max(cells.first_row, band_.own_first); j <= std::min(cells.last_row, band_.own_last - 1); ++j)
            for (int i = next_above(cells.first_column, j, cells.last_column); i <= cells.last_column;
                 i = next_above(i + 1, j, cells.last_column)) {
                float least = sum(i, j);
                if (least <= replay_->most_at_once) continue;
                for (const Offset& o : disc_) {
                    least = std::min(least, sum(i + o.i, j + o.j));
                    if (least <= replay_->most_at_once) break;
                }
                if (least <= replay_->most_at_once) continue;
                replay_->most_at_once = least;
                if (least > may_ && !replay_->too_much.found())
                    replay_->too_much = {last_piece_, least, {band_.x + i * band_.cell, band_.y + j * band_.cell}};
            }
    }

private:
    /// A disc spans so many rows that one of every so many shows whether there can be one in which everywhere more was
    /// taken than in any before.
    bool may_hold_disc(const Cells& cells) const {
        const int span = disc_rows_;
        for (int j = (cells.first_row + span - 1) / span * span; j <= cells.last_row; j += span)
            if (next_above(cells.first_column, j, cells.last_column) <= cells.last_column) return true;
        return false;
    }
    /// The next column, from i on, in which the window took more than any before it; beyond `last`: none.
    int next_above(int i, int j, int last) const {
        const std::ptrdiff_t row = static_cast<std::ptrdiff_t>(j) * band_.pitch;
        const float* taken = band_.taken + row;
        const float* before = band_.before + row;
        while (i <= last && !any_above(taken + i, before + i, replay_->most_at_once)) i += 8;
        while (i <= last && taken[i] + before[i] <= replay_->most_at_once) ++i;
        return i;
    }
    float sum(int i, int j) const {
        if (i < 0 || j < 0 || i >= band_.width || j >= band_.rows) return 0;
        const std::ptrdiff_t at = static_cast<std::ptrdiff_t>(j) * band_.pitch + i;
        return band_.taken[at] + band_.before[at];
    }
    void clear(float* buffer, const Cells& cells) {
        for (int j = cells.first_row; j <= cells.last_row; ++j) {
            float* row = buffer + static_cast<std::ptrdiff_t>(j) * band_.pitch;
            std::fill(row + cells.first_column, row + cells.last_column + 1, 0.0F);
        }
    }
    void forget() {
        clear(band_.before, before_);
        clear(band_.taken, now_);
        before_ = now_ = {};
        stride_ = 0;
        taken_ = 0;
    }

    Band& band_;
    const std::vector<Offset>& disc_;
    int disc_rows_ = 1;
    Replay* replay_ = nullptr;
    float may_ = 0, taken_ = 0;
    std::uint32_t stride_ = 0, last_piece_ = 0;
    Cells now_, before_;
};

/// Calls act(leg, piece, geometry) for the pieces of a way that may touch the band, in order, until it says false.
template <class Act>
void over_pieces(const Way& way, const Band& band, double wider, const Act& act) {
    const double margin = way.asked->bit.radius() + wider + band.cell;
    const float low = static_cast<float>(band.y - margin), high = static_cast<float>(band.y + (band.rows - 1) * band.cell + margin);
    for (std::size_t leg = 0; leg < way.legs.size(); ++leg) {
        if (leg % Way::run == 0 && (way.spans[leg / Way::run].high < low || way.spans[leg / Way::run].low > high)) {
            leg += Way::run - 1;
            continue;
        }
        if (const Way::Span span = way.span(leg); span.high < low || span.low > high) continue;
        const std::uint32_t first = way.first_piece[leg], count = way.first_piece[leg + 1] - first;
        Point3 from = way.start_of(leg, 0);
        for (std::uint32_t n = 0; n < count; ++n) {
            const Point3 to = way.end_of(leg, n);
            const float low_y = static_cast<float>(std::min(from.y, to.y)), high_y = static_cast<float>(std::max(from.y, to.y));
            if (std::min(from.z, to.z) < 0 && high_y >= low && low_y <= high && !act(leg, first + n, piece_between(from, to, way.dip)))
                return;
            from = to;
        }
    }
}

/// The piece that was cut last in a band.
struct Trail {
    std::size_t leg = std::numeric_limits<std::size_t>::max() - 1;
    std::uint32_t piece = std::numeric_limits<std::uint32_t>::max();
    /// Whether it ends where this one starts: pieces have numbers in a row over legs in the air too, legs do not.
    [[nodiscard]] bool leads_to(std::size_t next_leg, std::uint32_t next) const {
        return next == piece + 1 && (next_leg == leg || next_leg == leg + 1);
    }
};

/// What does not cut, `up` above the tip, must meet nothing that stands.
void probe_holder(const Profile& part, double up, const Piece& piece, std::uint32_t number, const Band& band, Find& find) {
    if (find.found()) return;
    Piece raised = piece;
    raised.z += static_cast<float>(up);
    raised.dip = part.radius + 1e-4F;
    if (std::min(raised.z, raised.z + raised.slope * raised.length) >= 0) return;
    Touched touched;
    sweep(part, raised, Use::probe, band, touched);
    if (touched.most > 0.02F) find = {number, touched.most, {piece.x, piece.y}};
}

/// The stock as it is before anything is cut, in a row of a band.
void fill_row(const HeightMap& surface, const ProofTask& task, int j, float* row) {
    for (const auto& [from, to] : stock_columns(surface, task.stock, j))
        for (int i = from; i < to; ++i)
            row[i] = task.uneven ? static_cast<float>(std::min(0.0, height_at(*task.uneven, surface.centre(i, j)))) : 0.0F;
}

BandReplay replay_band(HeightMap& surface, const ProofTask& task, const std::vector<Way>& ways, const std::vector<Offset>& disc, int margin,
                       const std::vector<double>& may, int first, int last) {
    Rows rows(surface, first, last, margin, [&](int j, float* row) { fill_row(surface, task, j, row); });
    rows.make_strides();
    Band& band = rows.band;
    BandReplay result;
    result.tallies.resize(ways.size());
    result.replays.resize(ways.size());
    Strides strides(band, disc);
    for (std::size_t w = 0; w < ways.size(); ++w) {
        const Way& way = ways[w];
        Replay& replay = result.replays[w];
        auto& tallies = result.tallies[w];
        strides.begin_way(replay, may[w]);
        const double cutting = way.asked->bit.spec().cutting_length, stick_out = way.asked->bit.spec().stick_out;
        const double holder = std::max(way.asked->bit.spec().shank, collet_nut_diameter) / 2;
        Touched touched;
        Trail trail;
        over_pieces(way, band, holder, [&](std::size_t leg, std::uint32_t number, const Piece& piece) {
            const bool been = trail.leads_to(leg, number);
            const double low = std::min(piece.z, piece.z + piece.slope * piece.length);
            if (low < -cutting) probe_holder(way.shank, cutting, piece, number, band, replay.shank);
            if (low < -stick_out) probe_holder(way.collet, stick_out, piece, number, band, replay.collet);
            switch (way.kinds[leg]) {
                case LegKind::cut:
                    strides.enter(way.strides[number]);
                    sweep(way.bit, piece, Use::cut, band, touched, been);
                    strides.add(touched, number);
                    // Nearly straight down, all of a bit's shape at the end is within the rounding of where that is.
                    trail = std::abs(piece.slope) < 100 ? Trail{leg, number} : Trail{};
                    break;
                case LegKind::vertical:
                    sweep(way.bit, piece, Use::plunge, band, touched);
                    trail = {leg, number};
                    break;
                default:
                    sweep(way.bit, piece, Use::probe, band, touched);
            }
            if (touched.most > 0) tallies.push_back({number, touched.volume, touched.most});
            return true;
        });
        strides.close();
    }
    for (int j = first; j < last; ++j)
        std::copy_n(band.surface + static_cast<std::ptrdiff_t>(band.own_first + j - first) * band.pitch, surface.width(), surface.row(j));
    return result;
}

/// Takes over the bands' results in their order, each as soon as all before it are there, so that few wait at a time.
class Gathering {
public:
    Gathering(std::vector<Way>& ways, int bands, double area)
        : ways_(ways), area_(area), waiting_(static_cast<std::size_t>(bands)), result_(ways.size()) {}

    void take(int band, BandReplay&& part) {
        const std::lock_guard lock(mutex_);
        waiting_[static_cast<std::size_t>(band)] = std::move(part);
        for (; next_ < waiting_.size() && waiting_[next_]; ++next_) {
            add(*waiting_[next_]);
            waiting_[next_].reset();
        }
    }
    [[nodiscard]] std::vector<Replay> result() && { return std::move(result_); }

private:
    void add(const BandReplay& part) {
        for (std::size_t w = 0; w < ways_.size(); ++w) {
            for (const Tally& t : part.tallies[w]) {
                ways_[w].volumes[t.piece] += static_cast<double>(t.volume) * area_;
                ways_[w].most[t.piece] = std::max(ways_[w].most[t.piece], t.most);
            }
            result_[w].most_at_once = std::max(result_[w].most_at_once, part.replays[w].most_at_once);
            result_[w].too_much.take_earlier(part.replays[w].too_much);
            result_[w].shank.take_earlier(part.replays[w].shank);
            result_[w].collet.take_earlier(part.replays[w].collet);
        }
    }
    std::vector<Way>& ways_;
    double area_;
    std::vector<std::optional<BandReplay>> waiting_;
    std::vector<Replay> result_;
    std::size_t next_ = 0;
    std::mutex mutex_;
};

bool covers(const Way& way, std::size_t leg, const Point& place) {
    const double r = way.asked->bit.radius();
    const Way::Span span = way.span(leg);
    return span.low - r <= place.y && span.high + r >= place.y;
}

}  // namespace

namespace {

/// Where the line at this height goes in and out.
std::vector<double> crossings_at(const Region& region, double y) {
    std::vector<double> at;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
            if ((a.y > y) != (b.y > y)) at.push_back(a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x));
        }
    std::sort(at.begin(), at.end());
    return at;
}

}  // namespace

std::vector<std::pair<int, int>> stock_columns(const HeightMap& map, const Stock& stock, int j) {
    const Point first = map.centre(0, j), middle = stock.bounds.centre();
    const auto column = [&](double x) {
        return static_cast<int>(std::clamp(std::ceil((x - first.x) / map.cell() - 1e-6), 0.0, static_cast<double>(map.width())));
    };
    std::vector<std::pair<int, int>> runs;
    if (stock.piece) {
        const std::vector<double> at = crossings_at(stock.piece->outer(), first.y);
        for (std::size_t k = 0; k + 1 < at.size(); k += 2)
            if (const int from = column(at[k]), to = column(at[k + 1]); to > from) runs.emplace_back(from, to);
        return runs;
    }
    double half = stock.bounds.width() / 2;
    if (stock.outline == Outline::round)
        half *= std::sqrt(std::max(0.0, 1 - std::pow((first.y - middle.y) / (stock.bounds.height() / 2), 2)));
    else if (first.y < stock.bounds.lo.y || first.y > stock.bounds.hi.y)
        half = 0;
    if (const int from = column(middle.x - half), to = column(middle.x + half); half > 0 && to > from) runs.emplace_back(from, to);
    return runs;
}

std::vector<Replay> remove_stock(HeightMap& surface, const ProofTask& task, std::vector<Way>& ways, double allowance,
                                 const std::vector<double>& may, const Crew& crew) {
    const auto disc = strip_disc(allowance, surface.cell());
    int margin = 0;
    for (const Offset& o : disc) margin = std::max(margin, std::abs(o.j));
    const int bands = (surface.height() + band_rows - 1) / band_rows;
    Gathering gathering(ways, bands, surface.cell() * surface.cell());
    in_parallel(crew, bands, [&](int k) {
        gathering.take(k,
                       replay_band(surface, task, ways, disc, margin, may, k * band_rows, std::min(surface.height(), (k + 1) * band_rows)));
    });
    return std::move(gathering).result();
}

std::optional<Culprit> first_below(const HeightMap& limit, const std::vector<Way>& ways, const Crew& crew) {
    const int bands = (limit.height() + band_rows - 1) / band_rows;
    std::vector<std::optional<Culprit>> found(static_cast<std::size_t>(bands));
    in_parallel(crew, bands, [&](int k) {
        const int first = k * band_rows, last = std::min(limit.height(), first + band_rows);
        const auto row_values = limit.values().subspan(static_cast<std::size_t>(first) * static_cast<std::size_t>(limit.width()),
                                                       static_cast<std::size_t>(last - first) * static_cast<std::size_t>(limit.width()));
        if (std::all_of(row_values.begin(), row_values.end(), [](float v) { return v <= far_below; })) return;
        Rows rows(limit, first, last, 0, [&](int j, float* row) { std::copy_n(limit.row(j), limit.width(), row); });
        auto& culprit = found[static_cast<std::size_t>(k)];
        for (std::size_t w = 0; w < ways.size() && !culprit; ++w)
            over_pieces(ways[w], rows.band, 0, [&](std::size_t leg, std::uint32_t number, const Piece& piece) {
                if (ways[w].kinds[leg] == LegKind::rapid) return true;
                Touched touched;
                sweep(ways[w].bit, piece, Use::probe, rows.band, touched);
                if (touched.most > 0) culprit = Culprit{w, number, 0, {}};
                return !culprit;
            });
        if (!culprit) return;
        // The cell that it goes below most.
        const Way& way = ways[culprit->way];
        const std::size_t leg = way.leg_of(culprit->piece);
        const std::uint32_t n = culprit->piece - way.first_piece[leg];
        const Piece piece = piece_between(way.start_of(leg, n), way.end_of(leg, n), way.dip);
        float worst = 0;
        for (int j = first; j < last; ++j)
            for (int i = 0; i < limit.width(); ++i) {
                if (limit(i, j) <= far_below) continue;
                const float z = lowest_over(way.bit, piece, limit.centre(i, j));
                if (limit(i, j) - z > worst) worst = limit(i, j) - z, culprit->z = z, culprit->place = limit.centre(i, j);
            }
    });
    std::optional<Culprit> earliest;
    for (const auto& c : found)
        if (c && (!earliest || std::pair(c->way, c->piece) < std::pair(earliest->way, earliest->piece))) earliest = c;
    return earliest;
}

std::optional<Culprit> lowest_at(const Point& place, const std::vector<Way>& ways) {
    std::optional<Culprit> lowest;
    for (std::size_t w = 0; w < ways.size(); ++w)
        for (std::size_t leg = 0; leg < ways[w].legs.size(); ++leg) {
            if (ways[w].kinds[leg] == LegKind::rapid || !covers(ways[w], leg, place)) continue;
            for (std::uint32_t n = 0; n < ways[w].first_piece[leg + 1] - ways[w].first_piece[leg]; ++n) {
                const float z =
                    lowest_over(ways[w].bit, piece_between(ways[w].start_of(leg, n), ways[w].end_of(leg, n), ways[w].dip), place);
                if (z < 0 && (!lowest || z < lowest->z)) lowest = Culprit{w, ways[w].first_piece[leg] + n, z, place};
            }
        }
    return lowest;
}

std::uint32_t greatest_at(const Point& place, const std::vector<Way>& ways, std::size_t way, std::uint32_t first, std::uint32_t last) {
    float height = 0, greatest = 0;
    std::uint32_t found = last;
    for (std::size_t w = 0; w <= way; ++w)
        for (std::size_t leg = 0; leg < ways[w].legs.size(); ++leg) {
            if (ways[w].kinds[leg] == LegKind::rapid || !covers(ways[w], leg, place)) continue;
            for (std::uint32_t n = 0; n < ways[w].first_piece[leg + 1] - ways[w].first_piece[leg]; ++n) {
                const std::uint32_t number = ways[w].first_piece[leg] + n;
                if (w == way && number > last) return found;
                const float z =
                    lowest_over(ways[w].bit, piece_between(ways[w].start_of(leg, n), ways[w].end_of(leg, n), ways[w].dip), place);
                if (z >= height) continue;
                if (w == way && number >= first && height - z > greatest) greatest = height - z, found = number;
                height = z;
            }
        }
    return found;
}

}  // namespace burin::proving
