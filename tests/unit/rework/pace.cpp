/// The outline of what programs cut, and the walk round it: plane geometry.
#include "burin/rework/pace.hpp"

#include <cmath>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

/// A triangle below the top, entered by a slope that crosses it at X5, and a way above that does not count.
const std::string cut =
    "G21 G90 G17 G94 G54\nG0 Z4\nM3 S10000\nG4 P3\nX0 Y0\nX90\nX0\nG1 Z1 F100\nX10 Z-1 F200\nX40 Y0\nX10 Y30\nX10 Y0\nG0 Z4\nM5\nM2\n";

WorkExtent extent(const std::string& text, ToolKind tool = ToolKind::spindle) {
    const ReadProgram read = read_program(text, tool);
    REQUIRE(read.faults.empty());
    return extent_of({&read, 1});
}

Fault fault_of(const WorkExtent& work, const PaceOrder& order) {
    try {
        (void)plan_pace(work, order);
    } catch (const Error& error) {
        return error.fault();
    }
    return Fault::stopped;
}

}  // namespace

TEST_CASE("what is cut lies below the top, or is lit") {
    const WorkExtent work = extent(cut);
    CHECK((work.hull == std::vector<Point>{{5, 0}, {40, 0}, {10, 30}}));
    CHECK((work.highest == 4 && work.deepest == -1));
    CHECK(extent("G21 G90\nM4 S0\nG0 X5 Y5\nG1 X9 F500 S100\nX20 S0\nM5 S0\nM2\n", ToolKind::beam).hull ==
          std::vector<Point>{{5, 5}, {9, 5}});
    // Half a circle of radius 10 about X10 Y0, below the top: its hull reaches Y10.
    const WorkExtent arc = extent("G21 G90 G17\nM3 S9000\nG0 X0 Y0\nG1 Z-1 F100\nG2 X20 Y0 I10 J0 F300\nG0 Z3\nM5\nM2\n");
    double highest = 0;
    for (const Point& p : arc.hull) highest = std::max(highest, p.y);
    CHECK(highest == Approx(10).margin(0.001));
}

TEST_CASE("box, circle and hull are walked once round") {
    const WorkExtent work = extent(cut);
    const auto planned = [&](PaceBy by, double grow) {
        PaceOrder order;
        order.by = by, order.grow = grow, order.z = 7;
        return plan_pace(work, order);
    };
    CHECK((planned(PaceBy::box, 2).corners == std::vector<Point>{{3, -2}, {42, -2}, {42, 32}, {3, 32}}));
    CHECK(planned(PaceBy::hull, 0).corners == work.hull);
    // The circle through the corners of a triangle with all angles below 90°: through 5,0 and 40,0 about x 22.5, and 10,30 as far.
    const Pace circle = planned(PaceBy::circle, 1);
    CHECK(circle.circle.centre.x == Approx(22.5));
    CHECK(circle.circle.centre.y == Approx((100 - 45 * 10 + 900 + 200.0) / 60).epsilon(1));
    for (const Point& p : work.hull) CHECK(distance(p, circle.circle.centre) == Approx(circle.circle.radius - 1));
    for (const PaceBy by : {PaceBy::box, PaceBy::circle, PaceBy::hull}) {
        const Pace pace = planned(by, 0);
        const auto& moves = pace.path.track.moves;
        CHECK(moves.size() == pace.corners.size() + 1);
        CHECK(flat(moves.front().to) == flat(moves.back().to));
        for (const Move& move : moves) CHECK((move.to.z == 7 && !move.running && move.power == 0));
    }
}

TEST_CASE("stops stand at corners, and what cannot be walked is refused") {
    const WorkExtent work = extent(cut);
    PaceOrder order;
    order.stops = true;
    CHECK(plan_pace(work, order).stops == 4);
    order.by = PaceBy::circle;
    CHECK(plan_pace(work, order).stops == 4);
    order.by = PaceBy::hull;
    CHECK(plan_pace(work, order).stops == 3);
    order.rapid = true;
    order.power = 5;
    CHECK(fault_of(work, order) == Fault::usage);
    order.power = 0;
    CHECK(fault_of(work, order) == Fault::stopped);
    order.by = PaceBy::circle;
    CHECK(fault_of(work, order) == Fault::usage);
    CHECK(fault_of({}, {}) == Fault::refused);
    WorkExtent dot;
    dot.hull = {{3, 3}};
    CHECK(fault_of(dot, {}) == Fault::refused);
    PaceOrder round;
    round.by = PaceBy::hull, round.grow = 2;
    CHECK(plan_pace(dot, round).corners.size() == 12);
}
