// Promise 3 on moves whose figures are known on paper, and what else a bit must not do in the stock.
#include <numbers>

#include "check.hpp"
#include "jobs.hpp"

using namespace burin;
using namespace burin::test;

namespace {

ProofTask task_on(double width, double height, double thickness, double cell = 0.1) {
    ProofTask task;
    task.machine = workshop_machine();
    task.stock = make_stock(Outline::rectangle, width, height, thickness, Anchor::lower_left);
    task.cell = cell;
    return task;
}

Bit bit_of(const char* sizes, double cutting_length) {
    BitSpec spec = Bit::parse(sizes).spec();
    spec.cutting_length = cutting_length;
    return Bit(spec, sizes);
}

Proof run(ProofTask task, const std::vector<Text>& texts, const std::vector<Bit>& bits, const std::vector<double>& most) {
    std::vector<std::string> all;
    for (const Text& text : texts) all.push_back(text.text());
    for (std::size_t k = 0; k < texts.size(); ++k)
        task.programs.push_back(program_of(fmt::format("{}-cut.nc", k + 1), all[k], bits[k], most[k]));
    return prove(task, {});
}

}  // namespace

TEST_CASE("A full slot takes its depth at once and its section") {
    // Source: section of a full slot, plane geometry; the figures are m = 1 against the section m × diameter at work.
    struct Case {
        const char* bit;
        double depth;
    };
    for (const Case& c : {Case{"flat:2.0", 0.8}, Case{"ball:2.0", 0.8}, Case{"vee:60:0.2:3.175", 0.9}, Case{"taper:1.0:10:3.175", 0.9},
                          Case{"bull:3.175:0.5", 0.6}}) {
        INFO(c.bit);
        const Bit bit = Bit::parse(c.bit);
        Text text;
        text.add("G0 X4 Y6").add(fmt::format("G1 Z{:.3f} F100", -c.depth)).add("X20 F400").end();
        const Proof proof = run(task_on(24, 12, 6, 0.05), {text}, {bit}, {1.0});
        CHECK(proof.holds);
        CHECK(proof.largest_section == Approx(bit.section(c.depth) / bit.width_at(c.depth)).epsilon(0.03));
        CHECK(proof.programs[0].largest_peck == Approx(c.depth).margin(0.01));
        // The strip that counts is wider than the allowance of 0.3: what is lowered least within it.
        CHECK(proof.most_at_once <= c.depth + 1e-4);
        CHECK(proof.most_at_once >= c.depth - bit.rise(0.25) - 0.02);
    }
}

TEST_CASE("A slot too deep at once is refused, in levels it is not") {
    Text deep, levels;
    deep.add("G0 X4 Y6").add("G1 X4 Y6 Z-0.9 F100").add("X20 F400").add("X4 Z-1.9").add("X20").end();
    // Levels: a plunge on cleared ground takes nothing.
    levels.add("G0 X4 Y6").add("G1 Z-0.9 F100").add("X20 F400").add("Z-1.8").add("X4").end();
    const Bit bit = Bit::parse("flat:3.175");
    const Proof refused = run(task_on(24, 12, 6), {deep}, {bit}, {0.95});
    const Check& check = check_named(refused, "nothing too much at once");
    INFO(check.detail);
    CHECK_FALSE(check.ok);
    CHECK(check.line == Text::first_move + 3);
    CHECK(refused.most_at_once == Approx(1.0).margin(0.02));
    const Proof kept = run(task_on(24, 12, 6), {levels}, {bit}, {0.95});
    INFO(check_named(kept, "nothing too much at once").detail);
    CHECK(kept.holds);
    CHECK(kept.most_at_once == Approx(0.9).margin(0.01));
}

