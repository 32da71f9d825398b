// Where the stock lies: the anchor is at (0, 0).
#include "burin/workshop/stock.hpp"

#include <cmath>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

TEST_CASE("the anchor of the stock is the work zero") {
    // Source: the definition, by hand.
    const auto at = [](Anchor anchor) { return make_stock(Outline::rectangle, 100, 80, 12, anchor).bounds; };
    CHECK(at(Anchor::lower_left) == Box{{0, 0}, {100, 80}});
    CHECK(at(Anchor::lower_centre) == Box{{-50, 0}, {50, 80}});
    CHECK(at(Anchor::lower_right) == Box{{-100, 0}, {0, 80}});
    CHECK(at(Anchor::centre_left) == Box{{0, -40}, {100, 40}});
    CHECK(at(Anchor::centre) == Box{{-50, -40}, {50, 40}});
    CHECK(at(Anchor::centre_right) == Box{{-100, -40}, {0, 40}});
    CHECK(at(Anchor::upper_left) == Box{{0, -80}, {100, 0}});
    CHECK(at(Anchor::upper_centre) == Box{{-50, -80}, {50, 0}});
    CHECK(at(Anchor::upper_right) == Box{{-100, -80}, {0, 0}});
    for (int i = 0; i < 9; ++i) CHECK(anchor_named(to_string(static_cast<Anchor>(i))) == static_cast<Anchor>(i));
    CHECK_FALSE(anchor_named("middle"));
}

TEST_CASE("round stock holds its disc, not its corners") {
    const auto disc = make_stock(Outline::round, 90, 90, 12, Anchor::lower_left);
    CHECK(disc.holds({45, 45}));
    CHECK(disc.holds({45, 0}));
    CHECK(disc.holds({45 + 45 * 0.6, 45 + 45 * 0.8}));
    CHECK_FALSE(disc.holds({1, 1}));
    CHECK(make_stock(Outline::rectangle, 90, 90, 12, Anchor::lower_left).holds({1, 1}));
    CHECK_FALSE(make_stock(Outline::rectangle, 90, 90, 12, Anchor::lower_left).holds({-1, 1}));
}

TEST_CASE("oval stock holds its ellipse") {
    // Source: (x / 50)² + (y / 30)² = 1; 0.6 and 0.8 of the half axes lie on it.
    const auto oval = make_stock(Outline::round, 100, 60, 12, Anchor::centre);
    CHECK(oval.oval());
    CHECK_FALSE(make_stock(Outline::round, 60, 60, 12, Anchor::centre).oval());
    CHECK_FALSE(make_stock(Outline::rectangle, 100, 60, 12, Anchor::centre).oval());
    CHECK(oval.holds({50, 0}));
    CHECK(oval.holds({0, -30}));
    CHECK(oval.holds({30, 24}));
    CHECK_FALSE(oval.holds({30.1, 24}));
    CHECK(oval.holds({30.1, 24}, 0.2));
    CHECK_FALSE(oval.holds({45, 25}));
}

TEST_CASE("a stock without size is refused") {
    for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
        CHECK_THROWS_AS(make_stock(Outline::rectangle, bad, 80, 12, Anchor::centre), Error);
        CHECK_THROWS_AS(make_stock(Outline::rectangle, 80, bad, 12, Anchor::centre), Error);
        CHECK_THROWS_AS(make_stock(Outline::rectangle, 80, 80, bad, Anchor::centre), Error);
    }
}
