// Figures whose cut is known on paper, cut right and damaged in one place: the proof must say how far, and name that very line.
// Source of every check here: plane geometry, and the promises that each job keeps (common practice, no source).
#include "figures.hpp"

#include "check.hpp"

using namespace burin;
using namespace burin::test;

namespace {

void kept(const Proof& proof) {
    for (const Check& check : proof.checks) {
        INFO(check.name << ": " << check.detail);
        CHECK(check.ok);
        CHECK(check.line == 0);
    }
    CHECK(proof.holds);
    REQUIRE(proof.checks.size() == 9);
    CHECK(proof.checks[0].name == "nothing below the design");
    CHECK(proof.checks[1].name == "nothing left standing");
    CHECK(proof.checks[2].name == "nothing over the line");
    CHECK(proof.checks[3].name == "nothing short of the line");
    REQUIRE(proof.over_line_mm);
    REQUIRE(proof.short_of_line_mm);
}

/// Broken are the checks of these names and no others; the first one names the line.
void broken(const Proof& proof, const std::vector<std::string_view>& names, std::uint32_t line) {
    CHECK_FALSE(proof.holds);
    for (const Check& check : proof.checks) {
        INFO(check.name << ": " << check.detail);
        const bool named = std::find(names.begin(), names.end(), check.name) != names.end();
        CHECK(check.ok != named);
        if (check.name == names.front()) CHECK(check.line == line);
    }
}

Text shifted(Text text, double by, double above_x = -1e9) {
    for (std::string& words : text.lines) {
        const auto x = words.find('X');
        if (x == std::string::npos) continue;
        const double value = std::stod(words.substr(x + 1));
        const auto end = words.find(' ', x);
        if (value > above_x)
            words = words.substr(0, x) + fmt::format("X{:.4f}", value + by) + (end == std::string::npos ? "" : words.substr(end));
    }
    return text;
}

void lower(std::string& words, double by) {
    const auto z = words.find('Z');
    const double height = std::stod(words.substr(z + 1));
    const auto end = words.find(' ', z);
    words = words.substr(0, z) + fmt::format("Z{:.4f}", height - by) + (end == std::string::npos ? "" : words.substr(end));
}

}  // namespace

TEST_CASE("A square pocket cut right keeps to its line") {
    const SquarePocket pocket;
    const Proof proof = pocket.prove_it();
    kept(proof);
    CHECK(*proof.over_line_mm < 0.001);
    CHECK(*proof.short_of_line_mm < 0.001);
    CHECK(proof.deepest_gouge < 0.001);
    CHECK(proof.left_standing < 0.001);
    CHECK(proof.surface.cell() <= 0.02 + 1e-9);
    // 10 × 10 mm with corners of radius 1: 100 − (4 − π).
    CHECK(proof.programs.at(0).removed_mm3 == Approx(100 - (4 - std::numbers::pi)).epsilon(0.002));
}

TEST_CASE("A pocket shifted sideways is over the line on one side and short of it on the other") {
    for (const double by : {0.05, -0.05, 0.035}) {
        const SquarePocket pocket;
        const Proof proof = pocket.prove_text(shifted(pocket.text, by));
        CHECK_FALSE(proof.holds);
        CHECK(*proof.over_line_mm == Approx(std::fabs(by)).margin(0.001));
        CHECK(*proof.short_of_line_mm == Approx(std::fabs(by)).margin(0.001));
        CHECK_FALSE(check_named(proof, "nothing over the line").ok);
        CHECK_FALSE(check_named(proof, "nothing short of the line").ok);
        CHECK(check_named(proof, "nothing below the design").ok);
        CHECK(check_named(proof, "nothing left standing").ok);
    }
    const SquarePocket pocket;
    const Proof little = pocket.prove_text(shifted(pocket.text, 0.02));
    CHECK(little.holds);
    CHECK(*little.over_line_mm == Approx(0.02).margin(0.001));
    CHECK(*little.short_of_line_mm == Approx(0.02).margin(0.001));
}

TEST_CASE("The side of a pocket that goes over its line is named") {
    const SquarePocket pocket;
    Text text = pocket.text;
    // The last loop's right side, and the end of the side before it, 0.05 farther out.
    text.line(pocket.last_wall[0]) = "G1 X19.05 Y11 F500";
    text.line(pocket.last_wall[1]) = "G1 X19.05 Y19 F500";
    const Proof proof = pocket.prove_text(text);
    broken(proof, {"nothing over the line"}, pocket.last_wall[0]);
    CHECK(*proof.over_line_mm == Approx(0.05).margin(0.001));
}

