// The writer's files, read back by the reader and looked into with libpng. Source: PNG (ISO/IEC 15948, W3C Recommendation).
#include <png.h>

#include <cstring>

#include "check.hpp"
#include "made.hpp"

namespace {

/// The content of the first chunk of that name.
std::string chunk(const std::string& file, const std::string& name) {
    const std::size_t at = file.find(name);
    if (at == std::string::npos) return {};
    std::size_t size = 0;
    for (std::size_t k = at - 4; k < at; ++k) size = size << 8 | static_cast<unsigned char>(file[k]);
    return file.substr(at + 4, size);
}

}  // namespace

TEST_CASE("8-bit RGB comes back, with its size and texts") {
    const auto rgb = made::noise8(17 * 9 * 3);
    const std::string file = burin::write_png_rgb(rgb, 17, 9, 34, {{"Title", "Lighthouse"}, {"Comment", "Höhe 2 mm"}});
    const auto picture = made::read(file);
    CHECK(picture.width == 17);
    CHECK(picture.height == 9);
    CHECK(picture.channels == 3);
    CHECK(picture.source_bits == 8);
    CHECK(picture.transfer.srgb);
    REQUIRE(picture.samples.size() == rgb.size());
    for (std::size_t i = 0; i < rgb.size(); ++i) REQUIRE(picture.samples[i] == rgb[i] * 257);
    CHECK(*picture.width_mm == Approx(34));
    CHECK(*picture.height_mm == Approx(18));
    CHECK(chunk(file, "tEXt") == std::string("Title\0Lighthouse", 16));
    // Beyond ASCII: keyword, two flags, language, translated keyword, text in UTF-8.
    CHECK(chunk(file, "iTXt") == std::string("Comment\0\0\0\0\0", 12) + "Höhe 2 mm");
    CHECK_FALSE(chunk(file, "sRGB").empty());
}

TEST_CASE("16-bit grey comes back to the last bit") {
    const auto grey = made::noise(23 * 8, 65535);
    const auto picture = made::read(burin::write_png_grey16(grey, 23, 8, 0, {}));
    CHECK(picture.samples == grey);
    CHECK(picture.channels == 1);
    CHECK(picture.source_bits == 16);
    CHECK_FALSE(picture.width_mm);
}

TEST_CASE("The same picture gives the same bytes") {
    const auto rgb = made::noise8(40 * 30 * 3);
    CHECK(burin::write_png_rgb(rgb, 40, 30, 10, {{"a", "b"}}) == burin::write_png_rgb(rgb, 40, 30, 10, {{"a", "b"}}));
}

TEST_CASE("Samples that do not fill the picture are refused") {
    const auto rgb = made::noise8(10);
    CHECK_THROWS_AS(burin::write_png_rgb(rgb, 2, 2, 0, {}), burin::Error);
    CHECK_THROWS_AS(burin::write_png_rgb({}, 0, 0, 0, {}), burin::Error);
    const auto full = made::noise8(12);
    CHECK_THROWS_AS(burin::write_png_rgb(full, 2, 2, 0, {{"", "a key has 1 to 79 letters"}}), burin::Error);
}
