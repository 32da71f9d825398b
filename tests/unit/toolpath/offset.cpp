// Offsets by the bit: cases known on paper, then random maps against the definition written out cell by cell.
#include "burin/toolpath/offset.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "check.hpp"

using namespace burin;

namespace {

const std::vector<const char*> bits{"flat:3.175",     "flat:1.0",           "ball:3.175",     "ball:1.0",    "vee:60:0.1:3.175",
                                    "vee:30:0.5:2.0", "taper:0.5:10:3.175", "bull:3.175:0.5", "bull:2.0:0.0"};

Crew hands(int threads) {
    Crew crew;
    crew.threads = threads;
    return crew;
}

/// Noise, boxes, slopes, spikes and holes.
HeightMap random_map(int width, int height, std::mt19937& random) {
    HeightMap map(width, height, 0.1, {-1.7, 2.3}, 0.F);
    std::uniform_real_distribution<float> depth(-3.F, 0.F), grain(-0.05F, 0.05F);
    std::uniform_int_distribution<int> i(0, width - 1), j(0, height - 1), size(1, 40);
    for (int n = 0; n < 25; ++n) {
        const int i0 = i(random), j0 = j(random), i1 = std::min(width, i0 + size(random)), j1 = std::min(height, j0 + size(random));
        const float z = depth(random), lean = 0.03F * depth(random);
        for (int y = j0; y < j1; ++y)
            for (int x = i0; x < i1; ++x) map(x, y) = z + lean * static_cast<float>(x - i0) + (n % 3 == 0 ? grain(random) : 0.F);
    }
    for (int n = 0; n < 30; ++n) map(i(random), j(random)) = depth(random);
    return map;
}

/// The most (sign 1) of map − rise, or the least (sign −1) of map + rise, over the cells closer than the bit's radius.
template <class Rise>
HeightMap by_definition(const HeightMap& map, double radius, const Rise& rise, float sign) {
    HeightMap out = map.like(0.F);
    const int reach = static_cast<int>(radius / map.cell()) + 1, wide = map.width(), high = map.height();
    std::vector<float> rises;
    for (int b = -reach; b <= reach; ++b)
        for (int a = -reach; a <= reach; ++a) {
            const double r = std::hypot(a, b) * map.cell();
            const bool under = r < radius - 1e-6 || (a == 0 && b == 0);
            rises.push_back(under ? static_cast<float>(rise(r)) : 1e9F);
        }
    for (int j = 0; j < high; ++j)
        for (int i = 0; i < wide; ++i) {
            float best = -1e9F;
            for (int b = std::max(-reach, -j); b <= std::min(reach, high - 1 - j); ++b)
                for (int a = std::max(-reach, -i); a <= std::min(reach, wide - 1 - i); ++a)
                    best = std::max(best,
                                    sign * map(i + a, j + b) - rises[static_cast<std::size_t>((b + reach) * (2 * reach + 1) + a + reach)]);
            out(i, j) = sign * best;
        }
    return out;
}

double largest_difference(const HeightMap& a, const HeightMap& b) {
    REQUIRE(a.size() == b.size());
    double most = 0;
    for (std::size_t k = 0; k < a.size(); ++k) most = std::max(most, std::abs(static_cast<double>(a.values()[k]) - b.values()[k]));
    return most;
}

}  // namespace

TEST_CASE("a single spike becomes the bit upside down") {
    // Source: dilation of a point by a structure is the reflected structure (Serra 1982, ch. XII): t − rise(r) within the
    // radius, the ground beyond.
    for (const char* name : bits) {
        const Bit bit = Bit::parse(name);
        HeightMap map(131, 90, 0.1, {}, -9.F);
        map(64, 47) = -0.25F;
        const HeightMap tips = offset_for(bit, map, hands(1));
        double differs = 0;
        for (int j = 0; j < map.height(); ++j)
            for (int i = 0; i < map.width(); ++i) {
                const double r = 0.1 * std::hypot(i - 64, j - 47);
                const double expected = r < bit.radius() - 1e-6 ? std::max(-9.0, -0.25 - bit.rise(r)) : -9;
                differs = std::max(differs, std::abs(static_cast<double>(tips(i, j)) - expected));
            }
        INFO(name);
        CHECK(differs < 1e-5);
    }
}

TEST_CASE("a single low place of the tip leaves the bit's shape") {
    // Source: erosion of a point, the adjoint of the above (Serra 1982, ch. XII).
    const Bit bit = Bit::parse("taper:0.5:10:3.175");
    HeightMap tips(60, 70, 0.1, {}, 1e6F);
    tips(31, 22) = -2.F;
    const HeightMap left = swept_by(bit, tips, hands(1));
    double differs = 0;
    float least_elsewhere = 1e9F;
    for (int j = 0; j < tips.height(); ++j)
        for (int i = 0; i < tips.width(); ++i)
            if (const double r = 0.1 * std::hypot(i - 31, j - 22); r < bit.radius() - 1e-6)
                differs = std::max(differs, std::abs(static_cast<double>(left(i, j)) - (-2 + bit.rise(r))));
            else
                least_elsewhere = std::min(least_elsewhere, left(i, j));
    CHECK(differs < 1e-5);
    CHECK(least_elsewhere > 1e5F);
}

