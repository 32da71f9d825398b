// Walks round a work: sound ones hold, damaged ones are told with their line. Places are plane geometry; limits are the task's own.
#include "burin/proof/walk.hpp"

#include <algorithm>

#include "check.hpp"

using namespace burin;

namespace {

Machine desk() {
    Machine machine;
    machine.travel = {250, 160, 55};
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 60};
    machine.spindle = Spindle{10000, 10000, 40, 3};
    return machine;
}
Machine laser(double pilot) {
    Machine machine = desk();
    machine.spindle.reset();
    machine.laser = Laser{};
    machine.laser->pilot_s = pilot;
    return machine;
}

/// Cuts a diamond from X10 Y20 to X30 Y60 below the top, and a line above it that does not count.
const std::string work =
    "G21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\nX0 Y0\nG1 X5 Y90 F500\nG0 X20 Y20\nG1 Z-1 F100\nX30 Y40\nX20 Y60\nX10 Y40\nX20 Y20\nG0 "
    "Z3\nM5\nM2\n";
const std::string box = "G21 G90 G17 G94 G54\nM5\nG0 Z5\nX10 Y20\nG1 X30 F1000\nY60\nX10\nY20\nG0 Z5\nM5\nM2\n";
const std::string burnt =
    "G21 G90 G17 G94 G54\nM5 S0\nM4 S0\nG0 X20 Y20\nG1 X30 Y40 F500 S300\nX20 Y60\nX10 Y40\nX20 Y20\nX0 Y0 S0\nM5 S0\nM2\n";
const std::string lit = "G21 G90 G17 G94 G54\nM5 S0\nM4 S0\nG0 X10 Y20\nG1 X30 F1000 S8\nY60\nX10\nY20\nS0\nM5 S0\nM2\n";

std::string with(std::string text, const std::string& part, const std::string& instead) {
    const auto at = text.find(part);
    REQUIRE(at != std::string::npos);
    return text.replace(at, part.size(), instead);
}

WalkTask task_of(std::string_view text) {
    WalkTask task;
    task.file = "1-pace.nc";
    task.text = text;
    task.machine = desk();
    task.safe_z = 5;
    task.worked = {work};
    return task;
}
WalkTask lit_task(std::string_view text, double asked, double allowed) {
    WalkTask task = task_of(text);
    task.tool = ToolKind::beam;
    task.machine = laser(allowed);
    task.most_power = asked;
    task.worked = {burnt};
    return task;
}

bool breaks(const WalkProof& proof, const std::string& name, std::uint32_t line) {
    return std::any_of(proof.checks.begin(), proof.checks.end(), [&](const Check& c) { return !c.ok && c.name == name && c.line == line; });
}

}  // namespace

TEST_CASE("a sound walk holds") {
    const WalkProof proof = prove_walk(task_of(box));
    for (const Check& check : proof.checks) {
        INFO(check.name << ": " << check.detail);
        CHECK(check.ok);
    }
    CHECK(proof.holds());
    CHECK(proof.nearest == Approx(0).margin(1e-9));
    CHECK(proof.figures.cut_length == Approx(120));
    const std::string hull = "G21 G90 G17 G94 G54\nM5\nG0 Z5\nX20 Y20\nG1 X30 Y40 F1000\nX20 Y60\nX10 Y40\nX20 Y20\nG0 Z5\nM5\nM2\n";
    CHECK(prove_walk(task_of(hull)).holds());
    // Radius 20 about the middle holds the diamond, whose long diagonal is 40.
    const std::string circle = "G21 G90 G17 G94 G54\nM5\nG0 Z5\nX40 Y40\nG1 X40 F1000\nG3 X0 Y40 I-20 J0\nX40 Y40 I20 J0\nG0 Z5\nM5\nM2\n";
    WalkTask round = task_of(circle);
    round.circle = true;
    CHECK(prove_walk(round).holds());
    CHECK(prove_walk(lit_task(lit, 8, 10)).holds());
}

