// Stock removal on moves whose result is known on paper, and against a slow replay that samples the way densely.
#include <cmath>
#include <numbers>
#include <random>

#include "../../../src/proof/sweep.hpp"
#include "check.hpp"
#include "jobs.hpp"

using namespace burin;
using namespace burin::test;

namespace {

/// A free job on one piece of stock.
Proof run(const Bit& bit, const Text& text, const Stock& stock, double cell, double most = 100) {
    ProofTask task;
    task.machine = workshop_machine();
    task.stock = stock;
    task.cell = cell;
    const std::string all = text.text();
    task.programs.push_back(program_of("1-cut.nc", all, bit, most));
    return prove(task, {});
}

/// Area of the section at right angles to x, in the column nearest to x.
double section_at(const HeightMap& surface, double x) {
    const int i = static_cast<int>((x - surface.origin().x) / surface.cell());
    double area = 0;
    for (int j = 0; j < surface.height(); ++j) area -= static_cast<double>(surface(i, j)) * surface.cell();
    return area;
}

/// 10 × 8 mm of stock in cells of 0.05 mm, as the replay lays it out: beyond the last column there is nothing to cut.
struct Tray {
    static constexpr int width = 200, rows = 160, pitch = width + 16;
    std::vector<float> surface = std::vector<float>(pitch * rows), taken = surface, before = surface;
    proving::Band band{surface.data(), taken.data(), before.data(), width, rows, pitch, 0, rows, 0.025, 0.025, 0.05};
    Tray() {
        for (int j = 0; j < rows; ++j) std::fill_n(surface.begin() + j * pitch + width, pitch - width, -1e6F);
    }
};

}  // namespace

TEST_CASE("One straight level move takes the section of a full slot") {
    // Source: sections of full slots, plane geometry (trade figures: ball d 1.0, h 1.3: 1.1927; vee t h + h² tan(θ/2); flat d h).
    struct Case {
        const char* bit;
        double depth, section;
    };
    const double tan30 = std::tan(std::numbers::pi / 6), tan10 = std::tan(std::numbers::pi / 18);
    // Tapered ball, tip radius R = 0.25, side a = 10°: a circle's segment up to R(1 − sin a), then a trapezoid.
    const double low = 0.25 * (1 - std::sin(std::numbers::pi / 18)), wide = 0.25 * std::cos(std::numbers::pi / 18), up = 1.0 - low;
    const double segment = 0.0625 * std::acos((0.25 - low) / 0.25) - (0.25 - low) * std::sqrt(2 * 0.25 * low - low * low);
    const double taper = segment + 2 * wide * up + up * up * tan10;
    // Bull, corner r 0.5 on d 3.175, 0.3 deep: the flat part plus a circle's segment.
    const double bull = (3.175 - 1.0) * 0.3 + 0.25 * std::acos(0.2 / 0.5) - 0.2 * std::sqrt(0.3 - 0.09);
    for (const Case& c :
         {Case{"ball:1.0", 1.3, 1.1927}, Case{"ball:1.0", 0.1, 0.25 * std::acos(0.8) - 0.4 * std::sqrt(0.09)}, Case{"flat:2.0", 0.7, 1.4},
          Case{"vee:60:0.1:3.175", 1.0, 0.1 + tan30}, Case{"taper:0.5:10:3.175", 1.0, taper}, Case{"bull:3.175:0.5", 0.3, bull}}) {
        INFO(c.bit << " " << c.depth);
        Text text;
        text.add("G0 X3 Y5").add(fmt::format("G1 Z{:.3f} F100", -c.depth)).add("X17 F400").end();
        const Proof proof = run(Bit::parse(c.bit), text, make_stock(Outline::rectangle, 20, 10, 5, Anchor::lower_left), 0.01);
        CHECK(section_at(proof.surface, 10) == Approx(c.section).epsilon(0.01));
        CHECK(section_at(proof.surface, 0.5) == Approx(0).margin(1e-6));
    }
}

TEST_CASE("A ball on a slanted way leaves the envelope of its spheres") {
    // Source: plane geometry. A sphere of radius r whose centre goes along a slope of angle a sweeps a cylinder: straight below
    // the way its lowest height is r ⁄ cos a below the centre's line, so tip + r − r ⁄ cos a.
    Text text;
    text.add("G0 X3 Y5").add("G1 Z-0.5 F100").add("X13 Z-3 F400").end();
    const Proof proof = run(Bit::parse("ball:2.0"), text, make_stock(Outline::rectangle, 20, 10, 5, Anchor::lower_left), 0.02);
    const double slope = 0.25;
    for (double x : {5.01, 8.01, 11.01}) {
        const int i = static_cast<int>(x / 0.02), j = static_cast<int>(5.0 / 0.02);
        const Point c = proof.surface.centre(i, j);
        const double r = 1.0, tip = -0.5 - slope * (c.x - 3), p = c.y - 5;
        // Beside the way the same with √(r² − p²) for r.
        const double expected = tip + r - std::sqrt(r * r - p * p) * std::sqrt(1 + slope * slope);
        CHECK(static_cast<double>(proof.surface(i, j)) == Approx(expected).margin(1e-4));
    }
}

