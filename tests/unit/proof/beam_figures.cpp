// Figures burnt as lines inside them, along them and cut through in passes, known on paper and damaged; and rows that a controller cannot
// keep up with. Where no other source is named, the check is Burin's own promise.
#include <cmath>
#include <numbers>

#include "beam.hpp"
#include "check.hpp"

using namespace burin;
using namespace burin::test;

namespace {

BeamProof proved(const BeamText& text, const std::vector<BeamFigure>& figures) {
    const std::string all = text.text();
    BeamTask task = beam_task(all);
    task.figures = figures;
    return prove_beam(task, Crew{});
}
void names(const BeamProof& proof, std::string_view check, std::uint32_t line) {
    INFO(check_named(proof, check).detail);
    CHECK_FALSE(check_named(proof, check).ok);
    CHECK(check_named(proof, check).line == line);
}

/// What rows_of burns.
BeamFigure filled_rows() {
    BeamFigure figure;
    figure.region = rectangle({{10, 10}, {30, 12}});
    return figure;
}

/// A square of 10 mm followed at two heights, each twice. Line 8 + 6 k leads to pass k, lines 9 + 6 k … 12 + 6 k are its sides.
BeamText square_cut() {
    BeamText text;
    text.lines = {"G21 G90 G17 G94 G54", "M5 S0", "G0 Z3", "M4 S0", "X10 Y10", "(square)", "G0 Z0"};
    for (int k = 0; k < 4; ++k) {
        text.add(fmt::format("G1 Z{} F300 S0", k < 2 ? 0 : -1));
        text.add("G1 X20 F600 S1000");
        text.add("Y20");
        text.add("X10");
        text.add("Y10");
        text.add("S0");
    }
    text.add("G0 Z3");
    text.end();
    return text;
}
constexpr std::uint32_t side_of_pass(int pass, int side) { return static_cast<std::uint32_t>(9 + 6 * pass + side); }
BeamFigure cut_square() {
    BeamFigure figure;
    figure.region = rectangle({{10, 10}, {20, 20}});
    figure.cover = BeamCover::along;
    figure.heights = {0, -1};
    figure.times = 2;
    return figure;
}

/// A row of `count` lit moves of `length` mm at y 20, their power changing, with long dark run-ups.
BeamText short_moves(int count, double length, double feed) {
    BeamText text;
    text.add("G0 X5 Y20");
    text.add(fmt::format("G1 X15 F{:.0f} S0", feed));
    for (int k = 1; k <= count; ++k) text.add(fmt::format("X{:.3f} S{}", 15 + k * length, 100 + k % 2));
    text.add(fmt::format("X{:.3f} S0", 25 + count * length));
    text.end();
    return text;
}

}  // namespace

TEST_CASE("a filled figure is burnt to its line and not beyond") {
    const BeamText text = rows_of(700, 700);
    CHECK(broken(proved(text, {filled_rows()})) == kept);
    SECTION("a run is left out") {
        BeamText damaged = text;
        damaged.line(first_of_row(9) + 2) = "X20 S0";
        names(proved(damaged, {filled_rows()}), "nothing left out", first_of_row(9) + 2);
    }
    SECTION("a whole row is left out, of a figure one row high too") {
        BeamFigure thin = filled_rows();
        thin.region = rectangle({{10, 13.96}, {30, 14}});
        const BeamProof proof = proved(text, {filled_rows(), thin});
        CHECK_FALSE(check_named(proof, "nothing left out").ok);
        CHECK(check_named(proof, "nothing left out").place.y > 13.9);
    }
    SECTION("a run goes beyond the line") {
        BeamText damaged = text;
        damaged.line(first_of_row(9) + 4) = "X9.9 S700";
        names(proved(damaged, {filled_rows()}), "nothing burnt outside", first_of_row(9) + 4);
    }
    SECTION("a run goes over a hole") {
        BeamFigure holed = filled_rows();
        holed.region = without(holed.region, rectangle({{14, 10.6}, {14.5, 10.9}}));
        names(proved(text, {holed}), "nothing burnt outside", first_of_row(6) + 2);
    }
}