TEST_CASE("over a slope the tip of a ball is lifted by R (1 / cos φ − 1), that of a flat bit by R tan φ") {
    // Source: plane geometry. The ball's centre lies R ⁄ cos φ straight above the slope and its tip R below the centre. On
    // cells the point of contact is met to half a cell's diagonal e, where the gap is at most e² ⁄ (2 R cos³ φ).
    for (const double degrees : {0.0, 15.0, 30.0, 45.0}) {
        const double phi = degrees * std::numbers::pi / 180, up = std::tan(phi);
        for (const double heading : {0.0, 0.6, std::numbers::pi / 2}) {
            HeightMap slope(120, 100, 0.05);
            for (int j = 0; j < slope.height(); ++j)
                for (int i = 0; i < slope.width(); ++i)
                    slope(i, j) = static_cast<float>(up * 0.05 * (std::cos(heading) * (i - 60) + std::sin(heading) * (j - 50)));
            INFO(degrees << " degrees, heading " << heading);
            const double radius = 1.5875, gap = 0.00125 / (2 * radius * std::pow(std::cos(phi), 3));
            const double ball = static_cast<double>(offset_for(Bit::parse("ball:3.175"), slope, hands(2))(60, 50));
            const double lifted = radius * (1 / std::cos(phi) - 1);
            CHECK(ball < lifted + 1e-5);
            CHECK(ball > lifted - gap - 1e-5);
            const double flat = static_cast<double>(offset_for(Bit::parse("flat:3.175"), slope, hands(2))(60, 50));
            CHECK(flat < radius * up + 1e-5);
            CHECK(flat > (radius - 0.0708) * up - 1e-5);  // the outermost cell lies at most a diagonal within the rim
        }
    }
}

TEST_CASE("beside a wall the tip keeps the bit's shape away from it") {
    // Source: the definition; over a straight wall whose last cell lies x away, the tip is at wall top − rise(x).
    for (const char* name : bits) {
        const Bit bit = Bit::parse(name);
        HeightMap map(100, 80, 0.1, {}, -3.F);
        for (int j = 0; j < 80; ++j)
            for (int i = 0; i <= 30; ++i) map(i, j) = 0.F;
        const HeightMap tips = offset_for(bit, map, hands(2));
        INFO(name);
        for (int i = 31; i < 99; ++i) {
            const double away = 0.1 * (i - 30), expected = away < bit.radius() - 1e-6 ? std::max(-3.0, -bit.rise(away)) : -3.0;
            CHECK(static_cast<double>(tips(i, 40)) == Approx(expected).margin(1e-5));
        }
        CHECK(tips(30, 40) == 0.F);
    }
}

TEST_CASE("a channel exactly as wide as the bit is entered, a narrower one is not") {
    // Source: promise of the job ("a channel exactly as wide as the bit is reached"); plane geometry.
    struct Case {
        const char* bit;
        double cell;
        int cells;  // of the channel
        bool in;
    };
    for (const Case& c : {Case{"flat:2.0", 0.1, 20, true}, Case{"flat:2.0", 0.1, 18, false}, Case{"flat:1.5", 0.1, 15, true},
                          Case{"flat:1.5", 0.1, 14, false}, Case{"flat:1.0", 0.05, 20, true}, Case{"flat:1.0", 0.05, 18, false}}) {
        const Bit bit = Bit::parse(c.bit);
        HeightMap map(90, 60, c.cell, {}, 0.F);
        for (int j = 20; j < 20 + c.cells; ++j)
            for (int i = 0; i < 90; ++i) map(i, j) = -3.F;
        const HeightMap tips = offset_for(bit, map, hands(1));
        INFO(c.bit << " in " << c.cells << " cells of " << c.cell);
        float lowest = 0;
        for (int j = 0; j < 60; ++j) lowest = std::min(lowest, tips(45, j));
        CHECK(lowest == (c.in ? -3.F : 0.F));
        const HeightMap reach = swept_by(bit, tips, hands(1));
        for (int j = 20; c.in && j < 20 + c.cells; ++j) CHECK(reach(45, j) == -3.F);
        CHECK(reach(45, 19) == 0.F);
        CHECK(reach(45, 20 + c.cells) == 0.F);
    }
}

TEST_CASE("offsets are the definition on random maps, with every bit, on one and two threads") {
    // Source: the definition in offset.hpp (grey-scale dilation and erosion, Serra 1982, ch. XII), written out above.
    std::mt19937 random(4711);
    for (const char* name : bits) {
        const Bit bit = Bit::parse(name);
        const auto rise = [&](double r) { return bit.rise(r); };
        const HeightMap map = random_map(149, 53, random);
        INFO(name << ", seed 4711");
        const HeightMap tips = offset_for(bit, map, hands(1));
        CHECK(largest_difference(tips, by_definition(map, bit.radius(), rise, 1.F)) < 1e-6);
        CHECK(tips == offset_for(bit, map, hands(2)));
        const HeightMap left = swept_by(bit, map, hands(1));
        CHECK(largest_difference(left, by_definition(map, bit.radius(), rise, -1.F)) < 1e-6);
        CHECK(left == swept_by(bit, map, hands(2)));
    }
}

