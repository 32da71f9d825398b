// PNG: what was put into a file comes out of it, sample by sample. Source of every expected value: PNG (ISO/IEC 15948, W3C
// Recommendation); widening of n bits to 16 by 65535/(2^n − 1) is its 13.12.
#include <png.h>

#include <cstring>

#include "check.hpp"
#include "made.hpp"

using made::Samples;

namespace {

constexpr int width = 13, height = 11;

std::uint16_t wide(std::uint16_t value, int bits) { return static_cast<std::uint16_t>(value * (65535U / ((1U << bits) - 1U))); }

struct Split {
    Samples colours, alpha;
};
/// The stored samples as they must come out: alpha apart, all on 16 bits.
Split split(const Samples& stored, int per_pixel, bool alpha, int bits) {
    Split out;
    for (std::size_t i = 0; i < stored.size(); ++i) {
        const bool is_alpha = alpha && static_cast<int>(i) % per_pixel == per_pixel - 1;
        (is_alpha ? out.alpha : out.colours).push_back(wide(stored[i], bits));
    }
    return out;
}

}  // namespace

TEST_CASE("PNG of every colour type and depth, plain and interlaced") {
    struct Type {
        int colour_type, per_pixel;
        bool alpha;
        std::vector<int> depths;
    };
    const std::vector<Type> types{{PNG_COLOR_TYPE_GRAY, 1, false, {1, 2, 4, 8, 16}},
                                  {PNG_COLOR_TYPE_RGB, 3, false, {8, 16}},
                                  {PNG_COLOR_TYPE_GRAY_ALPHA, 2, true, {8, 16}},
                                  {PNG_COLOR_TYPE_RGB_ALPHA, 4, true, {8, 16}}};
    for (const auto& type : types)
        for (const int bits : type.depths)
            for (const bool interlaced : {false, true}) {
                CAPTURE(type.colour_type, bits, interlaced);
                const Samples stored = made::noise(static_cast<std::size_t>(width * height * type.per_pixel), (1 << bits) - 1);
                made::Png how{width, height, bits, type.colour_type, interlaced};
                const auto picture = made::read(made::png(how, stored));
                const Split expected = split(stored, type.per_pixel, type.alpha, bits);
                CHECK(picture.kind == "PNG");
                CHECK(picture.width == width);
                CHECK(picture.height == height);
                CHECK(picture.channels == (type.per_pixel >= 3 ? 3 : 1));
                CHECK(picture.source_bits == bits);
                CHECK(picture.samples == expected.colours);
                CHECK(picture.alpha == expected.alpha);
                CHECK(picture.transfer.srgb);
                CHECK_FALSE(picture.width_mm);
                CHECK(picture.notes.empty());
            }
}

TEST_CASE("PNG with a palette of every depth, with and without transparent entries") {
    for (const int bits : {1, 2, 4, 8})
        for (const bool clear : {false, true})
            for (const bool interlaced : {false, true}) {
                CAPTURE(bits, clear, interlaced);
                const std::size_t entries = std::size_t{1} << bits;
                made::Png how{width, height, bits, PNG_COLOR_TYPE_PALETTE, interlaced};
                how.palette = made::noise8(entries * 3, 5);
                if (clear) how.palette_alpha = {0, 128};
                Samples indices = made::noise(width * height, static_cast<int>(entries) - 1);
                indices.front() = 0;
                indices.back() = 1;
                const auto picture = made::read(made::png(how, indices));
                REQUIRE(picture.channels == 3);
                CHECK(picture.source_bits == 8);
                REQUIRE(picture.alpha.size() == (clear ? indices.size() : 0));
                for (std::size_t i = 0; i < indices.size(); ++i) {
                    for (std::size_t c = 0; c < 3; ++c) REQUIRE(picture.samples[3 * i + c] == how.palette[3 * indices[i] + c] * 257);
                    if (clear) REQUIRE(picture.alpha[i] == (indices[i] == 0 ? 0 : indices[i] == 1 ? 128 * 257 : 65535));
                }
            }
}

TEST_CASE("PNG with one colour that means transparent") {
    for (const int bits : {1, 2, 4, 8, 16}) {
        CAPTURE(bits);
        made::Png how{width, height, bits, PNG_COLOR_TYPE_GRAY};
        how.clear_grey = static_cast<std::uint16_t>(1);
        const Samples stored = made::noise(width * height, (1 << std::min(bits, 2)) - 1);
        const auto picture = made::read(made::png(how, stored));
        REQUIRE(picture.alpha.size() == stored.size());
        for (std::size_t i = 0; i < stored.size(); ++i) {
            REQUIRE(picture.samples[i] == wide(stored[i], bits));
            REQUIRE(picture.alpha[i] == (stored[i] == 1 ? 0 : 65535));
        }
    }
    for (const int bits : {8, 16}) {
        CAPTURE(bits);
        made::Png how{2, 1, bits, PNG_COLOR_TYPE_RGB};
        how.clear_rgb = {200, 100, 50};
        const auto picture = made::read(made::png(how, {200, 100, 50, 200, 100, 51}));
        CHECK(picture.alpha == Samples{0, 65535});
    }
}

