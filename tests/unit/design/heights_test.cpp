#include "burin/design/heights.hpp"

#include <array>
#include <numbers>
#include <random>
#include <string>

#include "burin/design/cells.hpp"
#include "check.hpp"
#include "pictures.hpp"

using namespace burin;
using namespace pictures;

namespace {

const std::array kinds = {HeightsKind::map, HeightsKind::tone, HeightsKind::sculpt, HeightsKind::dome, HeightsKind::transmit};

bool mentions(const std::vector<std::string>& sentences, const std::string& word) {
    return std::any_of(sentences.begin(), sentences.end(), [&](const std::string& s) { return s.find(word) != std::string::npos; });
}

Fault fault_of(const Picture& p, const HeightsWishes& w) {
    try {
        (void)make_heights(p, w, hands(1));
    } catch (const Error& e) {
        CHECK(std::string(e.what()).size() > 30);  // a sentence
        return e.fault();
    }
    return Fault::usage;
}

double mean_difference(const HeightMap& a, const HeightMap& b) {
    double sum = 0;
    for (std::size_t k = 0; k < a.size(); ++k) sum += std::abs(static_cast<double>(a.values()[k]) - b.values()[k]);
    return sum / static_cast<double>(a.size());
}

}  // namespace

TEST_CASE("A map of heights is exact: v × depth − depth") {
    std::mt19937 random(21);
    Picture p = grey(
        300, 200, [&](double, double) { return static_cast<double>(random() % 65536) / 65535; }, 16);
    HeightsWishes w = wishes(HeightsKind::map, 30, 20);
    w.depth = 3.7;
    const HeightMap heights = make_heights(p, w, hands(2)).heights;
    REQUIRE(heights.width() == 300);
    REQUIRE(heights.height() == 200);
    CHECK(heights.cell() == 0.1);
    for (int j = 0; j < 200; ++j)
        for (int i = 0; i < 300; ++i) {
            const double v = p.samples[static_cast<std::size_t>((199 - j) * 300 + i)] / 65535.0;
            CHECK(heights(i, j) == Approx(v * 3.7 - 3.7).margin(1e-5));  // source: white the stock top, black the depth, linear
        }
}

TEST_CASE("Width and height are made whole cells") {
    const Picture p = grey(
        100, 80, [](double x, double) { return x; }, 16);
    const HeightMap heights = make_heights(p, wishes(HeightsKind::map, 7.26, 5.84), hands(1)).heights;
    CHECK(heights.width() == 73);
    CHECK(heights.height() == 58);
}

TEST_CASE("A colour picture as a map takes the BT.709 sum of its coded values and warns") {
    Picture p;
    p.width = 2;
    p.height = 1;
    p.channels = 3;
    p.samples = {sample(0.8), sample(0.4), sample(0.2), sample(0.1), sample(0.1), sample(0.1)};
    HeightsWishes w = wishes(HeightsKind::map, 0.2, 0.1);
    const DesignHeights d = make_heights(p, w, hands(1));
    CHECK(d.heights(0, 0) == Approx((0.2126 * 0.8 + 0.7152 * 0.4 + 0.0722 * 0.2) * 2 - 2).margin(1e-4));  // source: ITU-R BT.709
    CHECK(mentions(d.warnings, "colour"));
    const DesignHeights plain = make_heights(grey(9, 9, [](double x, double) { return x; }), wishes(HeightsKind::map, 0.9, 0.9), hands(1));
    CHECK(plain.warnings.empty());
}

TEST_CASE("Tone carves lightness between the levels asked for") {
    // L* of the light 0.18419 is 50 (ISO/CIE 11664-4): half the depth.
    const Picture p = grey(
        30, 10, [](double x, double) { return x < 0.33   ? 0.0
                                              : x < 0.66 ? coded(0.18419)
                                                         : 1.0; }, 16);
    HeightsWishes w = wishes(HeightsKind::tone, 3, 1);
    w.black = 0;
    w.white = 100;
    const HeightMap heights = make_heights(p, w, hands(1)).heights;
    CHECK(heights(2, 5) == Approx(-2).margin(1e-4));
    CHECK(heights(15, 5) == Approx(-1).margin(1e-3));
    CHECK(heights(28, 5) == Approx(0).margin(1e-4));
    w.gamma = 2;
    CHECK(make_heights(p, w, hands(1)).heights(15, 5) == Approx(0.25 * 2 - 2).margin(1e-3));  // source: 0.5²
    w.gamma = 1;
    w.invert = true;
    CHECK(make_heights(p, w, hands(1)).heights(2, 5) == Approx(0).margin(1e-4));
}

