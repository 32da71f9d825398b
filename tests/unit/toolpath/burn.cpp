// Rows and lines of a beam: run-ups, runs, gaps, the fastest feed, figures. Sources: kinematics (run-up v²/(2a), look-ahead √(2 a N l)),
// plane geometry; what a row is made of is the contract of burn_raster.hpp, no source.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "burin/motion/timing.hpp"
#include "burin/shape/edge_distance.hpp"
#include "burin/toolpath/burn_figure.hpp"
#include "burin/toolpath/burn_raster.hpp"
#include "check.hpp"

namespace {

using namespace burin;

Machine machine_of(double acceleration, int planned, double lines_per_s) {
    Machine m;
    m.travel = {300, 300, 50};
    m.rapid = {6000, 6000, 800};
    m.acceleration = {acceleration, acceleration, 50};
    m.planned_moves = planned;
    m.lines_per_s = lines_per_s;
    return m;
}

/// Follows a track; `see(from, to, move)` for every move.
template <class See>
void follow(const Track& track, const See& see) {
    Point3 at = track.start;
    for (const Move& move : track.moves) see(at, move.to, move), at = move.to;
}

BurnTone wood() {
    BurnTone tone;
    tone.curve.points = {{0, 0}, {0.1, 0}, {1.1, 1}};
    tone.power_w = 5, tone.scale = 1000, tone.most_s = 1000;
    tone.spacing = 0.1, tone.feed = 60 * 5 / (1.1 * 0.1);
    return tone;
}

}  // namespace

TEST_CASE("The run-up of a beam line is v²/(2a)") {
    CHECK(run_up_for(50 * 60, 500) == Approx(2.5));  // 50 mm/s at 500 mm/s²: kinematics
    // Along the diagonal both axes share: each has 1/√2 of the whole (plane geometry).
    Machine m = machine_of(100, 16, 0);
    m.acceleration = {100, 200, 50};
    CHECK(acceleration_along(m, 0) == Approx(100));
    CHECK(acceleration_along(m, std::numbers::pi / 2) == Approx(200));
    CHECK(acceleration_along(m, std::numbers::pi / 4) == Approx(100 * std::sqrt(2)));
    CHECK(rapid_along(m, std::numbers::pi / 4) == Approx(6000 * std::sqrt(2)));
}

TEST_CASE("A row: rapid, dark run-up, lit runs, a short gap at feed, a wide one by rapid, dark run-out") {
    // By hand from the contract; 50 mm/s at 500 mm/s².
    BurnRowsOrder order;
    order.feed = 3000, order.run_up = run_up_for(3000, 500), order.rapid = 6000;
    Toolpath path;
    append_rows(path, {{1, {{10, 12, 300}, {13, 15, 500}, {40, 41, 700}}}, {1.1, {}}, {1.2, {{10, 12, 900}}}}, order, {});
    struct Expected {
        double x, y;
        bool rapid;
        int power;
    };
    const double r = 2.502;  // 0.002 more, so that rounding takes nothing off
    const std::vector<Expected> expected{{10 - r, 1, true, 0},  {10, 1, false, 0},      {12, 1, false, 300},    {13, 1, false, 0},
                                         {15, 1, false, 500},   {15 + r, 1, false, 0},  {40 - r, 1, true, 0},   {40, 1, false, 0},
                                         {41, 1, false, 700},   {41 + r, 1, false, 0},  {12 + r, 1.2, true, 0}, {12, 1.2, false, 0},
                                         {10, 1.2, false, 900}, {10 - r, 1.2, false, 0}};
    REQUIRE(path.track.moves.size() == expected.size());
    for (std::size_t k = 0; k < expected.size(); ++k) {
        const Move& m = path.track.moves[k];
        INFO("move " << k);
        CHECK(m.to.x == Approx(expected[k].x));
        CHECK(m.to.y == Approx(expected[k].y));
        CHECK((m.kind == MoveKind::rapid) == expected[k].rapid);
        CHECK(m.power == expected[k].power);
        CHECK(m.feed == (expected[k].rapid ? 0.0F : 3000.0F));
    }
    CHECK_THROWS_AS(append_rows(path, {{0, {{0, 2, 1}, {1, 3, 1}}}}, order, {}), Error);
}

