// Error diffusion beside Pillow's convert("1"), in the same order of cells. Source of every expected value: that library. It
// reckons in whole numbers that it cuts off and clips, and error diffusion carries each difference on; so single cells may
// differ, the tone around each place may not.
#include "burin/design/dither.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "check.hpp"

namespace {

std::vector<unsigned char> bytes_in(const std::string& name) {
    std::ifstream in(std::filesystem::path(BURIN_REFERENCE) / name, std::ios::binary);
    REQUIRE(in.good());
    return {std::istreambuf_iterator<char>(in), {}};
}

}  // namespace

TEST_CASE("Floyd and Steinberg's diffusion gives Pillow's tones, and most of its dots") {
    std::ifstream in(std::filesystem::path(BURIN_REFERENCE) / "expected.txt");
    constexpr int side = 32;  // of the squares whose tones are compared
    int w = 0, h = 0, cases = 0;
    for (std::string given, answer; in >> w >> h >> given >> answer; ++cases) {
        const auto grey = bytes_in(given), white = bytes_in(answer);
        REQUIRE(grey.size() == static_cast<std::size_t>(w * h));
        REQUIRE(white.size() == grey.size());
        const auto at = [w](int i, int j) { return static_cast<std::size_t>(j * w + i); };
        burin::Grid<float> darkness(w, h, 1);
        for (int j = 0; j < h; ++j)
            for (int i = 0; i < w; ++i) darkness(i, h - 1 - j) = 1 - static_cast<float>(grey[at(i, j)]) / 255.0F;
        const auto dots = burin::dithered(darkness, burin::Dither::floyd_steinberg, false);
        int same = 0;
        double worst = 0;
        for (int j = 0; j < h; ++j)
            for (int i = 0; i < w; ++i) same += (dots(i, h - 1 - j) != 0) != (white[at(i, j)] != 0) ? 1 : 0;
        for (int j = 0; j + side <= h; j += side / 2)
            for (int i = 0; i + side <= w; i += side / 2) {
                double sum = 0;
                for (int y = j; y < j + side; ++y)
                    for (int x = i; x < i + side; ++x) sum += dots(x, h - 1 - y) - (white[at(x, y)] != 0 ? 0 : 1);
                worst = std::max(worst, std::abs(sum) / (side * side));
            }
        const double share = static_cast<double>(same) / (w * h);
        INFO(given << ": " << share << " of the dots the same; means off by " << worst);
        CHECK(worst <= 0.015);
        CHECK(share > 0.6);  // strewn at random with the right tones, half of them agree
    }
    CHECK(cases == 3);
}