TEST_CASE("Levels are percentiles of the cells") {
    // Light that gives L* = 100 x: percentiles of x are x (definition of a percentile).
    const auto light = [](double l) { return l > 0.08 ? std::pow((l * 100 + 16) / 116, 3) : l * 100 / 903.2963; };
    const Picture p = grey(
        1000, 4, [&](double x, double) { return coded(light(x)); }, 16);
    HeightsWishes w = wishes(HeightsKind::tone, 100, 0.4);
    w.black = 10;
    w.white = 80;
    const DesignHeights d = make_heights(p, w, hands(1));
    for (int i = 0; i < 1000; ++i) {
        const double x = (i + 0.5) / 1000;
        CHECK(d.heights(i, 1) == Approx(std::clamp((x - 0.1) / 0.7, 0.0, 1.0) * 2 - 2).margin(0.005));
    }
    CHECK(mentions(d.notes, "Levels"));
}

TEST_CASE("A thin drawing is not taken for blank") {
    const Picture p = grey(400, 400, [](double x, double) { return std::abs(x - 0.5) < 0.003 ? 0.0 : 1.0; });
    const DesignHeights d = make_heights(p, wishes(HeightsKind::tone, 40, 40), hands(1));
    CHECK(d.heights(199, 100) == Approx(-2).margin(1e-4));  // source: the darkest tone is the lowest point
    CHECK(d.heights(20, 100) == Approx(0).margin(1e-4));
}

TEST_CASE("Smoothing is in mm: two resolutions of a picture come out alike, and so do two sizes of cell") {
    const auto scene = [](double x, double y) {
        return 0.5 + 0.3 * std::tanh(40 * (std::hypot(x - 0.5, y - 0.5) - 0.3)) + 0.04 * std::sin(90 * x) * std::sin(90 * y);
    };
    for (const auto kind : {HeightsKind::tone, HeightsKind::sculpt}) {
        HeightsWishes w = wishes(kind, 40, 30);
        w.smooth = 0.8;
        const HeightMap low = make_heights(grey(400, 300, scene, 16), w, hands(2)).heights;
        const HeightMap high = make_heights(grey(1200, 900, scene, 16), w, hands(2)).heights;
        CHECK(mean_difference(low, high) < 0.005);  // source: the definition, in mm
        w.cell = 0.05;
        const HeightMap fine = make_heights(grey(1200, 900, scene, 16), w, hands(2)).heights;
        HeightMap mean = low.like(0.0F);
        for (int j = 0; j < mean.height(); ++j)
            for (int i = 0; i < mean.width(); ++i)
                mean(i, j) = (fine(2 * i, 2 * j) + fine(2 * i + 1, 2 * j) + fine(2 * i, 2 * j + 1) + fine(2 * i + 1, 2 * j + 1)) / 4;
        CHECK(mean_difference(high, mean) < 0.02);
        w.smooth = 0;
        w.cell = 0.1;
        // And it does smooth: without it the ripple stands.
        if (kind == HeightsKind::tone) CHECK(mean_difference(make_heights(grey(400, 300, scene, 16), w, hands(2)).heights, low) > 0.03);
    }
}

TEST_CASE("Detail strength scales what is small and leaves what is large") {
    const auto scene = [](double x, double) { return 0.5 + 0.02 * std::sin(2 * std::numbers::pi * x * 60); };  // a wave of 1 mm
    const auto ripple = [&](double detail) {
        HeightsWishes w = wishes(HeightsKind::map, 60, 30);
        w.detail = detail;
        const HeightMap heights = make_heights(grey(600, 300, scene, 16), w, hands(2)).heights;
        float low = 0, high = -9;
        for (int i = 200; i < 400; ++i) {
            low = std::min(low, heights(i, 150));
            high = std::max(high, heights(i, 150));
        }
        return std::pair(high - low, (high + low) / 2);
    };
    const auto [one, middle] = ripple(1);
    CHECK(one == Approx(0.08).epsilon(0.03));  // source: 2 × 0.02 × the depth of 2
    CHECK(ripple(3).first == Approx(3 * one).epsilon(0.1));
    CHECK(ripple(3).second == Approx(middle).margin(0.005));
    CHECK(ripple(0).first < 0.15 * one);
}

