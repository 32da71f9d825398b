#include "burin/shape/filters.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "check.hpp"

using namespace burin;

namespace {

Crew hands(int threads) {
    Crew crew;
    crew.threads = threads;
    return crew;
}

template <class Height>
HeightMap surface(int width, int height, double cell, Height at) {
    HeightMap map(width, height, cell);
    for (int j = 0; j < height; ++j)
        for (int i = 0; i < width; ++i) map(i, j) = static_cast<float>(at(map.centre(i, j).x, map.centre(i, j).y));
    return map;
}

HeightMap random_map(int width, int height, double cell, unsigned seed) {
    std::mt19937 random(seed);
    HeightMap map(width, height, cell);
    for (float& v : map.values()) v = static_cast<float>(random()) / 4294967296.0F;
    return map;
}

double largest_difference(const HeightMap& a, const HeightMap& b, int margin = 0) {
    double most = 0;
    for (int j = margin; j < a.height() - margin; ++j)
        for (int i = margin; i < a.width() - margin; ++i) most = std::max(most, std::abs(static_cast<double>(a(i, j)) - b(i, j)));
    return most;
}

/// Overlap of cell k (side 1) with a window of half-width r round the centre of cell c.
double overlap(int k, int c, double r) {
    return std::max(0.0, std::min(k + 1.0, c + 0.5 + r) - std::max(static_cast<double>(k), c + 0.5 - r));
}

/// The definition, cell by cell: mean over the window, shrunk evenly where the border is nearer than its rim.
double slow_mean(const HeightMap& map, int i, int j, double r) {
    const double rx = std::min({r, i + 0.5, map.width() - i - 0.5}), ry = std::min({r, j + 0.5, map.height() - j - 0.5});
    double sum = 0, weight = 0;
    for (int y = 0; y < map.height(); ++y)
        for (int x = 0; x < map.width(); ++x) {
            const double w = overlap(x, i, rx) * overlap(y, j, ry);
            sum += w * map(x, y);
            weight += w;
        }
    return sum / weight;
}

}  // namespace

TEST_CASE("A window mean is the mean over the window, for any radius") {
    const HeightMap map = random_map(37, 29, 0.25, 11);
    for (const double radius : {0.2, 0.375, 0.5, 0.61, 1.3, 3.1, 20.0}) {
        INFO("radius " << radius << ", seed 11");
        const HeightMap mean = window_mean(map, radius, hands(1));
        for (int j = 0; j < map.height(); j += 4)
            for (int i = 0; i < map.width(); i += 3)
                CHECK(mean(i, j) == Approx(slow_mean(map, i, j, radius / map.cell())).margin(1e-6));  // source: definition of a mean
    }
}

TEST_CASE("Filters leave a plane a plane") {
    // Source: a symmetric mean of a linear function is the function (algebra).
    const HeightMap plane = surface(200, 330, 0.1, [](double x, double y) { return 0.02 * x - 0.01 * y + 0.3; });
    CHECK(largest_difference(window_mean(plane, 1.23, hands(2)), plane) < 2e-6);
    const HeightMap smooth = edge_preserving(plane, 1.23, 0.05, hands(2));
    CHECK(largest_difference(smooth, plane, 26) < 5e-6);     // two windows inside
    CHECK(largest_difference(smooth, plane) < 0.02 * 0.05);  // at the border windows differ in size: a fiftieth of the contrast
}

