// A program that keeps every promise, and the same program damaged in one place: the proof must name that very line.
// Source of every check here: the promises that each job keeps (common practice, no source, where no other is named).
#include <random>

#include "check.hpp"
#include "pocket.hpp"

using namespace burin;
using namespace burin::test;

namespace {

const Pocket& pocket() {
    static const Pocket made;
    return made;
}

Proof prove_text(const Text& text, const Crew& crew = {}) {
    const std::string all = text.text();
    return prove(pocket().task(all), crew);
}

/// Only the check of that name is broken, and it names the line.
void names(const Proof& proof, std::string_view broken, std::uint32_t line) {
    CHECK_FALSE(proof.holds);
    for (const Check& check : proof.checks) {
        INFO(check.name << ": " << check.detail);
        CHECK(check.ok == (check.name != broken));
        if (check.name == broken) CHECK(check.line == line);
        if (!check.ok) CHECK_FALSE(check.detail.empty());
    }
}

}  // namespace

TEST_CASE("An undamaged program keeps every promise") {
    const Proof proof = prove_text(pocket().text);
    for (const Check& check : proof.checks) {
        INFO(check.name << ": " << check.detail);
        CHECK(check.ok);
        CHECK(check.line == 0);
    }
    CHECK(proof.holds);
    CHECK(proof.checks.size() == 7);
    CHECK(proof.deepest_gouge < 0.002);
    CHECK(proof.left_standing < 0.0225);
    CHECK(proof.left_standing_rms <= proof.left_standing);
    CHECK(proof.rapids_in_stock == 0);
    CHECK(proof.inside_travel);
    CHECK(proof.programs.at(0).lines == pocket().text.last());
}

TEST_CASE("Promise 1: a Z lowered by 0.05 is named") {
    for (const auto& [row, column] : {std::pair{30, 60}, std::pair{31, 61}, std::pair{45, 20}, std::pair{12, 100}}) {
        Text text = pocket().text;
        const std::uint32_t line = pocket().lines[static_cast<std::size_t>(row)][static_cast<std::size_t>(column)];
        std::string& words = text.line(line);
        const auto z = words.find('Z');
        const double height = std::stod(words.substr(z + 1));
        words = words.substr(0, z) + fmt::format("Z{:.3f}", height - 0.05) +
                (words.find(" F") != std::string::npos ? words.substr(words.find(" F")) : "");
        const std::string all = text.text();
        ProofTask task = pocket().task(all);
        task.programs[0].plunge = Pocket::feed;  // the way down to it is steep
        const Proof proof = prove(task, {});
        INFO(words);
        names(proof, "nothing below the design", line);
        CHECK(proof.deepest_gouge == Approx(0.05).margin(0.0055));  // the floor falls by 0.005 within the slack
        const Check& check = check_named(proof, "nothing below the design");
        CHECK(check.file == "1-cut.nc");
        const Point there = pocket().design.centre(40 + column, 30 + row);
        CHECK(distance(flat(check.place), there) < 0.12);
    }
}

TEST_CASE("Promise 2: passes left out are named by the lines beside the gap") {
    Text text = pocket().text;
    const auto& lines = pocket().lines;
    // Rows 30 to 34 go; what was row 29 is followed by what was row 35.
    std::uint32_t first = lines[30][0], last = lines[30][0];
    for (std::size_t row = 30; row < 35; ++row)
        for (std::uint32_t line : lines[row]) first = std::min(first, line), last = std::max(last, line);
    text.lines.erase(text.lines.begin() + first - 1, text.lines.begin() + last);
    const Proof proof = prove_text(text);
    const Check& check = check_named(proof, "nothing left standing");
    INFO(check.detail);
    CHECK_FALSE(check.ok);
    // Spacing 0.6 with a 1 mm ball leaves a ridge 0.3 from both lines; the slack of one cell looks 0.1 beside it, where
    // 0.5 − √(0.25 − 0.04) = 0.0417 stand (plane geometry; Machinery's Handbook, milling).
    CHECK(proof.left_standing == Approx(0.0417).margin(0.004));
    CHECK(check.line + 120 >= first);
    CHECK(check.line <= first + 120);
    CHECK(check_named(proof, "nothing below the design").ok);
}

TEST_CASE("Promise 3: a pass that takes too much at once is named") {
    // Without the lines before it the last one is a full slot; m lowered under its depth.
    const std::string all = pocket().text.text();
    ProofTask task = pocket().task(all);
    task.programs[0].most_at_once = 0.4;
    const Proof proof = prove(task, {});
    const Check& check = check_named(proof, "nothing too much at once");
    INFO(check.detail);
    CHECK_FALSE(check.ok);
    // The floor lies 0.45 deep from column 30 on; the first rows stay near the top beside the wall.
    const double x = check.place.x;
    CHECK(-(-0.3 - 0.05 * (x - 4)) > 0.44);
    bool found = false;
    for (const auto& row : pocket().lines)
        for (std::size_t i = 0; i < row.size(); ++i)
            if (row[i] == check.line) {
                found = true;
                CHECK(std::fabs(pocket().design.centre(40 + static_cast<int>(i), 0).x - x) < 0.7);
            }
    CHECK(found);
}

