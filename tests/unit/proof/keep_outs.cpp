// Clamps and screws: programs that miss them pass, each that meets one is told by its line and by the clamp's name.
// Source of every check here: plane geometry, worked on paper; the random ones against points along the way, taken densely.
#include <random>

#include "check.hpp"
#include "jobs.hpp"

using namespace burin;
using namespace burin::test;

namespace {

const std::string_view promise = "clear of keep-outs";

/// Cuts on 8 mm, 3 mm thick; a shank of 6 mm; the collet 20 mm above the tip.
Bit thin_bit() {
    BitSpec spec;
    spec.diameter = 3;
    spec.cutting_length = 8;
    spec.stick_out = 20;
    spec.shank = 6;
    return {spec, "thin"};
}

Check looked_at(const std::vector<KeepOut>& zones, const std::vector<std::string>& moves, double top = 0) {
    ProofTask task;
    task.machine = workshop_machine();
    task.stock = make_stock(Outline::rectangle, 100, 80, 12, Anchor::lower_left);
    task.stock.keep_outs = zones;
    task.cell = 1;
    task.top = top;
    Text text;
    for (const std::string& move : moves) text.add(move);
    text.end();
    const std::string all = text.text();
    task.programs.push_back(program_of("1.nc", all, thin_bit()));
    return check_named(prove(task, {}), promise);
}

KeepOut clamp(double height) { return KeepOut::box("clamp", {{40, 20}, {60, 30}}, height); }

}  // namespace

TEST_CASE("A stock without keep-outs has no such check") {
    ProofTask task;
    task.machine = workshop_machine();
    task.stock = make_stock(Outline::rectangle, 20, 20, 12, Anchor::lower_left);
    const std::string text = Text().text();
    task.programs.push_back(program_of("1.nc", text, thin_bit()));
    for (const Check& check : prove(task, {}).checks) CHECK(check.name != promise);
}

TEST_CASE("Rapids over, beside and through a clamp") {
    // Safe height 3: a clamp of 3 mm is just passed over, one of 3.1 is not.
    CHECK(looked_at({clamp(3)}, {"G0 X20 Y25", "G0 X80"}).ok);
    const Check through = looked_at({clamp(3.1)}, {"G0 X20 Y25", "G0 X80"});
    CHECK_FALSE(through.ok);
    CHECK(through.line == Text::first_move + 1);
    CHECK(through.file == "1.nc");
    CHECK_THAT(through.detail, ContainsSubstring("'clamp'") && ContainsSubstring("the bit meets") && ContainsSubstring("Z 5.00"));
    // The bit's radius is 1.5: along y = 18.4 its side passes 0.1 mm from the clamp's at y = 20, along 18.6 it does not.
    CHECK(looked_at({clamp(3.1)}, {"G0 Y18.4", "G0 X80"}).ok);
    CHECK(looked_at({clamp(3.1)}, {"G0 Y18.6", "G0 X80"}).line == Text::first_move + 1);
    // The shank, 8 mm above the tip at Z 3, has a radius of 3: a clamp of 11 mm passes under it, 11.1 does not.
    CHECK(looked_at({clamp(11)}, {"G0 Y17.5", "G0 X80"}).ok);
    CHECK_THAT(looked_at({clamp(11.1)}, {"G0 Y17.5", "G0 X80"}).detail, ContainsSubstring("the shank meets"));
    // The collet, 20 mm above the tip, has a radius of 10.
    CHECK(looked_at({clamp(23)}, {"G0 Y10.5", "G0 X80"}).ok);
    CHECK_THAT(looked_at({clamp(23.1)}, {"G0 Y10.5", "G0 X80"}).detail, ContainsSubstring("the collet meets"));
    CHECK(looked_at({clamp(23.1)}, {"G0 Y9.9", "G0 X80"}).ok);
}

TEST_CASE("A box's corners and a circle are met by their true distance") {
    // From the corner (40, 20) to the line x + y = 60 − d √2: d. The bit's radius is 1.5.
    const auto past_corner = [](double d) {
        const double c = 60 - d * std::sqrt(2.0);
        return looked_at({clamp(2)}, {fmt::format("G0 X{:.4f} Y0", c), "G1 Z1 F500", fmt::format("G1 X0 Y{:.4f}", c)});
    };
    CHECK(past_corner(1.55).ok);
    CHECK(past_corner(1.45).line == Text::first_move + 2);
    const KeepOut screw = KeepOut::circle("left screw", {50, 40}, 8, 2);  // radius 4 + 1.5
    CHECK(looked_at({screw}, {"G0 Y34.4", "G1 Z1 F500", "G1 X90"}).ok);
    const Check hit = looked_at({screw}, {"G0 Y34.6", "G1 Z1 F500", "G1 X90"});
    CHECK(hit.line == Text::first_move + 2);
    CHECK_THAT(hit.detail, ContainsSubstring("'left screw'") && ContainsSubstring("want the same place"));
    // An arc about the screw of radius 5.6 clears it, of 5.4 does not (the circle itself).
    CHECK(looked_at({screw}, {"G0 X44.4 Y40", "G1 Z1 F500", "G2 X44.4 Y40 I5.6 J0"}).ok);
    CHECK(looked_at({screw}, {"G0 X30 Y40", "G0 X44.6 Y40", "G1 Z1 F500", "G2 X44.6 Y40 I5.4 J0"}).line == Text::first_move + 2);
}

