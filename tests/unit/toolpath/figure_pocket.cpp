// Pockets whose floors and walls are known on paper, replayed slowly.
// Source of the checks here, where none is named: plane geometry, and the promises that every job keeps.
#include "figure_cuts.hpp"

using namespace burin;
using namespace burin::test;

namespace {

FigureDesign pocket(Region region, double depth) {
    FigureDesign design;
    design.traced = design.may = std::move(region);
    design.floor = -depth;
    return design;
}

/// Between what a floor and walls leave: `inside` is the distance inside what the bit reaches of the figure, < 0 outside the figure.
auto floor_and_walls(double depth, double inside_reach, double outside) {
    if (inside_reach > sideways) return std::pair(-depth - upright, -depth + upright);
    if (outside > sideways) return std::pair(-1e-9, 0.0);
    return std::pair(-depth - upright, 0.0);
}

/// The reach of a bit of radius r in a square: rounded corners. Distance inside it, negative outside.
double inside_rounded(const Point& p, double x0, double y0, double x1, double y1, double r) {
    const double dx = std::max({x0 + r - p.x, 0.0, p.x - (x1 - r)}), dy = std::max({y0 + r - p.y, 0.0, p.y - (y1 - r)});
    if (dx > 0 && dy > 0) return r - std::hypot(dx, dy);
    return std::min({p.x - x0, x1 - p.x, p.y - y0, y1 - p.y});
}
double outside_square(const Point& p, double x0, double y0, double x1, double y1) {
    return std::max({x0 - p.x, p.x - x1, y0 - p.y, p.y - y1});
}

struct Way {
    const char* name;
    bool raster, conventional, arcs;
};

}  // namespace

TEST_CASE("A square pocket has a flat floor, upright walls, and corners as round as the bit") {
    const FigureDesign design = pocket(Region({rectangle(4, 4, 14, 14)}), 2);
    for (const Way& way : {Way{"rings", false, false, false}, Way{"rows", true, false, false}, Way{"conventional", false, true, false}}) {
        INFO(way.name);
        FigureOrder order;
        order.bits = {bit_of("flat:2.0", 0.8)};
        order.raster = way.raster, order.conventional = way.conventional;
        const FigurePlan plan = plan_pocket(design, order, {});
        REQUIRE(plan.paths.size() == 1);
        const Cut cut(plan, order, 18);
        cut.keeps(plan, order);
        CHECK(cut.worst([](const Point& p) {
            return floor_and_walls(2, inside_rounded(p, 4, 4, 14, 14, 1), outside_square(p, 4, 4, 14, 14));
        }) <= 0);
        // Volume: (100 − (4 − π) r²) × 2; not reached: (4 − π) r².
        CHECK(cut.volume() == Approx(2 * (100 - (4 - std::numbers::pi))).epsilon(0.005));
        CHECK(plan.unreached.area() == Approx(4 - std::numbers::pi).epsilon(0.1));
    }
}

TEST_CASE("A second bit goes only where the first could not") {
    const FigureDesign design = pocket(Region({rectangle(4, 4, 16, 16)}), 1.5);
    FigureOrder order;
    order.bits = {bit_of("flat:3.175", 1.2), bit_of("flat:1.0", 0.5)};
    const FigurePlan plan = plan_pocket(design, order, {});
    REQUIRE(plan.paths.size() == 2);
    const Cut cut(plan, order, 20);
    cut.keeps(plan, order);
    CHECK(cut.worst([](const Point& p) {
        return floor_and_walls(1.5, inside_rounded(p, 4, 4, 16, 16, 0.5), outside_square(p, 4, 4, 16, 16));
    }) <= 0);
    // The first leaves (4 − π) 1.5875², of which the second takes all but (4 − π) 0.5²; times the depth.
    const double corners = (4 - std::numbers::pi) * (1.5875 * 1.5875 - 0.25) * 1.5;
    CHECK(cut.seen[1].removed == Approx(corners).epsilon(0.06));
    // It cuts near the corners only.
    for (const Move& move : plan.paths[1].path.track.moves)
        if (move.to.z < 0) CHECK(std::min(std::abs(move.to.x - 4), std::abs(move.to.x - 16)) < 2.5);
}

TEST_CASE("Rings and islands: an annulus, with arcs too") {
    const FigureDesign design = pocket(Region({disc(12, 12, 9), disc(12, 12, 4)}), 1.2);
    for (const bool arcs : {false, true}) {
        FigureOrder order;
        order.bits = {bit_of("flat:2.0", 0.7)};
        order.arcs = arcs;
        const FigurePlan plan = plan_pocket(design, order, {});
        REQUIRE(plan.paths.size() == 1);
        if (arcs) {
            CHECK(!plan.paths[0].path.track.arcs.empty());
            continue;  // the replay knows straight moves only
        }
        const Cut cut(plan, order, 24);
        cut.keeps(plan, order);
        CHECK(cut.worst([](const Point& p) {
            const double r = std::hypot(p.x - 12, p.y - 12);
            return floor_and_walls(1.2, std::min(9 - r, r - 4), std::max(r - 9, 4 - r));
        }) <= 0);
        CHECK(cut.volume() == Approx(std::numbers::pi * (81 - 16) * 1.2).epsilon(0.005));
    }
}