TEST_CASE("a bit grown sideways keeps its shape outside the growth") {
    // Source: offset.hpp: `wider` moves the shape outwards, so within it nothing rises.
    std::mt19937 random(99);
    for (const char* name : {"flat:2.0", "ball:3.175", "vee:60:0.1:3.175"}) {
        const Bit bit = Bit::parse(name);
        const HeightMap map = random_map(90, 40, random);
        const auto rise = [&](double r) { return bit.rise(std::max(0.0, r - 0.3)); };
        INFO(name << ", seed 99");
        CHECK(largest_difference(offset_for(bit, map, hands(2), 0.3), by_definition(map, bit.radius() + 0.3, rise, 1.F)) < 1e-6);
    }
}

TEST_CASE("maps smaller than the bit, and of a single row or cell") {
    // Source: the definition, as above.
    std::mt19937 random(7);
    const Bit bit = Bit::parse("ball:3.175");
    for (const auto& [width, height] : {std::pair{1, 1}, std::pair{7, 3}, std::pair{1, 90}, std::pair{200, 1}, std::pair{65, 17}}) {
        const HeightMap map = random_map(width, height, random);
        INFO(width << " x " << height << ", seed 7");
        const auto rise = [&](double r) { return bit.rise(r); };
        CHECK(largest_difference(offset_for(bit, map, hands(2)), by_definition(map, bit.radius(), rise, 1.F)) < 1e-6);
        CHECK(largest_difference(swept_by(bit, map, hands(2)), by_definition(map, bit.radius(), rise, -1.F)) < 1e-6);
    }
}

TEST_CASE("bits of very many cells") {
    // Source: the definition, as above; 3.175 mm are 159 cells of 0.02 mm.
    std::mt19937 random(64);
    for (const char* name : {"flat:3.175", "ball:3.175", "bull:3.175:0.5"}) {
        const Bit bit = Bit::parse(name);
        const HeightMap coarse = random_map(230, 9, random);
        HeightMap map(coarse.width(), coarse.height(), 0.02);
        std::copy(coarse.values().begin(), coarse.values().end(), map.values().begin());
        const auto rise = [&](double r) { return bit.rise(r); };
        INFO(name << ", seed 64");
        CHECK(largest_difference(offset_for(bit, map, hands(2)), by_definition(map, bit.radius(), rise, 1.F)) < 1e-6);
        CHECK(largest_difference(swept_by(bit, map, hands(2)), by_definition(map, bit.radius(), rise, -1.F)) < 1e-6);
    }
}

TEST_CASE("the closing by a bit lies above the map, is idempotent and rises with it") {
    // Source: properties of a closing (Serra 1982, ch. XII). Adding and taking off a rise rounds in float, no more.
    std::mt19937 random(1234);
    for (const char* name : bits) {
        const Bit bit = Bit::parse(name);
        const HeightMap map = random_map(120, 70, random);
        const auto closing = [&](const HeightMap& m) { return swept_by(bit, offset_for(bit, m, hands(2)), hands(2)); };
        const HeightMap once = closing(map), twice = closing(once);
        HeightMap higher = map;
        for (int j = 20; j < 40; ++j)
            for (int i = 30; i < 60; ++i) higher(i, j) += 0.3F;
        const HeightMap closed_higher = closing(higher);
        INFO(name << ", seed 1234");
        float above = 1e9F, rises = 1e9F;
        for (std::size_t k = 0; k < map.size(); ++k) {
            above = std::min(above, once.values()[k] - map.values()[k]);
            rises = std::min(rises, closed_higher.values()[k] - once.values()[k]);
        }
        CHECK(above >= -2e-6F);
        CHECK(rises >= -2e-6F);
        CHECK(largest_difference(once, twice) < 4e-6);
        // Adjunction: no tip lower than the offset leaves the map whole.
        const HeightMap tips = offset_for(bit, map, hands(1));
        CHECK(largest_difference(offset_for(bit, swept_by(bit, tips, hands(1)), hands(1)), tips) < 4e-6);
    }
}

TEST_CASE("discs take in every cell within the radius, the rim too") {
    // Source: the definition; 0.3 mm at cells of 0.1 reaches three cells along the axes and two along the diagonals.
    std::mt19937 random(5);
    const HeightMap map = random_map(80, 50, random);
    const HeightMap high = dilated_by_disc(map, 0.3, hands(2)), low = eroded_by_disc(map, 0.3, hands(1));
    std::size_t wrong = 0;
    for (int j = 0; j < map.height(); ++j)
        for (int i = 0; i < map.width(); ++i) {
            float most = -1e9F, least = 1e9F;
            for (int b = -3; b <= 3; ++b)
                for (int a = -3; a <= 3; ++a)
                    if (a * a + b * b <= 9 && map.holds(i + a, j + b))
                        most = std::max(most, map(i + a, j + b)), least = std::min(least, map(i + a, j + b));
            wrong += high(i, j) != most || low(i, j) != least;
        }
    CHECK(wrong == 0);
}
