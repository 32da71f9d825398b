// Arcs as chords, held against circles known on paper.
#include <cmath>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"
#include "check.hpp"

using namespace burin;

namespace {
Move arc_to(double x, double y, double z, MoveKind kind) {
    Move move;
    move.to = {x, y, z};
    move.kind = kind;
    move.feed = 300;
    return move;
}
double way(const Point3& from, const std::vector<Point3>& points) {
    double sum = 0;
    Point3 at = from;
    for (const Point3& p : points) sum += distance(at, p), at = p;
    return sum;
}
}  // namespace

TEST_CASE("quarter, three quarters and the whole of a circle") {
    // Plane geometry: lengths π r/2, 3π r/2 and 2π r, chords shorter by less than (chord angle)²/24.
    const Arc arc{{1, 2}};
    const Point3 from{11, 2, 0};
    const double pi = std::numbers::pi;
    CHECK(way(from, arc_points(from, arc_to(1, 12, 0, MoveKind::arc_ccw), arc, 1e-4)) == Approx(5 * pi).epsilon(1e-5));
    CHECK(way(from, arc_points(from, arc_to(1, 12, 0, MoveKind::arc_cw), arc, 1e-4)) == Approx(15 * pi).epsilon(1e-5));
    CHECK(way(from, arc_points(from, arc_to(11, 2, 0, MoveKind::arc_cw), arc, 1e-4)) == Approx(20 * pi).epsilon(1e-5));
    CHECK(way(from, arc_points(from, arc_to(11, 2, 0, MoveKind::arc_ccw), arc, 1e-4)) == Approx(20 * pi).epsilon(1e-5));
    CHECK(arc_points(from, arc_to(1, 12, 0, MoveKind::arc_ccw), arc, 1e-4).front().y > 2);
    CHECK(arc_points(from, arc_to(1, 12, 0, MoveKind::arc_cw), arc, 1e-4).front().y < 2);
}

TEST_CASE("chords stay within the tolerance and use no more of them than they must") {
    // Plane geometry: a chord over the angle 2h is r (1 − cos h) inside its circle. Fixed seed 11.
    std::mt19937 chance(11);
    std::uniform_real_distribution<double> unit(0, 1);
    for (int round = 0; round < 300; ++round) {
        const double radius = std::pow(10.0, -1 + 3 * unit(chance)), tolerance = std::pow(10.0, -5 + 3 * unit(chance));
        const double a = 6.28 * unit(chance), b = 6.28 * unit(chance);
        const Arc arc{{50 * unit(chance), 50 * unit(chance)}};
        const Point3 from{arc.centre.x + radius * std::cos(a), arc.centre.y + radius * std::sin(a), 1};
        const Move move = arc_to(arc.centre.x + radius * std::cos(b), arc.centre.y + radius * std::sin(b), -1,
                                 round % 2 == 0 ? MoveKind::arc_cw : MoveKind::arc_ccw);
        const auto points = arc_points(from, move, arc, tolerance);
        REQUIRE(points.size() >= 2);
        CHECK(points.back() == move.to);
        Point3 at = from;
        double worst = 0;
        for (const Point3& p : points) {
            const Point middle{(at.x + p.x) / 2, (at.y + p.y) / 2};
            worst = std::max(worst, radius - distance(middle, arc.centre));
            CHECK(distance(flat(p), arc.centre) == Approx(radius).epsilon(1e-9));
            CHECK(p.z < at.z);
            at = p;
        }
        CHECK(worst <= tolerance * (1 + 1e-6));
        if (points.size() > 10) CHECK(worst > 0.8 * tolerance);
    }
}

TEST_CASE("a helix falls in proportion to its angle") {
    // Plane geometry: over a full turn of radius 5 falling 2, the quarter turns lie at −0.5, −1, −1.5.
    const Point3 from{5, 0, 0};
    const auto points = arc_points(from, arc_to(5, 0, -2, MoveKind::arc_ccw), Arc{}, 0.001);
    for (const Point3& p : points) {
        double turn = std::atan2(p.y, p.x) / (2 * std::numbers::pi);
        if (turn <= 1e-9) turn += 1;
        CHECK(p.z == Approx(-2 * turn).margin(1e-9));
    }
    CHECK_THROWS_AS(arc_points(from, arc_to(5, 0, -2, MoveKind::arc_ccw), Arc{}, 0), Error);
}
