// Feeds and speeds: worked values of the formulas, then what the rules make of them on real presets.
#include "burin/workshop/feeds.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/workshop/presets.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const PresetFolders house{{std::filesystem::path(BURIN_SOURCE) / "presets"}};

Machine weak() { return find_machine(house, "desk-240x150"); }
Machine strong() { return find_machine(house, "desk-400x400"); }
Feeds feeds_of(const char* bit, const char* material, const Machine& machine, const FeedWishes& wishes = {}, bool roughing = true) {
    return reckon_feeds(find_bit(house, bit), find_material(house, material), machine, wishes, roughing);
}
bool says(const std::vector<std::string>& sentences, const std::string& part) {
    return std::any_of(sentences.begin(), sentences.end(), [&](const auto& s) { return s.find(part) != std::string::npos; });
}

}  // namespace

TEST_CASE("the formulas give the handbook's worked values") {
    // Source: Machinery's Handbook, milling and power.
    CHECK(milling_feed(10000, 2, 0.02) == Approx(400));
    CHECK(cutting_speed(3.175, 10000) == Approx(99.7).margin(0.05));
    CHECK(cutting_power(30, 5) == Approx(0.15));
}

TEST_CASE("specific force rises with thin chips") {
    // Source: Kienzle 1952; its constants from memory.
    CHECK(specific_force(find_material(house, "aluminium"), 0.01) == Approx(2214).margin(0.5));
    CHECK(specific_force(find_material(house, "aluminium"), 1) == Approx(700));
    CHECK(specific_force(find_material(house, "oak"), 0.01) == 30);
}

TEST_CASE("chip load follows the diameter at work") {
    // Source: the trade's chart, from memory: a straight line between 1 and 3 mm, in proportion below, constant above.
    const auto pine = find_material(house, "pine");
    CHECK(chip_load(pine, 1) == 0.015);
    CHECK(chip_load(pine, 3) == Approx(0.05));
    CHECK(chip_load(pine, 2) == Approx(0.0325));
    CHECK(chip_load(pine, 0.5) == Approx(0.0075));
    CHECK(chip_load(pine, 6) == Approx(0.05));
    CHECK(chip_load(pine, 0) == 0);
}

TEST_CASE("a stepped bit bends as beam theory says") {
    // Source: beam theory; core ratio and carbide's E from memory. F 5 N, d 1, a 4, shank 3.175, b 14.
    CHECK(stepped_bend(5, 1, 4, 3.175, 14) == Approx(0.0121).margin(0.00005));
    // One diameter all along is the textbook cantilever F L³ / (3 E I).
    const double moment = std::numbers::pi * std::pow(0.8 * 2, 4) / 64;
    CHECK(stepped_bend(3, 2, 10, 1.6, 5) == Approx(3 * 15.0 * 15 * 15 / (3 * 600000 * moment)));
    // ball:1.0 is the worked bit: cutting length 4, stick-out 18, shank 3.175.
    CHECK(bend_of(Bit::parse("ball:1.0"), 5, 0) == Approx(0.0121).margin(0.00005));
    CHECK(bend_of(Bit::parse("ball:1.0"), 5, 0.5) < bend_of(Bit::parse("ball:1.0"), 5, 0));
}

TEST_CASE("a cone bends as the sum of its slices") {
    // Source: beam theory; the integral of x²/(E I) written out with 200,000 slices as the reference.
    for (const auto* text : {"taper:0.5:10:3.175", "vee:60:0.1:3.175", "vee:20:0.1:3.175"}) {
        const auto bit = Bit::parse(text);
        const auto& s = bit.spec();
        const double h = 0.4;
        double sum = 0;
        constexpr int slices = 200000;
        for (int i = 0; i < slices; ++i) {
            const double z = h + (s.stick_out - h) * (i + 0.5) / slices;
            const double d = z < s.cutting_length ? 0.8 * bit.width_at(z) : s.shank;
            sum += (z - h) * (z - h) / (std::numbers::pi * std::pow(d, 4) / 64) * (s.stick_out - h) / slices;
        }
        INFO(text);
        CHECK(bend_of(bit, 2, h) == Approx(2 / 600000.0 * sum).epsilon(1e-3));
    }
}

