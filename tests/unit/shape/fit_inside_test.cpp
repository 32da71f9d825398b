// Largest figures inside outlines whose answers are known on paper.
#include "burin/shape/fit_inside.hpp"

#include <cmath>
#include <numbers>

#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;

Region ellipse(double a, double b, double turn, const Point& middle) {
    Loop loop;
    for (int k = 0; k < 720; ++k) {
        const double x = a * std::cos(pi * k / 360), y = b * std::sin(pi * k / 360);
        loop.push_back({middle.x + x * std::cos(turn) - y * std::sin(turn), middle.y + x * std::sin(turn) + y * std::cos(turn)});
    }
    return Region({loop});
}

const Loop square = corners_of({{-0.5, -0.5}, {0.5, 0.5}});

}  // namespace

TEST_CASE("The largest square in a disc has its diagonal for diameter", "[fit-inside]") {
    const InsideFit fit = largest_inside(ellipse(45, 45, 0, {10, -3}), square, {}, {});
    CHECK(std::abs(fit.scale - 90 / std::sqrt(2.0)) < 0.02);
    CHECK(distance(fit.at, {10, -3}) < 0.05);
    CHECK(fit.turn == 0);
    // A turn gains nothing there, so none is made.
    CHECK(largest_inside(ellipse(45, 45, 0, {}), square, {.at = {}, .turning = true}, {}).turn == 0);
}

TEST_CASE("The largest square with sides along an ellipse's axes", "[fit-inside]") {
    // x = y on x²/a² + y²/b² = 1: half a side is ab/√(a² + b²).
    const InsideFit fit = largest_inside(ellipse(60, 40, 0, {}), square, {}, {});
    CHECK(std::abs(fit.scale - 2 * 60 * 40 / std::hypot(60.0, 40.0)) < 0.02);
}

TEST_CASE("A long figure is turned along a long outline", "[fit-inside]") {
    // A rectangle 3 : 1 in an ellipse turned by 30°: on the axes, (3s/2)²/a² + (s/2)²/b² = 1.
    const Loop bar = corners_of({{-1.5, -0.5}, {1.5, 0.5}});
    const InsideFit fit = largest_inside(ellipse(60, 30, pi / 6, {}), bar, {.at = {}, .turning = true}, {});
    CHECK(std::abs(std::remainder(fit.turn - pi / 6, pi)) < 0.03);
    CHECK(std::abs(fit.scale / (1 / std::hypot(1.5 / 60, 0.5 / 30)) - 1) < 0.003);
}

TEST_CASE("A bay keeps the figure out, and a given place is kept", "[fit-inside]") {
    // A square of 100 with a bay 20 wide from above down to its middle: beside it 40 remain, below it 50 over the whole width.
    const Region bay = without(rectangle({{0, 0}, {100, 100}}), rectangle({{40, 50}, {60, 101}}));
    const InsideFit fit = largest_inside(bay, square, {}, {});
    CHECK(std::abs(fit.scale - 50) < 0.05);
    // Growing about (20, 80) it meets the left side, the top and the bay at once.
    const InsideFit there = largest_inside(bay, square, {.at = Point{20, 80}, .turning = false}, {});
    CHECK(std::abs(there.scale - 40) < 1e-3);
    CHECK(distance(there.at, {20, 80}) < 1e-9);
    // No part of it lies outside.
    CHECK(without(moved(rectangle({{-fit.scale / 2, -fit.scale / 2}, {fit.scale / 2, fit.scale / 2}}), 0, false, fit.at),
                  offset_by(bay, 0.001))
              .empty());
    CHECK(largest_inside(Region(), square, {}, {}).scale == 0);
}
