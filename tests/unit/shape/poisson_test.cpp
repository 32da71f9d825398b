#include "burin/shape/poisson.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <utility>
#include <vector>

#include "check.hpp"

using namespace burin;

namespace {

Crew hands(int threads) {
    Crew crew;
    crew.threads = threads;
    return crew;
}

/// A sum of cosines that have no slope at the border, and its five-point Laplacian: each cosine cos(π m (i + ½) / w) is
/// an eigenvector with eigenvalue 2 cos(π m / w) − 2 (Strang, The Discrete Cosine Transform, 1999).
struct Series {
    HeightMap u, bend;
};
Series cosine_series(int w, int h) {
    Series s{HeightMap(w, h, 1), HeightMap(w, h, 1)};
    struct Term {
        int m, n;
        double a;
    };
    const std::vector<Term> terms = {{1, 0, 1.0}, {0, 1, -0.7}, {2, 3, 0.5}, {5, 1, 0.3}, {7, 9, 0.2}};
    for (int j = 0; j < h; ++j)
        for (int i = 0; i < w; ++i) {
            double u = 0, bend = 0;
            for (const auto& [m, n, a] : terms) {
                const double kx = std::numbers::pi * m / w, ky = std::numbers::pi * n / h;
                const double value = a * std::cos(kx * (i + 0.5)) * std::cos(ky * (j + 0.5));
                u += value;
                bend += value * (2 * std::cos(kx) - 2 + 2 * std::cos(ky) - 2);
            }
            s.u(i, j) = static_cast<float>(u);
            s.bend(i, j) = static_cast<float>(bend);
        }
    return s;
}

double largest_difference(const HeightMap& a, const HeightMap& b) {
    double most = 0;
    for (std::size_t k = 0; k < a.size(); ++k) most = std::max(most, std::abs(static_cast<double>(a.values()[k]) - b.values()[k]));
    return most;
}

/// What a net's equation leaves of its source, worked out cell by cell from the definition; root of the sum of squares
/// over that of the source.
double slow_residual(const Net& net, const HeightMap& source, const HeightMap& u) {
    double left = 0, whole = 0;
    const int w = u.width(), h = u.height();
    for (int j = 0; j < h; ++j)
        for (int i = 0; i < w; ++i) {
            double r = source(i, j);
            if (i > 0) r -= static_cast<double>(net.right(i - 1, j)) * (u(i, j) - u(i - 1, j));
            if (i + 1 < w) r -= static_cast<double>(net.right(i, j)) * (u(i, j) - u(i + 1, j));
            if (j > 0) r -= static_cast<double>(net.up(i, j - 1)) * (u(i, j) - u(i, j - 1));
            if (j + 1 < h) r -= static_cast<double>(net.up(i, j)) * (u(i, j) - u(i, j + 1));
            if (!net.ground.empty()) r -= static_cast<double>(net.ground(i, j)) * u(i, j);
            left += r * r;
            whole += static_cast<double>(source(i, j)) * source(i, j);
        }
    return std::sqrt(left / whole);
}

}  // namespace

TEST_CASE("Quick sizes are even, made of 2, 3 and 5, and the next such") {
    // Source: factorisation by hand.
    for (const auto& [n, quick] : std::vector<std::pair<int, int>>{
             {1, 2}, {2, 2}, {7, 8}, {11, 12}, {97, 100}, {121, 128}, {2048, 2048}, {2049, 2160}, {2161, 2250}})
        CHECK(quick_size(n) == quick);
}

TEST_CASE("Poisson's equation gives back a cosine series at any size") {
    for (const auto& [w, h] : std::vector<std::pair<int, int>>{{240, 160}, {241, 157}, {97, 101}, {64, 509}, {301, 31}}) {
        INFO(w << " x " << h);
        const Series s = cosine_series(w, h);
        // Source: the series' own coefficients. Long, narrow and padded is the hardest.
        CHECK(largest_difference(solve_poisson(s.bend, hands(2)), s.u) < (w > 8 * h ? 1e-3 : 2e-4));
    }
}

