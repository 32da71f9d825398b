// Incised figures whose surface is known on paper, replayed slowly.
// Sources: the depth of a vee in a figure, d = (r − t/2) / tan(θ/2) with r the radius of the largest disc (medial axis, Blum 1967); so
// on its walls the surface lies at −(distance to the line) / tan(θ/2) (plane geometry).
#include "figure_cuts.hpp"

using namespace burin;
using namespace burin::test;

namespace {

double to_line(const Region& region, const Point& p) {
    double least = 1e9;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
            const double x = b.x - a.x, y = b.y - a.y, l2 = x * x + y * y;
            const double t = std::clamp(((p.x - a.x) * x + (p.y - a.y) * y) / l2, 0.0, 1.0);
            least = std::min(least, std::hypot(a.x + t * x - p.x, a.y + t * y - p.y));
        }
    return region.holds(p) ? least : -least;
}

FigureDesign incised(Region region, const Bit& bit, double limit) {
    FigureDesign design;
    design.traced = design.may = std::move(region);
    design.half_angle = bit.spec().angle / 2;
    const double cone = (bit.spec().diameter - bit.spec().tip) / 2 / std::tan(design.half_angle);
    design.floor = -(limit > 0 ? std::min(limit, cone) : cone);
    return design;
}

/// Nothing over the line, nothing short of it, the floor at its depth: the figures' promises; the tip's flat leaves t/2 along the middle.
void check_surface(const FigureDesign& design, const FigureOrder& order, double side) {
    const FigurePlan plan = plan_incised(design, order, {});
    REQUIRE(!plan.paths.empty());
    const Cut cut(plan, order, side);
    cut.keeps(plan, order);
    const double tan = std::tan(design.half_angle), tip = order.bits.back().bit.spec().tip;
    CHECK(cut.worst([&](const Point& p) {
        const double d = to_line(design.may, p), floor = design.floor;
        if (d < -sideways) return std::pair(-1e-9, 0.0);
        const double lowest = std::max(floor - upright, -(std::max(0.0, d) + sideways) / tan - 0.001);
        // What the tip cannot enter reaches tip/2 from the middle; a floor cleared by a vee may keep 0.02 more.
        const double highest = std::min(0.0, std::max(floor + 2 * upright, -(d - tip / 2 - sideways) / tan));
        return std::pair(lowest, highest);
    }) <= 0);
}

}  // namespace

TEST_CASE("A bar is cut along its ridge and into its four corners") {
    // Trade's formula: 2 mm wide, 60 degrees, tip 0.1: (1 − 0.05) / tan 30° = 1.645 deep along the middle.
    FigureOrder order;
    order.bits = {bit_of("vee:60:0.1:3.175", 0.7)};
    const FigureDesign design = incised(Region({rectangle(4, 4, 16, 6)}), order.bits[0].bit, 0);
    check_surface(design, order, 20);
    const FigurePlan plan = plan_incised(design, order, {});
    double deepest = 0;
    int corners = 0;
    for (const Point& corner : {Point{4, 4}, Point{16, 4}, Point{16, 6}, Point{4, 6}}) {
        bool met = false;
        for (const Move& move : plan.paths[0].path.track.moves) {
            deepest = std::min(deepest, move.to.z);
            // The tip, half as wide as 0.1, gets to within 0.05 √2 of the corner; its flat touches both sides there.
            met = met || (distance(flat(move.to), corner) < 0.05 * std::sqrt(2.0) + 0.01 && move.to.z < 0.01);
        }
        corners += met ? 1 : 0;
    }
    CHECK(deepest == Approx(-(1 - 0.05) / std::tan(std::numbers::pi / 6)).margin(0.002));
    CHECK(corners == 4);
}

TEST_CASE("Squares, stars, discs and rings without and with a limit of depth", "[long]") {
    struct Case {
        const char* name;
        Region region;
        double limit;
        const char* bit;
    };
    const std::vector<Case> cases{
        {"square of 5", Region({rectangle(4, 4, 9, 9)}), 0, "vee:90:0.1:6"},
        {"square of 5, floor", Region({rectangle(4, 4, 9, 9)}), 0.8, "vee:60:0.2:3.175"},
        {"star", Region({star(9, 9, 7, 2, 5)}), 0, "vee:60:0.1:3.175"},
        {"star, floor", Region({star(9, 9, 7, 3, 5)}), 0.9, "vee:60:0.2:3.175"},
        {"disc", Region({disc(9, 9, 1.2)}), 0, "vee:60:0.1:3.175"},
        {"ring", Region({disc(9, 9, 7), disc(9, 9, 5.4)}), 0, "vee:60:0.1:3.175"},
        {"ring, floor", Region({disc(9, 9, 7), disc(9, 9, 5)}), 1.2, "vee:60:0.2:3.175"},
        {"sharp tip, floor", Region({rectangle(4, 4, 8, 9)}), 0.6, "vee:90:0:6"},
    };
    for (const Case& c : cases) {
        INFO(c.name);
        FigureOrder order;
        order.bits = {bit_of(c.bit, 0.6)};
        check_surface(incised(c.region, order.bits[0].bit, c.limit), order, 18);
    }
}

TEST_CASE("A flat bit clears the floor first, and the vee the rest") {
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 0.6), bit_of("vee:60:0.2:3.175", 0.8)};
    const FigureDesign design = incised(Region({rectangle(3, 3, 15, 13)}), order.bits[1].bit, 1);
    const FigurePlan plan = plan_incised(design, order, {});
    REQUIRE(plan.paths.size() == 2);
    CHECK(plan.paths[0].bit == 0);
    check_surface(design, order, 18);
    // In a figure too narrow for it, it gets no program, and that is said.
    const FigurePlan narrow = plan_incised(incised(Region({rectangle(3, 3, 15, 5.5)}), order.bits[1].bit, 1), order, {});
    CHECK(narrow.paths.size() == 1);
    CHECK(!narrow.notes.empty());
}

TEST_CASE("What the tip cannot enter is told, and refused where that is all") {
    FigureOrder order;
    order.bits = {bit_of("vee:60:0.4:3.175", 1)};
    // A bar 2 mm wide with a bar 0.3 mm wide beside it.
    const FigurePlan plan =
        plan_incised(incised(Region({rectangle(3, 3, 15, 5), rectangle(3, 8, 15, 8.3)}), order.bits[0].bit, 0), order, {});
    CHECK(plan.unreached.area() == Approx(12 * 0.3 + (4 - std::numbers::pi) * 0.04).epsilon(0.02));
    CHECK_THROWS_AS(plan_incised(incised(Region({rectangle(3, 8, 15, 8.3)}), order.bits[0].bit, 0), order, {}), Error);
    CHECK_THROWS_AS(plan_incised(incised(Region(), order.bits[0].bit, 0), order, {}), Error);
    const FigureDesign bar = incised(Region({rectangle(3, 3, 15, 5)}), order.bits[0].bit, 0);
    order.bits = {bit_of("ball:1.0", 1)};
    CHECK_THROWS_AS(plan_incised(bar, order, {}), Error);
}