TEST_CASE("The pass along a pocket's wall left out is missed") {
    const SquarePocket pocket;
    Text text = pocket.text;
    const std::uint32_t first = pocket.last_wall.front() - 1, last = pocket.last_wall.back();
    text.lines.erase(text.lines.begin() + first - 1, text.lines.begin() + last);
    const Proof proof = pocket.prove_text(text);
    // The loop before it stays 0.8 inside on straight sides, and 0.8 √2 on the way into the corners, less what the corner's circle
    // of radius 1 is rounder: the worst lies between. The line that came nearest is on that loop, or on the one above the gap.
    const Check& check = check_named(proof, "nothing short of the line");
    broken(proof, {"nothing short of the line"}, check.line);
    const bool above = check.line + 1 >= pocket.first_wall.front() && check.line <= pocket.first_wall.back();
    INFO(check.detail << " gap at " << first);
    CHECK((above || (check.line + 6 > first && check.line <= first)));
    CHECK(*proof.short_of_line_mm > 0.79);
    CHECK(*proof.short_of_line_mm < 0.8 * std::numbers::sqrt2 + 0.01);
    CHECK(check_named(proof, "nothing short of the line").file == "1-cut.nc");
}

TEST_CASE("A pass left out in the middle of a pocket is left standing") {
    const SquarePocket pocket;
    Text text = pocket.text;
    // The loops 3.4 and 2.6 from the wall go: between 4.2 and 1.8 no disc of radius 1 reaches 3 from the wall.
    text.lines.erase(text.lines.begin() + pocket.inner_first - 6, text.lines.begin() + pocket.inner_last);
    const Proof proof = pocket.prove_text(text);
    CHECK_FALSE(check_named(proof, "nothing left standing").ok);
    CHECK(check_named(proof, "nothing left standing").line > 0);
    CHECK(check_named(proof, "nothing over the line").ok);
    CHECK(check_named(proof, "nothing short of the line").ok);
    CHECK(proof.left_standing == Approx(0.5).margin(0.001));  // the level above has been there
}

TEST_CASE("A floor cut too deep is named") {
    const SquarePocket pocket;
    Text text = pocket.text;
    const std::uint32_t line = pocket.last_wall[2];
    text.line(line) += " Z-1.05";
    const Proof proof = pocket.prove_text(text);
    broken(proof, {"nothing below the design"}, line);
    CHECK(proof.deepest_gouge == Approx(0.05).margin(0.001));
}

TEST_CASE("A pocket's floor left 0.05 too high is left standing and short of the line") {
    const SquarePocket pocket;
    Text text = pocket.text;
    for (std::string& words : text.lines)
        if (words.starts_with("G1 Z-1.0000")) words = "G1 Z-0.9500 F100";
    const Proof proof = pocket.prove_text(text);
    CHECK_FALSE(check_named(proof, "nothing left standing").ok);
    CHECK(proof.left_standing == Approx(0.05).margin(0.001));
}

TEST_CASE("An outline outside cut right, shifted, left out") {
    const OutsideLine line;
    const Proof proof = line.prove_it();
    kept(proof);
    CHECK(*proof.over_line_mm < 0.002);
    CHECK(*proof.short_of_line_mm < 0.002);
    const Proof moved = line.prove_text(shifted(line.text, -0.05));
    CHECK_FALSE(moved.holds);
    CHECK(*moved.over_line_mm == Approx(0.05).margin(0.002));
    CHECK(*moved.short_of_line_mm == Approx(0.05).margin(0.002));
    // The first line to go over is the side at x 21, which then runs at 20.95.
    CHECK(check_named(moved, "nothing over the line").line + 1 >= line.right);
    CHECK(check_named(moved, "nothing over the line").line <= line.right);
    Text text = line.text;
    text.line(line.right) = "G0 Z3\nG0 X21 Y20\nG1 Z-0.8 F100";
    const Proof gap = line.prove_text(text);
    CHECK_FALSE(check_named(gap, "nothing short of the line").ok);
    CHECK(check_named(gap, "nothing over the line").ok);
}

