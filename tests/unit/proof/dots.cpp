// Dots drilled straight down, proved and damaged. Sources: plane geometry (how wide a bit is at a depth); the promises of every job.
#include "check.hpp"
#include "figures.hpp"

using namespace burin;
using namespace burin::test;

namespace {

/// Nine dots 3 mm apart, from 0.2 to 1.0 mm deep, in pecks of at most 0.5 mm.
struct Dots : FigureJob {
    std::vector<std::uint32_t> last_pecks;  ///< the line that takes each dot to its depth
    explicit Dots(const char* sizes) {
        bit = Bit::parse(sizes);
        for (int k = 0; k < 9; ++k) {
            const int column = k % 3, row = k / 3;
            const double x = 6 + 3 * column, y = 6 + 3 * row, z = -0.2 - 0.1 * k;
            figure.grooves.push_back({{{x, y, z}}, false});
            figure.floor = std::min(figure.floor, z);
            if (k > 0) text.add("G0 Z1");
            text.add(fmt::format("G0 X{:.4f} Y{:.4f}", x, y));
            if (z < -0.5) {
                text.add("G1 Z-0.5 F100");
                text.add("G0 Z0.3").add("G0 Z-0.2");
            }
            text.add(fmt::format("G1 Z{:.4f} F100", z));
            last_pecks.push_back(text.last());
        }
        text.end();
    }
    [[nodiscard]] Proof prove_pecked(const Text& some) const {
        const std::string all = some.text();
        ProofTask t = task(all);
        t.programs.front().most_at_once = 0.5;
        return prove(t, {});
    }
};

}  // namespace

TEST_CASE("Dots drilled as designed keep every promise, with a vee, a ball, a flat bit") {
    for (const char* sizes : {"vee:60:0.1:3.175", "ball:1.0", "flat:0.8"}) {
        INFO(sizes);
        const Dots dots(sizes);
        const Proof proof = dots.prove_pecked(dots.text);
        for (const Check& check : proof.checks) {
            INFO(check.name << ": " << check.detail);
            CHECK(check.ok);
        }
        CHECK(proof.holds);
        CHECK(*proof.over_line_mm < 0.002);
        CHECK(*proof.short_of_line_mm < 0.002);
        CHECK(proof.programs.at(0).largest_peck == Approx(0.5).margin(0.01));
    }
}

TEST_CASE("Damaged programs of dots are seen, and the line that did it is named") {
    for (const char* sizes : {"vee:60:0.1:3.175", "ball:1.0"}) {
        INFO(sizes);
        const Dots dots(sizes);
        const std::uint32_t line = dots.last_pecks[4];  // 0.6 mm deep, at 9, 9
        SECTION(fmt::format("a dot too deep, {}", sizes)) {
            Text text = dots.text;
            text.line(line) = "G1 Z-0.65 F100";
            const Proof proof = dots.prove_pecked(text);
            CHECK_FALSE(check_named(proof, "nothing below the design").ok);
            CHECK(check_named(proof, "nothing below the design").line == line);
        }
        SECTION(fmt::format("a dot not deep enough, {}", sizes)) {
            Text text = dots.text;
            text.line(line) = "G1 Z-0.53 F100";
            const Proof proof = dots.prove_pecked(text);
            CHECK_FALSE(check_named(proof, "nothing left standing").ok);
            CHECK(check_named(proof, "nothing below the design").ok);
        }
        SECTION(fmt::format("a dot beside its place, {}", sizes)) {
            Text text = dots.text;
            for (std::string& l : text.lines)
                if (l == "G0 X9.0000 Y9.0000") l = "G0 X9.0500 Y9.0000";
            const Proof proof = dots.prove_pecked(text);
            CHECK_FALSE(check_named(proof, "nothing over the line").ok);
            CHECK_FALSE(check_named(proof, "nothing short of the line").ok);
        }
        SECTION(fmt::format("a dot that is missing, {}", sizes)) {
            Text text = dots.text;
            text.drop(line);
            text.line(line - 3) = "(no peck)";
            text.line(line - 1) = "(no way down)";
            const Proof proof = dots.prove_pecked(text);
            CHECK_FALSE(check_named(proof, "nothing left standing").ok);
            CHECK(check_named(proof, "nothing over the line").ok);
        }
        SECTION(fmt::format("a dot too many, {}", sizes)) {
            Text text = dots.text;
            text.lines.insert(text.lines.end() - 2, {"G0 X20 Y20", "G1 Z-0.1 F100", "G0 Z3"});
            const Proof proof = dots.prove_pecked(text);
            CHECK_FALSE(check_named(proof, "nothing over the line").ok);
            CHECK(check_named(proof, "nothing over the line").line == text.last() - 3);
        }
        SECTION(fmt::format("chips not cleared, {}", sizes)) {
            Text text = dots.text;
            const std::uint32_t deepest = dots.last_pecks[8];
            text.line(deepest - 2) = "(not lifted)", text.line(deepest - 1) = "(nor set down)";
            const Proof proof = dots.prove_pecked(text);
            CHECK_FALSE(check_named(proof, "nothing too much at once").ok);
            CHECK(check_named(proof, "nothing too much at once").line == deepest);
        }
    }
}
