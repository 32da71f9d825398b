// Short tours, nesting, and lines with their lengths and neighbours.
// Sources: plane geometry; random cases against slow and obvious loops.
#include "../../../src/toolpath/figure_order.hpp"

#include <algorithm>
#include <random>

#include "../../../src/toolpath/figure_rail.hpp"
#include "figure_cuts.hpp"

using namespace burin;
using namespace burin::test;

TEST_CASE("A tour takes every stop once, and points on a line in their order") {
    std::vector<Stop> stops;
    for (const int k : {4, 0, 3, 1, 2, 6, 5}) stops.push_back({{10.0 * k + 1, 0}, {10.0 * k + 8, 0}});
    const std::vector<Turn> tour = short_tour(stops, {0, 0}, {});
    REQUIRE(tour.size() == stops.size());
    for (std::size_t k = 0; k < tour.size(); ++k) {
        CHECK(tour[k].entry.x == Approx(10.0 * static_cast<double>(k) + 1));
        CHECK_FALSE(tour[k].reversed);
    }
    // 1 mm to the first, 3 between each: 1 + 6 × 3.
    CHECK(idle_way(stops, tour, {0, 0}) == Approx(19));
    CHECK(short_tour({}, {0, 0}, {}).empty());
}

TEST_CASE("Closed lines are entered where the way is short") {
    // Discs of radius 4 in a row, 10 apart: from rim to rim it is 2 mm, 9 times, and 1 to the first.
    std::vector<Stop> stops;
    for (int k = 0; k < 10; ++k) {
        const Loop loop = disc(5 + 10.0 * ((7 * k) % 10), 0, 4);
        stops.push_back({loop[loop.size() / 4], loop[loop.size() / 4], loop});
    }
    const std::vector<Turn> tour = short_tour(stops, {0, 0}, {});
    // A disc is left where it was entered: about 1 + 9 × 10 when entered on one side, as points 10 mm apart are.
    CHECK(idle_way(stops, tour, {0, 0}) <= 1 + 9 * 10 + 1);
}

TEST_CASE("What holds what, and inner before outer") {
    const std::vector<std::vector<Point>> loops{disc(0, 0, 10), disc(-4, 0, 3), disc(4, 0, 3), disc(4, 0, 1), disc(30, 0, 2)};
    const std::vector<std::size_t> holders = holders_of(loops);
    CHECK(holders == std::vector<std::size_t>{5, 0, 0, 2, 5});
    std::vector<Stop> stops;
    for (const auto& loop : loops) stops.push_back({loop.front(), loop.front(), loop});
    const std::vector<Turn> tour = inner_first(loops, stops, {0, 0}, {});
    REQUIRE(tour.size() == loops.size());
    const auto place = [&](std::size_t stop) {
        return std::find_if(tour.begin(), tour.end(), [&](const Turn& t) { return t.stop == stop; }) - tour.begin();
    };
    CHECK(place(3) < place(2));
    CHECK(place(2) < place(0));
    CHECK(place(1) < place(0));
    // What the outer disc holds is not parted by the disc far away.
    CHECK((place(4) == 0 || place(4) == 4));
}

TEST_CASE("Lines are walked by their length, both ways and round") {
    const Rail square({{0, 0, 0}, {4, 0, -1}, {4, 3, -1}, {0, 3, -1}}, true);
    CHECK(square.length() == Approx(14));
    CHECK(square.at(2).z == Approx(-0.5));
    CHECK(square.at(16).x == Approx(2));  // once round and 2 more
    CHECK(square.nearest({5, 1}).s == Approx(5));
    CHECK(square.nearest({5, 1}).away == Approx(1));
    CHECK(square.nearest_corner({5, 1}).s == Approx(4));
    std::vector<double> seen;
    const auto see = [&](const Point3&, double s) { seen.push_back(s); };
    square.walk(3, 16, see);
    REQUIRE(seen.size() == 5);  // corners at 4, 7, 11, 14, and the end
    CHECK(seen[0] == Approx(4));
    CHECK(seen[3] == Approx(14));
    CHECK(seen[4] == Approx(16));
    seen.clear();
    square.walk(12, 5, see);
    REQUIRE(seen.size() == 3);  // 11, 7, 5
    CHECK(seen[0] == Approx(11));
    CHECK(seen[2] == Approx(5));
}

TEST_CASE("The nearest line, what lies inside, and which ways are clear, against slow loops") {
    std::mt19937 random(9);
    std::uniform_real_distribution<double> unit(0, 1);
    std::vector<Loop> loops;
    for (int k = 0; k < 12; ++k) {
        const int column = k % 4, row = k / 4;
        loops.push_back(star(8 + 14.0 * column, 8 + 14.0 * row, 6, 2 + 3 * unit(random), 3 + k % 5));
    }
    const LineIndex index(lines_of(loops));
    const Region region(loops);
    int ways = 0, cleared = 0;
    for (int n = 0; n < 2000; ++n) {
        const Point p{60 * unit(random), 45 * unit(random)};
        double least = 1e9;
        std::size_t line = 0;
        for (std::size_t k = 0; k < loops.size(); ++k) {
            const Rail rail(at_height(loops[k], 0), true);
            if (const double d = rail.nearest(p).away; d < least) least = d, line = k;
        }
        const auto found = index.nearest(p, 5);
        REQUIRE(found.has_value() == (least <= 5));
        if (found) {
            CHECK(found->away == Approx(least).margin(1e-9));
            CHECK(found->line == line);
        }
        if (least > 1e-4) CHECK(index.holds(p) == region.holds(p));
        // A straight way is clear when every place on it is inside.
        const Point q{p.x + 4 * (unit(random) - 0.5), p.y + 4 * (unit(random) - 0.5)};
        if (!region.holds(p) || !region.holds(q)) continue;
        bool inside = true;
        for (int k = 0; k <= 400 && inside; ++k) inside = region.holds({p.x + (q.x - p.x) * k / 400, p.y + (q.y - p.y) * k / 400});
        if (!inside) CHECK_FALSE(index.clear(p, q));
        ways += inside ? 1 : 0, cleared += inside && index.clear(p, q) ? 1 : 0;
    }
    // Hardly any that a line crosses between two of the 401 places.
    CHECK(ways > 300);
    CHECK(cleared >= ways - 2);
}
