// TIFF: what was put into a file comes out of it. Source of every expected value: TIFF 6.0.
#include <tiffio.h>

#include <cmath>

#include "check.hpp"
#include "made.hpp"

using made::Samples;

namespace {

constexpr int width = 37, height = 21;

std::uint16_t wide(std::uint16_t value, int bits) { return static_cast<std::uint16_t>(value * (65535U / ((1U << bits) - 1U))); }

struct Layout {
    bool planes, big_endian;
    int tile;
};
const std::vector<Layout> layouts{{false, false, 0}, {true, false, 0}, {false, true, 16}, {true, true, 16}};

made::Tiff with(const Layout& layout, int bits, int per_pixel, int photometric) {
    made::Tiff how{width, height, bits, per_pixel, photometric};
    how.planes = layout.planes;
    how.big_endian = layout.big_endian;
    how.tile_width = how.tile_height = layout.tile;
    return how;
}

}  // namespace

TEST_CASE("TIFF, grey and RGB, strips and tiles, planes, both byte orders") {
    for (const auto& layout : layouts)
        for (const int per_pixel : {1, 3})
            for (const int bits : {1, 2, 4, 8, 16}) {
                CAPTURE(layout.planes, layout.big_endian, layout.tile, per_pixel, bits);
                const Samples stored = made::noise(static_cast<std::size_t>(width * height * per_pixel), (1 << bits) - 1);
                const auto how = with(layout, bits, per_pixel, per_pixel == 3 ? PHOTOMETRIC_RGB : PHOTOMETRIC_MINISBLACK);
                const auto picture = made::read(made::tiff(how, stored));
                CHECK(picture.kind == "TIFF");
                CHECK(picture.width == width);
                CHECK(picture.height == height);
                REQUIRE(picture.channels == per_pixel);
                CHECK(picture.source_bits == bits);
                CHECK(picture.notes.empty());
                REQUIRE(picture.samples.size() == stored.size());
                for (std::size_t i = 0; i < stored.size(); ++i) REQUIRE(picture.samples[i] == wide(stored[i], bits));
            }
}

TEST_CASE("TIFF with each lossless packing gives the same samples") {
    for (const int bits : {1, 8, 16})
        for (const int compression : {COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE, COMPRESSION_PACKBITS, COMPRESSION_CCITTFAX4}) {
            if (compression == COMPRESSION_CCITTFAX4 && bits != 1) continue;
            CAPTURE(bits, compression);
            made::Tiff how{width, height, bits};
            how.compression = compression;
            const Samples stored = made::noise(width * height, (1 << bits) - 1);
            const auto picture = made::read(made::tiff(how, stored));
            REQUIRE(picture.samples.size() == stored.size());
            for (std::size_t i = 0; i < stored.size(); ++i) REQUIRE(picture.samples[i] == wide(stored[i], bits));
        }
}

TEST_CASE("TIFF where 0 is white") {
    for (const int bits : {1, 8, 16}) {
        made::Tiff how{2, 1, bits, 1, PHOTOMETRIC_MINISWHITE};
        CHECK(made::read(made::tiff(how, {0, 1})).samples == Samples{65535, static_cast<std::uint16_t>(65535 - wide(1, bits))});
    }
}

TEST_CASE("TIFF with a palette of 16 bits, and of 8 written into the low or the high byte") {
    // Filling in 8 bits of the 16 is common practice, no source; white must stay white.
    for (const int factor : {1, 256, 257}) {
        CAPTURE(factor);
        made::Tiff how{width, height, 4, 1, PHOTOMETRIC_PALETTE};
        const Samples narrow = made::noise(48, 255, 3);
        for (const auto v : narrow) how.palette.push_back(static_cast<std::uint16_t>(v * factor));
        const Samples indices = made::noise(width * height, 15);
        const auto picture = made::read(made::tiff(how, indices));
        REQUIRE(picture.channels == 3);
        for (std::size_t i = 0; i < indices.size(); ++i)
            for (std::size_t c = 0; c < 3; ++c) REQUIRE(picture.samples[3 * i + c] == narrow[16 * c + indices[i]] * 257);
    }
    made::Tiff wide_palette{1, 1, 4, 1, PHOTOMETRIC_PALETTE};
    wide_palette.palette = made::noise(48, 65535, 3);
    const auto picture = made::read(made::tiff(wide_palette, {5}));
    for (std::size_t c = 0; c < 3; ++c) CHECK(picture.samples[c] == wide_palette.palette[16 * c + 5]);
}