TEST_CASE("Rows one way, turned, and returning rows lined up") {
    BurnRowsOrder order;
    order.feed = 600, order.run_up = 1;
    const std::vector<BurnRow> rows{{0, {{0, 5, 10}}}, {0.5, {{0, 5, 10}}}};
    order.one_way = true;
    Toolpath path;
    append_rows(path, rows, order, {});
    follow(path.track, [](const Point3& from, const Point3& to, const Move& m) {
        if (m.power > 0) CHECK(to.x > from.x);
    });
    order.one_way = false, order.line_up = 0.3;
    path = {};
    append_rows(path, rows, order, {});
    std::vector<double> ends;
    follow(path.track, [&](const Point3& from, const Point3& to, const Move& m) {
        if (m.power > 0) ends.push_back(from.x), ends.push_back(to.x);
    });
    REQUIRE(ends.size() == 4);
    CHECK(ends[0] == Approx(0).margin(1e-12));
    CHECK(ends[1] == Approx(5));
    CHECK(ends[2] == Approx(5.3));  // the way back lies 0.3 to the right
    CHECK(ends[3] == Approx(0.3));
    // A quarter turn about (2, 3): x along the row becomes y (plane geometry).
    order.line_up = 0, order.angle = std::numbers::pi / 2, order.pivot = {2, 3};
    path = {};
    append_rows(path, {{3, {{2, 7, 10}}}}, order, {});
    CHECK(path.track.moves[2].to.x == Approx(2));
    CHECK(path.track.moves[2].to.y == Approx(8));
}

TEST_CASE("The head is at its speed wherever the beam is lit") {
    // Against the motion rules: each lit move takes just its length over the feed, its run-up began at rest.
    Machine m = machine_of(500, 16, 0);
    BurnRowsOrder order;
    order.feed = 3000, order.run_up = run_up_for(3000, 500), order.rapid = 6000;
    std::vector<BurnRow> rows;
    for (int j = 0; j < 6; ++j) rows.push_back({0.1 * j, {{5.0 + j, 20, 100}, {20, 25, 200}, {60, 70.0 - j, 50}}});
    Toolpath path;
    append_rows(path, rows, order, {});
    const Timing timing = reckon_time(path.track, m);
    std::size_t k = 0;
    follow(path.track, [&](const Point3& from, const Point3& to, const Move& move) {
        if (move.power > 0) CHECK(static_cast<double>(timing.move_s[k]) == Approx(std::abs(to.x - from.x) / 50).epsilon(1e-4));
        ++k;
    });
}

TEST_CASE("The fastest feed is that of look-ahead and of lines a second") {
    // Kinematics: N 16, l 0.1, a 100: √(2 · 100 · 16 · 0.1) = 17.889 mm/s.
    std::vector<BurnRow> rows(1);
    for (int k = 0; k < 400; ++k) rows[0].runs.push_back({k * 0.1, (k + 1) * 0.1, static_cast<std::uint16_t>(1 + k % 7)});
    CHECK(fastest_feed(rows, machine_of(100, 16, 0), 0) == Approx(60 * std::sqrt(320.0)));
    CHECK(fastest_feed(rows, machine_of(100, 16, 100), 0) == Approx(60 * 10));  // 100 lines of 0.1 mm a second
    // One long run: the run-out is long enough at any feed.
    CHECK(fastest_feed({{0, {{0, 100, 5}}}}, machine_of(100, 16, 0), 0) == std::numeric_limits<double>::infinity());
    // At that feed the lit moves keep it, faster ones do not (the motion rules themselves).
    const Machine m = machine_of(100, 16, 0);
    for (const double share : {0.999, 1.05}) {
        BurnRowsOrder order;
        order.feed = share * fastest_feed(rows, m, 0), order.run_up = run_up_for(order.feed, 100);
        Toolpath path;
        append_rows(path, rows, order, {});
        const Timing timing = reckon_time(path.track, m);
        double slowest = 0;
        for (std::size_t k = 0; k < path.track.moves.size(); ++k)
            if (path.track.moves[k].power > 0) slowest = std::max(slowest, static_cast<double>(timing.move_s[k]));
        const double wanted = 0.1 / (order.feed / 60);
        CHECK((slowest < wanted * 1.001) == (share < 1));
    }
}