TEST_CASE("a line is followed at every height as often as asked for") {
    const BeamText text = square_cut();
    CHECK(broken(proved(text, {cut_square()})) == kept);
    SECTION("a side of one pass is dark") {
        BeamText damaged = text;
        damaged.line(side_of_pass(3, 1)) = "Y20 S0";
        damaged.line(side_of_pass(3, 2)) = "X10 S1000";
        const BeamProof proof = proved(damaged, {cut_square()});
        CHECK_FALSE(check_named(proof, "nothing left out").ok);
        CHECK(check_named(proof, "nothing left out").place.z == Approx(-1));
        CHECK(check_named(proof, "nothing left out").place.x == Approx(20));
        BeamFigure once = cut_square();
        once.times = 1;
        CHECK(check_named(proved(damaged, {once}), "nothing left out").ok);
    }
    SECTION("the head is never lowered") {
        BeamText damaged = text;
        for (const int k : {2, 3}) damaged.line(side_of_pass(k, -1)) = "G1 Z0 F300 S0";
        CHECK_FALSE(check_named(proved(damaged, {cut_square()}), "nothing left out").ok);
    }
    SECTION("inside the line is outside what is to be burnt") {
        BeamText damaged = text;
        damaged.line(side_of_pass(0, 1)) = "X19.9 Y20";
        names(proved(damaged, {cut_square()}), "nothing burnt outside", side_of_pass(0, 1));
    }
}

TEST_CASE("open lines and dots are followed to their ends") {
    BeamText text;
    text.add("G0 X10 Y10");
    text.add("G1 X15 Y12 F600 S400");
    const std::uint32_t last = text.add("Y18");
    text.add("S0");
    text.add("G0 X20 Y20");
    const std::uint32_t dot = text.add("G1 X20.02 S400");
    text.add("S0");
    text.end();
    BeamFigure figure;
    figure.cover = BeamCover::along;
    figure.lines = {{{{10, 10}, {15, 12}, {15, 18}}, false}, {{{20.01, 20}}, false}};
    CHECK(broken(proved(text, {figure})) == kept);
    SECTION("ends early") {
        text.line(last) = "Y17.8";
        names(proved(text, {figure}), "nothing left out", last);
    }
    SECTION("goes on too far") {
        text.line(last) = "Y18.05";
        names(proved(text, {figure}), "nothing burnt outside", last);
    }
    SECTION("no dot") {
        text.line(dot) = "G1 X20.02 S0";
        names(proved(text, {figure}), "nothing left out", dot);
    }
}

TEST_CASE("arcs are burnt as they are") {
    // A circle of radius 4, plane geometry.
    BeamText text;
    text.add("G0 X14 Y10");
    text.add("G2 X14 Y10 I-4 J0 F600 S500");
    text.add("S0");
    text.end();
    Loop loop;
    for (int k = 0; k < 720; ++k)
        loop.push_back({10 + 4 * std::cos(k * std::numbers::pi / 360), 10 + 4 * std::sin(k * std::numbers::pi / 360)});
    BeamFigure circle;
    circle.region = Region({loop});
    circle.cover = BeamCover::along;
    const BeamProof proof = proved(text, {circle});
    CHECK(broken(proof) == kept);
    CHECK(proof.programs[0].burnt_length == Approx(8 * std::numbers::pi).epsilon(1e-4));
    // 2.5 W at 10 mm/s over 25.13 mm: 6.283 J, all of which falls on the stock, about the circle's middle.
    CHECK(proof.programs[0].energy_j == Approx(2 * std::numbers::pi).epsilon(1e-4));
    double joules = 0, x = 0, y = 0;
    const Grid<float>& light = proof.exposure;
    for (int j = 0; j < light.height(); ++j)
        for (int i = 0; i < light.width(); ++i) {
            const double here = static_cast<double>(light(i, j)) * light.cell() * light.cell();
            joules += here, x += here * light.centre(i, j).x, y += here * light.centre(i, j).y;
        }
    CHECK(joules == Approx(2 * std::numbers::pi).epsilon(1e-3));
    CHECK(x / joules == Approx(10).epsilon(1e-4));
    CHECK(y / joules == Approx(10).epsilon(1e-4));
}

