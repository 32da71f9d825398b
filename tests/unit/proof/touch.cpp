// Probing programs are run on plates that lie anywhere; damaged ones are told with their line. The words are NISTIR 6556's, the run-on
// after a touch is kinematics (v²/2a); limits are the task's own, no source.
#include "burin/proof/touch.hpp"

#include <algorithm>

#include "check.hpp"

using namespace burin;

namespace {

Machine desk(ZeroBy by = ZeroBy::g10_l20) {
    Machine machine;
    machine.name = "desk";
    machine.travel = {250, 160, 55};
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 60};
    machine.zero_by = by;
    return machine;
}

TouchTask plate_task(std::string_view text, ZeroBy by = ZeroBy::g10_l20) {
    TouchTask task;
    task.file = "1-zero.nc";
    task.text = text;
    task.machine = desk(by);
    task.plate = 15.2;
    return task;
}

/// Lines 1 … 12.
const std::string good =
    "G21 G90 G17 G94 G54\nM5\nG91\nG38.2 Z-20 F100\nG90\nG10 L20 P1 Z15.2\nG0 Z17.2\nG38.2 Z13.2 F25\nG10 L20 P1 Z15.2\nG0 Z25.2\nM5\nM2\n";

std::string with(std::string text, const std::string& part, const std::string& instead) {
    const auto at = text.rfind(part);
    REQUIRE(at != std::string::npos);
    return text.replace(at, part.size(), instead);
}

/// The check that is broken, and its line.
struct Broken {
    std::string name;
    std::uint32_t line = 0;
};
bool breaks(const TouchProof& proof, const Broken& wanted) {
    return std::any_of(proof.checks.begin(), proof.checks.end(),
                       [&](const Check& c) { return !c.ok && c.name == wanted.name && c.line == wanted.line; });
}

/// A corner plate of 12 mm, wall 8, 50 wide, at the lower left; bit of 3.175.
const std::string corner =
    "G21 G90 G17 G94 G54\nM5\nG91\nG38.2 Z-20 F100\nG90\nG10 L20 P1 Z12\nG0 Z14\nG38.2 Z10 F25\nG10 L20 P1 Z12\nG0 Z14\n"
    "G91\nG0 X-32.587\nG90\nG1 Z9 F200\nG91\nG38.2 X12 F100\nG90\nG10 L20 P1 X-9.588\nG0 X-11.588\nG38.2 X-7.588 F25\nG10 L20 P1 X-9.588\n"
    "G0 X-11.588\nG0 Z14\nG0 X17\nG91\nG0 Y-32.587\nG90\nG1 Z9 F200\nG91\nG38.2 Y12 F100\nG90\nG10 L20 P1 Y-9.588\nG0 Y-11.588\n"
    "G38.2 Y-7.588 F25\nG10 L20 P1 Y-9.588\nG0 Y-11.588\nG0 Z14\nG0 Y17\nG0 Z22\nM5\nM2\n";
TouchTask corner_task(std::string_view text) {
    TouchTask task = plate_task(text);
    task.kind = TouchKind::corner;
    task.plate = 12, task.wall = 8, task.width = 50, task.bit_radius = 3.175 / 2;
    return task;
}

}  // namespace

TEST_CASE("zero comes out right on a plate that lies anywhere") {
    const TouchProof proof = prove_touch(plate_task(good));
    for (const Check& check : proof.checks) {
        INFO(check.name << ": " << check.detail);
        CHECK(check.ok);
    }
    CHECK(proof.holds());
    CHECK(proof.zero_error < 1e-9);
    // 25 mm/min at 60 mm/s²: (25/60)² / 120 mm.
    CHECK(proof.zero_error_late == Approx(25.0 / 60 * 25 / 60 / 120));
    CHECK(proof.figures.time_s > 18.9 * 60 / 100);  // the first touch may be 18.5 mm away or more
    const TouchProof sides = prove_touch(corner_task(corner));
    CHECK(sides.holds());
    CHECK(sides.zero_error == Approx(0.0005).margin(1e-9));  // 9.588 for 9.5875
}

