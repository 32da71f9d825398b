/// Domes against the surfaces that ∇²u = −4 has on paper.
#include <numbers>

#include "burin/design/heights.hpp"
#include "check.hpp"
#include "pictures.hpp"

using namespace burin;
using namespace pictures;

namespace {

/// A dark disc with soft edges of one pixel, as a drawing program makes it; x, y and r in mm of a picture w × h mm.
Picture disc(double w, double h, double x0, double y0, double r, double per_mm) {
    return grey(static_cast<int>(w * per_mm), static_cast<int>(h * per_mm),
                [&](double x, double y) { return std::clamp(0.5 + (std::hypot(x * w - x0, y * h - y0) - r) * per_mm, 0.0, 1.0); });
}

}  // namespace

TEST_CASE("A disc becomes a hemisphere") {
    for (const double per_mm : {10.0, 25.0, 4.0}) {
        INFO(per_mm << " pixels per mm");
        HeightsWishes w = wishes(HeightsKind::dome, 30, 24);
        w.depth = 10;
        const HeightMap map = make_heights(disc(30, 24, 14, 12.3, 8, per_mm), w, hands(2)).heights;
        for (int j = 0; j < map.height(); j += 3)
            for (int i = 0; i < map.width(); i += 3) {
                const Point c = map.centre(i, j);
                const double r = std::hypot(c.x - 14, c.y - 12.3), u = 64 - r * r;
                // Source: ∇²u = −4, u = 0 at R: u = R² − r²; the height is its root, on a floor at −10.
                if (r < 7.8)
                    CHECK(std::pow(map(i, j) + 10, 2) == Approx(u).margin(0.5));
                else if (r > 8.2)
                    CHECK(map(i, j) == Approx(-10).margin(1e-4));
            }
        CHECK(map(140, 123) == Approx(-10 + 8).margin(0.02));
    }
}

TEST_CASE("A long strip becomes a ridge") {
    const Picture p = grey(1000, 300, [](double x, double y) { return std::abs(y - 0.5) * 30 < 5 && x > 0.02 && x < 0.98 ? 0.0 : 1.0; });
    HeightsWishes w = wishes(HeightsKind::dome, 100, 30);
    w.depth = 9;
    const HeightMap map = make_heights(p, w, hands(2)).heights;
    for (int j = 101; j < 199; ++j) {
        // Source: u″ = −4 across a strip of half-width b = 5: u = 2 (b² − y²).
        const double y = (j + 0.5) * 0.1 - 15;
        CHECK(std::pow(map(500, j) + 9, 2) == Approx(2 * (25 - y * y)).margin(0.2));
    }
    // And the same everywhere along the ridge, away from its ends.
    CHECK(map(300, 150) == Approx(map(700, 150)).margin(1e-3));
}

TEST_CASE("A square's dome has the height of its series") {
    const Picture p = grey(400, 400, [](double x, double y) { return std::max(std::abs(x - 0.5), std::abs(y - 0.5)) < 0.25 ? 0.0 : 1.0; });
    HeightsWishes w = wishes(HeightsKind::dome, 40, 40);
    w.depth = 12;
    const HeightMap map = make_heights(p, w, hands(2)).heights;
    // Source: torsion of a square bar of side 2b (Timoshenko, Theory of Elasticity; Fourier series): with ∇²u = −4 the middle is
    // u = 2b² (1 − 32/π³ Σ (−1)^((n−1)/2) / (n³ cosh(nπ/2)), n odd) = 2b² × 0.58937; b = 10.
    double sum = 0;
    for (int n = 1; n < 20; n += 2) sum += (n % 4 == 1 ? 1 : -1) / (n * n * n * std::cosh(n * std::numbers::pi / 2));
    const double u = 2 * 100 * (1 - 32 / std::pow(std::numbers::pi, 3) * sum);
    const double middle = (map(199, 199) + map(200, 200)) / 2 + 12;
    CHECK(middle * middle == Approx(u).epsilon(0.01));
}

TEST_CASE("A dome taller than the depth is pressed down, a limited one flattened") {
    HeightsWishes w = wishes(HeightsKind::dome, 30, 30);
    w.depth = 2;
    const Picture p = disc(30, 30, 15, 15, 10, 10);
    const DesignHeights pressed = make_heights(p, w, hands(1));
    CHECK(pressed.heights(150, 150) == Approx(0).margin(1e-3));
    CHECK(pressed.heights(5, 5) == Approx(-2).margin(1e-6));
    // Pressed evenly: at r = 6 a hemisphere of 10 stands 8 high, so 0.8 of the depth (source: √(R² − r²)).
    CHECK(pressed.heights(210, 150) + 2 == Approx(0.8 * 2).margin(0.02));
    REQUIRE_FALSE(pressed.notes.empty());
    w.depth = 5;
    w.dome_limit = 3;
    const HeightMap limited = make_heights(p, w, hands(1)).heights;
    CHECK(limited(150, 150) <= -2);
    CHECK(limited(150, 150) > -2.05);
    CHECK(limited(245, 150) + 5 < 2.9);
}

TEST_CASE("A figure that runs off the picture ends there, inverted ones swap") {
    const Picture p = grey(200, 200, [](double x, double) { return x < 0.5 ? 0.0 : 1.0; });
    HeightsWishes w = wishes(HeightsKind::dome, 20, 20);
    w.depth = 9;
    const HeightMap left = make_heights(p, w, hands(1)).heights;
    CHECK(left(0, 100) < -7);  // half a cell from the border, where the dome is 0
    CHECK(left(50, 100) > -5);
    CHECK(left(150, 100) == Approx(-9).margin(1e-6));
    w.invert = true;
    const HeightMap right = make_heights(p, w, hands(1)).heights;
    for (int j = 0; j < 200; j += 7)
        for (int i = 0; i < 200; i += 7) CHECK(right(199 - i, j) == Approx(left(i, j)).margin(0.01));  // source: the picture's symmetry
}

TEST_CASE("One colour on a transparent ground is a figure") {
    Picture p = grey(300, 300, [](double, double) { return 0.3; });
    make_transparent(p, [](double x, double y) { return std::hypot(x - 0.5, y - 0.5) < 0.3; });
    HeightsWishes w = wishes(HeightsKind::dome, 30, 30);
    w.depth = 12;
    const HeightMap map = make_heights(p, w, hands(1)).heights;
    CHECK(map(150, 150) == Approx(-12 + 9).margin(0.1));  // source: a hemisphere of 9
    CHECK(map(5, 5) == 0);
}
