// Lowest height of a bit over every cell while its tip goes along a straight line, and what that takes from the stock.
//
// Over a point that lies s along the way and p beside it, with the tip at z + m t after t mm, the bit's surface is
//     f(t) = z + m t + rise(√(p² + (s − t)²)).
// rise is convex and rising in the distance and the distance is convex in t, so f is convex: its least value over the
// way lies at the unbounded least point u = s − t, moved to the nearest end where that is outside. f'(t) = 0 is solved
// part by part (plane geometry): on a sphere of radius r  u = m √(r² − p²) ⁄ √(1 + m²); on a cone that rises by k per mm
// u = p m ⁄ √(k² − m²), and its rim if m ≥ k; on the flat middle its edge. A bull's torus has no closed form: bisection.
// Cost: every cell under the bit's way once, in eight lanes, two square roots each.
#include "sweep.hpp"

#include <algorithm>
#include <cmath>

#include "clones.hpp"

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

Constants constants_of(const Profile& bit, const Piece& piece) {
    Constants c{};
    c.z = piece.z, c.slope = piece.slope, c.length = piece.length;
    c.steep = std::fabs(piece.slope);
    c.sign = piece.slope < 0 ? -1.0F : 1.0F;
    const double m = c.steep, k = bit.cone;
    c.sphere = static_cast<float>(m / std::sqrt(1 + m * m));
    if (m < k)
        c.cone = static_cast<float>(std::min(m / std::sqrt(k * k - m * m), 1e6));
    else
        c.past = bit.radius;
    return c;
}

BURIN_INLINE float root(float v) { return sqrtf(v > 0 ? v : 0); }
BURIN_INLINE float larger(float a, float b) { return a > b ? a : b; }
BURIN_INLINE float smaller(float a, float b) { return a < b ? a : b; }

/// Distance u, along the way, from the axis to the point where the way's slope equals that of the bit's surface.
template <Profile::Kind kind>
BURIN_INLINE float least_at(const Profile& b, const Constants& c, float p) {
    const float p2 = p * p, rim = root(b.radius2 - p2);
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
    return d2 <= b.radius2 ? z : nowhere;
}

/// Columns first … last of a row that may lie within the dip of the way; false: none.
struct Span {
    int first, last;
};
BURIN_INLINE bool span_of(const Piece& piece, const Band& band, double dy, Span& span) {
    const double ex = static_cast<double>(piece.ux) * static_cast<double>(piece.length);
    const double ey = static_cast<double>(piece.uy) * static_cast<double>(piece.length);
    const double dip = static_cast<double>(piece.dip);
    const double low_y = std::min(0.0, ey), high_y = std::max(0.0, ey);
    const double beyond = dy < low_y ? low_y - dy : dy > high_y ? dy - high_y : 0.0;
    if (beyond > dip) return false;
    const double half = std::sqrt(dip * dip - beyond * beyond);
    double low = std::min(0.0, ex) - half, high = std::max(0.0, ex) + half;
    const double uy = static_cast<double>(piece.uy);
    if (std::fabs(uy) > 1e-3) {  // the strip of the sweep crosses the row here
        const double at = static_cast<double>(piece.ux) / uy * dy, reach = dip / std::fabs(uy);
        low = std::max(low, at - reach), high = std::min(high, at + reach);
    }
    const double from = (low + piece.x - band.x) / band.cell, to = (high + piece.x - band.x) / band.cell;
    if (!(to >= 0) || !(from <= band.width - 1)) return false;
    span.first = std::max(0, static_cast<int>(std::ceil(std::max(from, 0.0) - 1e-6)));
    span.last = std::min(band.width - 1, static_cast<int>(std::floor(std::min(to, static_cast<double>(band.width)) + 1e-6)));
    return span.first <= span.last;
}

struct Lanes {
    float volume[lanes] = {}, most[lanes] = {}, taken[lanes] = {};
};