TEST_CASE("each way of setting zero is followed, and no other") {
    const auto replaced = [](std::string text, const std::string& part, const std::string& instead) {
        for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + instead.size()))
            text.replace(at, part.size(), instead);
        return text;
    };
    const std::string g92 = replaced(good, "G10 L20 P1 Z15.2", "G92 Z15.2");
    CHECK(prove_touch(plate_task(g92, ZeroBy::g92)).holds());
    CHECK(breaks(prove_touch(plate_task(g92)), {"text that the controller takes", 6}));
    const std::string l2 = replaced(replaced(good, "G10 L20 P1 Z15.2", "G10 L2 P1 Z[#5223+#5063-15.2]"), "G91\n", "G92.1\nG91\n");
    const TouchProof exact = prove_touch(plate_task(l2, ZeroBy::g10_l2));
    CHECK(exact.holds());
    CHECK(exact.zero_error_late < 1e-9);  // the place of the touch counts, not where it came to rest
    CHECK(breaks(prove_touch(plate_task(replaced(l2, "#5063-15.2", "#5063+15.2"), ZeroBy::g10_l2)), {"zero comes out right", 10}));
    CHECK_FALSE(prove_touch(plate_task(replaced(l2, "#5223+", ""), ZeroBy::g10_l2)).holds());
    CHECK_FALSE(prove_touch(plate_task(replaced(l2, "#5063", "#5064"), ZeroBy::g10_l2)).holds());
}

TEST_CASE("a damaged probing program is told with its line") {
    const auto damaged = [](const std::string& part, const std::string& instead) { return with(good, part, instead); };
    const auto broken = [](const std::string& text, const Broken& wanted) {
        INFO(wanted.name << ", line " << wanted.line << "\n" << text);
        const TouchProof proof = prove_touch(plate_task(text));
        CHECK_FALSE(proof.holds());
        CHECK(breaks(proof, wanted));
    };
    broken(damaged("P1 Z15.2", "P1 Z15.25"), {"zero comes out right", 9});
    broken(damaged("Z13.2 F25", "Z13.2 F250"), {"touches gently", 8});
    broken(damaged("Z13.2 F25", "Z13.2 F50"), {"touches gently", 8});
    broken(with(good, "Z-20 F100", "Z-30 F100"), {"touches gently", 4});
    broken(with(good, "Z-20 F100", "Z-5 F100"), {"keeps clear of the plate", 4});
    broken(with(good, "M5\nG91\n", "G91\n"), {"spindle off", 3});
    broken(with(good, "M5\nG91\n", "M3 S1000\nG91\n"), {"text that the controller takes", 2});
    broken(with(good, "Z25.2\nM5\n", "Z25.2\n"), {"spindle off", 11});
    broken(with(good, "M2\n", ""), {"text that the controller takes", 11});
    broken(with(good, "G38.2 Z13.2 F25", "G0 Z13.2"), {"keeps clear of the plate", 8});
    broken(with(good, "G38.2 Z13.2 F25", "G1 Z13.2 F25"), {"keeps clear of the plate", 8});
    broken(with(good, "G0 Z17.2\n", ""), {"keeps clear of the plate", 7});
    broken(with(good, "G91\n", "G91\nG10 L20 P1 Z0\n"), {"nothing touched, nothing set", 5});
    broken(with(good, "G54\n", "\n"), {"text that the controller takes", 4});
    broken(with(good, "P1 Z15.2", "P2 Z15.2"), {"text that the controller takes", 9});
    broken(with(good, "G0 Z25.2", "G0 Z90"), {"inside the travel", 0});
    broken(with(good, "M2\n", "(" + std::string(70, 'x') + ")\nM2\n"), {"text that the controller takes", 12});
    const auto side = [](const std::string& text, const Broken& wanted) {
        INFO(wanted.name << ", line " << wanted.line);
        CHECK(breaks(prove_touch(corner_task(text)), wanted));
    };
    side(with(corner, "P1 X-9.588", "P1 X9.588"), {"zero comes out right", 35});
    side(with(corner, "G0 X-32.587", "G0 X-26"), {"keeps clear of the plate", 14});  // comes down on the plate
    side(with(corner, "G0 X-32.587", "G0 X-52"), {"keeps clear of the plate", 16});  // too far out to find it
    side(with(corner, "G0 X-11.588\nG0 Z14\nG0 X17", "G0 X17"), {"keeps clear of the plate", 22});
    TouchTask round = corner_task(corner);
    round.bit_tip = 4;  // a ball of 8 mm touches with its curve at 3 mm below the edge
    CHECK(breaks(prove_touch(round), {"keeps clear of the plate", 16}));
}

TEST_CASE("any bytes are a text that is refused, never a crash") {
    for (const std::string& text :
         {std::string(), std::string("\0\xff(\n[", 5), std::string("G38.2 Z[\nX[#5061+]\nF\nG\nM\n"), std::string(20000, '\n')})
        CHECK_FALSE(prove_touch(plate_task(text)).holds());
}
