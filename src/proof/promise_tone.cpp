// The tone of grooves and dots: how much of the surface they cover at the stock top, read from the text, beside what the design wants.
//
// The surface is asked at points, one in each square of a grid that is a sixtieth of the window, moved within its square by an amount
// that looks random, so that no line of grooves can march in step with them. Share of points covered, and share wanted, are both
// weighted by a Gaussian with the window as its spread: with 1.5 pitches nothing of what repeats with the pitch comes through. Judged is
// only where all that is weighed can be shown at all: between the shallowest and the deepest groove, within the picture. Cost: points under
// the ways; two filters over a grid sixteen times coarser.
#include "promise_tone.hpp"

#include <fmt/format.h>

#include <cmath>

#include "blur.hpp"
#include "promises.hpp"

namespace burin::proving {
namespace {

constexpr int block = 4;  // points in a row of a cell
constexpr double points_a_window = 60;
constexpr double most_points = 2e8;
constexpr double whole = 0.999;  // of the weight that must lie where it can be shown

/// 0 … 1, the same for the same square everywhere.
double stir(std::uint32_t i, std::uint32_t j, std::uint32_t salt) {
    std::uint32_t h = i * 0x9E3779B1U ^ j * 0x85EBCA77U ^ salt * 0xC2B2AE3DU;
    h ^= h >> 15U, h *= 0x2C1B3C6DU, h ^= h >> 12U, h *= 0x297A2D39U, h ^= h >> 15U;
    return h / 4294967296.0;
}

/// A piece of groove: its way with the half widths at both ends, in mm from the grid's origin.
struct Piece {
    Point a, b;
    double ea = 0, eb = 0;
};

std::vector<Piece> pieces_of(const FigureCase& c, const Point& origin) {
    std::vector<Piece> pieces;
    for (const Way& way : c.ways)
        over_cuts(way, 0, way.kinds.size(), [&](std::uint32_t, Point3 a, Point3 b) {
            if (std::min(a.z, b.z) >= 0 || (std::max(a.z, b.z) > 0 && !clip_below(a, b, 0))) return;
            over_even_widths(way.asked->bit, a, b, [&](const Point3& p, const Point3& q, double ep, double eq) {
                pieces.push_back({{p.x - origin.x, p.y - origin.y}, {q.x - origin.x, q.y - origin.y}, ep, eq});
            });
        });
    return pieces;
}

/// One row of bits for the points that any groove covers.
class Points {
public:
    Points(int width, int height, double side)
        : width_(width), side_(side), bits_(static_cast<std::size_t>(width) * static_cast<std::size_t>(height)) {}

    /// Marks what the piece covers in the rows first … last − 1.
    void mark(const Piece& p, int first, int last) {
        const double most = std::max(p.ea, p.eb), x = p.b.x - p.a.x, y = p.b.y - p.a.y, square = x * x + y * y;
        const int j0 = std::max(first, index(std::min(p.a.y, p.b.y) - most)), j1 = std::min(last - 1, index(std::max(p.a.y, p.b.y) + most));
        const int i0 = std::max(0, index(std::min(p.a.x, p.b.x) - most)), i1 = std::min(width_ - 1, index(std::max(p.a.x, p.b.x) + most));
        for (int j = j0; j <= j1; ++j)
            for (int i = i0; i <= i1; ++i) {
                std::uint8_t& bit = bits_[at(i, j)];
                if (bit != 0) continue;
                const auto u = static_cast<std::uint32_t>(i), v = static_cast<std::uint32_t>(j);
                const double px = (i + stir(u, v, 1)) * side_ - p.a.x, py = (j + stir(u, v, 2)) * side_ - p.a.y;
                const double t = square > 0 ? std::clamp((px * x + py * y) / square, 0.0, 1.0) : 0;
                const double half = p.ea + (p.eb - p.ea) * t, dx = px - t * x, dy = py - t * y;
                if (dx * dx + dy * dy <= half * half) bit = 1;
            }
    }
    [[nodiscard]] float share(int i, int j) const {
        int count = 0;
        for (int v = 0; v < block; ++v)
            for (int u = 0; u < block; ++u) count += bits_[at(i * block + u, j * block + v)];
        return static_cast<float>(count) / (block * block);
    }

private:
    [[nodiscard]] int index(double mm) const { return static_cast<int>(std::clamp(std::floor(mm / side_), -1.0, 1e9)); }
    [[nodiscard]] std::size_t at(int i, int j) const {
        return static_cast<std::size_t>(j) * static_cast<std::size_t>(width_) + static_cast<std::size_t>(i);
    }
    int width_;
    double side_;
    std::vector<std::uint8_t> bits_;
};

Grid<float> covered(const FigureCase& c, const Box& field, double window) {
    const double side = std::max(window / points_a_window, std::sqrt(field.width() * field.height() / most_points)), cell = side * block;
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / cell))); };
    Grid<float> share(count(field.width()), count(field.height()), cell, field.lo);
    Points points(share.width() * block, share.height() * block, side);
    const std::vector<Piece> pieces = pieces_of(c, field.lo);
    // Pieces by the bands of rows that they touch.
    constexpr int band = 32;
    std::vector<std::vector<std::uint32_t>> bands(static_cast<std::size_t>((share.height() + band - 1) / band));
    const auto band_of = [&](double y) {
        return std::clamp(static_cast<int>(std::floor(y / (cell * band))), 0, static_cast<int>(bands.size()) - 1);
    };
    for (std::size_t k = 0; k < pieces.size(); ++k) {
        const Piece& p = pieces[k];
        const double most = std::max(p.ea, p.eb);
        for (int n = band_of(std::min(p.a.y, p.b.y) - most); n <= band_of(std::max(p.a.y, p.b.y) + most); ++n)
            bands[static_cast<std::size_t>(n)].push_back(static_cast<std::uint32_t>(k));
    }
    in_parallel(c.crew, static_cast<int>(bands.size()), [&](int n) {
        const int first = n * band, last = std::min(share.height(), first + band);
        for (const std::uint32_t k : bands[static_cast<std::size_t>(n)]) points.mark(pieces[k], first * block, last * block);
        for (int j = first; j < last; ++j)
            for (int i = 0; i < share.width(); ++i) share(i, j) = points.share(i, j);
    });
    return share;
}