TEST_CASE("softwood on a weak spindle runs as the trade runs it") {
    // Source: common practice, no source: bits of 1 to 2 mm at 300 to 500 mm/min, plunge 100 to 150, 0.4 to 0.6 mm a pass.
    const auto ball = feeds_of("ball:1.0", "pine", weak(), {}, false);
    CHECK(ball.rpm == 10000);
    CHECK(ball.feed == Approx(300).margin(15));
    CHECK(ball.plunge == Approx(100).margin(5));
    CHECK(ball.depth_per_pass >= 0.4);
    CHECK(ball.depth_per_pass <= 0.6);
    CHECK(ball.chip_load == Approx(ball.feed / 20000));
    CHECK(ball.warnings.empty());
    const auto flat = feeds_of("flat:3.175", "pine", weak());
    CHECK(flat.feed <= 1000);
    CHECK(flat.feed >= 800);
    CHECK(flat.depth_per_pass > ball.depth_per_pass);
}

TEST_CASE("depth per pass follows the chart") {
    // Source: the trade's chart, from memory; rounded down to 0.01 mm.
    CHECK(feeds_of("flat:3.175", "basswood", strong()).depth_per_pass == Approx(3.17));
    CHECK(feeds_of("flat:3.175", "ash-slice", strong()).depth_per_pass == Approx(1.27));
    CHECK(feeds_of("flat:2", "oak", strong()).depth_per_pass == Approx(1.0));
    // Half the largest diameter counts for vee and taper.
    CHECK(feeds_of("vee:60:0.1:3.175", "oak", strong()).depth_per_pass == Approx(0.79));
    CHECK(feeds_of("taper:0.5:10:3.175", "oak", strong()).depth_per_pass <= 0.79);
    // Never beyond what the material bears, nor the cutting length.
    CHECK(feeds_of("flat:3.175", "slate", strong()).depth_per_pass <= 0.05);
    BitSpec stub;
    stub.diameter = 3;
    stub.cutting_length = 0.7;
    CHECK(reckon_feeds(Bit(stub, "stub"), find_material(house, "pine"), strong(), {}, true).depth_per_pass == Approx(0.7));
}

TEST_CASE("a settable spindle slows down before the feed passes the machine's greatest") {
    // Source: F = rpm × flutes × chip load, Machinery's Handbook: 2000 / (2 × 0.08) = 12,500 rpm.
    const auto f = feeds_of("flat:3.175", "hdpe", strong());
    CHECK(f.rpm == Approx(12500));
    CHECK(f.feed <= 2000);
    CHECK(f.chip_load == Approx(0.08).epsilon(0.01));
    CHECK(says(f.reasons, "slowed from 24000"));
    // A fixed one thins the chips instead.
    const auto fixed = feeds_of("flat:3.175", "hdpe", weak());
    CHECK(fixed.rpm == 10000);
    CHECK(fixed.feed <= weak().most_feed);
    CHECK(says(fixed.reasons, "Chips thinned"));
}

TEST_CASE("power and bend stay within their limits for every bit, material and router") {
    // Source: P = kc × removal rate, Machinery's Handbook; the limits are the reckoner's own contract.
    int combinations = 0;
    for (const auto* machine_name : {"desk-240x150", "desk-300x200", "desk-400x400"})
        for (const auto& material_name : preset_names(house, "materials"))
            for (const auto& bit_name : preset_names(house, "bits"))
                for (const bool roughing : {true, false}) {
                    const auto machine = find_machine(house, machine_name);
                    const auto material = find_material(house, material_name);
                    if (!material.for_spindle) continue;
                    const auto bit = find_bit(house, bit_name);
                    const auto f = reckon_feeds(bit, material, machine, {}, roughing);
                    INFO(machine_name << ", " << material_name << ", " << bit_name);
                    ++combinations;
                    CHECK(f.feed > 0);
                    CHECK(f.feed <= machine.most_feed);
                    CHECK(f.plunge > 0);
                    CHECK(f.plunge <= machine.rapid[2]);
                    CHECK(f.plunge <= std::max(1.0, f.feed / 3 + 1e-9));
                    CHECK(f.rpm >= machine.spindle->least_rpm);
                    CHECK(f.rpm <= machine.spindle->most_rpm);
                    CHECK(f.depth_per_pass > 0);
                    CHECK(f.depth_per_pass <= bit.spec().cutting_length);
                    CHECK(f.depth_per_pass == f.reckoned_depth_per_pass);
                    CHECK(f.bend_mm <= (roughing ? 0.05 : 0.02) * 1.01);
                    const double watts = cutting_power(specific_force(material, f.chip_load), bit.section(f.depth_per_pass) * f.feed / 60);
                    CHECK(watts <= machine.spindle->power_w * 0.81);
                    const double at_work = bit.shape() == BitShape::drill ? bit.diameter() : bit.width_at(f.depth_per_pass);
                    CHECK(f.chip_load <= chip_load(material, at_work) * 1.001 + 1.0 / (f.rpm * bit.spec().flutes));
                    CHECK(f.reasons.size() >= 6);
                }
    CHECK(combinations > 1000);
}