TEST_CASE("Power follows the material's curve") {
    const BurnTone tone = wood();
    // 5 W ÷ (v · 0.1 mm) with v so that full power puts 1.1 J on each mm²: the contract's formula.
    CHECK(exposure_of(tone, 1000) == Approx(1.1));
    CHECK(darkest_feed(tone) == Approx(tone.feed));
    CHECK(power_for(tone, 0) == 0);
    CHECK(power_for(tone, 1) == 1000);
    CHECK(power_for(tone, 7) == 1000);
    CHECK(power_for(tone, 0.5) == 545);  // 0.6 J/mm² of 1.1: 545.45
    for (int k = 0; k <= 200; ++k) {
        const double d = k / 200.0;
        CHECK(std::abs(darkness_at(tone, power_for(tone, d)) - d) <= 0.5 / tone.levels + 1.0 / 1000 + 1e-9);
    }
    BurnTone slow = tone;  // twice as fast: half of the exposure, and what is darker than that cannot be burnt
    slow.feed *= 2;
    CHECK(power_for(slow, 1) == 1000);
    CHECK(darkness_at(slow, 1000) == Approx(0.45));
    BurnTone weak = tone;  // nothing marks below 200
    weak.least_s = 200;
    CHECK(power_for(weak, 0.05) == 0);
    CHECK(power_for(weak, 0.2) > 200);
    BurnTone unknown = tone;
    unknown.curve = {}, unknown.least_s = 100;
    CHECK(power_for(unknown, 0.5) == 550);  // midway between least and most
}

TEST_CASE("Cells of equal power become one run") {
    Grid<std::uint16_t> power(6, 2, 0.5, {1, 2});
    const std::uint16_t first[] = {0, 7, 7, 9, 0, 4};
    std::copy(std::begin(first), std::end(first), power.row(0));
    const auto rows = rows_of(power);
    REQUIRE(rows.size() == 2);
    CHECK(rows[0].y == 2.25);
    CHECK(rows[0].runs == std::vector<BurnRun>{{1.5, 2.5, 7}, {2.5, 3, 9}, {3.5, 4, 4}});
    CHECK(rows[1].runs.empty());
}

TEST_CASE("A figure is filled to its edge and no farther") {
    // A disc with a hole, and a bar narrower than the spot. Invariants from the promise: what is lit keeps within half a spot of the
    // figure, and every place of the figure lies under a lit spot
    // (rows alone leave a part of a row along edges that run beside them).
    Loop disc, hole;
    for (int k = 0; k < 90; ++k) {
        const double a = k * std::numbers::pi / 45;
        disc.push_back({10 + 5 * std::cos(a), 10 + 5 * std::sin(a)});
        hole.push_back({11 + 2 * std::cos(a), 10 + 2 * std::sin(a)});
    }
    const Region figure({disc, hole, corners_of({{16, 6}, {16.12, 14}})});
    for (const bool edge : {true, false}) {
        BurnFigureOrder order;
        order.spot = order.narrow = 0.2, order.spacing = 0.15, order.edge = edge, order.beside = 0.1, order.power = 800;
        order.run.feed = 600, order.run.run_up = 0.5, order.run.angle = 0.4;
        const Toolpath path = plan_burnt_figure(figure, {}, order, {});
        const double cell = 0.04;
        Grid<std::uint8_t> burnt(325, 300, cell, {4, 4});
        bool on_spot = true;
        follow(path.track, [&](const Point3& from, const Point3& to, const Move& m) {
            if (m.power == 0) return;
            on_spot = on_spot && m.power == 800 && distance(Point{from.x, from.y}, Point{to.x, to.y}) > 1e-3;
            const double length = distance(Point{from.x, from.y}, Point{to.x, to.y});
            const int steps = std::max(1, static_cast<int>(length / 0.02));
            for (int s = 0; s <= steps; ++s) {
                const double x = from.x + (to.x - from.x) * s / steps, y = from.y + (to.y - from.y) * s / steps;
                for (int j = static_cast<int>((y - 4 - 0.1) / cell); j <= static_cast<int>((y - 4 + 0.1) / cell); ++j)
                    for (int i = static_cast<int>((x - 4 - 0.1) / cell); i <= static_cast<int>((x - 4 + 0.1) / cell); ++i)
                        if (burnt.holds(i, j) && distance(burnt.centre(i, j), {x, y}) <= 0.1) burnt(i, j) = 1;
            }
        });
        CHECK(on_spot);
        const Region grown = offset_by(figure, 0.12), shrunk = offset_by(figure, edge ? -0.03 : -0.16);
        int over = 0, missed = 0;
        for (int j = 0; j < 300; ++j)
            for (int i = 0; i < 325; ++i) {
                const Point p = burnt.centre(i, j);
                if (burnt(i, j) != 0 && !grown.holds(p)) ++over;
                if (burnt(i, j) == 0 && shrunk.holds(p)) ++missed;
            }
        INFO("edge " << edge);
        CHECK(over == 0);
        CHECK(missed <= 20);  // crumbs of corners
    }
}

