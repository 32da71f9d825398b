// WebP: without loss every sample comes back (RFC 9649 section 3); with loss a smooth picture comes back nearly.
#include <cmath>

#include "check.hpp"
#include "made.hpp"

using made::Samples;

TEST_CASE("WebP without loss") {
    const int width = 19, height = 14;
    for (const int channels : {3, 4}) {
        CAPTURE(channels);
        auto stored = made::noise8(static_cast<std::size_t>(width * height * channels));
        // The encoder does not keep colours under alpha 0.
        for (std::size_t i = 3; channels == 4 && i < stored.size(); i += 4) stored[i] = std::max<std::uint8_t>(stored[i], 1);
        const auto picture = made::read(made::webp(width, height, channels, stored));
        CHECK(picture.kind == "WebP");
        CHECK(picture.width == width);
        CHECK(picture.height == height);
        CHECK(picture.source_bits == 8);
        REQUIRE(picture.channels == 3);
        REQUIRE(picture.alpha.size() == (channels == 4 ? width * height : 0));
        for (std::size_t i = 0; i < static_cast<std::size_t>(width * height); ++i) {
            const std::size_t n = static_cast<std::size_t>(channels);
            for (std::size_t c = 0; c < 3; ++c) REQUIRE(picture.samples[3 * i + c] == stored[n * i + c] * 257);
            if (channels == 4) REQUIRE(picture.alpha[i] == stored[n * i + 3] * 257);
        }
    }
}

TEST_CASE("WebP with loss keeps a smooth picture to a few steps") {
    std::vector<std::uint8_t> rgb;
    for (int y = 0; y < 48; ++y)
        for (int x = 0; x < 64; ++x)
            for (int c = 0; c < 3; ++c) rgb.push_back(static_cast<std::uint8_t>(40 + 2 * x + y));
    const auto picture = made::read(made::webp_lossy(64, 48, rgb, 95));
    double square = 0;
    for (std::size_t i = 0; i < rgb.size(); ++i) square += std::pow(picture.samples[i] / 257.0 - rgb[i], 2);
    CHECK(std::sqrt(square / static_cast<double>(rgb.size())) < 3);
}

TEST_CASE("WebP: orientation and resolution of its EXIF chunk are used") {
    const std::string simple = made::webp(2, 1, 3, {1, 1, 1, 9, 9, 9});
    for (const bool big_endian : {false, true}) {
        const auto picture = made::read(made::webp_with_exif(simple, 2, 1, made::exif(8, 254, big_endian)));  // a quarter turn to the left
        CHECK(picture.width == 1);
        CHECK(picture.height == 2);
        CHECK(picture.samples == Samples{9 * 257, 9 * 257, 9 * 257, 257, 257, 257});
        REQUIRE(picture.width_mm);
        CHECK(*picture.width_mm == Approx(0.1));
        CHECK(*picture.height_mm == Approx(0.2));
    }
}

TEST_CASE("WebP cut off anywhere is refused") {
    std::vector<std::uint8_t> rgb = made::noise8(32 * 24 * 3);
    for (const std::string& file : {made::webp(32, 24, 3, rgb), made::webp_lossy(32, 24, rgb, 50)}) made::check_cut_off(file, 5);
}

TEST_CASE("WebP with any byte changed is read or refused with a sentence, never worse") {
    const auto rgba = made::noise8(16 * 16 * 4);
    for (const std::string& file : {made::webp(16, 16, 4, rgba), made::webp_lossy(16, 16, rgba, 50)}) {
        std::size_t refused = 0;
        for (std::size_t at = 0; at < file.size(); ++at) {
            std::string damaged = file;
            damaged[at] = static_cast<char>(damaged[at] ^ 0x21);
            try {
                (void)made::read(damaged);
            } catch (const burin::Error& error) {
                REQUIRE(error.exit_status() == 3);
                ++refused;
            }
        }
        CHECK(refused > 0);
    }
}

TEST_CASE("WebP larger than the limit is refused") {
    CHECK_THAT(made::refusal(made::webp(16, 16, 3, made::noise8(768)), {2e-4}), ContainsSubstring("16 × 16 pixels"));
}
