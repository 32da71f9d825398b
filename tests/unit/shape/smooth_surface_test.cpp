// Surfaces through points: planes and formulas known on paper. SciPy's own spline is asked in tests/reference.
#include "burin/shape/smooth_surface.hpp"

#include <cmath>
#include <random>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

std::vector<Point3> grid(int columns, int rows, double apart, double (*height)(double, double)) {
    std::vector<Point3> points;
    for (int j = 0; j < rows; ++j)
        for (int i = 0; i < columns; ++i) points.push_back({i * apart, j * apart, height(i * apart, j * apart)});
    return points;
}

}  // namespace

TEST_CASE("Three points make their plane, and points of a plane no other", "[smooth_surface]") {
    // z = 1 + 0.01 x − 0.02 y; a thin plate spline has the plane within it, so nothing bends.
    const auto plane = [](double x, double y) { return 1 + 0.01 * x - 0.02 * y; };
    const SmoothSurface three({{0, 0, plane(0, 0)}, {50, 0, plane(50, 0)}, {0, 40, plane(0, 40)}});
    CHECK(three.at({10, 10}) == Approx(plane(10, 10)).margin(1e-9));
    const SmoothSurface many(grid(5, 4, 10, plane));
    CHECK(many.at({17.3, 22.1}) == Approx(plane(17.3, 22.1)).margin(1e-9));
    for (const double surprise : many.surprises()) CHECK(std::abs(surprise) < 1e-9);
    CHECK(many.lowest() == Approx(plane(0, 30)));
    CHECK(many.highest() == Approx(plane(40, 0)));
}

TEST_CASE("The surface goes through every point, and on level beyond them", "[smooth_surface]") {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> place(0, 100), height(-0.5, 0.5);
    std::vector<Point3> points;
    for (int k = 0; k < 60; ++k) points.push_back({place(random), place(random), height(random)});
    const SmoothSurface surface(points);
    for (const Point3& p : points) CHECK(surface.at(flat(p)) == Approx(p.z).margin(1e-7));
    const SmoothSurface saddle(grid(6, 6, 10, [](double x, double y) { return 1e-3 * (x - 25) * (y - 25); }));
    CHECK(saddle.measured({50, 50}));
    CHECK_FALSE(saddle.measured({50.1, 20}));
    CHECK(saddle.at({80, 20}) == Approx(saddle.at({50, 20})));
    CHECK(saddle.at({90, 70}) == Approx(saddle.at({50, 50})));
}

TEST_CASE("Leaving a point out moves the surface by what is told of it", "[smooth_surface]") {
    // The closed formula (Rippa 1999) against the obvious: the surface through all other points.
    std::vector<Point3> points = grid(4, 4, 15, [](double x, double y) { return 2e-4 * x * y - 1e-4 * x * x; });
    points[6].z += 0.4;  // a chip under the probe
    const SmoothSurface all(points);
    for (std::size_t k = 0; k < points.size(); ++k) {
        // Corners lie outside the hull of the others, where the surface is led on level.
        if (k == 0 || k == 3 || k == 12 || k == 15) continue;
        std::vector<Point3> others = points;
        others.erase(others.begin() + static_cast<std::ptrdiff_t>(k));
        const SmoothSurface without(others);
        if (without.measured(flat(points[k]))) CHECK(all.surprises()[k] == Approx(points[k].z - without.at(flat(points[k]))).margin(1e-7));
    }
    CHECK(all.surprises()[6] > 0.3);
}

TEST_CASE("Points that make no surface are named", "[smooth_surface]") {
    CHECK_THROWS_WITH(SmoothSurface({{0, 0, 0}, {1, 0, 0}}), ContainsSubstring("at least 3"));
    CHECK_THROWS_WITH(SmoothSurface({{0, 0, 0}, {10, 10, 0}, {20, 20, 1}, {30, 30.001, 1}}), ContainsSubstring("one line"));
    CHECK_THROWS_WITH(SmoothSurface({{0, 0, 0}, {10, 0, 0}, {0, 10, 0}, {10, 0.0002, 0.1}}), ContainsSubstring("Points 2 and 4"));
    CHECK_THROWS_AS(SmoothSurface(grid(40, 40, 5, [](double, double) { return 0.0; })), Error);
}

TEST_CASE("A map of heights is read between its cells in proportion", "[smooth_surface]") {
    HeightMap map(2, 2, 1.0);
    map(0, 0) = 0, map(1, 0) = 1, map(0, 1) = 2, map(1, 1) = 4;
    CHECK(height_at(map, {0.5, 0.5}) == 0);
    CHECK(height_at(map, {1.0, 1.0}) == Approx(7.0 / 4));
    CHECK(height_at(map, {-5, 9}) == 2);
    CHECK(height_at(HeightMap(1, 1, 1.0, {}, 3.0F), {7, 7}) == 3);
}