float wanted_at(const Grid<float>& coverage, const Point& p) {
    const int i = static_cast<int>(std::floor((p.x - coverage.origin().x) / coverage.cell())),
              j = static_cast<int>(std::floor((p.y - coverage.origin().y) / coverage.cell()));
    return coverage.holds(i, j) ? coverage(i, j) : 0.0F;
}

}  // namespace

Check check_tone(const FigureCase& c, Proof& proof) {
    const ToneDesign& tone = *c.figure.tone;
    proof.tone.emplace();
    ToneFigures& seen = *proof.tone;
    seen.least = tone.least, seen.most = tone.most;
    seen.coverage = covered(c, tone.coverage.bounds(), tone.window);
    Grid<float> wanted = seen.coverage.like(0.0F), showable = seen.coverage.like(0.0F);
    double lighter = 0, darker = 0, all = 0;
    for (int j = 0; j < wanted.height(); ++j)
        for (int i = 0; i < wanted.width(); ++i) {
            const float a = wanted_at(tone.coverage, wanted.centre(i, j));
            wanted(i, j) = a;
            all += a > 0 ? 1 : 0;
            lighter += a > 0 && static_cast<double>(a) < tone.least ? 1 : 0;
            darker += static_cast<double>(a) > tone.most ? 1 : 0;
            showable(i, j) = static_cast<double>(a) >= tone.least && static_cast<double>(a) <= tone.most ? 1.0F : 0.0F;
        }
    seen.too_light = all > 0 ? lighter / all : 0;
    seen.too_dark = all > 0 ? darker / all : 0;
    Grid<float> is = seen.coverage;
    for (Grid<float>* map : {&is, &wanted, &showable}) blur(*map, tone.window, c.crew);
    double squares = 0, count = 0, worst = 0;
    Point place;
    for (int j = 0; j < is.height(); ++j)
        for (int i = 0; i < is.width(); ++i) {
            if (static_cast<double>(showable(i, j)) < whole) continue;
            const double off = std::abs(static_cast<double>(is(i, j) - wanted(i, j)));
            squares += off * off, count += 1;
            if (off > worst) worst = off, place = is.centre(i, j);
        }
    seen.judged = all > 0 ? count / all : 0;
    seen.worst = worst;
    seen.rms = count > 0 ? std::sqrt(squares / count) : 0;
    std::vector<Breach> breaches;
    if (worst > tone.slack) {
        const auto by = nearest_to(place, c.ways);
        breaches.push_back({by ? c.ways[by->way].line_of(by->piece) : 0,
                            {place.x, place.y, 0},
                            fmt::format("At {} the cuts cover {:.3f} more or less of the surface than the picture asks for, and {:.2f} is "
                                        "allowed. Have the programs made again.",
                                        at_place({place.x, place.y, 0}), worst, tone.slack)});
    }
    return verdict("the tones of the picture", c.ways.empty() ? "" : c.ways.back().asked->file,
                   fmt::format("Where the cuts can show the tone ({:.0f} % of the picture) they cover as much as it asks for, within "
                               "{:.3f} of the surface ({:.2f} allowed).",
                               100 * seen.judged, worst, tone.slack),
                   std::move(breaches));
}

}  // namespace burin::proving