TEST_CASE("a damaged walk is told with its line") {
    const auto broken = [](const std::string& text, const std::string& name, std::uint32_t line) {
        INFO(name << ", line " << line << "\n" << text);
        CHECK(breaks(prove_walk(task_of(text)), name, line));
    };
    const std::string round = "round all that is cut";
    broken(with(box, "G1 X30", "G1 X29.9"), round, 9);  // cuts a corner of the diamond off
    broken(with(with(box, "G1 X30", "G1 X30.1"), "Y60\nX10", "Y60\nX10"), round, 9);
    broken(with(box, "X10\nY20\n", "X10\n"), round, 8);  // does not come back
    broken(with(box, "G1 X30 F1000\nY60\nX10", "G1 X30 F1000\nX10 Y60\nX30 Y60\nX10"), round, 10);
    broken(with(box, "M5\nG0", "M5\nM3 S9000\nG0"), "spindle off", 3);
    broken(with(box, "M5\nG0", "G0"), "spindle off", 1);
    broken(with(box, "Y60\n", "Y60 Z4.9\n"), "above the safe height", 6);
    broken(with(box, "X10 Y20", "X300\nX10 Y20"), "inside the travel", 10);
    broken(with(box, "M2\n", ""), "plain text for any controller", 10);
    WalkTask placed = task_of(box);
    placed.machine.stock_at = {240, 10, 0};
    CHECK(breaks(prove_walk(placed), "inside the travel", 9));
    WalkTask grown = task_of(box);
    grown.grow = 2;
    CHECK(breaks(prove_walk(grown), round, 9));
}

TEST_CASE("a beam walks dark, or no stronger than its pilot") {
    CHECK(breaks(prove_walk(lit_task(lit, 0, 10)), "beam dark", 5));
    CHECK(breaks(prove_walk(lit_task(lit, 8, 5)), "beam no stronger than its pilot", 5));  // the machine's file counts
    CHECK(breaks(prove_walk(lit_task(with(lit, "M4 S0", "M3 S0"), 8, 10)), "beam no stronger than its pilot", 3));
    CHECK(breaks(prove_walk(lit_task(with(lit, "G1 X30", "X30 S8\nG1 X30"), 8, 10)), "beam no stronger than its pilot", 5));
    CHECK(breaks(prove_walk(lit_task(with(lit, "Y20\nS0\n", "Y20\n"), 8, 10)), "plain text for any controller", 0) == false);
    CHECK(breaks(prove_walk(lit_task(with(lit, "Y60\n", "Y60\nM0\n"), 8, 10)), "beam no stronger than its pilot", 7));
}

TEST_CASE("A walk keeps clear of what stands on the table, or flies over it") {
    const auto told = [](const KeepOut& zone) {
        WalkTask task = task_of(box);
        task.keep_outs = {zone};
        const WalkProof proof = prove_walk(task);
        REQUIRE(proof.checks.size() == 6);
        CHECK(proof.checks.back().name == clear_of_keep_outs);
        return proof.checks.back();
    };
    // The walk's side from X10 to X30 runs at Y20, Z5; a bit of 3.175 mm reaches 1.5875 to either side.
    const auto clamp = [](double y, double height) { return KeepOut::box("clamp", {{15, y}, {20, y + 10}}, height); };
    CHECK_FALSE(told(clamp(15, 8)).ok);
    CHECK(told(clamp(15, 8)).line == 5);
    CHECK(told(clamp(15, 4.9)).ok);
    CHECK(told(clamp(21.6, 8)).ok);
    CHECK_FALSE(told(clamp(21.5, 8)).ok);
    CHECK_FALSE(told(KeepOut::circle("screw", {30, 40}, 4, 8)).ok);
    CHECK(told(KeepOut::circle("screw", {40, 40}, 4, 8)).ok);
    CHECK(prove_walk(task_of(box)).checks.size() == 5);
}
