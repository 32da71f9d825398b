// Lowest height of a bit over every cell while its tip goes along a straight line, and what that takes from the stock.
//
// Over a point that lies s along the way and p beside it, with the tip at z + m t after t mm, the bit's surface is
//     f(t) = z + m t + rise(√(p² + (s − t)²)).
// rise is convex and rising in the distance and the distance is convex in t, so f is convex: its least value over the
// way lies at the unbounded least point u = s − t, moved to the nearest end where that is outside. f'(t) = 0 is solved
// part by part (plane geometry): on a sphere of radius r  u = m √(r² − p²) ⁄ √(1 + m²); on a cone that rises by k per mm
// u = p m ⁄ √(k² − m²), and its rim if m ≥ k; on the flat middle its edge. A bull's torus has no closed form: bisection.
// A flat bit's surface lies level: over all cells within its disc at the lower end of the piece it is that end's height, without a root.
// A piece that goes on where the one before it ended finds the bit's shape already cut at its start, so cells whose least t is 0 need no
// second look: all that lie behind the start, less what a way downwards still reaches there.
// Cost: every cell under the bit's way once, in eight lanes, two square roots each, one where the least t is surely at the end; flat
// bits one, and only round that disc.
#include "sweep.hpp"

#include <cstddef>
#include <cstring>

#include "burin/base/clones.hpp"

#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC optimize("no-math-errno", "no-trapping-math")
#endif
#if defined(__GNUC__)
// It never sees a negative value here, so it sets no errno; with that said and the pragma above the loops become vectors.
extern "C" [[gnu::const]] float sqrtf(float) noexcept;
#define BURIN_INLINE [[gnu::always_inline]] inline
#else
#define BURIN_INLINE inline
#endif