TEST_CASE("Strips up to the allowance wide do not count as height, wider ones do, in every direction") {
    // Source: plane geometry. A trench 3 deep is there already; beside it the second program takes a strip.
    const Bit bit = bit_of("flat:2.0", 5);
    struct Strip {
        double allowance, width;
        bool counts;
    };
    for (int angle = 0; angle < 180; angle += 15)
        for (const auto& [allowance, strip, counts] :
             {Strip{0.3, 0.28, false}, Strip{0.3, 0.75, true}, Strip{0.2, 0.18, false}, Strip{0.2, 0.55, true}}) {
            const double a = angle * std::numbers::pi / 180, ux = std::cos(a), uy = std::sin(a), x = 12 - 5 * ux, y = 12 - 5 * uy;
            Text trench, skim;
            trench.add(fmt::format("G0 X{:.3f} Y{:.3f}", x, y))
                .add("G1 Z-3 F100")
                .add(fmt::format("X{:.3f} Y{:.3f} F400", x + 10 * ux, y + 10 * uy))
                .end();
            skim.add(fmt::format("G0 X{:.3f} Y{:.3f}", x + ux, y + uy)).add("G1 Z-3 F100");
            skim.add(fmt::format("X{:.3f} Y{:.3f} F400", x + ux - strip * uy, y + uy + strip * ux));
            skim.add(fmt::format("X{:.3f} Y{:.3f}", x + 9 * ux - strip * uy, y + 9 * uy + strip * ux)).end();
            ProofTask task = task_on(24, 24, 6);
            task.allowance = allowance;
            const Proof proof = run(task, {trench, skim}, {bit, bit}, {100, 100});
            INFO(angle << " degrees, strip " << strip);
            if (counts)
                CHECK(proof.programs[1].most_at_once == Approx(3.0).margin(0.01));
            else
                CHECK(proof.programs[1].most_at_once < 0.01);
            CHECK(proof.programs[0].most_at_once == Approx(3.0).margin(0.01));
        }
}

TEST_CASE("The section bounds a skimmed wall") {
    // Source: promise 3; strip × depth against m × diameter: 0.16 × 5 and 0.28 × 5 against 0.5 × 2.
    const Bit bit = bit_of("flat:2.0", 6);
    for (const auto& [strip, holds] : {std::pair{0.16, true}, std::pair{0.28, false}}) {
        Text trench, skim;
        trench.add("G0 X4 Y6").add("G1 Z-5 F100").add("X20 F400").end();
        skim.add("G0 X6 Y6").add("G1 Z-5 F100").add(fmt::format("X8 Y{:.3f} F400", 6 + strip)).add("X16").end();
        const Proof proof = run(task_on(24, 12, 6, 0.02), {trench, skim}, {bit, bit}, {100, 0.5});
        const Check& check = check_named(proof, "nothing too much at once", "2-cut.nc");
        INFO(check.detail);
        CHECK(check.ok == holds);
        if (!holds) CHECK((check.line == Text::first_move + 2 || check.line == Text::first_move + 3));
        CHECK(proof.programs[1].largest_section == Approx(strip * 5 / (0.5 * 2)).epsilon(0.05));
    }
}

TEST_CASE("A peak does not hide in a long move, nor between short ones") {
    // A ridge 1 mm wide across the way of a long move, over cleared ground on both sides (promise 3: any half bit diameter of way).
    const Bit bit = bit_of("flat:2.0", 6);
    Text clear, over;
    clear.add("G0 X4 Y6").add("G1 Z-2.4 F100").add("X11.5 F400").add("G0 Z3").add("X14.5").add("G1 Z-2.4 F100").add("X22 F400").end();
    over.add("G0 X5 Y6").add("G1 Z-2.4 F100").add("X21 F400").end();
    const Proof one = run(task_on(26, 12, 6), {clear, over}, {bit, bit}, {100, 1.0});
    const Check& check = check_named(one, "nothing too much at once", "2-cut.nc");
    INFO(check.detail);
    CHECK_FALSE(check.ok);
    CHECK(check.line == Text::first_move + 2);
    CHECK(one.programs[1].most_at_once == Approx(2.4).margin(0.01));
    Text small;
    small.add("G0 X5 Y6").add("G1 Z-2.4 F100");
    for (int k = 1; k <= 160; ++k) small.add(fmt::format("X{:.1f} F400", 5 + 0.1 * k));
    small.end();
    const Proof many = run(task_on(26, 12, 6), {clear, small}, {bit, bit}, {100, 1.0});
    CHECK(many.programs[1].most_at_once == Approx(2.4).margin(0.01));
    // Over 1 mm of way the bit's front goes through the whole ridge: 2.4 deep. The long move is looked at millimetre by millimetre.
    CHECK(many.programs[1].largest_section == Approx(2.4).margin(0.1));
    CHECK(one.programs[1].largest_section > 1.7);
    CHECK(one.programs[1].largest_section < 2.5);
    // The ridge is met when the bit's edge comes to 12.5: its tip is at 11.5.
    const Check& found = check_named(many, "nothing too much at once", "2-cut.nc");
    CHECK(found.line >= Text::first_move + 1 + 60);
    CHECK(found.line <= Text::first_move + 1 + 85);
}