TEST_CASE("Sharp corners of a star hide no islands") {
    // Whatever lies farther than 2.5 mm from the line is floor: a bit of radius 1 gets there (its reach: the figure opened by the disc).
    const Region figure({star(20, 20, 16, 8, 5)});
    const FigureDesign design = pocket(figure, 1);
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 1)};
    const FigurePlan plan = plan_pocket(design, order, {});
    const Cut cut(plan, order, 40, 0.1);
    const Region reach = offset_by(offset_by(figure, -1, 0.0005), 1 - 0.04, 0.0005), world = offset_by(figure, 0.035, 0.0005);
    int standing = 0, over = 0;
    for (int j = 0; j < cut.surface.height(); ++j)
        for (int i = 0; i < cut.surface.width(); ++i) {
            const Point p = cut.surface.centre(i, j);
            if (reach.holds(p) && cut.surface(i, j) > -1 + 0.02F) ++standing;
            if (!world.holds(p) && cut.surface(i, j) < 0) ++over;
        }
    CHECK(standing == 0);
    CHECK(over == 0);
    CHECK(cut.seen[0].rapid_in_stock <= 0.005);
}

TEST_CASE("A channel as wide as the bit is cut, and what is narrower is told") {
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 0.5)};
    const FigurePlan plan = plan_pocket(pocket(Region({rectangle(3, 3, 15, 5)}), 1), order, {});
    const Cut cut(plan, order, 18);
    cut.keeps(plan, order);
    // All of it but the corners: 12 × 2 less (4 − π) r².
    CHECK(cut.volume() == Approx(24 - (4 - std::numbers::pi)).epsilon(0.01));
    CHECK_THROWS_AS(plan_pocket(pocket(Region({rectangle(3, 3, 15, 4.9)}), 1), order, {}), Error);
}

TEST_CASE("A bit that does not cut at its centre ramps, and a ball leaves a floor without ridges") {
    BitSpec spec;
    spec.diameter = 2;
    spec.centre_cutting = false;
    FigureOrder order;
    order.bits = {{Bit(spec, "flat"), 400, 120, 0.6}};
    const FigureDesign design = pocket(Region({disc(9, 9, 6)}), 1.2);
    const FigurePlan plan = plan_pocket(design, order, {});
    const Cut cut(plan, order, 18);
    cut.keeps(plan, order);
    CHECK(cut.seen[0].peck <= 0.005);
    order.bits = {bit_of("ball:2.0", 0.6)};
    const FigurePlan rounds = plan_pocket(design, order, {});
    const Cut ball(rounds, order, 18);
    ball.keeps(rounds, order);
    CHECK(ball.worst([](const Point& p) {
        const double r = std::hypot(p.x - 9, p.y - 9), away = r - 5;  // beyond the tip's places the ball rises: 1 − √(1 − away²)
        const double rise = away > 0 ? 1 - std::sqrt(std::max(0.0, 1 - std::pow(std::min(1.0, away + 0.03), 2))) : 0;
        return r > 6 + sideways   ? std::pair(-1e-9, 0.0)
               : away + 0.03 >= 1 ? std::pair(-1.2 - upright, 0.0)
                                  : std::pair(-1.2 - upright, std::min(0.0, -1.2 + upright + rise));
    }) <= 0);
}

TEST_CASE("Pockets that cannot be cut are refused with a reason") {
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 0.5)};
    CHECK_THROWS_AS(plan_pocket(pocket(Region(), 1), order, {}), Error);
    CHECK_THROWS_AS(plan_pocket(pocket(Region({disc(9, 9, 0.9)}), 1), order, {}), Error);
    CHECK_THROWS_AS(plan_pocket(pocket(Region({disc(9, 9, 5)}), 30), order, {}), Error);  // deeper than the bit cuts
}

TEST_CASE("Plans are the same on any number of threads") {
    std::vector<Loop> loops;
    for (int k = 0; k < 40; ++k) {
        const int column = k % 8, row = k / 8;
        loops.push_back(disc(6 + 7 * column, 6 + 7 * row, 1.5 + 0.03 * k));
    }
    const FigureDesign design = pocket(Region(loops), 1);
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 0.5)};
    Crew three;
    three.threads = 3;
    const FigurePlan a = plan_pocket(design, order, {}), b = plan_pocket(design, order, three);
    REQUIRE(a.paths.size() == b.paths.size());
    const auto &first = a.paths[0].path.track.moves, &second = b.paths[0].path.track.moves;
    REQUIRE(first.size() == second.size());
    bool same = true;
    for (std::size_t k = 0; k < first.size(); ++k) same = same && first[k].to == second[k].to && first[k].feed == second[k].feed;
    CHECK(same);
}