TEST_CASE("TIFF with transparency, apart and multiplied in") {
    for (const auto& layout : layouts)
        for (const int colours : {1, 3}) {
            CAPTURE(layout.planes, layout.tile, colours);
            const Samples stored = made::noise(static_cast<std::size_t>(width * height * (colours + 1)), 65535);
            auto how = with(layout, 16, colours + 1, colours == 3 ? PHOTOMETRIC_RGB : PHOTOMETRIC_MINISBLACK);
            how.extra = {EXTRASAMPLE_UNASSALPHA};
            const auto picture = made::read(made::tiff(how, stored));
            const std::size_t n = static_cast<std::size_t>(colours);
            REQUIRE(picture.alpha.size() == width * height);
            for (std::size_t i = 0; i < picture.alpha.size(); ++i) {
                REQUIRE(picture.alpha[i] == stored[(n + 1) * i + n]);
                for (std::size_t c = 0; c < n; ++c) REQUIRE(picture.samples[n * i + c] == stored[(n + 1) * i + c]);
            }
        }
    made::Tiff multiplied{3, 1, 8, 2};
    multiplied.extra = {EXTRASAMPLE_ASSOCALPHA};
    const auto picture = made::read(made::tiff(multiplied, {60, 120, 0, 0, 200, 255}));
    // 60 of 255 at an opacity of 120 of 255 is a colour of 60/120.
    CHECK(picture.samples == Samples{32768, 0, 200 * 257});
    CHECK(picture.alpha == Samples{120 * 257, 0, 65535});
}

TEST_CASE("TIFF of four inks") {
    made::Tiff how{1, 1, 16, 4, PHOTOMETRIC_SEPARATED};
    const auto picture = made::read(made::tiff(how, {65535, 0, 32768, 13107}));
    // The light left is (1 − ink)(1 − black), black 0.2: 0, 0.8, 0.5·0.8.
    REQUIRE(picture.channels == 3);
    CHECK(picture.samples[0] == 0);
    CHECK(picture.samples[1] == 52428);
    CHECK(picture.samples[2] == Approx(26214).margin(1));
}

TEST_CASE("TIFF with JPEG inside") {
    made::Tiff how{64, 32, 8, 3, PHOTOMETRIC_RGB};
    how.compression = COMPRESSION_JPEG;
    how.rows_per_strip = 16;
    Samples stored;
    for (int i = 0; i < 64 * 32; ++i)
        for (const int v : {i % 64 * 3, i / 64 * 6, 90}) stored.push_back(static_cast<std::uint16_t>(v));
    const auto picture = made::read(made::tiff(how, stored));
    double square = 0;
    for (std::size_t i = 0; i < stored.size(); ++i) square += std::pow(picture.samples[i] / 257.0 - stored[i], 2);
    CHECK(std::sqrt(square / static_cast<double>(stored.size())) < 4);
}

