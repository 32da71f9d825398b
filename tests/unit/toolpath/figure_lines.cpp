// Outlines, cut-outs and grooves whose cut is known on paper, replayed slowly; and the order of many lines.
// Source of the checks here, where none is named: plane geometry, and the promises that every job keeps.
#include <algorithm>
#include <random>

#include "figure_cuts.hpp"

using namespace burin;
using namespace burin::test;

namespace {

FigureDesign beside(const Region& traced, bool inside, double depth, double band, double world) {
    FigureDesign design;
    design.traced = traced;
    design.may = inside ? traced : without(Region({rectangle(-20, -20, world + 20, world + 20)}), traced);
    design.floor = -depth;
    design.band = band;
    return design;
}

/// Signed area that the level way at z goes round, over all moves: > 0 counter-clockwise.
double way_round(const Track& track, double z) {
    double sum = 0;
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        if (move.kind == MoveKind::feed && std::abs(move.to.z - z) < 1e-9 && std::abs(at.z - z) < 1e-9)
            sum += at.x * move.to.y - at.y * move.to.x;
        at = move.to;
    }
    return sum / 2;
}

double idle(const Track& track) {
    double sum = 0;
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        if (move.kind == MoveKind::rapid) sum += distance(flat(at), flat(move.to));
        at = move.to;
    }
    return sum;
}

}  // namespace

TEST_CASE("An outline outside a disc leaves the disc and a slot as wide as the bit and the allowance's strip") {
    for (const double band : {2.0, 2.3})
        for (const bool conventional : {false, true}) {
            const FigureDesign design = beside(Region({disc(10, 10, 5)}), false, 1.6, band, 20);
            FigureOrder order;
            order.bits = {bit_of("flat:2.0", 0.6)};
            order.conventional = conventional;
            const FigurePlan plan = plan_outline(design, order, {});
            REQUIRE(plan.paths.size() == 1);
            const Cut cut(plan, order, 20);
            cut.keeps(plan, order);
            CHECK(cut.worst([&](const Point& p) {
                const double r = std::hypot(p.x - 10, p.y - 10);
                if (r < 5 - sideways || r > 5 + band + sideways) return std::pair(-1e-9, 0.0);
                if (r > 5 + sideways && r < 7 - sideways) return std::pair(-1.6 - upright, -1.6 + upright);
                return std::pair(-1.6 - upright, 0.0);
            }) <= 0);
            // With the piece on its right the bit, turning clockwise, climbs: clockwise round the piece.
            CHECK((way_round(plan.paths[0].path.track, -1.6) > 0) == conventional);
            CHECK(cut.seen[0].peck <= 0.005);  // it ramps
        }
}

TEST_CASE("Inside a square the bit rounds the corners, and these are told") {
    const FigureDesign design = beside(Region({rectangle(4, 4, 16, 16)}), true, 1, 2.3, 20);
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 0.5)};
    const FigurePlan plan = plan_outline(design, order, {});
    const Cut cut(plan, order, 20);
    cut.keeps(plan, order);
    CHECK(plan.unreached.area() == Approx(4 - std::numbers::pi).epsilon(0.15));
    CHECK(cut.worst([](const Point& p) {
        const double in = std::min({p.x - 4, 16 - p.x, p.y - 4, 16 - p.y});
        if (in < -sideways || in > 2.3 + sideways) return std::pair(-1e-9, 0.0);
        const bool corner = std::max(std::abs(p.x - 10), std::abs(p.y - 10)) > 5 && std::min(std::abs(p.x - 10), std::abs(p.y - 10)) > 5;
        if (in > sideways && in < 2 - sideways && !corner) return std::pair(-1 - upright, -1 + upright);
        return std::pair(-1 - upright, 0.0);
    }) <= 0);
    CHECK_THROWS_AS(plan_outline(beside(Region({disc(9, 9, 0.9)}), true, 1, 2, 20), order, {}), Error);
}

TEST_CASE("Where less is to be taken, ramps are gentler as well as levels nearer") {
    const FigureDesign design = beside(Region({rectangle(4, 4, 16, 16)}), true, 0.4, 1.3, 20);
    FigureOrder order;
    order.bits = {bit_of("flat:1.0", 0.08)};
    std::vector<double> steepest;
    for (const double take : {1.0, 0.55}) {
        order.take = take;
        const FigurePlan plan = plan_outline(design, order, {});
        Cut(plan, order, 20).keeps(plan, order);
        const Track& track = plan.paths.at(0).path.track;
        Point3 at = track.start;
        steepest.push_back(0);
        for (const Move& move : track.moves) {
            const double way = distance(flat(at), flat(move.to));
            if (move.kind == MoveKind::feed && way > 0.01) steepest.back() = std::max(steepest.back(), (at.z - move.to.z) / way);
            at = move.to;
        }
        // A descending disc takes its area times the slope, which is to stay within half of what was given up.
        CHECK(steepest.back() * std::numbers::pi / 4 <= 0.08 * (1 + take) / 2 + 1e-6);
    }
    CHECK(steepest[1] < 0.8 * steepest[0]);
}