TEST_CASE("A bend with a mean loses it") {
    Series s = cosine_series(120, 90);
    for (float& v : s.bend.values()) v += 0.01F;
    CHECK(largest_difference(solve_poisson(s.bend, hands(1)), s.u) < 2e-3);  // source: compatibility of the Neumann problem
}

TEST_CASE("Tiny maps are solved too") {
    CHECK(solve_poisson(HeightMap(1, 1, 1, {}, 5.0F), hands(1))(0, 0) == Approx(0).margin(1e-6));
    HeightMap two(2, 1, 1);
    two(0, 0) = 1;
    two(1, 0) = -1;
    const HeightMap u = solve_poisson(two, hands(1));
    CHECK(u(0, 0) == Approx(-0.5).margin(1e-4));  // source: u₁ − u₀ = 1 by hand
    CHECK(u(1, 0) == Approx(0.5).margin(1e-4));
}

TEST_CASE("A net with strong and weak conductors is solved") {
    for (const unsigned seed : {1U, 2U, 3U}) {
        INFO("seed " << seed);
        std::mt19937 random(seed);
        const int w = 150 + static_cast<int>(seed) * 17, h = 131;
        Net net{HeightMap(w, h, 1, {}, 1.0F), HeightMap(w, h, 1, {}, 1.0F), seed == 3 ? HeightMap(w, h, 1, {}, 0.01F) : HeightMap()};
        // A weak ring, as round a figure, and weak conductors strewn about.
        for (int j = 0; j < h; ++j)
            for (int i = 0; i < w; ++i)
                if (std::abs(std::hypot(i - 70, j - 60) - 40) < 1.5 || random() % 8 == 0) net.right(i, j) = net.up(i, j) = 1.0F / 64;
        HeightMap source(w, h, 1);
        double sum = 0;
        for (float& v : source.values()) {
            v = static_cast<float>(random() % 2001) / 1000 - 1;
            sum += v;
        }
        for (float& v : source.values()) v -= static_cast<float>(sum / static_cast<double>(source.size()));
        HeightMap u(w, h, 1);
        solve_net(net, source, u, 1e-3, 30, hands(2));
        CHECK(slow_residual(net, source, u) < 5e-3);  // source: the equation itself
    }
}

TEST_CASE("A row of conductors to ground is a ladder") {
    // Source: two conductors in series: 1 unit of flow from the middle cell of three, the outer two grounded by 1:
    // each side carries ½ through 1 and 1, so u = ½ at the outer and 1 at the middle cell.
    Net net{HeightMap(3, 1, 1, {}, 1.0F), HeightMap(3, 1, 1), HeightMap(3, 1, 1)};
    net.ground(0, 0) = net.ground(2, 0) = 1;
    HeightMap source(3, 1, 1), u(3, 1, 1);
    source(1, 0) = 1;
    solve_net(net, source, u, 1e-7, 20, hands(1));
    CHECK(u(0, 0) == Approx(0.5).margin(1e-5));
    CHECK(u(1, 0) == Approx(1.0).margin(1e-5));
    CHECK(u(2, 0) == Approx(0.5).margin(1e-5));
}

TEST_CASE("Cells joined to nothing stay at 0") {
    Net net{HeightMap(40, 40, 1), HeightMap(40, 40, 1), HeightMap(40, 40, 1)};
    for (int j = 10; j < 20; ++j)
        for (int i = 10; i < 20; ++i) net.ground(i, j) = 2;
    HeightMap source(40, 40, 1), u(40, 40, 1);
    source(15, 15) = 3;
    solve_net(net, source, u, 1e-6, 20, hands(1));
    CHECK(u(15, 15) == Approx(1.5).margin(1e-4));  // source: 2 u = 3
    CHECK(u(0, 0) == 0);
    CHECK(u(30, 12) == 0);
}

TEST_CASE("Solvers give the same bytes on any number of threads") {
    const Series s = cosine_series(331, 257);
    CHECK(solve_poisson(s.bend, hands(1)) == solve_poisson(s.bend, hands(3)));
}
