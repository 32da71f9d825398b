#include "burin/design/cells.hpp"

#include <random>

#include "check.hpp"
#include "pictures.hpp"

using namespace burin;
using namespace pictures;

namespace {

Picture random_picture(int width, int height, unsigned seed, bool colour = false) {
    std::mt19937 random(seed);
    Picture p;
    p.width = width;
    p.height = height;
    p.channels = colour ? 3 : 1;
    for (int k = 0; k < width * height * p.channels; ++k) p.samples.push_back(static_cast<std::uint16_t>(random()));
    return p;
}

/// Mean of the pixels over a cell by the areas covered: the definition.
double slow_mean(const Picture& p, int w, int h, int i, int j) {
    const double px = static_cast<double>(p.width) / w, py = static_cast<double>(p.height) / h;
    double sum = 0, area = 0;
    for (int y = 0; y < p.height; ++y)
        for (int x = 0; x < p.width; ++x) {
            const double a = std::max(0.0, std::min((i + 1) * px, x + 1.0) - std::max(i * px, x * 1.0)) *
                             std::max(0.0, std::min((j + 1) * py, y + 1.0) - std::max(j * py, y * 1.0));
            sum += a * p.samples[static_cast<std::size_t>((p.height - 1 - y) * p.width + x)] / 65535;
            area += a;
        }
    return sum / area;
}

}  // namespace

TEST_CASE("As many cells as pixels: the pixels themselves, top row highest") {
    const Picture p = random_picture(40, 30, 1);
    const HeightMap cells = on_cells(p, Reading::coded, 4, 3, 0.1, hands(2));
    REQUIRE(cells.width() == 40);
    REQUIRE(cells.height() == 30);
    CHECK(cells.origin() == Point{0, 0});
    for (int j = 0; j < 30; ++j)
        for (int i = 0; i < 40; ++i)
            CHECK(cells(i, j) ==
                  static_cast<float>(p.samples[static_cast<std::size_t>((29 - j) * 40 + i)]) / 65535.0F);  // source: definition
}

TEST_CASE("Fewer cells than pixels: the mean over each cell's area") {
    for (const unsigned seed : {2U, 3U, 4U}) {
        INFO("seed " << seed);
        const Picture p = random_picture(61 + static_cast<int>(seed), 83, seed);
        const HeightMap cells = on_cells(p, Reading::coded, 2.3, 1.7, 0.1, hands(2));
        REQUIRE(cells.width() == 23);
        REQUIRE(cells.height() == 17);
        for (int j = 0; j < 17; ++j)
            for (int i = 0; i < 23; ++i)
                CHECK(cells(i, j) == Approx(slow_mean(p, 23, 17, i, j)).margin(2e-6));  // source: definition of an area mean
    }
}

TEST_CASE("More cells than pixels: linear between pixel centres") {
    const Picture ramp = grey(
        20, 10, [](double x, double) { return x; }, 16);
    const HeightMap cells = on_cells(ramp, Reading::coded, 10, 5, 0.1, hands(2));
    for (int i = 0; i < 100; ++i) {
        // Source: a linear function interpolated linearly is itself; beyond the outer pixel centres it stays level.
        const double x = std::clamp((i + 0.5) / 100, 0.025, 0.975);
        CHECK(cells(i, 20) == Approx(x).margin(2e-5));
    }
}

TEST_CASE("Each axis is resampled by itself") {
    const Picture ramp = grey(
        20, 400, [](double, double y) { return y; }, 16);
    const HeightMap cells = on_cells(ramp, Reading::coded, 10, 5, 0.1, hands(2));
    for (int j = 0; j < 50; ++j) CHECK(cells(7, j) == Approx((j + 0.5) / 50).margin(2e-5));  // source: mean of a ramp is its middle
}

TEST_CASE("Transparent pixels lend no colour") {
    Picture p = grey(80, 80, [](double x, double) { return x < 0.5 ? 0.75 : 0.0; });
    make_transparent(p, [](double x, double) { return x < 0.51; });  // 40.8 pixels: 41 are opaque, the last is black
    const HeightMap value = on_cells(p, Reading::coded, 2, 2, 0.1, hands(1)), opaque = on_cells(p, Reading::opacity, 2, 2, 0.1, hands(1));
    CHECK(value(9, 10) == Approx(0.75).margin(1e-4));
    CHECK(opaque(10, 10) == Approx(0.25).margin(1e-6));  // source: one of four columns
    CHECK(value(10, 10) == Approx(0.0).margin(1e-6));
    CHECK(opaque(15, 10) == 0);
    CHECK(value(15, 10) == 0);
}

TEST_CASE("Lightness follows ISO/CIE 11664-4") {
    CHECK(lightness(0.18419) == Approx(0.50).margin(1e-5));  // source: ISO/CIE 11664-4, Y 0.18419 gives 50
    CHECK(lightness(1) == Approx(1.0));
    CHECK(lightness(0) == 0.0);
    CHECK(lightness(0.008856) == Approx(0.08).margin(1e-4));   // source: both branches meet at L* = 8
    CHECK(lightness(0.001) == Approx(0.009033).margin(1e-5));  // source: L* = 903.3 Y below that
    const Picture p = grey(
        100, 1, [](double x, double) { return coded(x); }, 16);
    const HeightMap cells = on_cells(p, Reading::lightness, 10, 0.1, 0.1, hands(1));
    for (int i = 0; i < 100; ++i) CHECK(cells(i, 0) == Approx(lightness((i + 0.5) / 100)).margin(1e-4));
}

TEST_CASE("Light is averaged as light") {
    // Half black, half white reflects half the light: Y 0.5, not the middle of the coded scale (Y 0.214, IEC 61966-2-1).
    const Picture p = grey(8, 8, [](double x, double) { return std::fmod(x * 4, 1.0) < 0.5 ? 0.0 : 1.0; });
    const HeightMap cells = on_cells(p, Reading::light, 0.4, 0.4, 0.1, hands(1));
    for (const float v : cells.values()) CHECK(v == Approx(0.5).margin(1e-6));
}

TEST_CASE("Cells do not depend on the number of threads") {
    Picture p = random_picture(1500, 1300, 9, true);
    CHECK(on_cells(p, Reading::lightness, 90, 77, 0.1, hands(1)) == on_cells(p, Reading::lightness, 90, 77, 0.1, hands(3)));
    make_transparent(p, [](double x, double y) { return std::hypot(x - 0.5, y - 0.5) < 0.4; });
    CHECK(on_cells(p, Reading::coded, 90, 77, 0.1, hands(1)) == on_cells(p, Reading::coded, 90, 77, 0.1, hands(3)));
}
