// Where a top is measured: known on paper, and for any stock no place farther from a measured one than asked.
#include "burin/workshop/probe_places.hpp"

#include <algorithm>
#include <random>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

TEST_CASE("A board of 100 x 60 is measured in rows to and fro", "[probe_places]") {
    const Stock stock = make_stock(Outline::rectangle, 100, 60, 12, Anchor::lower_left);
    const std::vector<Point> places = probe_places(stock, 20, 10);
    // 80 x 40 inside the inset: steps of 20, 5 columns and 3 rows.
    REQUIRE(places.size() == 15);
    CHECK(places.front() == Point{10, 10});
    CHECK(places[4] == Point{90, 10});
    CHECK(places[5] == Point{90, 30});
    CHECK(places.back() == Point{90, 50});
}

TEST_CASE("Every place lies on the stock, and the stock near some place", "[probe_places]") {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> side(40, 200), gap(6, 25);
    for (int k = 0; k < 30; ++k) {
        const Stock stock = make_stock(k % 2 ? Outline::round : Outline::rectangle, side(random), side(random), 12, Anchor::centre);
        const double apart = gap(random), inset = 2;
        const std::vector<Point> places = probe_places(stock, apart, inset);
        for (const Point& p : places) CHECK(stock.holds(p));
        for (int n = 0; n < 50; ++n) {
            const Point p{stock.bounds.lo.x + stock.bounds.width() * n / 49.0,
                          stock.bounds.lo.y + stock.bounds.height() * (n * 7 % 50) / 49.0};
            if (!stock.holds(p, -inset - 1)) continue;
            const auto nearest = std::min_element(places.begin(), places.end(),
                                                  [&](const Point& a, const Point& b) { return distance(a, p) < distance(b, p); });
            CHECK(distance(*nearest, p) < apart);
        }
    }
}

TEST_CASE("A stock too small, or places too close, are refused", "[probe_places]") {
    const Stock stock = make_stock(Outline::round, 50, 50, 12, Anchor::centre);
    CHECK_THROWS_WITH(probe_places(stock, 10, 25), ContainsSubstring("--inset"));
    CHECK_THROWS_WITH(probe_places(stock, 1, 3), ContainsSubstring("--apart"));
}

TEST_CASE("places on a traced piece lie on its wood, and a ring of them along its edge") {
    // A square of 60 mm with a notch of 20 from above, bark of 2 mm. Source: plane geometry.
    const Loop outer{{0, 0}, {60, 0}, {60, 60}, {40, 60}, {40, 40}, {20, 40}, {20, 60}, {0, 60}};
    const Loop wood{{2, 2}, {58, 2}, {58, 58}, {42, 58}, {42, 38}, {18, 38}, {18, 58}, {2, 58}};
    const Stock stock = make_stock(TracedPiece(outer, wood, 12), Anchor::lower_left);
    const std::vector<Point> places = probe_places(stock, 10, 3, 400);
    std::size_t near = 0;
    for (const Point& p : places) {
        CHECK(stock.holds(p, -2.99));  // 3 mm from the wood's edge
        near += stock.holds(p, -3.5) ? 0 : 1;
    }
    // The line 3 mm inside the wood: 50 + 50 + 10 + 20 + 30 + 20 + 10 + 50 mm, and 3 less where it goes round the notch: 24 places.
    CHECK(near == 24);
    for (const Point& corner : {Point{2, 2}, Point{58, 2}, Point{58, 58}, Point{2, 58}, Point{18, 58}, Point{42, 58}}) {
        double nearest = 1e9;
        for (const Point& p : places) nearest = std::min(nearest, distance(p, corner));
        CHECK(nearest < 10);  // no corner of the piece is far from a place
    }
}