TEST_CASE("Beside an outline the ground stays") {
    OutsideLine line;
    Text text = line.text;
    // A way out into the ground, 1 mm farther than the bit is wide.
    text.line(line.right) = "G1 X21 Y15 F500\nX22\nX21\nY20";
    const Proof proof = line.prove_text(text);
    broken(proof, {"nothing over the line"}, line.right + 1);
    CHECK(*proof.over_line_mm > 0.49);  // told up to half a millimetre
    line.figure.band = 0;               // all of the ground, then, is missing
    CHECK_FALSE(check_named(line.prove_it(), "nothing left standing").ok);
}

TEST_CASE("A bar incised by a vee keeps to its line from rim to ridge") {
    const Bar bar;
    const Proof proof = bar.prove_it();
    kept(proof);
    CHECK(*proof.over_line_mm < 0.002);
    CHECK(*proof.short_of_line_mm < 0.012);  // told by the plain distance up to 0.01
}

TEST_CASE("A vee's way shifted, lowered or left out is named") {
    const Bar bar;
    const double tan = std::tan(std::numbers::pi / 6);
    SECTION("sideways") {
        Text text = bar.text;
        for (std::string& words : text.lines)
            if (const auto y = words.find("Y15.0000"); y != std::string::npos) words.replace(y, 8, "Y15.0500");
        const Proof proof = bar.prove_text(text);
        CHECK(*proof.over_line_mm == Approx(0.05).margin(0.002));
        CHECK(*proof.short_of_line_mm == Approx(0.05).margin(0.002));
        CHECK_FALSE(check_named(proof, "nothing over the line").ok);
        CHECK_FALSE(check_named(proof, "nothing short of the line").ok);
    }
    SECTION("0.1 mm too deep") {
        Text text = bar.text;
        lower(text.line(bar.ridge - 1), 0.1);  // the descent before it ends deeper, and so does all of the middle
        const Proof proof = bar.prove_text(text);
        CHECK(check_named(proof, "nothing over the line").line == bar.ridge - 1);
        CHECK(*proof.over_line_mm == Approx(0.1 * tan).margin(0.002));
    }
    SECTION("the middle left out") {
        Text text = bar.text;
        text.line(bar.ridge) = "G0 Z3\nG0 X24 Y15\nG1 Z-1.6454 F100";
        const Proof proof = bar.prove_text(text);
        CHECK_FALSE(check_named(proof, "nothing short of the line").ok);
        CHECK(check_named(proof, "nothing over the line").ok);
        CHECK(*proof.short_of_line_mm > 0.9);
    }
}

TEST_CASE("What a vee's flat tip cannot enter is taken off, and no more") {
    // A tip of 0.8 in the bar of 2: corners stay rounded by 0.4 (opening by a disc of the tip's diameter), the middle is 0.8 wide.
    Bar bar;
    bar.bit = Bit::parse("vee:60:0.8:3.175");
    const double tan = std::tan(std::numbers::pi / 6);
    bar.text = {};
    bar.z_now = 3;
    bar.start(5.4, 14.4, 0);
    bar.to(6, 15, -0.6 / tan);
    bar.to(5.4, 15.6, 0);
    bar.to(6, 15, -0.6 / tan);
    bar.to(24, 15);
    bar.to(24.6, 14.4, 0);
    bar.to(24, 15, -0.6 / tan);
    bar.to(24.6, 15.6, 0);
    bar.text.end();
    const Proof proof = bar.prove_it();
    kept(proof);
    CHECK(*proof.over_line_mm < 0.002);
    CHECK(*proof.short_of_line_mm < 0.012);
    // Into the corners only half the way: short of them.
    Text text = bar.text;
    for (std::string& words : text.lines) {
        if (words.find("X5.4000 Y15.6000") != std::string::npos) words = fmt::format("G1 X5.7 Y15.3 Z{:.4f} F100", -0.3 / tan);
    }
    const Proof half = bar.prove_text(text);
    CHECK_FALSE(check_named(half, "nothing short of the line").ok);
    // At the corner's rim, on the circle of 0.4 about (5.4, 15.6): 0.3 (√2 − 1) short.
    CHECK(*half.short_of_line_mm == Approx(0.3 * (std::numbers::sqrt2 - 1)).margin(0.03));
}