TEST_CASE("A plunge takes no more than m before it clears its chips") {
    // Source: promise 3.
    const Bit bit = Bit::parse("ball:1.0");
    Text at_once, split, pecks;
    at_once.add("G0 X6 Y6").add("G1 Z-1.2 F100").end();
    split.add("G0 X6 Y6").add("G1 Z-0.5 F100").add("Z-1.2").end();
    pecks.add("G0 X6 Y6")
        .add("G1 Z-0.5 F100")
        .add("G0 Z0.5")
        .add("Z-0.4")
        .add("G1 Z-1 F100")
        .add("G0 Z0.5")
        .add("Z-0.9")
        .add("G1 Z-1.2 F100")
        .end();
    const auto verdict_of = [&](const Text& text) { return run(task_on(12, 12, 6), {text}, {bit}, {0.55}); };
    const Proof one = verdict_of(at_once), two = verdict_of(split), three = verdict_of(pecks);
    CHECK(check_named(one, "nothing too much at once").line == Text::first_move + 1);
    CHECK(one.programs[0].largest_peck == Approx(1.2).margin(0.01));
    CHECK(check_named(two, "nothing too much at once").line == Text::first_move + 2);
    CHECK(two.programs[0].largest_peck == Approx(1.2).margin(0.02));
    INFO(check_named(three, "nothing too much at once").detail << check_named(three, "no crash").detail);
    CHECK(three.holds);
    CHECK(three.programs[0].largest_peck == Approx(0.5).margin(0.02));
}

TEST_CASE("A bit that does not cut at its centre never goes straight down") {
    // Source: promise 4; common practice.
    BitSpec spec = Bit::parse("flat:3.175").spec();
    spec.centre_cutting = false;
    const Bit bit(spec, "hollow end");
    Text plunge, ramp;
    plunge.add("G0 X6 Y6").add("G1 Z-0.4 F100").add("X12 F400").end();
    ramp.add("G0 X6 Y6").add("G1 X12 Z-0.4 F100").add("X6").end();
    const Proof straight = run(task_on(20, 12, 6), {plunge}, {bit}, {1.0});
    CHECK(check_named(straight, "no crash").line == Text::first_move + 1);
    CHECK_FALSE(straight.holds);
    CHECK(run(task_on(20, 12, 6), {ramp}, {bit}, {1.0}).holds);
}

TEST_CASE("Shank and collet stay clear of what stands") {
    // Source: promise 4. A 1 mm bit that cuts on 2 mm below a 3.175 mm shank, 3 deep in its own slot.
    BitSpec spec = Bit::parse("flat:1.0").spec();
    spec.cutting_length = 2, spec.shank = 3.175;
    Text text;
    text.add("G0 X6 Y6").add("G1 Z-1.9 F100").add("X14 F400").add("Z-3").add("X6").end();
    const Proof shank = run(task_on(20, 12, 6), {text}, {Bit(spec, "short")}, {100});
    CHECK_THAT(check_named(shank, "no crash").detail, ContainsSubstring("shank"));
    CHECK(check_named(shank, "no crash").line == Text::first_move + 3);
    CHECK_THAT(check_named(shank, "inside stock and travel").detail, ContainsSubstring("cuts on 2.00 mm"));
    // A bit held too short: the nut comes down on the stock's top.
    spec.cutting_length = 4, spec.stick_out = 2.5;
    const Proof collet = run(task_on(20, 12, 6), {text}, {Bit(spec, "held short")}, {100});
    CHECK_THAT(check_named(collet, "no crash").detail, ContainsSubstring("collet"));
    CHECK(check_named(collet, "no crash").line == Text::first_move + 3);
    spec.stick_out = 18;
    CHECK(run(task_on(20, 12, 6), {text}, {Bit(spec, "long")}, {100}).holds);
}