template <Profile::Kind kind, bool slanted, Use use>
BURIN_INLINE void sweep_row(const Profile& b, const Constants& c, const Piece& piece, const Band& band, int row, double dy,
                            const Span& span, Lanes& sums) {
    const std::ptrdiff_t at = static_cast<std::ptrdiff_t>(row) * band.pitch + span.first;
    float* __restrict surface = band.surface + at;
    float* __restrict taken = use == Use::cut ? band.taken + at : nullptr;
    const float* __restrict before = use == Use::cut ? band.before + at : nullptr;
    const float sy = static_cast<float>(dy) * piece.uy, py = -static_cast<float>(dy) * piece.ux;
    const float x0 = static_cast<float>(band.x + span.first * band.cell - piece.x), cell = static_cast<float>(band.cell);
    const float ux = piece.ux, uy = piece.uy;
    const Profile bit = b;
    const Constants way = c;
    Lanes here = sums;
    const int blocks = (span.last - span.first + lanes) / lanes;
    for (int n = 0; n < blocks; ++n) {
        for (int k = 0; k < lanes; ++k) {
            const int i = n * lanes + k;
            const float x = x0 + static_cast<float>(i) * cell;
            const float z = lowest<kind, slanted>(bit, way, x * ux + sy, x * uy + py);
            const float by = larger(surface[i] - z, 0.0F);
            here.most[k] = larger(here.most[k], by);
            if constexpr (use != Use::probe) {
                surface[i] = smaller(surface[i], z);
                here.volume[k] += by;
            }
            if constexpr (use == Use::cut) {
                const float sum = taken[i] + by;
                taken[i] = sum;
                here.taken[k] = larger(here.taken[k], sum + before[i]);
            }
        }
    }
    sums = here;
}

template <Profile::Kind kind, bool slanted, Use use>
BURIN_INLINE void sweep_rows(const Profile& b, const Piece& piece, const Band& band, Touched& touched) {
    const Constants c = constants_of(b, piece);
    const double ey = static_cast<double>(piece.uy) * static_cast<double>(piece.length), dip = static_cast<double>(piece.dip);
    const double low = (piece.y + std::min(0.0, ey) - dip - band.y) / band.cell,
                 high = (piece.y + std::max(0.0, ey) + dip - band.y) / band.cell;
    if (!(high >= 0) || !(low <= band.rows - 1)) return;
    const int first = std::max(0, static_cast<int>(std::ceil(std::max(low, 0.0) - 1e-6)));
    const int last = std::min(band.rows - 1, static_cast<int>(std::floor(std::min(high, static_cast<double>(band.rows)) + 1e-6)));
    Lanes own, margin;
    touched.first_row = first, touched.last_row = last;
    touched.first_column = band.width, touched.last_column = -1;
    for (int row = first; row <= last; ++row) {
        const double dy = band.y + row * band.cell - piece.y;
        Span span{};
        if (!span_of(piece, band, dy, span)) continue;
        touched.first_column = std::min(touched.first_column, span.first);
        touched.last_column = std::max(touched.last_column, span.last);
        sweep_row<kind, slanted, use>(b, c, piece, band, row, dy, span, row >= band.own_first && row < band.own_last ? own : margin);
    }
    for (int k = 0; k < lanes; ++k) {
        touched.volume += own.volume[k];
        touched.most = std::max(touched.most, own.most[k]);
        touched.taken = std::max(touched.taken, own.taken[k]);
    }
}

template <Profile::Kind kind>
BURIN_INLINE void sweep_kind(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched) {
    const bool slanted = piece.length > 0 && piece.slope != 0;
    switch (use) {
        case Use::cut:
            if (slanted)
                sweep_rows<kind, true, Use::cut>(b, piece, band, touched);
            else
                sweep_rows<kind, false, Use::cut>(b, piece, band, touched);
            return;
        case Use::plunge:
            sweep_rows<kind, false, Use::plunge>(b, piece, band, touched);
            return;
        case Use::probe:
            sweep_rows<kind, true, Use::probe>(b, piece, band, touched);
            return;
    }
}

BURIN_PROOF_CLONES void sweep_disc_cone(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched) {
    sweep_kind<Profile::Kind::disc_cone>(b, piece, use, band, touched);
}
BURIN_PROOF_CLONES void sweep_ball(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched) {
    sweep_kind<Profile::Kind::ball>(b, piece, use, band, touched);
}
BURIN_PROOF_CLONES void sweep_taper(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched) {
    sweep_kind<Profile::Kind::taper>(b, piece, use, band, touched);
}
BURIN_PROOF_CLONES void sweep_bull(const Profile& b, const Piece& piece, Use use, const Band& band, Touched& touched) {
    sweep_kind<Profile::Kind::bull>(b, piece, use, band, touched);
}

}  // namespace