TEST_CASE("PNG: alpha that is opaque everywhere is no transparency") {
    const made::Png how{2, 1, 8, PNG_COLOR_TYPE_GRAY_ALPHA};
    CHECK(made::read(made::png(how, {7, 255, 9, 255})).alpha.empty());
}

TEST_CASE("PNG: gAMA is the exponent from light to value; sRGB wins over it") {
    made::Png how{1, 1, 8, PNG_COLOR_TYPE_GRAY};
    how.file_gamma = 0.5;  // value = light^0.5, so light = value^2
    const auto squared = made::read(made::png(how, {128}));
    CHECK_FALSE(squared.transfer.srgb);
    CHECK(squared.transfer.gamma == Approx(2));
    how.file_gamma = 1;
    CHECK(made::read(made::png(how, {128})).transfer.gamma == Approx(1));
    how.file_gamma = 0.45455;
    how.srgb = true;
    CHECK(made::read(made::png(how, {128})).transfer.srgb);
}

TEST_CASE("PNG: pHYs gives the physical size") {
    made::Png how{30, 20, 8, PNG_COLOR_TYPE_GRAY};
    how.per_metre_x = how.per_metre_y = 10000;  // 10 pixels a mm
    const auto picture = made::read(made::png(how, Samples(600, 3)));
    REQUIRE(picture.width_mm);
    CHECK(*picture.width_mm == Approx(3));
    CHECK(*picture.height_mm == Approx(2));
    CHECK(picture.notes.empty());
    how.per_metre_y = 5000;
    const auto stretched = made::read(made::png(how, Samples(600, 3)));
    CHECK(*stretched.height_mm == Approx(4));
    REQUIRE(stretched.notes.size() == 1);
    CHECK_THAT(stretched.notes[0], ContainsSubstring("not square"));
}

#ifdef PNG_eXIf_SUPPORTED
TEST_CASE("PNG: the orientation of an eXIf chunk is applied") {
    made::Png how{3, 1, 8, PNG_COLOR_TYPE_GRAY};
    how.exif = made::exif(3);  // upside down
    CHECK(made::read(made::png(how, {1, 2, 3})).samples == Samples{3 * 257, 2 * 257, 257});
}
#endif

TEST_CASE("PNG cut off anywhere is refused") {
    for (const bool interlaced : {false, true}) {
        made::Png how{width, height, 8, PNG_COLOR_TYPE_RGB, interlaced};
        const std::string file = made::png(how, made::noise(width * height * 3, 255));
        CAPTURE(interlaced);
        CHECK_THAT(made::refusal(""), ContainsSubstring("is empty"));
        made::check_cut_off(file, 1);
    }
}

TEST_CASE("PNG with any byte changed is read or refused with a sentence, never worse") {
    made::Png how{width, height, 4, PNG_COLOR_TYPE_PALETTE, true};
    how.palette = made::noise8(48);
    how.palette_alpha = {0, 1, 2};
    how.exif = made::exif(6);
    const std::string file = made::png(how, made::noise(width * height, 15));
    const std::size_t image_data = file.find("IDAT"), length = static_cast<unsigned char>(file[image_data - 1]);
    REQUIRE(static_cast<unsigned char>(file[image_data - 2]) == 0);
    std::size_t refused = 0;
    for (std::size_t at = 8; at < file.size(); ++at) {
        std::string damaged = file;
        damaged[at] = static_cast<char>(damaged[at] ^ 0x15);
        try {
            (void)made::read(damaged);
        } catch (const burin::Error& error) {
            REQUIRE(error.exit_status() == 3);
            ++refused;
            continue;
        }
        // Each chunk carries a CRC: what is taken all the same cannot be the picture's data, of which none may be wrong.
        CAPTURE(at, image_data);
        REQUIRE_FALSE((at >= image_data && at < image_data + 4 + length + 4));
    }
    CHECK(refused > file.size() / 2);
}

TEST_CASE("PNG headers that promise too much are refused at once") {
    made::Png how{1, 1, 8, PNG_COLOR_TYPE_RGB};
    std::string file = made::png(how, {1, 2, 3});
    const auto put = [&](std::size_t at, std::uint32_t value) {
        for (std::size_t k = 0; k < 4; ++k) file[at + k] = static_cast<char>(value >> (24 - 8 * k) & 255U);
    };
    put(16, 20000);
    put(20, 20000);
    CHECK_THAT(made::refusal(file), ContainsSubstring("400 megapixels") && ContainsSubstring("at most 120"));
    CHECK_THAT(made::refusal(file, {1000}), ContainsSubstring("ends too early"));
    put(16, 0);
    CHECK_THAT(made::refusal(file), ContainsSubstring("no pixels"));
    put(16, 0xFFFFFFFF);
    put(20, 0xFFFFFFFF);
    CHECK_THAT(made::refusal(file, {1e30}), ContainsSubstring("megapixels"));
    // A limit is a limit for small pictures too.
    CHECK_THAT(made::refusal(made::png({width, height, 8, PNG_COLOR_TYPE_GRAY}, Samples(width * height)), {1e-4}),
               ContainsSubstring("13 × 11 pixels"));
}
