// JPEG. Sources: ITU-T T.81 and T.871 (JFIF density), CIPA DC-008 (EXIF), ITU-T T.872 6.5.3 (Adobe marker).
#include <algorithm>
#include <cstdlib>

#include "check.hpp"
#include "made.hpp"

using made::Samples;

namespace {

/// Smooth, so that quality 100 keeps it to a step or two: red grows to the right, green downwards, blue falls.
std::vector<std::uint8_t> gradient(int width, int height, int channels) {
    std::vector<std::uint8_t> out;
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            const int values[] = {255 * x / std::max(1, width - 1), 255 * y / std::max(1, height - 1),
                                  255 - 255 * x / std::max(1, width - 1), 40};
            for (int c = 0; c < channels; ++c) out.push_back(static_cast<std::uint8_t>(values[c]));
        }
    return out;
}

int largest_difference(const Samples& samples, const std::vector<std::uint8_t>& expected) {
    REQUIRE(samples.size() == expected.size());
    int most = 0;
    for (std::size_t i = 0; i < samples.size(); ++i) most = std::max(most, std::abs(samples[i] / 257 - expected[i]));
    return most;
}

}  // namespace

TEST_CASE("JPEG, grey and colour, baseline and progressive") {
    for (const int channels : {1, 3})
        for (const bool progressive : {false, true}) {
            CAPTURE(channels, progressive);
            made::Jpeg how{67, 41, channels};
            how.progressive = progressive;
            const auto samples = gradient(67, 41, channels);
            const auto picture = made::read(made::jpeg(how, samples));
            CHECK(picture.kind == "JPEG");
            CHECK(picture.width == 67);
            CHECK(picture.height == 41);
            CHECK(picture.channels == channels);
            CHECK(picture.source_bits == 8);
            CHECK(picture.alpha.empty());
            CHECK(picture.notes.empty());
            // Quality 100 rounds the cosine coefficients to whole numbers, YCbCr to whole steps: 3 of 255 at most.
            CHECK(largest_difference(picture.samples, samples) <= 3);
            for (const auto v : picture.samples) REQUIRE(v % 257 == 0);
        }
}

TEST_CASE("JPEG of four inks, with and without the Adobe marker") {
    // Without the marker the samples are ink, with it 255 − ink; the light left is (1 − c)(1 − k).
    const int cyan = 200, magenta = 90, yellow = 0, black = 51;
    std::vector<std::uint8_t> rgb_expected, ink, bare;
    for (int i = 0; i < 64; ++i) {
        for (const int v : {cyan, magenta, yellow}) rgb_expected.push_back(static_cast<std::uint8_t>((255 - v) * (255 - black) / 255));
        for (const int v : {cyan, magenta, yellow, black}) {
            ink.push_back(static_cast<std::uint8_t>(v));
            bare.push_back(static_cast<std::uint8_t>(255 - v));
        }
    }
    for (const bool adobe : {false, true}) {
        CAPTURE(adobe);
        made::Jpeg how{8, 8, 4};
        how.adobe = adobe;
        const auto picture = made::read(made::jpeg(how, adobe ? bare : ink));
        CHECK(picture.channels == 3);
        CHECK(largest_difference(picture.samples, rgb_expected) <= 1);
        REQUIRE(picture.notes.size() == 1);
        CHECK_THAT(picture.notes[0], ContainsSubstring("CMYK"));
    }
}

TEST_CASE("JPEG: all eight orientations of EXIF, in both byte orders") {
    // A dark left half, a light right half and a mid-grey bottom half on a picture of 32 × 16: after turning, the corners
    // must be where CIPA DC-008 says that stored row 0 and column 0 lie.
    const int w = 32, h = 16;
    std::vector<std::uint8_t> samples;
    for (int y = 0; y < h; ++y)
        for (int x = 0; x < w; ++x) samples.push_back(static_cast<std::uint8_t>((x < w / 2 ? 20 : 120) + (y < h / 2 ? 0 : 60)));
    // Stored corners: top left 20, top right 120, bottom left 80, bottom right 180.
    struct Corners {
        int top_left, top_right, bottom_left, bottom_right;
    };
    const Corners expected[] = {{20, 120, 80, 180}, {120, 20, 180, 80}, {180, 80, 120, 20}, {80, 180, 20, 120},
                                {20, 80, 120, 180}, {80, 20, 180, 120}, {180, 120, 80, 20}, {120, 180, 20, 80}};
    for (int orientation = 1; orientation <= 8; ++orientation)
        for (const bool big_endian : {false, true}) {
            CAPTURE(orientation, big_endian);
            made::Jpeg how{w, h, 1};
            how.exif = made::exif(orientation, 254, big_endian);
            how.density_unit = 0;
            const auto p = made::read(made::jpeg(how, samples));
            const bool turned = orientation >= 5;
            REQUIRE(p.width == (turned ? h : w));
            REQUIRE(p.height == (turned ? w : h));
            const auto at = [&](int x, int y) { return p.samples[static_cast<std::size_t>(y * p.width + x)] / 257; };
            const Corners& e = expected[orientation - 1];
            CHECK(std::abs(at(0, 0) - e.top_left) <= 2);
            CHECK(std::abs(at(p.width - 1, 0) - e.top_right) <= 2);
            CHECK(std::abs(at(0, p.height - 1) - e.bottom_left) <= 2);
            CHECK(std::abs(at(p.width - 1, p.height - 1) - e.bottom_right) <= 2);
            // 254 pixels an inch are 10 a mm; the size turns with the picture.
            REQUIRE(p.width_mm);
            CHECK(*p.width_mm == Approx(turned ? 1.6 : 3.2));
            CHECK(*p.height_mm == Approx(turned ? 3.2 : 1.6));
        }
}

