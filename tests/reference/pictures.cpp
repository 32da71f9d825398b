// Our readers beside Pillow's, on every picture that pictures.py wrote. Source of every expected sample: Pillow.
#include <algorithm>
#include <charconv>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>

#include "burin/picture/picture.hpp"
#include "check.hpp"

namespace {

const std::filesystem::path folder = BURIN_REFERENCE;

std::string content_of(const std::string& name) {
    std::ifstream in(folder / name, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

struct Expected {
    std::string file, kind;
    int width, height, channels, alpha, bits, tolerance;
    double width_mm;
    std::string raw;
};

std::vector<Expected> expectations() {
    std::istringstream lines(content_of("expected.txt"));
    lines.imbue(std::locale::classic());
    std::vector<Expected> out;
    Expected e;
    while (lines >> e.file >> e.kind >> e.width >> e.height >> e.channels >> e.alpha >> e.bits >> e.tolerance >> e.width_mm >> e.raw)
        out.push_back(e);
    return out;
}

burin::Picture read(const std::string& file, const std::string& bytes) {
    return burin::read_picture({reinterpret_cast<const std::byte*>(bytes.data()), bytes.size()}, file);
}

/// The largest difference of any sample; colours under full transparency mean nothing and are passed over.
int largest_difference(const burin::Picture& p, const std::string& raw) {
    const std::size_t channels = static_cast<std::size_t>(p.channels), stride = channels + (p.alpha.empty() ? 0 : 1);
    const std::size_t pixels = static_cast<std::size_t>(p.width) * static_cast<std::size_t>(p.height);
    REQUIRE(raw.size() == pixels * stride * 2);
    std::vector<std::uint16_t> values(raw.size() / 2);
    for (std::size_t i = 0; i < values.size(); ++i)
        values[i] = static_cast<std::uint16_t>(static_cast<unsigned char>(raw[2 * i]) | static_cast<unsigned char>(raw[2 * i + 1]) << 8);
    int most = 0;
    for (std::size_t i = 0; i < pixels; ++i) {
        const bool clear = !p.alpha.empty() && p.alpha[i] == 0;
        for (std::size_t c = 0; c < channels && !clear; ++c)
            most = std::max(most, std::abs(p.samples[channels * i + c] - values[stride * i + c]));
        if (stride > channels) most = std::max(most, std::abs(p.alpha[i] - values[stride * i + channels]));
    }
    return most;
}

}  // namespace

TEST_CASE("Every picture that Pillow wrote is read as Pillow reads it") {
    std::map<std::string, int> seen;
    for (const auto& e : expectations()) {
        if (e.kind == "refused") continue;
        CAPTURE(e.file);
        const std::string bytes = content_of(e.file);
        const burin::Picture p = read(e.file, bytes);
        CHECK(p.kind == e.kind);
        REQUIRE(p.width == e.width);
        REQUIRE(p.height == e.height);
        REQUIRE(p.channels == e.channels);
        REQUIRE(p.alpha.empty() == (e.alpha == 0));
        CHECK(p.source_bits == e.bits);
        CHECK(largest_difference(p, content_of(e.raw)) <= e.tolerance);
        if (e.width_mm > 0) {
            REQUIRE(p.width_mm);
            CHECK(*p.width_mm == Approx(e.width_mm).epsilon(1e-4));
        }
        ++seen[e.kind];
    }
    CHECK(seen["PNG"] >= 30);
    CHECK(seen["JPEG"] >= 50);
    CHECK(seen["TIFF"] >= 40);
    CHECK(seen["WebP"] >= 20);
}

TEST_CASE("What is cut off or of another kind is refused with exit status 3") {
    int seen = 0;
    for (const auto& e : expectations()) {
        if (e.kind != "refused") continue;
        CAPTURE(e.file);
        const std::string bytes = content_of(e.file);
        try {
            (void)read(e.file, bytes);
            FAIL_CHECK("was read");
        } catch (const burin::Error& error) {
            CHECK(error.exit_status() == 3);
            CHECK_THAT(error.what(), ContainsSubstring(e.file));
        }
        ++seen;
    }
    CHECK(seen >= 80);
}