TEST_CASE("Inner lines are cut before outer ones") {
    const FigureDesign design = beside(Region({disc(12, 12, 8), disc(12, 12, 4)}), false, 1, 2.3, 24);
    FigureOrder order;
    order.bits = {bit_of("flat:1.0", 0.5)};
    const FigurePlan plan = plan_outline(design, order, {});
    bool outer_begun = false, inner_after = false;
    for (const Move& move : plan.paths.at(0).path.track.moves)
        if (move.to.z < 0) {
            const double r = std::hypot(move.to.x - 12, move.to.y - 12);
            outer_begun = outer_begun || r > 6;
            inner_after = inner_after || (outer_begun && r < 6);
        }
    CHECK(outer_begun);
    CHECK_FALSE(inner_after);
}

TEST_CASE("Tabs stand up to their tops, as wide as they were asked for, and the rest is cut through") {
    FigureDesign design = beside(Region({rectangle(4, 4, 16, 16)}), false, 3.2, 2.3, 20);
    design.breakthrough = 0.2;
    // One 3 mm wide below the piece, one above; up to 1 mm above the underside.
    design.tabs = {{Region({rectangle(8.5, 1.2, 11.5, 4.2)}), -2}, {Region({rectangle(8.5, 15.8, 11.5, 18.8)}), -2}};
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 0.7)};
    const FigurePlan plan = plan_cutout(design, order, {});
    const Cut cut(plan, order, 20);
    cut.keeps(plan, order);
    CHECK(cut.seen[0].lowest == Approx(-3.2).margin(1e-6));
    CHECK(cut.worst([](const Point& p) {
        const bool slot = std::max(std::abs(p.x - 10), std::abs(p.y - 10)) > 6 &&
                          std::hypot(std::max(0.0, std::abs(p.x - 10) - 6), std::max(0.0, std::abs(p.y - 10) - 6)) < 2 - sideways;
        const double beside_tab = std::abs(p.x - 10) - 1.5;
        const bool at_tab = std::abs(p.y - 10) > 6 && beside_tab < 2;  // where the lifted bit's rim is round
        if (std::max(std::abs(p.x - 10), std::abs(p.y - 10)) < 6 - sideways) return std::pair(-1e-9, 0.0);
        if (std::abs(p.y - 10) > 6 && beside_tab < -sideways) return std::pair(-2 - upright, 0.0);
        if (slot && std::max(std::abs(p.x - 10), std::abs(p.y - 10)) > 6 + sideways && !at_tab)
            return std::pair(-3.2 - upright, -3.2 + upright);
        return std::pair(-3.2 - upright, 0.0);
    }) <= 0);
    // Over the middle of a tab the slot is as deep as its top.
    const int i = static_cast<int>(10 / 0.05), j = static_cast<int>(3 / 0.05);
    CHECK(static_cast<double>(cut.surface(i, j)) == Approx(-2).margin(0.02));
}

TEST_CASE("An onion skin stays until the very end") {
    FigureDesign design = beside(Region({disc(8, 8, 4), disc(18, 8, 3)}), false, 3.2, 2.3, 26);
    design.breakthrough = 0.2;
    FigureOrder order;
    order.bits = {bit_of("flat:2.0", 0.8)};
    order.onion_skin = 0.4;
    const FigurePlan plan = plan_cutout(design, order, {});
    const Cut cut(plan, order, 26);
    cut.keeps(plan, order);
    const Toolpath& path = plan.paths.at(0).path;
    REQUIRE(!path.passes.empty());
    CHECK(path.passes.back().what == "onion skin");
    for (std::size_t k = 0; k < path.passes.back().first; ++k) CHECK(path.track.moves[k].to.z >= -2.6 - 1e-9);
    CHECK(cut.seen[0].lowest == Approx(-3.2).margin(1e-6));
    order.onion_skin = 5;
    CHECK_THROWS_AS(plan_cutout(design, order, {}), Error);
}