TEST_CASE("JPEG: density of JFIF in dots per inch and per centimetre") {
    made::Jpeg how{100, 50, 1};
    const auto samples = gradient(100, 50, 1);
    CHECK_FALSE(made::read(made::jpeg(how, samples)).width_mm);
    how.density_unit = 1;
    how.density_x = how.density_y = 200;
    CHECK(*made::read(made::jpeg(how, samples)).width_mm == Approx(12.7));
    how.density_unit = 2;
    CHECK(*made::read(made::jpeg(how, samples)).width_mm == Approx(5));
    CHECK(*made::read(made::jpeg(how, samples)).height_mm == Approx(2.5));
    // 72 per inch in EXIF stands for "unknown" (CIPA DC-008 4.6.4).
    made::Jpeg unknown{100, 50, 1};
    unknown.exif = made::exif(1, 72);
    CHECK_FALSE(made::read(made::jpeg(unknown, samples)).width_mm);
}

TEST_CASE("JPEG cut off anywhere is refused, the last two bytes included") {
    for (const bool progressive : {false, true})
        for (const int channels : {1, 3, 4}) {
            made::Jpeg how{40, 24, channels};
            how.progressive = progressive;
            how.quality = 60;
            const std::string file = made::jpeg(how, made::noise8(static_cast<std::size_t>(40 * 24 * channels)));
            CAPTURE(progressive, channels);
            made::check_cut_off(file, 13);
        }
}

TEST_CASE("JPEG with bytes changed is read or refused with a sentence, never worse") {
    made::Jpeg how{40, 24, 3};
    how.exif = made::exif(6, 300);
    for (const bool progressive : {false, true}) {
        how.progressive = progressive;
        const std::string file = made::jpeg(how, made::noise8(40 * 24 * 3));
        std::size_t refused = 0;
        for (std::size_t at = 2; at < file.size(); at += at < 700 ? 1 : 7) {
            std::string damaged = file;
            damaged[at] = static_cast<char>(damaged[at] ^ 0x5A);
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

TEST_CASE("JPEG: a hole in the data is damage, a few stray bytes before the end are not") {
    made::Jpeg how{64, 64, 1};
    const std::string file = made::jpeg(how, made::noise8(64 * 64));
    std::string holed = file;
    std::fill(holed.begin() + static_cast<long>(file.size() / 2), holed.end() - 2, '\0');
    CHECK_THAT(made::refusal(holed), ContainsSubstring("damaged"));
    std::string stray = file;
    stray.insert(file.size() - 2, std::string(40, '\0'));
    const auto picture = made::read(stray);
    CHECK(picture.samples == made::read(file).samples);
    REQUIRE(picture.notes.size() == 1);
    CHECK_THAT(picture.notes[0], ContainsSubstring("stray bytes"));
}

TEST_CASE("JPEG headers that promise too much are refused at once") {
    const std::string file = made::jpeg({8, 8, 1}, std::vector<std::uint8_t>(64, 9));
    const std::size_t frame = file.find("\xFF\xC0");
    REQUIRE(frame != std::string::npos);
    const auto sized = [&](unsigned width, unsigned height) {
        std::string changed = file;
        const unsigned values[] = {height >> 8, height & 255U, width >> 8, width & 255U};
        for (std::size_t k = 0; k < 4; ++k) changed[frame + 5 + k] = static_cast<char>(values[k]);
        return changed;
    };
    CHECK_THAT(made::refusal(sized(60000, 60000)), ContainsSubstring("megapixels"));
    CHECK_THAT(made::refusal(sized(10000, 10000)), ContainsSubstring("ends too early"));
    CHECK_THAT(made::refusal(sized(0, 8)), ContainsSubstring("no pixels"));
    CHECK_THAT(made::refusal(sized(8, 0)), ContainsSubstring("no pixels"));
}
