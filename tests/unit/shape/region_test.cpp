// Figures with holes: answers on paper (plane geometry) and random figures beside slow, obvious reckoning.
#include "burin/shape/region.hpp"

#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;

Loop rectangle(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

Loop disc(Point centre, double r, int corners) {
    Loop loop;
    for (int k = 0; k < corners; ++k)
        loop.push_back({centre.x + r * std::cos(2 * pi * k / corners), centre.y + r * std::sin(2 * pi * k / corners)});
    return loop;
}

std::size_t holes_of(const Region& region) {
    std::size_t sum = 0;
    for (const Figure& figure : region.figures()) sum += figure.holes.size();
    return sum;
}

}  // namespace

TEST_CASE("areas, boxes and nesting of plain figures are known on paper") {
    // Source: plane geometry.
    const Region square({rectangle(1, 2, 4, 5)});
    CHECK(square.area() == Approx(9).epsilon(1e-12));
    CHECK(square.bounds() == Box{{1, 2}, {4, 5}});
    CHECK(square.points() == 4);
    CHECK(square.figures().front().outer.front() == Point{1, 2});

    // A ring with an island in it that has a hole: two figures of a hole each, whichever way the loops run.
    Loop backwards = rectangle(1, 1, 9, 9);
    std::reverse(backwards.begin(), backwards.end());
    const Region nested({rectangle(4, 4, 6, 6), rectangle(0, 0, 10, 10), backwards, rectangle(3, 3, 7, 7)});
    CHECK(nested.figures().size() == 2);
    CHECK(holes_of(nested) == 2);
    CHECK(nested.area() == Approx(100 - 64 + 16 - 4).epsilon(1e-12));
    CHECK(nested.holds({0.5, 5}));
    CHECK_FALSE(nested.holds({2, 5}));
    CHECK(nested.holds({3.5, 5}));
    CHECK_FALSE(nested.holds({5, 5}));

    CHECK(Region{}.empty());
    CHECK(Region{}.bounds() == Box{});
    CHECK(Region{}.area() == 0);
}

TEST_CASE("offsets of discs and rectangles have the areas that formulas give") {
    // Source: plane geometry: π(r ± d)²; a b + 2 d (a + b) + π d²; (a − 2d)(b − 2d).
    const Region round({disc({3, 4}, 10, 4000)});
    const double polygon = 10 * 10 * 2000 * std::sin(2 * pi / 4000);  // area of the 4000-sided polygon
    CHECK(round.area() == Approx(polygon).epsilon(1e-7));
    for (const double d : {-9.0, -2.5, -0.1, 0.1, 2.5, 30.0})
        CHECK(offset_by(round, d, 0.0005).area() == Approx(pi * (10 + d) * (10 + d)).epsilon(2e-4));
    CHECK(offset_by(round, -10.001).empty());

    const Region bar({rectangle(-10, 0, 30, 25)});
    for (const double d : {0.05, 1.0, 12.0}) {
        CHECK(offset_by(bar, d, 0.0002).area() == Approx(40 * 25 + 2 * d * 65 + pi * d * d).epsilon(2e-5));
        CHECK(offset_by(bar, -d).area() == Approx((40 - 2 * d) * (25 - 2 * d)).epsilon(1e-6));
    }
    const Region ring({disc({0, 0}, 10, 2000), disc({0, 0}, 6, 2000)});
    CHECK(offset_by(ring, 1, 0.0005).area() == Approx(pi * (121 - 25)).epsilon(2e-4));
    CHECK(offset_by(ring, -1, 0.0005).area() == Approx(pi * (81 - 49)).epsilon(2e-4));
    // An L of bars 10 wide and 30 long, shrunk by 2: bars 6 wide, and in the square of side 2 at the inner corner what a quarter
    // disc of radius 2 leaves.
    const Region ell({Loop{{0, 0}, {30, 0}, {30, 10}, {10, 10}, {10, 30}, {0, 30}}});
    CHECK(offset_by(ell, -2, 0.0002).area() == Approx(6 * 26 + 6 * 20 + (4 - pi)).epsilon(1e-5));
}