TEST_CASE("A plunge leaves the bit's own shape, an arc a ring") {
    // Source: plane geometry. Arcs go as chords within 0.0005 mm, which on the ball's flank is up to 0.0015 in height.
    const Bit bit = Bit::parse("ball:1.0");
    Text text;
    text.add("G0 X5 Y5").add("G1 Z-0.4 F100").add("G0 Z3").add("G0 X14 Y5").add("G1 Z-0.3 F100").add("G2 X14 Y5 I-2 J0 F400").end();
    const Proof proof = run(bit, text, make_stock(Outline::rectangle, 20, 10, 5, Anchor::lower_left), 0.02);
    for (int j = 0; j < proof.surface.height(); ++j)
        for (int i = 0; i < proof.surface.width(); ++i) {
            const Point c = proof.surface.centre(i, j);
            const double from_plunge = distance(c, Point{5, 5}), from_ring = std::fabs(distance(c, Point{12, 5}) - 2);
            double expected = 0;
            if (from_plunge <= 0.5) expected = std::min(expected, -0.4 + bit.rise(from_plunge));
            if (from_ring <= 0.5) expected = std::min(expected, -0.3 + bit.rise(from_ring));
            if (std::fabs(static_cast<double>(proof.surface(i, j)) - expected) > 0.0015) {
                INFO(c.x << " " << c.y);
                REQUIRE(static_cast<double>(proof.surface(i, j)) == Approx(expected).margin(0.0015));
            }
        }
    CHECK(proof.programs[0].removed_mm3 ==
          Approx(bit.section(0.3) * 2 * std::numbers::pi * 2 + std::numbers::pi * 0.16 * (0.5 - 0.4 / 3)).epsilon(0.01));
}

TEST_CASE("A flat bit has no dip: above the stock too its whole width counts") {
    // Source: proving::Dip, plane geometry: a flat bit's surface lies at its tip's height over its whole radius; a ball's comes
    // down to its axis as the height goes to 0.
    for (const double height : {-5.0, -0.1, 0.0, 0.1, 5.0}) CHECK(proving::Dip(Bit::parse("flat:1.5"))(height) == Approx(0.75));
    CHECK(proving::Dip(Bit::parse("ball:1.0"))(-1) < 0.05);
    CHECK(proving::Dip(Bit::parse("ball:1.0"))(0.5) == Approx(0.5));
}

TEST_CASE("What the bit has just cut need not be looked at again: chains of pieces leave the same surface and take the same from it") {
    // Source: plane geometry (sweep.cpp). Each chain is cut twice, once as a chain and once as pieces that know nothing of each other;
    // against both stands the lowest height over some cells, piece by piece.
    std::mt19937 random(23);
    const auto between = [&](double lo, double hi) { return lo + (hi - lo) * static_cast<double>(random()) / 4294967296.0; };
    for (const char* const name :
         {"ball:3.175", "ball:0.5", "flat:2.0", "vee:60:0.1:3.175", "vee:20:0.5:6", "taper:0.5:10:3.175", "bull:3.175:0.5"}) {
        const Bit bit = Bit::parse(name);
        const proving::Profile profile = proving::profile_of(bit, true);
        const proving::Dip dip(bit);
        Tray chained, apart;
        double volume = 0, other = 0;
        float most = 0, other_most = 0, taken = 0, other_taken = 0;
        std::vector<proving::Piece> pieces;
        Point3 at{5, 4, -0.5};
        double angle = 0.3;
        for (int k = 0; k < 400; ++k) {
            // Short and long, straight on and sharply round, level, gently and steeply down and up.
            const double step = k % 7 == 0 ? between(0.2, 2) : between(0.01, 0.1);
            angle += k % 5 == 0 ? between(-3, 3) : between(-0.2, 0.2);
            if (k % 11 == 0) angle = std::numbers::pi / 2 * std::round(angle / (std::numbers::pi / 2));  // along rows and columns
            const double slope = k % 3 == 0 ? 0 : k % 3 == 1 ? between(-0.4, 0.4) : between(-3, 3);
            const Point3 to{std::clamp(at.x + step * std::cos(angle), 0.5, 9.5), std::clamp(at.y + step * std::sin(angle), 0.5, 7.5),
                            std::clamp(at.z + step * slope, -2.5, -0.05)};
            pieces.push_back(proving::piece_between(at, to, dip));
            proving::Touched a, b;
            proving::sweep(profile, pieces.back(), proving::Use::cut, chained.band, a, k > 0);
            proving::sweep(profile, pieces.back(), proving::Use::cut, apart.band, b);
            volume += a.volume, other += b.volume;
            most = std::max(most, a.most), other_most = std::max(other_most, b.most);
            taken = std::max(taken, a.taken), other_taken = std::max(other_taken, b.taken);
            at = to;
        }
        INFO(name);
        const double slack = bit.shape() == BitShape::bull ? 1e-3 : 1e-5;
        double farthest = 0;
        for (std::size_t k = 0; k < chained.surface.size(); ++k)
            farthest = std::max(farthest, std::abs(static_cast<double>(chained.surface[k]) - static_cast<double>(apart.surface[k])));
        CHECK(farthest < slack);
        CHECK(volume == Approx(other).epsilon(1e-5));
        CHECK(most == Approx(other_most).margin(slack));
        CHECK(taken == Approx(other_taken).margin(slack));
        for (int n = 0; n < 300; ++n) {
            const int i = static_cast<int>(random() % Tray::width), j = static_cast<int>(random() % Tray::rows);
            float lowest = 0;
            for (const proving::Piece& piece : pieces)
                lowest = std::min(lowest, proving::lowest_over(profile, piece, {0.025 + 0.05 * i, 0.025 + 0.05 * j}));
            CHECK(chained.surface[static_cast<std::size_t>(j * Tray::pitch + i)] == Approx(lowest).margin(slack));
        }
    }
}
