/// Designs on the stock. No source: positions follow from counting cells.
#include <cmath>
#include <numbers>

#include "../../../src/job/place.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Crew crew_of(int threads) {
    Crew crew;
    crew.threads = threads;
    return crew;
}

HeightMap numbered(int width, int height, double cell = 1) {
    HeightMap map(width, height, cell);
    for (int j = 0; j < height; ++j)
        for (int i = 0; i < width; ++i) map(i, j) = static_cast<float>(-1 - i - 10 * j);
    return map;
}

}  // namespace

TEST_CASE("quarter turns move cells exactly, counter-clockwise") {
    const HeightMap design = numbered(3, 2);
    const HeightMap turned_once = turned(design, 90, false, {});
    REQUIRE(turned_once.width() == 2);
    REQUIRE(turned_once.height() == 3);
    CHECK(turned_once.origin() == Point{-1, -1.5});
    // The lower left corner comes to lie at the lower right.
    CHECK(turned_once(1, 0) == design(0, 0));
    CHECK(turned_once(1, 2) == design(2, 0));
    CHECK(turned_once(0, 0) == design(0, 1));
    CHECK(turned(turned_once, -90, false, {}).values()[4] == design.values()[4]);
    const HeightMap round = turned(turned(turned(turned_once, 90, false, {}), 90, false, {}), 90, false, {});
    CHECK(std::equal(round.values().begin(), round.values().end(), design.values().begin()));
    const HeightMap half = turned(design, 180, false, {}), also = turned(design, -180, false, {});
    CHECK(half(0, 0) == design(2, 1));
    CHECK(half == also);
    CHECK(turned(design, 270, false, {}) == turned(design, -90, false, {}));
    CHECK(turned(design, 0, true, {})(0, 0) == design(2, 0));
    CHECK(turned(design, 360, false, {})(0, 0) == design(0, 0));
}

TEST_CASE("other angles sample the design and leave what lies beside it alone") {
    // A plane that falls along x: turned by a, the height at p is that of the plane at p turned back.
    HeightMap design(80, 60, 0.5);
    for (int j = 0; j < 60; ++j)
        for (int i = 0; i < 80; ++i) design(i, j) = static_cast<float>(-3 + 0.02 * (design.centre(i, j).x - 20));
    const double degrees = 30, a = degrees * std::numbers::pi / 180;
    const HeightMap out = turned(design, degrees, false, crew_of(2));
    CHECK(out.width() == static_cast<int>(std::ceil(80 * std::cos(a) + 60 * std::sin(a))));
    CHECK(out == turned(design, degrees, false, {}));
    int inside = 0, beside = 0;
    for (int j = 0; j < out.height(); ++j)
        for (int i = 0; i < out.width(); ++i) {
            const Point p = out.centre(i, j);
            const double x = p.x * std::cos(a) + p.y * std::sin(a), y = p.y * std::cos(a) - p.x * std::sin(a);
            if (std::abs(x) < 19.7 && std::abs(y) < 14.7) {
                REQUIRE(out(i, j) == Approx(-3 + 0.02 * x).margin(1e-5));
                ++inside;
            }
            if (std::abs(x) > 20.001 || std::abs(y) > 15.001) {
                REQUIRE(out(i, j) == 0);
                ++beside;
            }
        }
    CHECK(inside > 4000);
    CHECK(beside > 1000);
}