Profile profile_of(const Bit& bit) {
    const BitSpec& s = bit.spec();
    Profile p;
    const double radius = bit.radius();
    double flat = 0, round = 0, touch = 0, cone = 0;
    switch (bit.shape()) {
        case BitShape::flat:
            flat = radius;
            break;
        case BitShape::ball:
            p.kind = Profile::Kind::ball;
            round = radius;
            break;
        case BitShape::vee:
            flat = s.tip / 2;
            cone = 1 / std::tan(s.angle / 2);
            break;
        case BitShape::drill:
            cone = 1 / std::tan(s.angle / 2);
            break;
        case BitShape::taper:
            p.kind = Profile::Kind::taper;
            round = s.tip / 2;
            touch = round * std::cos(s.angle);
            cone = 1 / std::tan(s.angle);
            break;
        case BitShape::bull:
            flat = radius - s.tip;
            round = s.tip;
            if (round > 0)
                p.kind = Profile::Kind::bull;
            else
                flat = radius;
            break;
    }
    p.radius = static_cast<float>(radius);
    p.radius2 = static_cast<float>(radius * radius);
    p.flat = static_cast<float>(flat);
    p.round = static_cast<float>(round);
    p.touch = static_cast<float>(touch);
    p.touch2 = static_cast<float>(touch * touch);
    p.touch_rise = static_cast<float>(round - std::sqrt(std::max(0.0, round * round - touch * touch)));
    p.cone = static_cast<float>(cone);
    return p;
}

Profile cylinder(double radius) {
    Profile p;
    p.radius = p.flat = static_cast<float>(radius);
    p.radius2 = static_cast<float>(radius * radius);
    return p;
}

Dip::Dip(const Bit& bit) : radius_(bit.radius()), top_(bit.rise(bit.radius())) {
    constexpr int steps = 1024;
    if (!(top_ > 0)) return;
    steps_per_mm_ = steps / top_;
    at_.resize(steps + 2, radius_);
    for (int k = 0; k <= steps; ++k) {
        double low = 0, high = radius_;
        const double height = k / steps_per_mm_;
        for (int n = 0; n < 40; ++n) {
            const double middle = (low + high) / 2;
            (bit.rise(middle) <= height ? low : high) = middle;
        }
        at_[static_cast<std::size_t>(k)] = high;
    }
}

Piece piece_between(const Point3& from, const Point3& to, const Dip& dip) {
    Piece p;
    const double dx = to.x - from.x, dy = to.y - from.y, length = std::sqrt(dx * dx + dy * dy), low = std::min(from.z, to.z);
    p.x = from.x, p.y = from.y;
    p.dip = static_cast<float>(dip(-low)) + 1e-4F;
    if (length < 1e-6) {
        p.z = static_cast<float>(low);
        return p;
    }
    p.z = static_cast<float>(from.z);
    p.slope = static_cast<float>((to.z - from.z) / length);
    p.ux = static_cast<float>(dx / length);
    p.uy = static_cast<float>(dy / length);
    p.length = static_cast<float>(length);
    return p;
}

void sweep(const Profile& bit, const Piece& piece, Use use, const Band& band, Touched& touched) {
    touched = {};
    switch (bit.kind) {
        case Profile::Kind::disc_cone:
            sweep_disc_cone(bit, piece, use, band, touched);
            return;
        case Profile::Kind::ball:
            sweep_ball(bit, piece, use, band, touched);
            return;
        case Profile::Kind::taper:
            sweep_taper(bit, piece, use, band, touched);
            return;
        case Profile::Kind::bull:
            sweep_bull(bit, piece, use, band, touched);
            return;
    }
}

float lowest_over(const Profile& bit, const Piece& piece, const Point& point) {
    const Constants c = constants_of(bit, piece);
    const float x = static_cast<float>(point.x - piece.x), y = static_cast<float>(point.y - piece.y);
    const float s = x * piece.ux + y * piece.uy, p = x * piece.uy - y * piece.ux;
    switch (bit.kind) {
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