TEST_CASE("Slanted ways count where they are low enough, and rapids also with each axis by itself") {
    // Down from z = 6 at x = 20 to 0 at x = 80 along y = 25: over the clamp's near side (x = 38.5 with the radius) the tip is at
    // 4.15, and over its far side (x = 61.5) at 1.85: a clamp of 1.8 mm is cleared.
    CHECK(looked_at({clamp(1.8)}, {"G0 Z6", "G0 X20 Y25", "G1 X80 Z0 F500"}).ok);
    CHECK(looked_at({clamp(1.9)}, {"G0 Z6", "G0 X20 Y25", "G1 X80 Z0 F500"}).line == Text::first_move + 2);
    // X and Y have one rate: from (0, 0) to (90, 25) the straight way passes above the corner (40, 20) at y = 11, and that with each axis
    // by itself runs to (25, 25) first and then along y = 25, through the clamp. As a feed only the straight way counts.
    const KeepOut upper = KeepOut::box("clamp", {{30, 24}, {45, 40}}, 3.5);
    CHECK(looked_at({upper}, {"G0 X90 Y25"}).line == Text::first_move);
    CHECK(looked_at({upper}, {"G1 X90 Y25 F900"}).ok);
}

TEST_CASE("The start, the end and a lowered top count") {
    // The machine stands at X0 Y0 Z0 first, and the shank (radius 3) from Z 8 up is met by what stands there.
    const Check start = looked_at({KeepOut::box("stop", {{2, -10}, {8, -1}}, 10)}, {"G0 X20 Y25"});
    CHECK(start.line == 3);
    CHECK_THAT(start.detail, ContainsSubstring("work zero"));
    CHECK(looked_at({KeepOut::box("stop", {{2, -10}, {8, -1}}, 8)}, {"G0 X20 Y25", "G0 Z10"}).ok);
    CHECK(looked_at({clamp(5)}, {"G0 X20 Y50", "G0 Z6", "G0 X50 Y25"}).line == Text::first_move + 3);  // the end: down to Z 3
    // Where earlier cuts made the top, z of the text still counts from the stock's own.
    CHECK(looked_at({clamp(3)}, {"G0 X20 Y25", "G0 X80"}, -2).ok);
    CHECK_FALSE(looked_at({clamp(3.1)}, {"G0 X20 Y25", "G0 X80"}, -2).ok);
}

TEST_CASE("Two clamps are both told, each once") {
    const Check check = looked_at({clamp(5), KeepOut::circle("screw", {80, 25}, 6, 4)}, {"G0 X20 Y25", "G0 X60", "G0 X90", "G0 X20"});
    CHECK(check.line == Text::first_move + 1);
    CHECK_THAT(check.detail, ContainsSubstring("'clamp'") && ContainsSubstring("'screw'"));
    CHECK(check.detail.find("'clamp'") == check.detail.rfind("'clamp'"));
}

TEST_CASE("Random ways: what is proved clear is clear at every point") {
    std::mt19937 random(20);
    const auto from_to = [&](int lo, int hi) { return std::uniform_int_distribution<int>(lo * 10, hi * 10)(random) / 10.0; };
    const Bit bit = thin_bit();
    int clear = 0, met = 0;
    for (int n = 0; n < 400; ++n) {
        const double x = from_to(20, 60), y = from_to(20, 50), wide = from_to(1, 20), high = from_to(1, 20), top = from_to(-3, 25);
        const bool round = n % 2 == 0;
        const KeepOut zone = round ? KeepOut::circle("z", {x, y}, wide, top) : KeepOut::box("z", {{x, y}, {x + wide, y + high}}, top);
        const Point3 a{from_to(-40, -30), from_to(-40, 90), from_to(30, 40)}, b{x + from_to(-20, 20), y + from_to(-20, 20), from_to(0, 25)};
        const Check check =
            looked_at({zone}, {"G0 Z40", fmt::format("G0 X{} Y{}", a.x, a.y), fmt::format("G1 X{} Y{} Z{} F900", b.x, b.y, b.z)});
        // How deep the body is in the zone, seen at points of the way that lie 0.03 mm apart at most; from the definition.
        double deepest = -1e9;
        for (int k = 0; k <= 6000; ++k) {
            const double t = k / 6000.0, px = a.x + t * (b.x - a.x), py = a.y + t * (b.y - a.y), pz = 40 + t * (b.z - 40);
            const double away = round ? std::hypot(px - x, py - y) - wide / 2
                                      : std::hypot(std::max({x - px, 0.0, px - x - wide}), std::max({y - py, 0.0, py - y - high}));
            for (const auto& [radius, lower] : {std::pair{1.5, 0.0}, std::pair{3.0, 8.0}, std::pair{10.0, 20.0}})
                deepest = std::max(deepest, std::min(top - pz - lower, radius - away));
        }
        CAPTURE(n, deepest, check.detail);
        // The end of the program goes to Z 3: straight down there is a way of its own.
        const bool down = check.line == Text::first_move + 3;
        if (deepest > 0.05) {
            CHECK(check.line == Text::first_move + 2);
            ++met;
        } else if (deepest < -0.05 && !down) {
            CHECK(check.ok);
            ++clear;
        }
    }
    CHECK(clear > 30);
    CHECK(met > 30);
}
