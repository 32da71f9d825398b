/// Contours against a slow, obvious reference and against figures known on paper.
#include "../../../src/design/contour.hpp"

#include <numbers>
#include <random>

#include "../../../src/design/ink.hpp"
#include "burin/base/error.hpp"
#include "check.hpp"
#include "drawings.hpp"

using namespace burin;
using namespace pictures;

namespace {

/// Waves of random direction, smooth over some pixels.
Grid<float> waves(int w, int h, unsigned seed, double length) {
    std::mt19937 numbers(seed);
    const auto random = [&] { return static_cast<double>(numbers()) / 4294967296.0; };
    std::vector<std::array<double, 3>> all;
    for (int k = 0; k < 12; ++k) {
        const double a = 2 * std::numbers::pi * random(), f = 2 * std::numbers::pi / (length * (1 + random()));
        all.push_back({f * std::cos(a), f * std::sin(a), 7 * random()});
    }
    Grid<float> field(w, h, 1);
    for (int j = 0; j < h; ++j)
        for (int i = 0; i < w; ++i) {
            double sum = 0.5;
            for (const auto& [x, y, phase] : all) sum += 0.12 * std::sin(x * i + y * j + phase);
            field(i, j) = static_cast<float>(sum);
        }
    return field;
}

/// How often the lines wind round a place.
int winding(const Contours& contours, double x, double y) {
    int sum = 0;
    for (const Outline& line : contours.outlines)
        for (std::size_t k = 0; k < line.count; ++k) {
            const Point &a = contours.points[line.first + k], &b = contours.points[line.first + (k + 1) % line.count];
            if ((a.y > y) == (b.y > y) || a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x) < x) continue;
            sum += b.y > a.y ? 1 : -1;
        }
    return sum;
}

}  // namespace

TEST_CASE("Contours part ink from paper, ink on their left, and nest") {
    // Sizes around the 64 pixels of a word.
    for (const auto& [w, h, seed, length] :
         {std::array{70, 50, 1, 9}, {62, 40, 2, 5}, {63, 40, 3, 4}, {64, 33, 4, 6}, {130, 20, 5, 4}, {1, 9, 6, 3}, {9, 1, 7, 3}}) {
        CAPTURE(w, h, seed);
        const Grid<float> field = waves(w, h, static_cast<unsigned>(seed), length);
        const Contours contours = contours_of(field, 0.5F, hands(1));
        // Source: definition; a line around ink winds once, a hole's takes that away again. Centres lie off the lines.
        int wrong = 0;
        for (int j = 0; j < h; ++j)
            for (int i = 0; i < w; ++i) wrong += winding(contours, i + 0.5 + 1e-7, j + 0.5 + 1e-7) != (field(i, j) >= 0.5F ? 1 : 0);
        // A pixel within 10⁻⁷ of the level may go either way.
        CHECK(wrong <= 1);
        std::size_t counted = 0;
        for (std::size_t k = 0; k < contours.outlines.size(); ++k) {
            const Outline& line = contours.outlines[k];
            counted += line.count;
            CHECK(line.hole == (line.area < 0));
            if (line.parent < 0) {
                CHECK_FALSE(line.hole);
                continue;
            }
            REQUIRE(static_cast<std::size_t>(line.parent) < k);
            const Outline& around = contours.outlines[static_cast<std::size_t>(line.parent)];
            CHECK(around.hole != line.hole);
            Contours alone;
            alone.points.assign(contours.points.begin() + static_cast<std::ptrdiff_t>(around.first),
                                contours.points.begin() + static_cast<std::ptrdiff_t>(around.first + around.count));
            alone.outlines = {around};
            alone.outlines[0].first = 0;
            const Point& p = contours.points[line.first];
            CHECK(winding(alone, p.x + 1e-9, p.y + 1e-9) == (around.hole ? -1 : 1));
        }
        CHECK(counted == crossings_of(field, 0.5F, hands(1)));
        CHECK(contours_of(field, 0.5F, hands(3)).points == contours.points);
    }
}

TEST_CASE("Straight edges are placed exactly") {
    // Source: the figure. Ink below a line of slope 0.4 and of slope 2.5; the picture's own border is left out.
    for (const double slope : {0.0, 0.1, 0.4, 0.95, 2.5, 30.0}) {
        CAPTURE(slope);
        const Loop half{{0, -2000}, {60, -2000}, {60, 30.2 + slope * 30}, {0, 30.2 - slope * 30}};
        const std::vector<double> ink = drawings::coverage({half}, 60, 1, 60, 60);
        Grid<float> field(60, 60, 1);
        for (int j = 0; j < 60; ++j)
            for (int i = 0; i < 60; ++i) field(i, j) = static_cast<float>(ink[static_cast<std::size_t>((59 - j) * 60 + i)]);
        const Contours contours = contours_of(field, 0.5F, hands(1));
        double most = 0;
        for (std::size_t k = 0; k < contours.points.size(); ++k) {
            const Point& p = contours.points[k];
            if (contours.marks[k] & askew || std::min({p.x, p.y, 60 - p.x, 60 - p.y}) < 5) continue;
            most = std::max(most, std::abs(p.y - 30.2 - slope * (p.x - 30)) / std::hypot(1, slope));
        }
        // The coverage is summed over 64 lines a pixel.
        CHECK(most < 0.01);
    }
}

TEST_CASE("Noise is refused before memory is taken for it") {
    Grid<float> field(4000, 1600, 1);
    std::mt19937 numbers(1);
    for (float& v : field.values()) v = static_cast<float>(numbers() % 2);
    CHECK(crossings_of(field, 0.5F, hands(2)) > most_crossings);
    CHECK_THROWS_AS(contours_of(field, 0.5F, hands(2)), Error);
}

TEST_CASE("Otsu's threshold parts two tones in the middle of what lies between") {
    HeightMap map(100, 100, 1);
    for (std::size_t k = 0; k < map.size(); ++k) map.values()[k] = k % 5 == 0 ? 0.2F : 0.8F;
    // Source: definition; every value between both tones parts them equally well.
    CHECK(otsu_threshold(histogram_of(map, hands(2))) == Approx(0.5).margin(0.001));
    CHECK(quantile(histogram_of(map, hands(1)), 0, histogram_bins - 1, 0.1) == Approx(0.2).margin(0.0005));
    CHECK(quantile(histogram_of(map, hands(1)), 0, histogram_bins - 1, 0.5) == Approx(0.8).margin(0.0005));
}