TEST_CASE("A cut-out stands on its tabs and is through everywhere else") {
    const TabbedSquare square;
    const Proof proof = square.prove_it();
    kept(proof);
    CHECK(*proof.over_line_mm < 0.002);
    CHECK(*proof.short_of_line_mm < 0.002);
    CHECK(proof.deepest_gouge < 0.001);

    const TabbedSquare through(false);
    const Proof cut = through.prove_it();
    CHECK_FALSE(cut.holds);
    CHECK_FALSE(check_named(cut, "nothing below the design").ok);
    CHECK(cut.deepest_gouge == Approx(1.2).margin(0.001));
    CHECK(check_named(cut, "nothing over the line").ok);

    // Only the last level goes through the right tab: that very line.
    Text text = square.text;
    text.line(square.over_tab - 1) = "(no lift)";
    broken(square.prove_text(text), {"nothing below the design"}, square.over_tab);
}

TEST_CASE("A cut-out that is not through, or too far, is refused") {
    TabbedSquare square;
    Text text = square.text;
    for (std::string& words : text.lines)
        if (words.starts_with("G1 Z-3.2")) words = "G1 Z-2.9000 F100";
    const Proof shallow = square.prove_text(text);
    CHECK_FALSE(check_named(shallow, "nothing short of the line").ok);
    square.figure.breakthrough = 0.1;
    const Proof deep = square.prove_it();
    CHECK_FALSE(check_named(deep, "inside stock and travel").ok);
}

TEST_CASE("Grooves are what the bit leaves that follows them") {
    const BentGroove groove;
    const Proof proof = groove.prove_it();
    kept(proof);
    CHECK(*proof.over_line_mm < 0.002);
    CHECK(*proof.short_of_line_mm < 0.002);
    SECTION("shifted") {
        const Proof moved = groove.prove_text(shifted(groove.text, 0.05));
        CHECK_FALSE(moved.holds);
        CHECK(*moved.over_line_mm == Approx(0.05).margin(0.002));
        CHECK(*moved.short_of_line_mm == Approx(0.05).margin(0.002));
        CHECK(groove.prove_text(shifted(groove.text, 0.02)).holds);
    }
    SECTION("too deep") {
        Text text = groove.text;
        lower(text.line(groove.second), 0.1);
        const Proof deep = groove.prove_text(text);
        const Check& check = check_named(deep, "nothing below the design");
        CHECK_FALSE(check.ok);
        CHECK(check.line == groove.second);
        // 0.1 less the sideways slack on a wall of 60 degrees: at the bottom, a flat of 0.1, all but nothing.
        CHECK(deep.deepest_gouge > 0.05);
        CHECK(deep.deepest_gouge < 0.101);
    }
    SECTION("a line left out") {
        Text text = groove.text;
        text.line(groove.second) = "(gone)";
        const Proof gone = groove.prove_text(text);
        CHECK_FALSE(check_named(gone, "nothing left standing").ok);
        CHECK_FALSE(check_named(gone, "nothing short of the line").ok);
        CHECK(check_named(gone, "nothing over the line").ok);
    }
}

TEST_CASE("What stands between two grooves that hardly meet is not missed, whatever way they run") {
    // Slots 2 mm wide whose middles lie apart by a hair more or less than that: a hair of stock stands between them, or would but
    // for a hair. The same for lines that come 0.01 mm nearer on the way, as thinned ones do.
    for (const double apart : {1.99, 2.0, 2.01, 2.04})
        for (const double degrees : {0.0, 20.0, 45.0, 67.0}) {
            const double a = degrees * std::numbers::pi / 180, c = std::cos(a), s = std::sin(a);
            const auto at = [&](double along, double across) { return Point{8 + along * c - across * s, 8 + along * s + across * c}; };
            FigureJob job;
            job.stock = make_stock(Outline::rectangle, 40, 40, 8, Anchor::lower_left);
            for (const double across : {0.0, apart}) {
                const Point from = at(0, across), to = at(12, across);
                job.figure.grooves.push_back({{{from.x, from.y, -0.5}, {to.x, to.y, -0.5}}, false});
            }
            job.figure.floor = -0.5;
            for (const double across : {0.0, apart}) {
                const Point from = at(0, across), to = at(12, across == 0 ? across : across + 0.01);
                job.start(from.x, from.y, -0.5);
                job.to(to.x, to.y);
            }
            job.text.end();
            const Proof proof = job.prove_it();
            INFO(apart << " apart, " << degrees << " degrees, standing " << proof.left_standing);
            CHECK(check_named(proof, "nothing left standing").ok);
            CHECK(check_named(proof, "nothing short of the line").ok);
        }
}