TEST_CASE("Edge-preserving smoothing levels grain and keeps a step") {
    std::mt19937 random(5);
    std::normal_distribution<double> grain(0, 0.02);
    const HeightMap clean = surface(240, 160, 0.1, [](double x, double) { return x < 12 ? 0.2 : 0.8; });
    HeightMap noisy = clean;
    for (float& v : noisy.values()) v += static_cast<float>(grain(random));
    const HeightMap smooth = edge_preserving(noisy, 0.5, 0.1, hands(2));
    double before = 0, after = 0;
    int n = 0;
    for (int j = 10; j < 150; ++j)
        for (int i = 10; i < 100; ++i, ++n) {
            before += std::pow(noisy(i, j) - 0.2, 2);
            after += std::pow(smooth(i, j) - 0.2, 2);
        }
    INFO("seed 5; grain " << std::sqrt(before / n) << " became " << std::sqrt(after / n));
    CHECK(after < before / 16);  // common practice, no source: grain down to a quarter
    // Guided filter, He, Sun, Tang 2010, eq. 5: over a step of S the variance is S²/4 and at the rims of the windows that
    // hold it less; with S²/4 / (S²/4 + contrast²) = 0.9 in the middle, more than three quarters of the step stay.
    double step = 0;
    for (int j = 10; j < 150; ++j) step += (smooth(120, j) - smooth(119, j)) / 140;
    CHECK(step > 0.75 * 0.6);
    CHECK(smooth(119, 80) - 0.2 < 0.08);
}

TEST_CASE("Edge-preserving smoothing in mm does not depend on the cells") {
    // Source: the definition, in mm; a smooth surface sampled twice.
    const auto wave = [](double x, double y) { return 0.5 + 0.08 * std::sin(2 * x) * std::cos(1.5 * y) + 0.3 * std::tanh(3 * (x - 10)); };
    const HeightMap coarse = edge_preserving(surface(200, 150, 0.1, wave), 0.8, 0.1, hands(2));
    const HeightMap fine = edge_preserving(surface(400, 300, 0.05, wave), 0.8, 0.1, hands(2));
    double most = 0;
    for (int j = 10; j < 140; ++j)
        for (int i = 10; i < 190; ++i) {
            const double mean = (fine(2 * i, 2 * j) + fine(2 * i + 1, 2 * j) + fine(2 * i, 2 * j + 1) + fine(2 * i + 1, 2 * j + 1)) / 4;
            most = std::max(most, std::abs(mean - coarse(i, j)));
        }
    CHECK(most < 0.005);
}

TEST_CASE("Percentiles of a ramp are the ramp") {
    const HeightMap ramp = surface(1000, 10, 1, [](double x, double) { return x / 1000; });
    const Range range = percentiles(ramp, {}, 0.05, 0.9, hands(2));
    CHECK(range.low == Approx(0.05).margin(0.001));  // source: definition of a percentile
    CHECK(range.high == Approx(0.90).margin(0.001));
    CHECK(range.least == Approx(0.0005).margin(1e-6));
    CHECK(range.greatest == Approx(0.9995).margin(1e-6));
    Mask half(1000, 10, 1);
    for (int j = 0; j < 10; ++j)
        for (int i = 500; i < 1000; ++i) half(i, j) = 1;
    const Range upper = percentiles(ramp, half, 0, 0.5, hands(2));
    CHECK(upper.least == Approx(0.5005).margin(1e-6));
    CHECK(upper.high == Approx(0.75).margin(0.001));
    const Range flat = percentiles(HeightMap(5, 5, 1, {}, 0.25F), {}, 0.01, 0.99, hands(1));
    CHECK(flat.low == 0.25);
    CHECK(flat.high == 0.25);
}

TEST_CASE("Cells that do not count are filled from those that do") {
    HeightMap map(37, 21, 1, {}, 0.7F);
    Mask counted(37, 21, 1, {}, 1);
    std::mt19937 random(3);
    for (std::size_t k = 0; k < map.size(); ++k)
        if (random() % 3 != 0) {
            counted.values()[k] = 0;
            map.values()[k] = -99;
        }
    fill_uncounted(map, counted, hands(1));
    CHECK(largest_difference(map, HeightMap(37, 21, 1, {}, 0.7F)) < 1e-6);  // source: a mean of equal values is that value
    HeightMap all(4, 4, 1, {}, 3.0F);
    fill_uncounted(all, Mask(4, 4, 1), hands(1));
    CHECK(largest_difference(all, HeightMap(4, 4, 1)) == 0);
}

