// What a pen covers along a line, against plane geometry.
#include "burin/shape/widen.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;

double area(const std::vector<Point>& points, bool closed, const Pen& pen) { return widened({points, closed}, pen, 1e-4).area(); }

double distance_to(const Point& p, const std::vector<Point>& line) {
    double least = 1e300;
    for (std::size_t k = 0; k + 1 < line.size(); ++k) {
        const Point &a = line[k], &b = line[k + 1];
        const double dx = b.x - a.x, dy = b.y - a.y;
        const double t = std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy), 0.0, 1.0);
        least = std::min(least, distance(p, {a.x + t * dx, a.y + t * dy}));
    }
    return least;
}

}  // namespace

TEST_CASE("Caps and joins of a pen cover what the standard describes") {
    // SVG 2, 13.5: caps beyond the end by nothing, half a disc, half a width; areas by plane geometry.
    const std::vector<Point> straight{{0, 0}, {10, 0}};
    CHECK(area(straight, false, {2, Cap::butt}) == Approx(20).epsilon(1e-4));
    CHECK(area(straight, false, {2, Cap::square}) == Approx(24).epsilon(1e-4));
    CHECK(area(straight, false, {2, Cap::round}) == Approx(20 + pi).epsilon(1e-4));
    // At a right angle both strips share a quarter of a square of the width; outside lies a square, half of it, or a quarter disc.
    const std::vector<Point> bend{{0, 0}, {10, 0}, {10, 10}};
    CHECK(area(bend, false, {2, Cap::butt, Join::miter}) == Approx(40).epsilon(1e-4));
    CHECK(area(bend, false, {2, Cap::butt, Join::bevel}) == Approx(39.5).epsilon(1e-4));
    CHECK(area(bend, false, {2, Cap::butt, Join::round}) == Approx(39 + pi / 4).epsilon(1e-4));
    // A miter's length over the width is 1 / sin(half the angle) (SVG 2, 13.5.5): here the square root of 2.
    CHECK(area(bend, false, {2, Cap::butt, Join::miter, 1.41}) == Approx(39.5).epsilon(1e-4));
    CHECK(area(bend, false, {2, Cap::butt, Join::miter, 1.42}) == Approx(40).epsilon(1e-4));
    // A closed square, either way round: a frame of 12² − 8².
    CHECK(area({{0, 0}, {10, 0}, {10, 10}, {0, 10}}, true, {2}) == Approx(80).epsilon(1e-4));
    CHECK(area({{0, 10}, {10, 10}, {10, 0}, {0, 0}}, true, {2}) == Approx(80).epsilon(1e-4));
}

TEST_CASE("A line without length is a dot, a square or nothing") {
    // SVG 2, 13.5.4.
    CHECK(area({{5, 5}, {5, 5}}, false, {2, Cap::round}) == Approx(pi).epsilon(1e-3));
    CHECK(area({{5, 5}}, false, {2, Cap::square}) == Approx(4).epsilon(1e-4));
    CHECK(area({{5, 5}}, true, {2, Cap::butt}) == 0);
    CHECK(widened({{}, false}, {2}).empty());
    CHECK_THROWS_AS(widened({{{0, 0}, {1, 0}}, false}, {0}), Error);
    CHECK_THROWS_AS(widened({{{0, 0}, {1, 0}}, false}, {std::nan("")}), Error);
}

TEST_CASE("A round pen covers just what lies within half its width of any line") {
    // Definition of the stroke with round caps and joins; the seed is fixed. Short steps and wide pens: tight bends, lines over themselves.
    std::mt19937 chance(1854);
    std::uniform_real_distribution<double> place(0, 20), step(-1, 1);
    for (int round = 0; round < 12; ++round) {
        CAPTURE(round);
        std::vector<Point> line{{place(chance), place(chance)}};
        for (int k = 0; k < 60; ++k) line.push_back({line.back().x + step(chance), line.back().y + step(chance)});
        const double width = 0.3 + 0.4 * round;
        const Region covered = widened({line, false}, {width, Cap::round, Join::round}, 1e-3);
        const Box box = covered.bounds();
        int wrong = 0;
        for (int k = 0; k < 2000; ++k) {
            const Point p{box.lo.x + (box.width() + 1) * place(chance) / 20 - 0.5,
                          box.lo.y + (box.height() + 1) * place(chance) / 20 - 0.5};
            const double off = distance_to(p, line) - width / 2;
            if (std::abs(off) > 2e-3) wrong += covered.holds(p) != (off < 0);
        }
        CHECK(wrong == 0);
    }
}