TEST_CASE("Cut through in passes: holes before outlines, the focus lowered in the dark") {
    const Region figure({corners_of({{0, 0}, {20, 20}}), corners_of({{5, 5}, {8, 8}})});
    BurnFigureOrder order;
    order.rows = false, order.spot = 0.2, order.beside = -0.1, order.power = 1000, order.passes = 3, order.focus_step = 0.5;
    order.run.feed = 300;
    const Toolpath path = plan_burnt_figure(figure, {}, order, {});
    REQUIRE(path.passes.size() == 3);
    double way = 0, small = 0;
    follow(path.track, [&](const Point3& from, const Point3& to, const Move& m) {
        if (m.power > 0) {
            CHECK(from.z == to.z);
            way += distance(Point{from.x, from.y}, Point{to.x, to.y});
            if (way < 12) small = std::max(small, std::max(to.x, to.y));
        } else if (from.z != to.z) {
            CHECK(m.kind == MoveKind::rapid);
            CHECK(from.x == to.x);
        }
    });
    CHECK(path.passes[2].z == -1);
    CHECK(small < 9);  // the hole comes first
    CHECK(way == Approx(3 * (80 + 0.2 * std::numbers::pi + 4 * 2.8))
                     .epsilon(1e-3));  // half a spot outside, round outer corners, 0.1 inside the hole
}

TEST_CASE("Dots are short lines, and a border runs round") {
    BurnFigureOrder order;
    order.spot = 0.2, order.run.feed = 300;
    const Toolpath dot = plan_burnt_figure({}, {{{{3, 4}}, false}}, order, {});
    REQUIRE(dot.track.moves.size() == 2);
    CHECK(dot.track.moves[1].to.x - dot.track.moves[0].to.x == Approx(0.1));
    CHECK_THROWS_AS(plan_burnt_figure({}, {}, order, {}), Error);
    const Toolpath border = border_run({{1, 2}, {4, 6}}, 900, 5, 2);
    REQUIRE(border.track.moves.size() == 9);
    CHECK(border.track.moves[0].power == 0);
    for (std::size_t k = 1; k < 9; ++k) CHECK(border.track.moves[k].power == 5);
    CHECK(border.track.moves[8].to == border.track.moves[0].to);
}

TEST_CASE("Crossed: the rows of every second pass lie across the others, the edge runs in all") {
    const Region figure({corners_of({{0, 0}, {6, 4}})});
    BurnFigureOrder order;
    order.spot = 0.2, order.spacing = 0.15, order.beside = 0.1, order.power = 1000, order.passes = 3;
    order.run.feed = 300;
    order.across = order.run;
    order.across->angle = std::numbers::pi / 2;
    const Toolpath path = plan_burnt_figure(figure, {}, order, {});
    REQUIRE(path.passes.size() == 3);
    double along_x[3] = {}, along_y[3] = {};
    std::size_t k = 0;
    follow(path.track, [&](const Point3& from, const Point3& to, const Move& m) {
        const std::size_t pass = k >= path.passes[2].first ? 2 : k >= path.passes[1].first ? 1 : 0;
        ++k;
        if (m.power == 0) return;
        along_x[pass] += std::abs(to.x - from.x), along_y[pass] += std::abs(to.y - from.y);
    });
    // Rows within 5.7 × 3.7 (1.5 × 0.2 − 0.15 less on every side), evenly spread, no farther apart than 0.15: 25 + 1 of one
    // kind, 38 + 1 of the other (counting); the edge is 5.8 × 3.8.
    for (const int pass : {0, 2}) {
        CHECK(along_x[pass] == Approx(26 * 5.7 + 2 * 5.8).margin(0.2));
        CHECK(along_y[pass] == Approx(2 * 3.8).margin(0.01));
    }
    CHECK(along_x[1] == Approx(2 * 5.8).margin(0.01));
    CHECK(along_y[1] == Approx(39 * 3.7 + 2 * 3.8).margin(0.2));
}
