/// Uneven light: what is bare on a card should be equally bright everywhere. Its logarithm is fitted by a polynomial of the third degree in
/// x and y (ten coefficients, normal equations by Cholesky's method), three times over, each time with less weight for what lies off the
/// fit (Beaton and Tukey 1974, the biweight); then the light is divided by it. Cost: the cells, and some thousand bare places of a square
/// millimetre.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include "burin/base/error.hpp"
#include "card_straight.hpp"

namespace burin {
namespace {

constexpr std::size_t terms = 10;
using Terms = std::array<double, terms>;

Terms terms_at(double x, double y) { return {1, x, y, x * x, x * y, y * y, x * x * x, x * x * y, x * y * y, y * y * y}; }

struct BarePlace {
    Terms at{};
    double value = 0, weight = 1;
};

Grid<std::uint8_t> bare_cells(const HeightMap& straight, const Card& card) {
    constexpr double clear = 0.7;  // mm: blur and crumbs beside what is cut
    Grid<std::uint8_t> bare = straight.like<std::uint8_t>(1);
    const auto cover = [&](const Box& box) {
        const double cell = straight.cell();
        const int i0 = std::max(0, static_cast<int>(std::floor((box.lo.x - clear) / cell))),
                  i1 = std::min(bare.width() - 1, static_cast<int>((box.hi.x + clear) / cell));
        const int j0 = std::max(0, static_cast<int>(std::floor((box.lo.y - clear) / cell))),
                  j1 = std::min(bare.height() - 1, static_cast<int>((box.hi.y + clear) / cell));
        for (int j = j0; j <= j1; ++j)
            for (int i = i0; i <= i1; ++i) bare(i, j) = 0;
    };
    for (const CardPatch& patch : card.patches)
        if (patch.amount > 0) cover(patch.box);
    for (const CardRung& rung : card.rungs) cover({{rung.low.x - rung.width / 2, rung.low.y}, {rung.high.x + rung.width / 2, rung.high.y}});
    for (const CardDot& dot : card.dots)
        if (dot.filled) cover(dot.box);
    for (const CardMark& mark : card.marks) {
        const double r = Card::ring_outer;
        cover({{mark.centre.x - r, mark.centre.y - r}, {mark.centre.x + r, mark.centre.y + r}});
    }
    for (const Polyline& stroke : card.letters) {
        if (stroke.points.empty()) continue;
        Box box{stroke.points.front(), stroke.points.front()};
        for (const Point& p : stroke.points)
            box = {{std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)}, {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)}};
        cover(box);
    }
    return bare;
}

/// Means over squares of about a millimetre that are bare all over.
std::vector<BarePlace> bare_places(const HeightMap& straight, const Card& card) {
    const Grid<std::uint8_t> bare = bare_cells(straight, card);
    const int side = std::max(1, static_cast<int>(std::lround(1 / straight.cell())));
    std::vector<BarePlace> places;
    for (int j = 0; j + side <= straight.height(); j += side)
        for (int i = 0; i + side <= straight.width(); i += side) {
            double sum = 0;
            bool all = true;
            for (int b = j; b < j + side && all; ++b)
                for (int a = i; a < i + side; ++a) {
                    all = all && bare(a, b) != 0;
                    sum += static_cast<double>(straight(a, b));
                }
            const double mean = sum / (side * side);
            if (!all || !(mean > 1e-4)) continue;
            const double x = 2 * (i + side / 2.0) / straight.width() - 1, y = 2 * (j + side / 2.0) / straight.height() - 1;
            places.push_back({terms_at(x, y), std::log(mean), 1});
        }
    return places;
}

double value_of(const Terms& coefficients, const Terms& at) {
    double sum = 0;
    for (std::size_t k = 0; k < terms; ++k) sum += coefficients[k] * at[k];
    return sum;
}

Terms least_squares(const std::vector<BarePlace>& places) {
    std::array<Terms, terms> a{};
    Terms b{};
    for (const BarePlace& p : places)
        for (std::size_t r = 0; r < terms; ++r) {
            b[r] += p.weight * p.at[r] * p.value;
            for (std::size_t c = 0; c <= r; ++c) a[r][c] += p.weight * p.at[r] * p.at[c];
        }
    for (std::size_t r = 0; r < terms; ++r) {  // a = L Lᵀ, L in its place
        a[r][r] += 1e-9 * static_cast<double>(places.size());
        for (std::size_t c = 0; c <= r; ++c) {
            for (std::size_t k = 0; k < c; ++k) a[r][c] -= a[r][k] * a[c][k];
            a[r][c] = r == c ? std::sqrt(std::max(1e-12, a[r][r])) : a[r][c] / a[c][c];
        }
    }
    for (std::size_t r = 0; r < terms; ++r) {
        for (std::size_t k = 0; k < r; ++k) b[r] -= a[r][k] * b[k];
        b[r] /= a[r][r];
    }
    for (std::size_t r = terms; r-- > 0;) {
        for (std::size_t k = r + 1; k < terms; ++k) b[r] -= a[k][r] * b[k];
        b[r] /= a[r][r];
    }
    return b;
}

void weigh(std::vector<BarePlace>& places, const Terms& fit) {
    std::vector<double> off;
    for (const BarePlace& p : places) off.push_back(std::abs(p.value - value_of(fit, p.at)));
    std::vector<double> sorted = off;
    std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2), sorted.end());
    const double reach = std::max(1e-6, 4.685 * 1.4826 * sorted[sorted.size() / 2]);  // Tukey's constant for 95 % efficiency
    for (std::size_t k = 0; k < places.size(); ++k) {
        const double u = off[k] / reach;
        places[k].weight = u < 1 ? (1 - u * u) * (1 - u * u) : 0;
    }
}

}  // namespace

void even_out(HeightMap& straight, const Card& card) {
    std::vector<BarePlace> places = bare_places(straight, card);
    if (places.size() < 4 * terms)
        throw Error(Fault::refused,
                    "Too little of the bare surface can be seen between the card's patches: the photo is too dark there. Take it again in "
                    "more and evener light.");
    Terms fit = least_squares(places);
    for (int k = 0; k < 3; ++k) {
        weigh(places, fit);
        fit = least_squares(places);
    }
    for (int j = 0; j < straight.height(); ++j)
        for (int i = 0; i < straight.width(); ++i) {
            const double x = 2 * (i + 0.5) / straight.width() - 1, y = 2 * (j + 0.5) / straight.height() - 1;
            straight(i, j) = static_cast<float>(static_cast<double>(straight(i, j)) / std::exp(value_of(fit, terms_at(x, y))));
        }
}

double mean_over(const HeightMap& straight, const Box& box) {
    const double cell = straight.cell();
    const int i0 = std::max(0, static_cast<int>(std::floor(box.lo.x / cell))),
              i1 = std::min(straight.width() - 1, static_cast<int>(box.hi.x / cell));
    const int j0 = std::max(0, static_cast<int>(std::floor(box.lo.y / cell))),
              j1 = std::min(straight.height() - 1, static_cast<int>(box.hi.y / cell));
    const auto share = [&](int k, double lo, double hi) { return std::max(0.0, std::min((k + 1) * cell, hi) - std::max(k * cell, lo)); };
    double sum = 0, weight = 0;
    for (int j = j0; j <= j1; ++j) {
        const double tall = share(j, box.lo.y, box.hi.y);
        for (int i = i0; i <= i1; ++i) {
            const double w = tall * share(i, box.lo.x, box.hi.x);
            sum += w * static_cast<double>(straight(i, j));
            weight += w;
        }
    }
    return weight > 0 ? sum / weight : 0;
}

}  // namespace burin