TEST_CASE("Round stock ends at its circle") {
    // Source: plane geometry.
    ProofTask task = task_on(20, 20, 6);
    task.stock = make_stock(Outline::round, 20, 20, 6, Anchor::centre);
    Text inside, outside;
    inside.add("G0 X0 Y0").add("G1 Z-0.5 F100").add("X6.9 Y6.9 F400").end();   // 9.76 from the centre
    outside.add("G0 X0 Y0").add("G1 Z-0.5 F100").add("X7.2 Y7.2 F400").end();  // 10.18
    const Bit bit = Bit::parse("flat:2.0");
    const Proof kept = run(task, {inside}, {bit}, {1.0});
    INFO(check_named(kept, "inside stock and travel").detail);
    CHECK(kept.holds);
    CHECK(check_named(run(task, {outside}, {bit}, {1.0}), "inside stock and travel").line == Text::first_move + 2);
    // In the corner of the square round it there is nothing to take.
    CHECK(kept.surface(2, 2) == 0.0F);
    const double slot = 0.5 * (2 * 6.9 * std::numbers::sqrt2 + std::numbers::pi);
    CHECK(kept.programs[0].removed_mm3 < slot);
    CHECK(kept.programs[0].removed_mm3 > slot - 0.5 * 1.5);
}

TEST_CASE("A traced piece ends at its wood, and its bark stands in the way") {
    // Source: plane geometry. A square of 20 with a notch from above, bark of 2 mm all round.
    const Loop edge{{0, 0}, {20, 0}, {20, 20}, {12, 20}, {12, 14}, {8, 14}, {8, 20}, {0, 20}};
    const Loop wood{{2, 2}, {18, 2}, {18, 18}, {14, 18}, {14, 12}, {6, 12}, {6, 18}, {2, 18}};
    ProofTask task = task_on(20, 20, 6);
    task.stock = make_stock(TracedPiece(edge, wood, 6), Anchor::lower_left);
    Text inside, outside, across;
    inside.add("G0 X4 Y4").add("G1 Z-0.5 F100").add("Y16 F400").end();
    outside.add("G0 X4 Y4").add("G1 Z-0.5 F100").add("X18.5 F400").end();
    across.add("G0 X4 Y16").add("G1 Z-0.5 F100").add("X16 F400").end();  // over the notch
    const Bit bit = Bit::parse("flat:2.0");
    const Proof kept = run(task, {inside}, {bit}, {1.0});
    INFO(check_named(kept, "inside stock and travel").detail);
    CHECK(kept.holds);
    CHECK(std::abs(kept.programs[0].removed_mm3 - 0.5 * (2 * 12 + std::numbers::pi)) < 0.3);
    CHECK(check_named(run(task, {outside}, {bit}, {1.0}), "inside stock and travel").line == Text::first_move + 2);
    const Proof crossed = run(task, {across}, {bit}, {1.0});
    CHECK(check_named(crossed, "inside stock and travel").line == Text::first_move + 2);
    // 12 mm of way and two half discs, less the 4 mm of notch, where nothing stands.
    CHECK(std::abs(crossed.programs[0].removed_mm3 - 0.5 * (2 * (12 - 4) + std::numbers::pi)) < 0.3);
}

TEST_CASE("Rapids may run in ground that is cleared") {
    const Bit bit = Bit::parse("flat:2.0");
    Text text;
    text.add("G0 X4 Y6").add("G1 Z-0.5 F100").add("X20 F400").add("G0 X4").add("G1 Y7 F400").add("X20").end();
    const Proof proof = run(task_on(24, 12, 6), {text}, {bit}, {1.0});
    CHECK(proof.holds);
    CHECK(proof.rapids_in_stock == 0);
    CHECK(proof.programs[0].rapid_length == Approx(3 + std::hypot(4, 6) + 16 + 3.5));
    CHECK(proof.programs[0].cut_length == Approx(3.5 + 16 + 1 + 16));
}