TEST_CASE("Promise 4: a rapid through a ridge is named") {
    Text text = pocket().text;
    const std::uint32_t line = text.last() - 2;  // the retreat
    text.lines.insert(text.lines.begin() + line - 1, "G0 X18");
    const Proof proof = prove_text(text);
    names(proof, "no crash", line);
    CHECK(proof.rapids_in_stock == 2);  // and the retreat, from the middle of the ridge
    CHECK(check_named(proof, "no crash").place.x == Approx(18));
}

TEST_CASE("Promise 4: a diagonal rapid is named") {
    Text text = pocket().text;
    const std::uint32_t line = text.last() - 2;
    text.lines.insert(text.lines.begin() + line - 1, "G0 Z3\nX4.05 Y9.5 Z2.9");
    names(prove_text(text), "no crash", line + 1);
}

TEST_CASE("Promise 4: a cut with the spindle off is named") {
    Text text = pocket().text;
    text.line(4) = "(M3 was here)";
    names(prove_text(text), "no crash", pocket().plunge_line);
}

TEST_CASE("Promise 4: a spin-up left out is named") {
    Text text = pocket().text;
    text.line(5) = "(the dwell was here)";
    names(prove_text(text), "no crash", 4);
    text.line(5) = "G4 P2.5";
    names(prove_text(text), "no crash", 4);
    text.line(5) = "G4 P2.5\nG4 P0.5";
    CHECK(prove_text(text).holds);
}

TEST_CASE("Promise 4: a plunge at full feed is named") {
    Text text = pocket().text;
    std::string& words = text.line(pocket().plunge_line);
    words = words.substr(0, words.find(" F")) + " F800";
    names(prove_text(text), "no crash", pocket().plunge_line);
}

TEST_CASE("Promise 4: two feeds swapped are named") {
    // The plunge's F and that of the way along the floor: the first then goes down at 800.
    Text text = pocket().text;
    std::string* at_feed = nullptr;
    for (std::uint32_t n = pocket().plunge_line + 1; !at_feed; ++n)
        if (text.line(n).find(" F800") != std::string::npos) at_feed = &text.line(n);
    std::string& plunge = text.line(pocket().plunge_line);
    const std::string slow = plunge.substr(plunge.find(" F"));
    plunge = plunge.substr(0, plunge.find(" F")) + " F800";
    *at_feed = at_feed->substr(0, at_feed->find(" F")) + slow;
    names(prove_text(text), "no crash", pocket().plunge_line);
}

TEST_CASE("Promise 4: a feed beyond the bit's is named") {
    Text text = pocket().text;
    const std::uint32_t line = pocket().lines[40][60];
    text.line(line) += " F900";
    const Proof proof = prove_text(text);
    CHECK(check_named(proof, "no crash").line == line);
    CHECK_FALSE(proof.holds);
}

TEST_CASE("Promise 5: what lies outside the travel, the stock, the bit's length and the stock's thickness is named") {
    Text text = pocket().text;
    const std::uint32_t line = text.last() - 2;
    SECTION("the travel's span") {
        text.lines.insert(text.lines.begin() + line, "G0 X300\nZ3.5");
        const Proof proof = prove_text(text);
        names(proof, "inside stock and travel", line + 1);
        CHECK_FALSE(proof.inside_travel);
    }
    SECTION("the travel where the stock lies") {
        text.lines.insert(text.lines.begin() + line, "G0 X100\nZ3.5");
        const std::string all = text.text();
        ProofTask task = pocket().task(all);
        CHECK(prove(task, {}).holds);
        task.machine.stock_at = {{150, 20, 40}};  // 240 of travel leave 90 beyond the work zero
        const Proof proof = prove(task, {});
        names(proof, "inside stock and travel", line + 1);
        CHECK_FALSE(proof.inside_travel);
    }
    SECTION("beside the stock") {
        text.lines.insert(text.lines.begin() + line, "X20.5 Y6\nG1 Z-0.1 F100\nG0 Z3");
        names(prove_text(text), "inside stock and travel", line + 2);
    }
    SECTION("deeper than the stock and the bit") {
        text.lines.insert(text.lines.begin() + line, "X10 Y6\nG1 Z-6.5 F100\nG0 Z3");
        const Proof proof = prove_text(text);
        const Check& check = check_named(proof, "inside stock and travel");
        INFO(check.detail);
        CHECK_FALSE(check.ok);
        CHECK(check.line == line + 2);
        CHECK_THAT(check.detail, ContainsSubstring("6.00 mm thick"));
        CHECK_THAT(check.detail, ContainsSubstring("cuts on 4.00 mm"));
    }
}