TEST_CASE("A plate against the light follows Beer-Lambert") {
    const Picture p = grey(
        40, 10,
        [](double x, double) {
            return coded(x < 0.25 ? 1.0 : x < 0.5 ? 0.5 : x < 0.75 ? 0.1 : 0.0);
        },
        16);
    HeightsWishes w = wishes(HeightsKind::transmit, 4, 1);
    w.black = 0;
    w.white = 100;
    w.mu_per_mm = 1.2;
    w.least_thickness = 0.8;
    w.most_thickness = 3;
    w.stock_thickness = 4;
    const DesignHeights d = make_heights(p, w, hands(1));
    // Source: Beer-Lambert, t = −ln(I/I₀)/μ, white wanting exp(−μ × least).
    const auto thickness = [&](double brightness) { return std::min(-std::log(brightness * std::exp(-1.2 * 0.8)) / 1.2, 3.0); };
    CHECK(d.heights(2, 5) == Approx(0.8 - 4).margin(1e-4));
    CHECK(d.heights(12, 5) == Approx(thickness(0.5) - 4).margin(1e-3));
    CHECK(d.heights(22, 5) == Approx(thickness(0.1) - 4).margin(1e-3));
    CHECK(d.heights(38, 5) == Approx(3 - 4).margin(1e-4));
    // The light through each part, seen the other way round.
    CHECK(std::exp(-1.2 * (d.heights(12, 5) + 4)) / std::exp(-1.2 * (d.heights(2, 5) + 4)) == Approx(0.5).margin(1e-3));
    w.mu_per_mm = 0;
    CHECK(mentions(make_heights(p, w, hands(1)).notes, "assumed"));
    w.most_thickness = 0.5;
    CHECK(fault_of(p, w) == Fault::refused);
}

TEST_CASE("The border can be blended up to the stock") {
    const Picture p = grey(
        200, 120, [](double x, double) { return x < 0.5 ? 0.0 : 0.2; }, 16);
    HeightsWishes w = wishes(HeightsKind::map, 20, 12);
    const HeightMap step = make_heights(p, w, hands(1)).heights;
    w.border_blend = 2;
    const HeightMap blended = make_heights(p, w, hands(1)).heights;
    CHECK(step(0, 60) == Approx(-2).margin(1e-5));
    for (int i = 0; i < 200; ++i) {
        // Source: the smooth step t²(3 − 2t), level at both ends, over the distance from the border.
        const double t = std::min((std::min(i, 199 - i) + 0.5) * 0.1 / 2, 1.0);
        CHECK(blended(i, 60) == Approx(step(i, 60) * t * t * (3 - 2 * t)).margin(1e-5));
    }
    CHECK(blended(0, 0) > -0.01);
    CHECK(blended(100, 119) > -0.01);
    CHECK(blended(50, 60) == step(50, 60));
}

TEST_CASE("Transparent parts leave the stock alone") {
    for (const auto kind : kinds) {
        INFO("kind " << static_cast<int>(kind));
        Picture p = grey(200, 200, [](double x, double y) { return std::hypot(x - 0.5, y - 0.4) < 0.2 ? 0.1 : 0.2 + 0.6 * y; });
        make_transparent(p, [](double x, double) { return x < 0.8; });
        HeightsWishes w = wishes(kind, 20, 20);
        w.steepest_deg = 70;
        const HeightMap heights = make_heights(p, w, hands(2)).heights;
        for (int j = 0; j < 200; ++j) {
            CHECK(heights(160, j) == 0);
            CHECK(heights(199, j) == 0);
        }
        CHECK(heights(100, 80) != heights(100, 10));
    }
    Picture gone = grey(20, 20, [](double x, double) { return x; });
    make_transparent(gone, [](double, double) { return false; });
    for (const auto kind : kinds) CHECK(fault_of(gone, wishes(kind, 20, 20)) == Fault::refused);
}