TEST_CASE("the design keeps its cells on the stock, and the stock is covered") {
    const HeightMap design = numbered(5, 4, 0.3);
    const Stock stock = make_stock(Outline::rectangle, 4, 3, 12, Anchor::lower_left);
    const Point at{1.9, 1.4};
    const HeightMap whole = on_stock(design, at, stock);
    const Box box = design_box(design, at);
    CHECK(box.lo.x == Approx(1.9 - 0.75));
    CHECK(whole.bounds().lo.x <= 1e-9);
    CHECK(whole.bounds().lo.x > -0.3);
    CHECK(whole.bounds().hi.x >= 4 - 1e-6);
    CHECK(whole.bounds().hi.y >= 3 - 1e-6);
    const int left = static_cast<int>(std::lround((box.lo.x - whole.origin().x) / 0.3)),
              below = static_cast<int>(std::lround((box.lo.y - whole.origin().y) / 0.3));
    CHECK(whole.origin().x + left * 0.3 == Approx(box.lo.x).margin(1e-12));
    double sum = 0;
    for (const float z : whole.values()) sum += z;
    double own = 0;
    for (const float z : design.values()) own += z;
    CHECK(sum == own);
    CHECK(whole(left, below) == design(0, 0));
    CHECK(whole(left + 4, below + 3) == design(4, 3));
}

TEST_CASE("a cut-out holds the box and its margin, as far as there are cells") {
    const HeightMap map = numbered(6, 6);
    const HeightMap piece = cut_out(map, {{1, 1}, {3, 2}}, 2);
    CHECK(piece.origin() == Point{0, 0});
    REQUIRE(piece.width() == 5);
    REQUIRE(piece.height() == 4);
    CHECK(piece(0, 0) == map(0, 0));
    CHECK(piece(4, 3) == map(4, 3));
}

TEST_CASE("the most demanding piece is where the walls are") {
    HeightMap map(100, 80, 0.5);
    for (int j = 0; j < 80; ++j)
        for (int i = 0; i < 100; ++i) map(i, j) = i > 50 ? -2 : -1;  // one long wall at x = 25.5
    for (int j = 10; j < 20; ++j)
        for (int i = 70; i < 90; ++i) map(i, j) = (i + j) % 2 ? -3.0F : -1.0F;  // and a rough patch
    const Box piece = demanding_piece(map, map.bounds(), 10, 5);
    CHECK(piece.width() == Approx(10));
    CHECK(piece.height() == Approx(5));
    CHECK(piece.lo.x == Approx(35).margin(1));
    CHECK(piece.lo.y == Approx(5).margin(1));
    const Box all = demanding_piece(map, map.bounds(), 1000, 1000);
    CHECK(all == map.bounds());
}

TEST_CASE("the spot to touch off lies on untouched top") {
    const Stock stock = make_stock(Outline::rectangle, 40, 30, 12, Anchor::lower_left);
    HeightMap surface(400, 300, 0.1);
    const Box design{{5, 5}, {35, 25}};
    for (int j = 50; j < 250; ++j)
        for (int i = 50; i < 350; ++i) surface(i, j) = -1;
    const auto spot = touch_spot(surface, stock, design, 1);
    REQUIRE(spot);
    CHECK((spot->x < 5 || spot->y < 5));
    CHECK(distance(*spot, {}) < 5);  // beside the work zero, as there is room there
    SECTION("within the design where the margin is too narrow") {
        HeightMap full(400, 300, 0.1, {}, -1.0F);
        for (int j = 140; j < 180; ++j)
            for (int i = 200; i < 240; ++i) full(i, j) = 0;
        const auto inner = touch_spot(full, stock, {{0, 0}, {40, 30}}, 1);
        REQUIRE(inner);
        CHECK(inner->x == Approx(22).margin(1.1));
        CHECK(inner->y == Approx(16).margin(1.1));
        CHECK_FALSE(touch_spot(full, stock, {{0, 0}, {40, 30}}, 2.6));
    }
    SECTION("never beside a round stock") {
        const Stock slice = make_stock(Outline::round, 40, 40, 12, Anchor::centre);
        HeightMap top(400, 400, 0.1, {-20, -20});
        for (int j = 0; j < 400; ++j)
            for (int i = 0; i < 400; ++i) top(i, j) = distance(top.centre(i, j), {}) < 15 ? -1.0F : 0.0F;
        const auto rim = touch_spot(top, slice, {{-15, -15}, {15, 15}}, 1);
        REQUIRE(rim);
        CHECK(distance(*rim, {}) > 15 + 0.9);
        CHECK(distance(*rim, {}) < 20 - 0.9);
    }
}