TEST_CASE("A wall laid back has exactly the slope asked for") {
    // Source: plane geometry, tan of the angle; cells right of the wall rise from the last low cell.
    for (const double angle : {30.0, 45.0, 60.0, 75.0}) {
        INFO(angle);
        HeightMap map = surface(120, 40, 0.1, [](double x, double) { return x < 3 ? -2.0 : 0.0; });
        lay_back(map, angle, hands(1));
        const double rise = std::tan(angle * std::numbers::pi / 180) * 0.1;
        for (int j = 0; j < map.height(); ++j)
            for (int i = 0; i < map.width(); ++i)
                CHECK(map(i, j) == Approx(i < 30 ? -2.0 : std::min(0.0, -2 + (i - 29) * rise)).margin(1e-5));
    }
}

TEST_CASE("A pit laid back is a cone") {
    // Source: the lower envelope of cones (Serra 1982, erosion by a cone): round, not eight-sided.
    HeightMap map(101, 101, 0.1);
    map(50, 50) = -3;
    lay_back(map, 40, hands(1));
    const double rise = std::tan(40 * std::numbers::pi / 180);
    for (int j = 0; j < 101; ++j)
        for (int i = 0; i < 101; ++i) CHECK(map(i, j) == Approx(std::min(0.0, -3 + rise * 0.1 * std::hypot(i - 50, j - 50))).margin(1e-5));
}

TEST_CASE("Laying back is the lower envelope of all cones") {
    for (unsigned seed = 1; seed <= 6; ++seed) {
        INFO("seed " << seed);
        HeightMap map = random_map(48, 40, 0.1, seed);
        std::mt19937 random(seed);
        for (float& v : map.values()) v = random() % 20 == 0 ? -3 * v : -0.2F * v;
        const HeightMap before = map;
        const double angle = 25 + 10.0 * seed, rise = std::tan(angle * std::numbers::pi / 180) * map.cell();
        lay_back(map, angle, hands(1));
        for (int j = 0; j < map.height(); ++j)
            for (int i = 0; i < map.width(); ++i) {
                double lowest = 0;
                for (int y = 0; y < map.height(); ++y)
                    for (int x = 0; x < map.width(); ++x) lowest = std::min(lowest, before(x, y) + rise * std::hypot(x - i, y - j));
                CHECK(map(i, j) >= lowest - 1e-5);               // source: definition; never lower than need be
                CHECK(map(i, j) <= lowest + 0.1 * rise + 1e-5);  // the accuracy that the header promises
                CHECK(map(i, j) <= before(i, j));
            }
    }
}

TEST_CASE("What is gentle enough is left alone") {
    const HeightMap slope = surface(50, 50, 0.1, [](double x, double y) { return -0.5 * x - 0.2 * y; });
    HeightMap map = slope;
    lay_back(map, 35, hands(1));
    CHECK(map == slope);
    lay_back(map, 90, hands(1));
    CHECK(map == slope);
    REQUIRE_THROWS_AS(lay_back(map, 0, hands(1)), Error);
}

TEST_CASE("Filters give the same bytes on any number of threads") {
    const HeightMap map = random_map(311, 517, 0.1, 77);
    CHECK(window_mean(map, 0.77, hands(1)) == window_mean(map, 0.77, hands(3)));
    CHECK(edge_preserving(map, 0.77, 0.1, hands(1)) == edge_preserving(map, 0.77, 0.1, hands(3)));
    CHECK(halved(map, hands(1)) == halved(map, hands(3)));
    const Range a = percentiles(map, {}, 0.01, 0.99, hands(1)), b = percentiles(map, {}, 0.01, 0.99, hands(3));
    CHECK(a.low == b.low);
    CHECK(a.high == b.high);
}