TEST_CASE("the fastest feed with which a controller keeps up") {
    const auto task_of = [](const std::string& text, double acceleration, double rate) {
        BeamTask task = beam_task(text);
        task.machine.acceleration = {acceleration, acceleration, 50};
        task.machine.planned_moves = 16;
        task.machine.lines_per_s = rate;
        return task;
    };
    SECTION("by what it knows ahead") {
        // Kinematics: v = √(2 a N l), N 16, l 0.1, a 100: 17.9 mm/s. What is slower by 2 % counts.
        const std::string text = short_moves(200, 0.1, 3000).text();
        const BeamProof proof = prove_beam(task_of(text, 100, 0), Crew{});
        const BeamPace& pace = proof.programs[0].pace;
        CHECK(pace.asked_feed == 3000);
        CHECK(pace.slow_moves > 150);
        CHECK(pace.fastest_feed >= 60 * 17.8);
        CHECK(pace.fastest_feed <= 60 * 17.89 / 0.96);
        CHECK(check_named(proof, "keeps up").ok);  // its power goes with the speed
        CHECK(check_named(proof, "keeps up").detail.find(fmt::format("--feed {:.0f}", pace.fastest_feed)) != std::string::npos);
        const std::string slower = short_moves(200, 0.1, pace.fastest_feed).text();
        const BeamProof kept = prove_beam(task_of(slower, 100, 0), Crew{});
        CHECK(kept.programs[0].pace.slow_moves == 0);
        CHECK(kept.programs[0].pace.fastest_feed == pace.fastest_feed);
    }
    SECTION("by the lines that it takes in a second") {
        // A move lasts at least 1 ÷ R: 0.1 mm at 100 lines a second is 10 mm/s.
        BeamText text = short_moves(50, 0.1, 3000);
        const std::string all = text.text();
        const BeamProof proof = prove_beam(task_of(all, 500, 100), Crew{});
        CHECK(proof.programs[0].pace.fastest_feed >= 595);
        CHECK(proof.programs[0].pace.fastest_feed <= 600 / 0.98);
        CHECK(proof.programs[0].pace.slowest_share == Approx(0.2).epsilon(0.02));
        text.line(4) = "M3 S0";  // constant power: its tone would suffer
        const std::string constant = text.text();
        const BeamProof broken_pace = prove_beam(task_of(constant, 500, 100), Crew{});
        CHECK_FALSE(check_named(broken_pace, "keeps up").ok);
        CHECK_FALSE(check_named(broken_pace, "steady speed").ok);
        CHECK(check_named(broken_pace, "steady speed").line == 7);
    }
    SECTION("corners are no fault of the controller's") {
        BeamText text;
        text.add("G0 X5 Y5");
        for (int k = 0; k < 20; ++k) text.add(fmt::format("{}X{} Y{} S300", k == 0 ? "G1 F3000 " : "", 6 + k, 5 + (k % 2) * 2));
        text.add("S0");
        text.end();
        const std::string all = text.text();
        const BeamProof proof = prove_beam(task_of(all, 500, 524), Crew{});
        CHECK(proof.programs[0].pace.slow_moves == 0);
        CHECK(proof.programs[0].pace.fastest_feed == 3000);
    }
}

TEST_CASE("the proof of a beam is the same on any number of threads") {
    const std::string text = rows_of(400, 800).text();
    BeamTask task = beam_task(text);
    const Grid<float> wanted = rows_exposure(400, 800);
    task.exposure = &wanted;
    task.figures = {filled_rows()};
    Crew alone, many;
    many.threads = 3;
    const BeamProof one = prove_beam(task, alone), three = prove_beam(task, many);
    CHECK(one.exposure == three.exposure);
    CHECK(one.worst_tone == three.worst_tone);
    REQUIRE(one.proof.checks.size() == three.proof.checks.size());
    for (std::size_t k = 0; k < one.proof.checks.size(); ++k) CHECK(one.proof.checks[k].detail == three.proof.checks[k].detail);
}

TEST_CASE("tones of slanted rows are as wanted") {
    // Exposure = power ÷ (speed × line spacing), the definition: a disc of 0.6 J/mm² in rows at 30 degrees.
    const Point middle{20, 20};
    const double radius = 6, c = std::cos(std::numbers::pi / 6), s = std::sin(std::numbers::pi / 6);
    BeamText text;
    for (int k = -60; k < 60; ++k) {
        const double v = (k + 0.5) * 0.1, half = std::sqrt(radius * radius - v * v);
        const auto at = [&](double u) { return fmt::format("X{:.3f} Y{:.3f}", middle.x + u * c - v * s, middle.y + u * s + v * c); };
        text.add("G0 " + at(-half - 3));
        text.add("G1 " + at(-half) + " F3000 S0");
        text.add(at(half) + " S600");
        text.add(at(half + 3) + " S0");
    }
    text.end();
    Grid<float> wanted(160, 160, 0.1, {12, 12});
    for (int j = 0; j < 160; ++j)
        for (int i = 0; i < 160; ++i) wanted(i, j) = distance(wanted.centre(i, j), middle) < radius ? 0.6F : 0.0F;
    const std::string all = text.text();
    BeamTask task = beam_task(all);
    task.exposure = &wanted;
    const BeamProof good = prove_beam(task, Crew{});
    CHECK(broken(good) == kept);
    text.line(5 + 4 * 70 + 2).replace(text.line(5 + 4 * 70 + 2).find('S'), 4, "S300");
    const std::string damaged = text.text();
    task.programs[0].text = damaged;
    names(prove_beam(task, Crew{}), "tone as wanted", 5 + 4 * 70 + 2);
}
