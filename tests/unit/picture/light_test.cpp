// Samples to grids. Sources: IEC 61966-2-1, ITU-R BT.709; where a picture lies on the grid is our own convention (the top
// row at the highest y, n pixels over w mm are w/n mm each).
#include <cmath>

#include "check.hpp"
#include "made.hpp"

namespace {

burin::Picture picture_of(int width, int height, int channels, std::vector<std::uint16_t> samples) {
    burin::Picture p;
    p.width = width;
    p.height = height;
    p.channels = channels;
    p.samples = std::move(samples);
    return p;
}

}  // namespace

TEST_CASE("sRGB values as linear light") {
    // 0.5 → 0.21404; the straight part below 0.04045 is c/12.92: 0.03 → 0.00232198; the ends stay.
    const auto coded = [](double c) { return static_cast<std::uint16_t>(std::lround(c * 65535)); };
    const auto light = luminance(picture_of(4, 1, 1, {coded(0.5), coded(0.03), 0, 65535}), 4);
    CHECK(light(0, 0) == Approx(0.21404).margin(1e-5));
    CHECK(light(1, 0) == Approx(0.03 / 12.92).margin(1e-6));
    CHECK(light(2, 0) == 0.0F);
    CHECK(light(3, 0) == 1.0F);
}

TEST_CASE("A gamma of the file's own") {
    auto p = picture_of(2, 1, 1, {32768, 65535});
    p.transfer = {false, 2};
    const auto light = luminance(p, 2);
    CHECK(light(0, 0) == Approx(0.25).margin(1e-5));
    CHECK(light(1, 0) == 1.0F);
}

TEST_CASE("Luminance of the primaries is BT.709's weight; equal red, green and blue are grey exactly") {
    const auto p = picture_of(4, 1, 3, {65535, 0, 0, 0, 65535, 0, 0, 0, 65535, 12345, 12345, 12345});
    const auto light = luminance(p, 4), coded = coded_grey(p, 4);
    CHECK(light(0, 0) == Approx(0.2126).margin(1e-6));
    CHECK(light(1, 0) == Approx(0.7152).margin(1e-6));
    CHECK(light(2, 0) == Approx(0.0722).margin(1e-6));
    CHECK(coded(0, 0) == Approx(0.2126).margin(1e-6));
    CHECK(coded(1, 0) == Approx(0.7152).margin(1e-6));
    const auto grey = picture_of(1, 1, 1, {12345});
    CHECK(coded(3, 0) == coded_grey(grey, 1)(0, 0));
    CHECK(light(3, 0) == luminance(grey, 1)(0, 0));
    // The weighted sum is taken of light, not of coded values: half-lit red is 0.2126 · 0.21404.
    CHECK(luminance(picture_of(1, 1, 3, {32768, 0, 0}), 1)(0, 0) == Approx(0.2126 * 0.21404).margin(1e-5));
}

TEST_CASE("The top row lies at the highest y, a pixel is width / n") {
    auto p = picture_of(2, 3, 1, {0, 13107, 26214, 39321, 52428, 65535});
    p.alpha = {65535, 65535, 65535, 65535, 0, 13107};
    const auto grid = coded_grey(p, 5);
    CHECK(grid.cell() == Approx(2.5));
    CHECK(grid.width() == 2);
    CHECK(grid.height() == 3);
    CHECK(grid(0, 2) == 0.0F);
    CHECK(grid(1, 2) == Approx(0.2));
    CHECK(grid(0, 0) == Approx(0.8));
    CHECK(grid(1, 0) == 1.0F);
    const auto opaque = opacity(p, 5);
    CHECK(opaque(0, 0) == 0.0F);
    CHECK(opaque(1, 0) == Approx(0.2));
    CHECK(opaque(1, 2) == 1.0F);
    p.alpha.clear();
    CHECK(opacity(p, 5).empty());
}

TEST_CASE("All 65,536 grey values keep their order and their place") {
    std::vector<std::uint16_t> ramp(65536);
    for (std::size_t i = 0; i < ramp.size(); ++i) ramp[i] = static_cast<std::uint16_t>(i);
    const auto p = picture_of(256, 256, 1, ramp);
    const auto coded = coded_grey(p, 256), light = luminance(p, 256);
    float coded_before = -1, light_before = -1;
    for (int y = 255; y >= 0; --y)
        for (int x = 0; x < 256; ++x) {
            REQUIRE(std::lround(coded(x, y) * 65535) == (255 - y) * 256 + x);
            REQUIRE(coded(x, y) > coded_before);
            REQUIRE(light(x, y) > light_before);
            coded_before = coded(x, y);
            light_before = light(x, y);
        }
}

TEST_CASE("Colour is any pixel whose red, green and blue differ") {
    CHECK_FALSE(has_colour(picture_of(2, 1, 1, {1, 2})));
    CHECK_FALSE(has_colour(picture_of(2, 1, 3, {1, 1, 1, 9, 9, 9})));
    CHECK(has_colour(picture_of(2, 1, 3, {1, 1, 1, 9, 9, 8})));
    CHECK(has_colour(picture_of(2, 1, 3, {2, 1, 1, 9, 9, 9})));
}