TEST_CASE("Slopes can be limited, by lowering only") {
    const Picture p = grey(200, 100, [](double x, double) { return x < 0.5 ? 0.0 : 1.0; });
    HeightsWishes w = wishes(HeightsKind::map, 20, 10);
    const HeightMap wall = make_heights(p, w, hands(1)).heights;
    w.steepest_deg = 60;
    const HeightMap laid = make_heights(p, w, hands(1)).heights;
    const double rise = std::tan(std::numbers::pi / 3) * 0.1;
    for (int i = 0; i < 200; ++i) {
        CHECK(laid(i, 50) == Approx(i < 100 ? -2 : std::min(0.0, -2 + (i - 99) * rise)).margin(1e-5));  // source: tan of the angle
        CHECK(laid(i, 50) <= wall(i, 50));
    }
}

TEST_CASE("Blank pictures are refused, nearly blank ones warned of") {
    const Picture white = grey(50, 40, [](double, double) { return 1.0; }), middle = grey(50, 40, [](double, double) { return 0.4; });
    for (const auto kind : kinds) {
        INFO("kind " << static_cast<int>(kind));
        CHECK(fault_of(white, wishes(kind, 10, 8)) == Fault::refused);
        if (kind != HeightsKind::map) CHECK(fault_of(middle, wishes(kind, 10, 8)) == Fault::refused);
    }
    const Picture faint = grey(50, 40, [](double x, double) { return 0.5 + 0.02 * x; });
    for (const auto kind : {HeightsKind::map, HeightsKind::tone, HeightsKind::sculpt})
        CHECK(mentions(make_heights(faint, wishes(kind, 10, 8), hands(1)).warnings, "nearly blank"));
}

TEST_CASE("Whatever the picture, heights lie between the stock top and the depth") {
    for (unsigned seed = 1; seed <= 40; ++seed) {
        INFO("seed " << seed);
        std::mt19937 random(seed);
        const auto draw = [&](double lo, double hi) { return lo + (hi - lo) * static_cast<double>(random()) / 4294967295.0; };
        const int width = 3 + static_cast<int>(random() % 90), height = 3 + static_cast<int>(random() % 90);
        const bool blocks = random() % 2 == 0;
        Picture p = grey(
            width, height,
            [&](double x, double y) { return blocks ? (x + 0.3 * y > 0.6 ? 0.9 : 0.1) : static_cast<double>(random() % 1000) / 999; },
            random() % 2 ? 8 : 16);
        if (random() % 3 == 0) make_transparent(p, [&](double x, double y) { return x + y < 1.3; });
        HeightsWishes w = wishes(kinds[random() % kinds.size()], draw(4, 12), draw(4, 12), draw(0.05, 0.4));
        w.depth = draw(0.2, 6);
        w.invert = random() % 2 == 0;
        w.gamma = draw(0.4, 2.5);
        w.smooth = random() % 2 ? draw(0, 1) : 0;
        w.detail = draw(0, 4);
        w.border_blend = random() % 3 == 0 ? draw(0, 8) : 0;
        w.steepest_deg = random() % 3 == 0 ? draw(20, 89) : 90;
        w.dome_limit = random() % 2 ? draw(0.1, 3) : 0;
        const HeightMap heights = make_heights(p, w, hands(1 + static_cast<int>(random() % 3))).heights;
        CHECK(heights.width() == std::lround(w.width / w.cell));
        CHECK(heights.height() == std::lround(w.height / w.cell));
        const double deepest = w.kind == HeightsKind::transmit ? w.stock_thickness - w.least_thickness : w.depth;
        for (const float h : heights.values()) {
            CHECK(h <= 0);
            CHECK(h >= static_cast<float>(-deepest) - 1e-6F);
        }
    }
}

TEST_CASE("Heights are the same bytes on any number of threads") {
    const Picture p = grey(700, 500, [](double x, double y) { return 0.5 + 0.4 * std::sin(30 * x * y) * std::cos(9 * x); });
    for (const auto kind : kinds) {
        INFO("kind " << static_cast<int>(kind));
        HeightsWishes w = wishes(kind, 61, 47);
        w.smooth = 0.3;
        w.detail = 1.5;
        w.steepest_deg = 80;
        w.border_blend = 1;
        const HeightMap one = make_heights(p, w, hands(1)).heights;
        CHECK(one == make_heights(p, w, hands(2)).heights);
        CHECK(one == make_heights(p, w, hands(5)).heights);
    }
}

TEST_CASE("A stopped crew stops") {
    std::atomic<bool> stop = true;
    Crew crew;
    crew.stop = &stop;
    REQUIRE_THROWS_AS(make_heights(grey(9, 9, [](double x, double) { return x; }), wishes(HeightsKind::tone, 9, 9), crew), Error);
}
