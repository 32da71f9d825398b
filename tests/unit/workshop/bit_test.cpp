// The shape of the bit: worked values from plane geometry, then the three functions against each other for every shape.
#include "burin/workshop/bit.hpp"

#include <fmt/format.h>

#include <cmath>
#include <numbers>
#include <vector>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double degree = std::numbers::pi / 180;

Bit drill(double diameter) {
    BitSpec spec;
    spec.shape = BitShape::drill;
    spec.diameter = diameter;
    spec.angle = 130 * degree;
    return {spec, "drill"};
}

std::vector<Bit> every_shape() {
    std::vector<Bit> bits;
    for (const auto* text : {"flat:3.175", "flat:0.5", "ball:1.0", "ball:3.175", "vee:60:0.1:3.175", "vee:30:0:3.175", "vee:120:0.5:6",
                             "taper:0.5:10:3.175", "taper:1:5:3.175", "taper:2:45:3", "bull:3.175:0.5", "bull:2:1", "bull:2:0"})
        bits.push_back(Bit::parse(text));
    bits.push_back(drill(0.8));
    bits.push_back(drill(3));
    return bits;
}

Error error_of(const char* text) {
    try {
        (void)Bit::parse(text);
    } catch (const Error& e) {
        return e;
    }
    FAIL("'" << text << "' was taken as a bit");
    throw 0;
}

}  // namespace

TEST_CASE("diameters at work are those of plane geometry") {
    // Source: plane geometry, worked values of the trade.
    CHECK(Bit::parse("ball:1.0").width_at(0.1) == Approx(0.6).margin(1e-12));
    CHECK(Bit::parse("taper:0.5:10:3.175").width_at(0.1) == Approx(0.400).margin(0.0005));
    CHECK(Bit::parse("taper:0.5:10:3.175").width_at(0.5) == Approx(0.596).margin(0.0005));
    CHECK(Bit::parse("vee:30:0:3.175").width_at(1) == Approx(0.5359).margin(0.00005));
    CHECK(Bit::parse("vee:60:0:3.175").width_at(1) == Approx(1.1547).margin(0.00005));
    CHECK(Bit::parse("vee:90:0:3.175").width_at(1) == Approx(2.0000).margin(0.00005));
    CHECK(Bit::parse("vee:60:0.1:3.175").width_at(0) == Approx(0.1));
    CHECK(Bit::parse("flat:2").width_at(0) == 2);
    CHECK(Bit::parse("ball:2").width_at(7) == 2);
    CHECK(Bit::parse("ball:2").width_at(-0.1) == 0);
}

TEST_CASE("sections of a full slot are those of plane geometry") {
    // Source: plane geometry, worked value of the trade for the ball; the others by hand beside them.
    CHECK(Bit::parse("ball:1.0").section(1.3) == Approx(1.1927).margin(0.00005));
    CHECK(Bit::parse("flat:3.175").section(2) == Approx(6.35));
    CHECK(Bit::parse("vee:90:0:10").section(2) == Approx(4));                      // a right-angled triangle of height 2 and width 4
    CHECK(Bit::parse("vee:90:0.5:10").section(2) == Approx(5));                    // and a strip of 0.5 × 2
    CHECK(Bit::parse("vee:90:0:2").section(3) == Approx(1 + 2 * 2));               // the cone of height 1, then 2 mm at full width
    CHECK(Bit::parse("bull:3:1").section(1) == Approx(1 + std::numbers::pi / 2));  // a 1 mm square between two quarter discs
    CHECK(Bit::parse("ball:1").section(-1) == 0);
}

TEST_CASE("scallop height and stepover are each other's inverse") {
    // Source: plane geometry; Machinery's Handbook, milling.
    CHECK(scallop_height(3.175 / 2, 0.3) == Approx(0.00710).margin(0.000005));
    CHECK(scallop_height(0.5, 0.1) == Approx(0.00251).margin(0.000005));
    // Lines 0.1 apart in plan on a slope of 75° across them: s / cos 75° along the surface.
    CHECK(scallop_height(0.5, 0.1 / std::cos(75 * degree)) == Approx(0.0388).margin(0.00005));
    CHECK(scallop_height(0.5, 5) == 0.5);  // lines farther apart than the bit is wide leave the stock between them
    for (double r = 0.1; r < 3; r += 0.13)
        for (double h = 0.001; h < r; h *= 1.7) CHECK(scallop_height(r, scallop_stepover(r, h)) == Approx(h).epsilon(1e-9));
}