namespace burin::proving {
namespace {

constexpr int lanes = 8;
constexpr float nowhere = 1e9F;

/// What is the same for all cells of a piece.
struct Constants {
    float z, slope, length, sign;
    float sphere;      // |m| / √(1 + m²)
    float cone, past;  // |m| / √(k² − m²), or 0 and the bit's radius where the way is steeper than the cone
    float steep;       // |m|
};

BURIN_INLINE float root(float v) { return sqrtf(v > 0 ? v : 0); }
BURIN_INLINE float larger(float a, float b) { return a > b ? a : b; }
BURIN_INLINE float smaller(float a, float b) { return a < b ? a : b; }

BURIN_INLINE Constants constants_of(const Profile& bit, const Piece& piece) {
    Constants c{};
    c.z = piece.z, c.slope = piece.slope, c.length = piece.length;
    c.steep = piece.slope < 0 ? -piece.slope : piece.slope;
    c.sign = piece.slope < 0 ? -1.0F : 1.0F;
    const float m = c.steep, k = bit.cone;
    c.sphere = m / root(1 + m * m);
    if (m < k)
        c.cone = smaller(m / root((k - m) * (k + m)), 1e6F);
    else
        c.past = bit.radius;
    return c;
}

/// Distance u, along the way, from the axis to the point where the way's slope equals that of the bit's surface.
template <Profile::Kind kind>
BURIN_INLINE float least_at(const Profile& b, const Constants& c, float p) {
    const float p2 = p * p, rim = root(b.rim2 - p2);
    if constexpr (kind == Profile::Kind::disc) return rim;
    if constexpr (kind == Profile::Kind::ball) return c.sphere * rim;
    const float beside = p < 0 ? -p : p;
    if constexpr (kind == Profile::Kind::disc_cone) {
        const float edge = root(b.flat * b.flat - p2), on_cone = beside * c.cone + c.past;
        return smaller(larger(edge, on_cone), rim);
    }
    if constexpr (kind == Profile::Kind::taper) {
        const float on_ball = c.sphere * root(b.round * b.round - p2);
        const float edge = root(b.touch2 - p2), on_cone = larger(edge, beside * c.cone + c.past);
        return smaller(p2 + on_ball * on_ball <= b.touch2 ? on_ball : on_cone, rim);
    }
    // Bull: the surface rises more slowly than the way while (d − flat)·u < m·d·√(round² − (d − flat)²).
    float low = root(b.flat * b.flat - p2), high = rim;
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC unroll 12
#endif
    for (int k = 0; k < 12; ++k) {
        const float u = 0.5F * (low + high), d = root(p2 + u * u), e = larger(d - b.flat, 0.0F);
        const bool before = e * u < c.steep * d * root(b.round * b.round - e * e);
        low = before ? u : low;
        high = before ? high : u;
    }
    return 0.5F * (low + high);
}

template <Profile::Kind kind>
BURIN_INLINE float rise_at(const Profile& b, float d2) {
    if constexpr (kind == Profile::Kind::disc) return 0;
    if constexpr (kind == Profile::Kind::ball) return b.round - root(b.radius2 - d2);
    const float d = root(d2);
    if constexpr (kind == Profile::Kind::disc_cone) return b.cone * larger(d - b.flat, 0.0F);
    if constexpr (kind == Profile::Kind::taper) {
        const float on_ball = b.round - root(b.round * b.round - d2), on_cone = b.touch_rise + (d - b.touch) * b.cone;
        return d2 <= b.touch2 ? on_ball : on_cone;
    }
    const float e = larger(d - b.flat, 0.0F);
    return b.round - root(b.round * b.round - e * e);
}

template <Profile::Kind kind, bool slanted>
BURIN_INLINE float lowest(const Profile& b, const Constants& c, float s, float p) {
    float t = s;
    if constexpr (slanted) t = s - c.sign * least_at<kind>(b, c, p);
    t = smaller(larger(t, 0.0F), c.length);
    const float u = s - t, d2 = p * p + u * u;
    const float z = c.z + c.slope * t + rise_at<kind>(b, d2);
    return d2 <= b.edge2 ? z : nowhere;
}

/// Whether one of eight cells stands above the bit, were all of its way at its lowest height.
template <Profile::Kind kind>
BURIN_INLINE bool may_touch(const Profile& bit, const Constants& way, float x0, float cell, float ux, float uy, float sy, float py,
                            const float* surface) {
    const float low = smaller(way.z, way.z + way.slope * way.length) - 1e-5F;
    float over[lanes];
    for (int k = 0; k < lanes; ++k) {
        const float x = x0 + static_cast<float>(k) * cell, s = x * ux + sy, p = x * uy + py;
        const float u = s - smaller(larger(s, 0.0F), way.length), d2 = p * p + u * u;
        over[k] = d2 <= bit.edge2 ? surface[k] - low - rise_at<kind>(bit, d2) : 0.0F;
    }
    float most = over[0];
    for (int k = 1; k < lanes; ++k) most = larger(most, over[k]);
    return most > 0;
}

/// Eight floats that go through the processor together; plain loops over them are taken apart by some compilers.
using Eight [[gnu::vector_size(lanes * sizeof(float))]] = float;
BURIN_INLINE void load(Eight& v, const float* from) { std::memcpy(&v, from, sizeof v); }
BURIN_INLINE void store(const Eight& v, float* to) { std::memcpy(to, &v, sizeof v); }

struct Sums {
    Eight volume{}, most{}, taken{};
};

/// A stretch of a row of the band.
struct Run {
    float* surface;
    float* taken;
    const float* before;
};

/// The bit at the heights z over eight cells from cell i on.
template <Use use>
BURIN_INLINE void lower(const Run& run, int i, const Eight& z, Sums& sums) {
    Eight surface, taken, before;
    load(surface, run.surface + i);
    const Eight off = surface - z, by = off > 0 ? off : Eight{};
    sums.most = sums.most > by ? sums.most : by;
    if constexpr (use != Use::probe) {
        store(surface < z ? surface : z, run.surface + i);
        sums.volume += by;
    }
    if constexpr (use == Use::cut) {
        load(taken, run.taken + i), load(before, run.before + i);
        taken += by;
        store(taken, run.taken + i);
        const Eight sum = taken + before;
        sums.taken = sums.taken > sum ? sums.taken : sum;
    }
}

/// Where a flat bit is level over the cells of a piece: its disc at the lower end.
struct Level {
    float x, y;     ///< its centre, from where the piece starts
    float z;        ///< height over it
    float within2;  ///< squared radius, held a little within the bit's for the rounding of floats
};

BURIN_INLINE Level level_of(const Profile& bit, const Constants& way, float ex, float ey) {
    constexpr float slack = 1e-3F;  // mm
    const float within = larger(bit.radius - slack, 0.0F);
    if (way.slope < 0) return {ex, ey, way.z + way.slope * way.length, within * within};
    return {0, 0, way.z, within * within};
}

/// Blocks first … last − 1 of a row.
struct Blocks {
    int first = 0, last = 0;
};

/// Of the blocks of a row that begin at x0, those that lie wholly on the level disc.
BURIN_INLINE Blocks level_blocks(const Level& level, float x0, float dy, float per_mm, int blocks) {
    const float v = dy - level.y, left = level.within2 - v * v;
    if (left <= 0) return {};
    const float half = root(left), from = (level.x - half - x0) * per_mm, to = (level.x + half - x0) * per_mm;
    const int a = static_cast<int>(larger(from, 0) + 0.999F), b = static_cast<int>(larger(to, -1) + 1);  // cells a … b − 1
    const int low = (a + lanes - 1) / lanes, high = b / lanes < blocks ? b / lanes : blocks;
    return low < high ? Blocks{low, high} : Blocks{};
}

template <Profile::Kind kind, bool slanted, Use use>
BURIN_INLINE void sweep_row(const Profile& bit, const Constants& way, float ux, float uy, float x0, float dy, float cell, int blocks,
                            const Blocks& level, float level_z, bool gone, float beyond, const Run& run, Sums& total) {
    Sums sums = total;  // a copy of its own stays in registers
    const float sy = dy * uy, py = -dy * ux, end_z = way.z + way.slope * way.length;
    const float ex = x0 - way.length * ux, ey = dy - way.length * uy, wide = static_cast<float>(lanes - 1) * cell * ux;
    for (int n = 0; n < blocks; ++n) {
        if (n == level.first && n < level.last) {
            if (!gone)
                for (; n < level.last; ++n) lower<use>(run, n * lanes, Eight{} + level_z, sums);
            n = level.last;
            if (n == blocks) break;
        }
        if constexpr (slanted && kind != Profile::Kind::disc) {
            const float s = (x0 + static_cast<float>(n * lanes) * cell) * ux + sy;
            if (smaller(s, s + wide) >= beyond) {
                float z[lanes];
#if defined(__GNUC__) && !defined(__clang__)
#pragma GCC unroll 1
#endif
                for (int k = 0; k < lanes; ++k) {
                    const float x = ex + static_cast<float>(n * lanes + k) * cell, d2 = x * x + ey * ey;
                    const float height = end_z + rise_at<kind>(bit, d2);
                    z[k] = d2 <= bit.edge2 ? height : nowhere;
                }
                Eight heights;
                load(heights, z);
                lower<use>(run, n * lanes, heights, sums);
                continue;
            }
        }
        // Bisection is dear: passed over where the bit would not cut even if all of its way ran at its lowest.
        if constexpr (kind == Profile::Kind::bull && slanted)
            if (!may_touch<kind>(bit, way, x0 + static_cast<float>(n * lanes) * cell, cell, ux, uy, sy, py, run.surface + n * lanes))
                continue;
        float z[lanes];
        for (int k = 0; k < lanes; ++k) {
            const float x = x0 + static_cast<float>(n * lanes + k) * cell;
            z[k] = lowest<kind, slanted>(bit, way, x * ux + sy, x * uy + py);
        }
        Eight heights;
        load(heights, z);
        lower<use>(run, n * lanes, heights, sums);
    }
    total = sums;
}

/// Of the cells along a way: those up to `behind` have their least height at its start, those from `beyond` on at its end.
struct Ends {
    float behind, beyond;
};
template <Profile::Kind kind>
BURIN_INLINE Ends ends_of(const Profile& bit, const Constants& way) {
    constexpr float slack = 1e-3F;  // mm
    const float round = larger(way.sphere * bit.round, bit.touch);
    const float cone = kind == Profile::Kind::ball ? 0.0F : bit.radius * way.cone + way.past;
    const float least = smaller(bit.radius, larger(larger(round, bit.flat), cone));  // least_at is nowhere more
    return {(way.slope < 0 ? -least : 0.0F) - slack, way.length + (way.slope > 0 ? least : 0.0F) + slack};
}

/// The part of a row, in mm from the piece's start, that lies farther along the way (ux, uy) than that; none: from is the greater.
struct Ahead {
    float from = -nowhere, to = nowhere;
};
BURIN_INLINE Ahead ahead_of(float behind, float ux, float uy, float dy) {
    constexpr float crosswise = 1e-3F;  // so nearly along the column: its whole row is ahead, or near enough to be looked at
    const float left = behind - dy * uy;
    if (ux > crosswise) return {left / ux, nowhere};
    if (ux < -crosswise) return {-nowhere, left / ux};
    return left > crosswise * 100 ? Ahead{nowhere, -nowhere} : Ahead{};
}

template <Profile::Kind kind, bool slanted, Use use>
BURIN_INLINE void sweep_rows(const Profile& profile, const Piece& piece, const Band& band, Touched& touched, bool been) {
    const Profile bit = profile;
    const Constants way = constants_of(bit, piece);
    const float ux = piece.ux, uy = piece.uy, dip = piece.dip, cell = static_cast<float>(band.cell);
    const float ex = ux * piece.length, ey = uy * piece.length;
    const float low_x = smaller(0, ex), high_x = larger(0, ex), low_y = smaller(0, ey), high_y = larger(0, ey);
    // The strip of the sweep crosses the row dy at dy·lean ± across.
    const float rise = uy < 0 ? -uy : uy;
    const bool crosses = rise > 1e-2F;
    const float lean = crosses ? ux / uy : 0, across = crosses ? dip / rise : nowhere;
    const double to_cells = 1 / band.cell, from_x = piece.x - band.x, from_y = piece.y - band.y;
    const float column = static_cast<float>(from_x * to_cells), per_mm = static_cast<float>(to_cells);
    const float row_low = static_cast<float>(from_y * to_cells) + (low_y - dip) * per_mm,
                row_high = static_cast<float>(from_y * to_cells) + (high_y + dip) * per_mm;
    constexpr float slack = 0.01F;  // of a cell, for the rounding of floats
    if (!(row_high + slack >= 0) || !(row_low - slack <= static_cast<float>(band.rows - 1))) return;
    const float end_row = static_cast<float>(band.rows - 1), end_column = static_cast<float>(band.width - 1);
    const int first = static_cast<int>(larger(row_low - slack, 0) + 0.999F), last = static_cast<int>(smaller(row_high + slack, end_row));
    Sums own, margin;
    int first_column = band.width, last_column = -1;
    const Level level = level_of(bit, way, ex, ey);
    const Ends ends = ends_of<kind>(bit, way);
    const bool gone = been && way.slope >= 0;  // the level disc is the one at the start
    for (int row = first; row <= last; ++row) {
        const float dy = static_cast<float>(row * band.cell - from_y);
        const float beyond = larger(larger(low_y - dy, dy - high_y), 0);
        const float half = root(dip * dip - beyond * beyond), middle = dy * lean;
        const Ahead ahead = been ? ahead_of(ends.behind, ux, uy, dy) : Ahead{};
        const float from = column + larger(larger(low_x - half, middle - across), ahead.from) * per_mm,
                    to = column + smaller(smaller(high_x + half, middle + across), ahead.to) * per_mm;
        if (from - slack > end_column || to + slack < 0 || from > to + 1) continue;
        const int i = static_cast<int>(larger(from - slack, 0) + 0.999F), n = static_cast<int>(smaller(to + slack, end_column) + 1) - i;
        if (n <= 0) continue;
        first_column = i < first_column ? i : first_column;
        last_column = i + n - 1 > last_column ? i + n - 1 : last_column;
        const std::ptrdiff_t at = static_cast<std::ptrdiff_t>(row) * band.pitch + i;
        const bool counts = row >= band.own_first && row < band.own_last;
        const Run run{band.surface + at, use == Use::cut ? band.taken + at : nullptr, use == Use::cut ? band.before + at : nullptr};
        const float x0 = static_cast<float>(i * band.cell - from_x);
        const int blocks = (n + lanes - 1) / lanes;
        Blocks on_level;
        if constexpr (kind == Profile::Kind::disc) on_level = level_blocks(level, x0, dy, per_mm, blocks);
        sweep_row<kind, slanted, use>(bit, way, ux, uy, x0, dy, cell, blocks, on_level, level.z, gone, ends.beyond, run,
                                      counts ? own : margin);
    }
    touched.first_row = first, touched.last_row = last;
    touched.first_column = first_column, touched.last_column = last_column;
    for (int k = 0; k < lanes; ++k) {
        touched.volume += own.volume[k];
        touched.most = larger(touched.most, own.most[k]);
        touched.taken = larger(touched.taken, own.taken[k]);
    }
}

template <Profile::Kind kind>
BURIN_INLINE void sweep_kind(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched, bool been) {
    const bool slanted = piece.length > 0 && piece.slope != 0;
    switch (use) {
        case Use::cut:
            if (slanted)
                sweep_rows<kind, true, Use::cut>(b, piece, band, touched, been);
            else
                sweep_rows<kind, false, Use::cut>(b, piece, band, touched, been);
            return;
        case Use::plunge:
            sweep_rows<kind, false, Use::plunge>(b, piece, band, touched, been);
            return;
        case Use::probe:
            sweep_rows<kind, true, Use::probe>(b, piece, band, touched, been);
            return;
    }
}

BURIN_CLONES void sweep_disc(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched, bool been) {
    sweep_kind<Profile::Kind::disc>(b, piece, use, band, touched, been);
}
BURIN_CLONES void sweep_disc_cone(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched, bool been) {
    sweep_kind<Profile::Kind::disc_cone>(b, piece, use, band, touched, been);
}
BURIN_CLONES void sweep_ball(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched, bool been) {
    sweep_kind<Profile::Kind::ball>(b, piece, use, band, touched, been);
}
BURIN_CLONES void sweep_taper(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched, bool been) {
    sweep_kind<Profile::Kind::taper>(b, piece, use, band, touched, been);
}
BURIN_CLONES void sweep_bull(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched, bool been) {
    sweep_kind<Profile::Kind::bull>(b, piece, use, band, touched, been);
}

}  // namespace

void sweep(const Profile& bit, const Piece& piece, Use use, const Band& band, Touched& touched, bool been) {
    touched = {};
    been = been && piece.length > 0;  // straight down the start is the lower end, and new
    switch (bit.kind) {
        case Profile::Kind::disc:
            sweep_disc(bit, piece, use, band, touched, been);
            return;
        case Profile::Kind::disc_cone:
            sweep_disc_cone(bit, piece, use, band, touched, been);
            return;
        case Profile::Kind::ball:
            sweep_ball(bit, piece, use, band, touched, been);
            return;
        case Profile::Kind::taper:
            sweep_taper(bit, piece, use, band, touched, been);
            return;
        case Profile::Kind::bull:
            sweep_bull(bit, piece, use, band, touched, been);
            return;
    }
}

float lowest_over(const Profile& bit, const Piece& piece, const Point& point) {
    const Constants c = constants_of(bit, piece);
    const float x = static_cast<float>(point.x - piece.x), y = static_cast<float>(point.y - piece.y);
    const float s = x * piece.ux + y * piece.uy, p = x * piece.uy - y * piece.ux;
    switch (bit.kind) {
        case Profile::Kind::disc:
            return lowest<Profile::Kind::disc, true>(bit, c, s, p);
        case Profile::Kind::disc_cone:
            return lowest<Profile::Kind::disc_cone, true>(bit, c, s, p);
        case Profile::Kind::ball:
            return lowest<Profile::Kind::ball, true>(bit, c, s, p);
        case Profile::Kind::taper:
            return lowest<Profile::Kind::taper, true>(bit, c, s, p);
        case Profile::Kind::bull:
            return lowest<Profile::Kind::bull, true>(bit, c, s, p);
    }
    return nowhere;
}

}  // namespace burin::proving