TEST_CASE("TIFF: orientation, resolution, further channels, further pages") {
    made::Tiff how{2, 1, 8};
    how.orientation = ORIENTATION_BOTRIGHT;
    how.resolution_x = how.resolution_y = 254;
    auto picture = made::read(made::tiff(how, {1, 2}));
    CHECK(picture.samples == Samples{2 * 257, 257});
    CHECK(*picture.width_mm == Approx(0.2));
    CHECK(*picture.height_mm == Approx(0.1));
    how.orientation = ORIENTATION_RIGHTTOP;  // a quarter turn: row 0 is the right side
    how.unit = RESUNIT_CENTIMETER;
    picture = made::read(made::tiff(how, {1, 2}));
    CHECK(picture.width == 1);
    CHECK(picture.height == 2);
    CHECK(picture.samples == Samples{257, 2 * 257});
    CHECK(*picture.height_mm == Approx(2 / 25.4));
    how.unit = RESUNIT_NONE;
    CHECK_FALSE(made::read(made::tiff(how, {1, 2})).width_mm);

    made::Tiff further{1, 1, 8, 4, PHOTOMETRIC_RGB};
    further.extra = {EXTRASAMPLE_UNSPECIFIED};
    further.pages = 2;
    picture = made::read(made::tiff(further, {1, 2, 3, 4}));
    CHECK(picture.samples == Samples{257, 2 * 257, 3 * 257});
    CHECK(picture.alpha.empty());
    REQUIRE(picture.notes.size() == 2);
    CHECK_THAT(picture.notes[0], ContainsSubstring("channels beyond"));
    CHECK_THAT(picture.notes[1], ContainsSubstring("several pictures"));
}

TEST_CASE("TIFF: a preview before the picture is passed over") {
    made::Tiff how{2, 1, 8};
    how.preview_first = true;
    how.pages = 2;
    const auto picture = made::read(made::tiff(how, {7, 8}));
    CHECK(picture.samples == Samples{7 * 257, 8 * 257});
    CHECK(picture.notes.empty());
    how.pages = 1;
    CHECK_THAT(made::refusal(made::tiff(how, {7, 8})), ContainsSubstring("nothing but a small preview"));
}

TEST_CASE("TIFF cut off anywhere is refused") {
    for (const int compression : {COMPRESSION_NONE, COMPRESSION_LZW, COMPRESSION_ADOBE_DEFLATE, COMPRESSION_CCITTFAX4}) {
        made::Tiff how{width, height, compression == COMPRESSION_CCITTFAX4 ? 1 : 8};
        how.compression = compression;
        const std::string file = made::tiff(how, made::noise(width * height, compression == COMPRESSION_CCITTFAX4 ? 1 : 255));
        CAPTURE(compression);
        made::check_cut_off(file, 3, "lighthouse");
    }
}

TEST_CASE("TIFF with any byte changed is read or refused with a sentence, never worse") {
    for (const int tile : {0, 16}) {
        made::Tiff how{width, height, 8, 4, PHOTOMETRIC_RGB};
        how.extra = {EXTRASAMPLE_ASSOCALPHA};
        how.compression = COMPRESSION_LZW;
        how.tile_width = how.tile_height = tile;
        how.planes = tile > 0;
        const std::string file = made::tiff(how, made::noise(width * height * 4, 3));
        std::size_t refused = 0;
        for (std::size_t at = 0; at < file.size(); ++at)
            for (const int flip : {0x01, 0x80}) {
                std::string damaged = file;
                damaged[at] = static_cast<char>(damaged[at] ^ flip);
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

TEST_CASE("TIFF that is not read says why") {
    made::Tiff how{width, height, 16};
    how.sample_format = SAMPLEFORMAT_INT;
    CHECK_THAT(made::refusal(made::tiff(how, Samples(width * height))), ContainsSubstring("signed"));
    made::Tiff wide_samples{16, 1, 32};
    wide_samples.sample_format = SAMPLEFORMAT_IEEEFP;
    CHECK_THAT(made::refusal(made::tiff(wide_samples, Samples(32))), ContainsSubstring("floating-point"));
    CHECK_THAT(made::refusal(made::tiff({width, height, 8}, Samples(width * height)), {1e-4}), ContainsSubstring("megapixels"));
}