TEST_CASE("Grooves go to their depth in passes, rising and falling, and lines that meet are one", "[long]") {
    // A vee's groove is t + 2 d tan(θ/2) wide (trade's formula, plane geometry).
    FigureDesign design;
    design.grooves.push_back({{{3, 5, -1.2}, {10, 5, -1.2}}, false});
    design.grooves.push_back({{{17, 5, -0.4}, {10, 5, -1.2}}, false});  // goes on from the first, rising
    design.grooves.push_back({{{3, 12, -0.8}, {9, 12, -0.8}, {9, 17, -0.8}, {3, 17, -0.8}}, true});
    FigureOrder order;
    order.bits = {bit_of("vee:60:0.2:3.175", 0.5)};
    const FigurePlan plan = plan_grooves(design, order, {});
    const Cut cut(plan, order, 20);
    cut.keeps(plan, order);
    const double tan = std::tan(std::numbers::pi / 6);
    CHECK(cut.worst([&](const Point& p) {
        const auto from_line = [&](double ax, double ay, double az, double bx, double by, double bz) {
            double least = 0;
            for (int k = 0; k <= 400; ++k) {
                const double t = k / 400.0, r = std::hypot(p.x - ax - (bx - ax) * t, p.y - ay - (by - ay) * t);
                least = std::min(least, az + (bz - az) * t + std::max(0.0, r - 0.1) / tan);
            }
            return least;
        };
        const double z =
            std::min({from_line(3, 5, -1.2, 10, 5, -1.2), from_line(10, 5, -1.2, 17, 5, -0.4), from_line(3, 12, -0.8, 9, 12, -0.8),
                      from_line(9, 12, -0.8, 9, 17, -0.8), from_line(9, 17, -0.8, 3, 17, -0.8), from_line(3, 17, -0.8, 3, 12, -0.8)});
        return std::pair(z - upright - sideways / tan, z + upright + sideways / tan);
    }) <= 0);
    // The bit comes down twice only: once for each line.
    int descents = 0;
    Point3 at;
    for (const Move& move : plan.paths[0].path.track.moves) {
        if (move.kind == MoveKind::rapid && move.to.z < at.z) ++descents;
        at = move.to;
    }
    CHECK(descents == 2);
}

TEST_CASE("Flat bits and balls keep to the section on slopes and at the ends of grooves") {
    for (const char* sizes : {"flat:1.0", "ball:1.0", "vee:30:0.2:3.175"}) {
        INFO(sizes);
        FigureDesign design;
        Groove swell;
        for (int k = 0; k <= 60; ++k)
            swell.tip.push_back({2 + 0.25 * k, 6 + 2 * std::sin(0.1 * k), -0.9 * std::sin(std::numbers::pi * k / 60)});
        design.grooves = {swell, {{{2, 12, -0.7}, {16, 12, -0.7}}, false}, {{{4, 15, -0.6}}, false}};
        FigureOrder order;
        order.bits = {bit_of(sizes, 0.3)};
        const FigurePlan plan = plan_grooves(design, order, {});
        const Cut cut(plan, order, 18);
        cut.keeps(plan, order);
        CHECK(cut.seen[0].lowest == Approx(-0.9).margin(1e-6));
        const int i = static_cast<int>(4 / 0.05), j = static_cast<int>(15 / 0.05);
        CHECK(static_cast<double>(cut.surface(i, j)) == Approx(-0.6).margin(0.03));
    }
    CHECK_THROWS_AS(plan_grooves(FigureDesign{}, FigureOrder{}, {}), Error);
}

TEST_CASE("Idle travel is no more than 1.3 times that of a long 2-opt run") {
    // The 2-opt here: from ten random orders, every reversal tried until none gains (Croes 1958); the best of the ten counts. Seed 5.
    std::mt19937 random(5);
    std::uniform_real_distribution<double> unit(0, 1);
    for (const int count : {20, 60, 120}) {
        FigureDesign design;
        for (int k = 0; k < count; ++k) {
            const double x = 2 + 90 * unit(random), y = 2 + 90 * unit(random), a = 6.2832 * unit(random), l = 1 + 6 * unit(random);
            design.grooves.push_back({{{x, y, -0.3}, {x + l * std::cos(a), y + l * std::sin(a), -0.3}}, false});
        }
        FigureOrder order;
        order.bits = {bit_of("vee:60:0.2:3.175", 1)};
        const FigurePlan plan = plan_grooves(design, order, {});
        struct Line {
            Point a, b;
        };
        double best = 1e9;
        for (int run = 0; run < 10; ++run) {
            std::vector<Line> tour;
            for (const Groove& groove : design.grooves) tour.push_back({flat(groove.tip[0]), flat(groove.tip[1])});
            std::shuffle(tour.begin(), tour.end(), random);
            const auto before = [&](std::size_t k) { return k == 0 ? Point{0, 0} : tour[k - 1].b; };
            for (bool better = true; better;) {
                better = false;
                for (std::size_t i = 0; i < tour.size(); ++i)
                    for (std::size_t j = i; j < tour.size(); ++j) {
                        double gain = distance(before(i), tour[i].a) - distance(before(i), tour[j].b);
                        if (j + 1 < tour.size()) gain += distance(tour[j].b, tour[j + 1].a) - distance(tour[i].a, tour[j + 1].a);
                        if (gain < 1e-9) continue;
                        std::reverse(tour.begin() + static_cast<std::ptrdiff_t>(i), tour.begin() + static_cast<std::ptrdiff_t>(j) + 1);
                        for (std::size_t k = i; k <= j; ++k) std::swap(tour[k].a, tour[k].b);
                        better = true;
                    }
            }
            double sum = 0;
            for (std::size_t k = 0; k < tour.size(); ++k) sum += distance(before(k), tour[k].a);
            best = std::min(best, sum);
        }
        INFO(count << " lines: " << idle(plan.paths[0].path.track) << " mm idle, 2-opt " << best);
        CHECK(idle(plan.paths[0].path.track) <= 1.3 * best);
    }
}