TEST_CASE("rise, width and section of every shape agree") {
    // Source: the definitions; width is the inverse of rise, section the integral of width (midpoint rule).
    for (const auto& bit : every_shape()) {
        INFO(bit.sizes());
        CHECK(bit.rise(0) == Approx(0).margin(1e-12));
        const double top = bit.tip_height();
        for (int i = 0; i <= 200; ++i) {
            const double r = bit.radius() * i / 200;
            INFO("r " << r);
            // sup { 2r : rise(r) ≤ h }: at the height of r the bit is at least 2r wide, just above it hardly more.
            CHECK(bit.width_at(bit.rise(r) + 1e-12) >= 2 * r - 1e-4);
            CHECK(bit.width_at(bit.rise(r) + 1e-12) <= bit.diameter());
            if (i > 0) CHECK(bit.rise(r) >= bit.rise(bit.radius() * (i - 1) / 200));  // rising
            if (i > 1) {                                                              // convex: the steps grow
                const double before = bit.rise(bit.radius() * (i - 1) / 200), first = bit.rise(bit.radius() * (i - 2) / 200);
                CHECK(bit.rise(r) - before >= before - first - 1e-9);
            }
        }
        for (int i = 1; i < 100; ++i) {
            const double h = top * i / 100, width = bit.width_at(h);
            if (top > 0 && width < bit.diameter() - 1e-9) CHECK(bit.rise(width / 2) == Approx(h).margin(1e-9));
        }
        double area = 0;
        constexpr int steps = 4000;
        const double deepest = top + 1;
        for (int i = 0; i < steps; ++i) area += bit.width_at(deepest * (i + 0.5) / steps) * deepest / steps;
        CHECK(bit.section(deepest) == Approx(area).margin(2e-4 * bit.diameter()));
    }
}

TEST_CASE("a tapered ball has no step where ball and cone touch") {
    // Source: plane geometry; both sides have the same height and the slope 1/tan(side angle) there.
    for (const auto* text : {"taper:0.5:10:3.175", "taper:1:5:3.175", "taper:2:45:3"}) {
        const auto bit = Bit::parse(text);
        const double touch = bit.round_radius() * std::cos(bit.spec().angle), d = 1e-7;
        CHECK(bit.rise(touch + d) - bit.rise(touch - d) == Approx(2 * d / std::tan(bit.spec().angle)).epsilon(1e-4));
    }
}

TEST_CASE("sizes are written as they are read") {
    for (const auto* text : {"flat:3.175", "ball:1", "vee:60:0.1:3.175", "taper:0.5:10:3.175", "bull:3.175:0.5"}) {
        const auto bit = Bit::parse(text);
        CHECK(bit.sizes() == text);
        CHECK(bit.name() == text);
        CHECK(Bit::looks_like_sizes(text));
    }
    CHECK_FALSE(Bit::looks_like_sizes("flat-2"));
    CHECK_FALSE(Bit::looks_like_sizes("bits/mine.toml"));
    CHECK_FALSE(Bit::looks_like_sizes("drill:1"));
}

TEST_CASE("what the sizes leave out is filled in") {
    // Source: the notation's own contract: stick-out 18, cutting length the smaller of 4 × diameter and the stick-out (vee
    // and taper at least the cone), two flutes, shank 3.175, centre-cutting.
    const auto flat = Bit::parse("flat:3.175").spec();
    CHECK(flat.stick_out == 18);
    CHECK(flat.cutting_length == Approx(12.7));
    CHECK(flat.flutes == 2);
    CHECK(flat.shank == 3.175);
    CHECK(flat.centre_cutting);
    CHECK(Bit::parse("flat:6").spec().cutting_length == 18);
    CHECK(Bit::parse("ball:1").spec().cutting_length == 4);
    const auto slim = Bit::parse("vee:10:0:3.175");
    CHECK(slim.spec().cutting_length == Approx(3.175 / 2 / std::tan(5 * degree)));
}

TEST_CASE("impossible bits are refused with the part that is wrong") {
    for (const auto* text : {"flat:0",
                             "flat:-1",
                             "flat:nan",
                             "flat:1e3",
                             "flat:3mm",
                             "flat:",
                             "flat:1:2",
                             "ball:inf",
                             "vee:0:0.1:3",
                             "vee:180:0.1:3",
                             "vee:60:3:3",
                             "vee:60:-1:3",
                             "vee:60:0.1",
                             "taper:0:10:3",
                             "taper:5:10:3",
                             "taper:1:90:3",
                             "bull:3:2",
                             "cone:3",
                             "",
                             ":"}) {
        INFO(text);
        CHECK(error_of(text).fault() == Fault::usage);
    }
    CHECK_THAT(error_of("flat:3mm").what(), ContainsSubstring("3mm"));
    CHECK_THAT(error_of("vee:60:0.1").what(), ContainsSubstring("vee:ANGLE:TIP:DIAMETER"));
    CHECK_THAT(error_of("bull:3:2").what(), ContainsSubstring("corner radius"));
}
