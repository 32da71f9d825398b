// A program that probes a top: written on paper here, then damaged word by word.
#include "burin/proof/grid_touch.hpp"

#include <cmath>
#include <string>

#include "check.hpp"

using namespace burin;

namespace {

const std::string good =
    "(Top)\nG21 G90 G17 G94 G54\nM5\nG0 Z2.5\nG0 X3 Y3\nG38.2 Z-1.5 F60\nG0 Z2.5\nG0 X17 Y3\nG38.2 Z-1.5 F60\nG0 Z2.5\nM5\nM2\n";

GridTouchProof proof_of(const std::string& text, const std::vector<KeepOut>& keep_outs = {}) {
    GridTouchTask task;
    task.file = "1-level.nc";
    task.text = text;
    task.machine.travel = {250, 160, 55};
    task.machine.rapid = {2000, 2000, 800};
    task.machine.acceleration = {100, 100, 60};
    task.stock = make_stock(Outline::rectangle, 20, 6, 10, Anchor::lower_left);
    task.stock.keep_outs = keep_outs;
    task.places = {{3, 3}, {17, 3}};
    task.safe_z = 2.5, task.highest = 1.5, task.lowest = -1.5, task.probe_feed = 60;
    return prove_grid_touch(task);
}

void broken(const std::string& was, const std::string& is, const std::string& check, std::uint32_t line) {
    std::string text = good;
    text.replace(text.find(was), was.size(), is);
    const GridTouchProof proof = proof_of(text);
    INFO(text);
    CHECK_FALSE(proof.holds());
    bool named = false;
    for (const Check& c : proof.checks) named |= !c.ok && c.name == check && (line == 0 || c.line == line);
    CHECK(named);
}

}  // namespace

TEST_CASE("A program that touches every place holds", "[grid_touch]") {
    const GridTouchProof proof = proof_of(good);
    for (const Check& c : proof.checks) CHECK(c.ok);
    // Probing at 1 mm/s from 2.5 mm down to the lowest top: v²/a is 1/60 mm, so 4 s and a sixtieth each (kinematics). Rapids: Z 0 up from
    // the top -1.5 to 2.5 three times, 4 mm at 13.3 mm/s and 60 mm/s² is 0.3 + 0.2222 s; X 3 and Y 3 from 0 at 100 mm/s²: 2 √(3/100);
    // X 14 likewise, shorter than the 11.1 mm that reach full speed twice: 14/33.33 + 0.3333.
    CHECK(proof.figures.time_s == Approx(2 * (4 + 1 / 60.0) + 3 * (4 / (800 / 60.0) + 800 / 60.0 / 60) + 2 * std::sqrt(0.03) +
                                         14 / (2000 / 60.0) + 2000 / 60.0 / 100));
}

TEST_CASE("Probing keeps clear of clamps: over them on the way, beside them where it goes down", "[grid_touch]") {
    const auto clear = [](const Box& box, double height) {
        const Check check = proof_of(good, {KeepOut::box("clamp", box, height)}).checks.back();
        CHECK(check.name == clear_of_keep_outs);
        return check.ok;
    };
    CHECK(clear({{8, 0}, {12, 6}}, 2));         // ways run at Z2.5
    CHECK_FALSE(clear({{8, 0}, {12, 6}}, 3));   // and meet this one
    CHECK_FALSE(clear({{4, 0}, {6, 6}}, 0.5));  // 1 mm beside a place; the bit reaches 1.5875
    CHECK(clear({{4.6, 0}, {6, 6}}, 0.5));
}

TEST_CASE("What is damaged in a probing program is named by its line", "[grid_touch]") {
    broken("M5\nG0 Z2.5", "G0 Z2.5", "spindle off", 3);
    broken("M5\nM2", "M2", "spindle off", 0);
    broken("G38.2 Z-1.5 F60", "G38.2 Z-1.5 F200", "touches gently", 6);
    broken("G38.2 Z-1.5 F60", "G38.2 Z-3 F60", "keeps clear of the stock", 6);
    broken("G38.2 Z-1.5 F60", "G38.2 Z-1 F60", "keeps clear of the stock", 6);
    broken("G38.2 Z-1.5 F60", "G1 Z-1.5 F60", "keeps clear of the stock", 6);
    broken("G38.2 Z-1.5 F60\nG0 Z2.5\nG0 X17", "G38.2 Z-1.5 F60\nG0 X17", "keeps clear of the stock", 7);
    broken("X17 Y3", "X16.9 Y3", "keeps clear of the stock", 9);
    broken("G0 X17 Y3\nG38.2 Z-1.5 F60\n", "", "every place is touched", 0);
    broken("X17 Y3", "X17 Y3 Z1", "keeps clear of the stock", 8);
    broken("X17 Y3", "X300 Y3", "inside the travel", 0);
    broken("G94 ", "", "text that the controller takes", 4);
    broken("M2\n", "", "text that the controller takes", 0);
}