TEST_CASE("a spindle too weak for the chart takes less, by feed first and depth then") {
    // Source: P = kc × removal rate, Machinery's Handbook: a slot of 3.175 × 1.58 mm in oak at 800 mm/min takes 2.0 W.
    auto toy = weak();
    toy.spindle->power_w = 1.6;  // of which four fifths are used: enough with thinner chips
    const auto thinner = feeds_of("flat:3.175", "oak", toy), normal = feeds_of("flat:3.175", "oak", weak());
    CHECK(thinner.depth_per_pass == normal.depth_per_pass);
    CHECK(thinner.feed < 0.7 * normal.feed);
    toy.spindle->power_w = 0.3;
    const auto shallower = feeds_of("flat:3.175", "oak", toy);
    CHECK(shallower.depth_per_pass < normal.depth_per_pass / 2);
    CHECK(says(shallower.reasons, "lowered from"));
}

TEST_CASE("wishes override and what is beyond the rules is warned of") {
    FeedWishes wishes;
    wishes.depth_per_pass = 1.0;
    const auto deep = feeds_of("ball:1.0", "pine", weak(), wishes, false);
    CHECK(deep.depth_per_pass == 1.0);
    CHECK(deep.reckoned_depth_per_pass == Approx(0.5));
    CHECK(says(deep.warnings, "beyond the 0.5 mm"));
    wishes.depth_per_pass = 0.1;
    const auto shallow = feeds_of("ball:1.0", "pine", weak(), wishes, false);
    CHECK(shallow.depth_per_pass == 0.1);
    CHECK(shallow.warnings.empty());
    CHECK(shallow.feed == Approx(180).margin(5));  // 0.6 mm at work: 10,000 × 2 × 0.009, Machinery's Handbook

    wishes = {};
    wishes.feed = 700;
    wishes.plunge = 90;
    const auto quick = feeds_of("ball:1.0", "pine", weak(), wishes, false);
    CHECK(quick.feed == 700);
    CHECK(quick.plunge == 90);
    CHECK(quick.chip_load == Approx(0.035));
    CHECK(says(quick.warnings, "feed of 700"));
    CHECK(says(quick.reasons, "as asked for"));
    wishes.plunge = 600;
    CHECK(says(feeds_of("ball:1.0", "pine", weak(), wishes, false).warnings, "plunge of 600"));

    wishes = {};
    wishes.speed = 12000;
    const auto fast = feeds_of("ball:1.0", "pine", weak(), wishes, false);
    CHECK(fast.rpm == 12000);
    CHECK(fast.feed == Approx(300));  // the spindle will still turn at 10,000
    CHECK(says(fast.warnings, "12000"));
    CHECK(feeds_of("ball:1.0", "pine", strong(), wishes, false).warnings.empty());

    wishes = {};
    wishes.depth_per_pass = 30;
    CHECK(feeds_of("ball:1.0", "pine", weak(), wishes, false).depth_per_pass == 4);
}

TEST_CASE("impossible wishes and pairings are refused") {
    const auto fault = [](const char* bit, const char* material, const Machine& machine, const FeedWishes& wishes) {
        try {
            (void)feeds_of(bit, material, machine, wishes);
        } catch (const Error& e) {
            return e.exit_status();
        }
        return 0;
    };
    for (const double bad : {0.0, -1.0, std::nan(""), HUGE_VAL}) {
        CHECK(fault("flat:2", "pine", weak(), {bad, {}, {}, {}}) == 2);
        CHECK(fault("flat:2", "pine", weak(), {{}, bad, {}, {}}) == 2);
        CHECK(fault("flat:2", "pine", weak(), {{}, {}, bad, {}}) == 2);
        CHECK(fault("flat:2", "pine", weak(), {{}, {}, {}, bad}) == 2);
    }
    CHECK(fault("flat:2", "leather", weak(), {}) == 1);
    CHECK(fault("flat:2", "pine", find_machine(house, "laser-240x150"), {}) == 1);
    CHECK(fault("flat:2", "pine", weak(), {}) == 0);
    CHECK(says(feeds_of("flat:2", "slate", weak()).warnings, "scratched or ground"));
}