TEST_CASE("Promise 7: the time is that of the motion rules, and passes share it") {
    // Source: kinematics, by the motion room, which has its own checks.
    const std::string all = pocket().text.text();
    ProofTask task = pocket().task(all);
    task.programs[0].pass_lines = {pocket().lines[0][0], pocket().lines[20][0], pocket().text.last() - 2};
    const Proof proof = prove(task, {});
    const Timing timing = reckon_time(read_program(all).track, task.machine);
    CHECK(proof.programs[0].time_s == Approx(timing.total_s).epsilon(1e-9));
    REQUIRE(proof.programs[0].passes.size() == 3);
    double passes = 0;
    for (const PassFigures& pass : proof.programs[0].passes) passes += pass.time_s;
    CHECK(passes == Approx(timing.total_s - timing.dwell_s - static_cast<double>(timing.move_s[0] + timing.move_s[1])).epsilon(1e-4));
    CHECK(proof.programs[0].passes[0].z < -0.8);
    CHECK(proof.programs[0].passes[0].length == Approx(20 * 12).epsilon(0.1));
}

TEST_CASE("Promise 8: a word of the machine's own coordinates is named") {
    Text text = pocket().text;
    const std::uint32_t line = pocket().lines[10][10];
    text.lines.insert(text.lines.begin() + line - 1, "G28");
    const Proof proof = prove_text(text);
    const Check& check = check_named(proof, "plain text for any controller");
    INFO(check.detail);
    CHECK_FALSE(check.ok);
    CHECK(check.line == line);
    CHECK_FALSE(proof.holds);
}

TEST_CASE("A dry run is proved on 4, 5, 7 and 8, and must not touch") {
    Text text = pocket().text;
    const auto lifted_by = [&](double lift) {
        Text up = text;
        for (auto& line : up.lines) {
            const auto z = line.find('Z');
            if (z == std::string::npos) continue;
            std::size_t length = 0;
            const double height = std::stod(line.substr(z + 1), &length);
            line = line.substr(0, z) + fmt::format("Z{:.3f}", height + lift) + line.substr(z + 1 + length);
        }
        return up.text();
    };
    const std::string high = lifted_by(5), low = lifted_by(0.5);
    ProofTask task = pocket().task(high);
    task.lift = 5;
    const Proof proof = prove(task, {});
    CHECK(proof.holds);
    CHECK(proof.checks.size() == 4);
    task.programs[0].text = low;
    task.lift = 0.5;
    const Proof touching = prove(task, {});
    CHECK_FALSE(touching.holds);
    CHECK_FALSE(check_named(touching, "no crash").ok);
}

TEST_CASE("The proof is the same on any number of threads") {
    Crew three;
    three.threads = 3;
    const Proof one = prove_text(pocket().text), many = prove_text(pocket().text, three);
    CHECK(one.surface == many.surface);
    CHECK(one.reach == many.reach);
    CHECK(one.left_standing_rms == many.left_standing_rms);
    REQUIRE(one.checks.size() == many.checks.size());
    for (std::size_t k = 0; k < one.checks.size(); ++k) CHECK(one.checks[k].detail == many.checks[k].detail);
    CHECK(one.programs[0].removed_mm3 == many.programs[0].removed_mm3);
    CHECK(one.programs[0].largest_section == many.programs[0].largest_section);
}

TEST_CASE("Nothing to prove is no proof, and a stop is heard") {
    const ProofTask empty = [] {
        ProofTask t = pocket().task("");
        t.programs.clear();
        return t;
    }();
    CHECK_FALSE(prove(empty, {}).holds);
    const std::string nothing;
    CHECK_FALSE(prove(pocket().task(nothing), {}).holds);
    std::atomic<bool> stop{true};
    Crew crew;
    crew.stop = &stop;
    const std::string all = pocket().text.text();
    CHECK_THROWS_AS(prove(pocket().task(all), crew), Error);
}

TEST_CASE("Any text is proved without harm, and nothing damaged at random passes for another job") {
    // Source: common practice, no source: a proof reads what anyone may have written.
    std::mt19937 random(99);
    const std::string good = pocket().text.text();
    const std::vector<std::string> words{
        "G1 X1000000 Y-1000000 Z-1 F100", "G2 X5 Y5 I900000 J0 F100", "G0 Z-99999", "G1 Z-0", "M5", "G91", "G20", "X", "(", "G4 P-1"};
    for (int n = 0; n < 40; ++n) {
        std::string text = good.substr(0, 4000);
        for (int k = 0; k < 3; ++k) {
            const std::size_t at = random() % text.size();
            switch (random() % 3) {
                case 0:
                    text[at] = static_cast<char>(random() % 256);
                    break;
                case 1:
                    text.erase(at, random() % 50);
                    break;
                default:
                    text.insert(std::min(text.size(), text.find('\n', at)), "\n" + words[random() % words.size()]);
            }
        }
        const Proof proof = prove(pocket().task(text), {});
        CHECK_FALSE(proof.holds);  // most of the pocket is missing, whatever else happened
        CHECK(proof.checks.size() == 7);
    }
}