TEST_CASE("A ball's groove that comes up to the top is judged by its width however the way is cut into moves") {
    // Half the width of a ball of radius r at depth h is √(2rh − h²): uneven along a slope.
    FigureJob job;
    job.bit = Bit::parse("ball:1.0");
    job.figure.grooves = {{{{5, 6, 0}, {15, 6, -0.5}, {25, 6, 0}}, false}};
    job.figure.floor = -0.5;
    job.start(5, 6, 0);
    for (int k = 1; k <= 400; ++k) job.to(5 + 0.05 * k, 6, -0.5 + std::fabs(k - 200) * 0.0025);
    job.text.end();
    const Proof proof = job.prove_it();
    kept(proof);
    CHECK(*proof.over_line_mm < 0.004);
    CHECK(*proof.short_of_line_mm < 0.004);
    const Proof moved = job.prove_text(shifted(job.text, 0.4));  // along the line: deeper and shallower by 0.02
    CHECK(*moved.over_line_mm > 0.02);
    CHECK(moved.deepest_gouge < 0.0201);
}

TEST_CASE("A figure's program with the spindle off, a rapid through stock or cuts beside it is named") {
    const SquarePocket pocket;
    SECTION("spindle off") {
        Text text = pocket.text;
        text.line(4) = "(M3 was here)";
        const Proof proof = pocket.prove_text(text);
        broken(proof, {"no crash"}, Text::first_move + 1);
    }
    SECTION("rapid") {
        Text text = pocket.text;
        const std::uint32_t line = text.last() - 2;
        text.lines.insert(text.lines.begin() + line - 1, "G0 X26");
        const Proof proof = pocket.prove_text(text);
        CHECK(check_named(proof, "no crash").line == line);
        CHECK_FALSE(proof.holds);
    }
    SECTION("a hole far from the figure") {
        Text text = pocket.text;
        const std::uint32_t line = text.last() - 1;
        text.lines.insert(text.lines.begin() + line - 1, "G0 X26 Y26\nG1 Z-0.5 F100\nG0 Z3");
        const Proof proof = pocket.prove_text(text);
        broken(proof, {"nothing over the line"}, line + 1);
    }
}

TEST_CASE("A figure's proof is the same on any number of threads") {
    Crew three;
    three.threads = 3;
    const Bar bar;
    const Proof one = bar.prove_it(), many = bar.prove_it(three);
    CHECK(one.surface == many.surface);
    CHECK(*one.over_line_mm == *many.over_line_mm);
    CHECK(*one.short_of_line_mm == *many.short_of_line_mm);
    REQUIRE(one.checks.size() == many.checks.size());
    for (std::size_t k = 0; k < one.checks.size(); ++k) CHECK(one.checks[k].detail == many.checks[k].detail);
}

TEST_CASE("A figure that holds nothing is no figure") {
    SquarePocket pocket;
    pocket.figure.may = {};
    CHECK_THROWS_AS(pocket.prove_it(), Error);
}

TEST_CASE("A sliver beside a groove cut in two levels is no strip, a step is one") {
    // On paper: the second level lies 0.0008 mm beside the first; its edge at y 11.0104 just covers the centres of cells at 11.01,
    // which the first, up to 11.0096, has just missed. They go down by 1 mm at once, but the strip is 0.0008 mm wide. Beside the first
    // by 0.3 mm it is a strip of that width, and 1 mm is more than the 0.5 allowed.
    for (const double beside : {0.0008, 0.3}) {
        FigureJob job;
        job.figure.grooves = {{{{5, 10, -1}, {25, 10, -1}}, false}};
        job.start(5, 10.0096, -0.5);
        job.to(25, 10.0096);
        job.start(5, 10.0096 + beside, -1);
        job.to(25, 10.0096 + beside);
        const std::string all = job.text.text();
        ProofTask task = job.task(all);
        task.allowance = 0;
        task.programs.front().most_at_once = 0.5;
        INFO("beside by " << beside);
        const Proof proof = prove(task, {});
        const Check& check = check_named(proof, "nothing too much at once");
        CHECK((check.detail.find("at once, and 0.50 is allowed") == std::string::npos) == (beside < 0.1));
    }
}
