/// Holes, and what they join. Sources: plane geometry; nets counted on paper from the lamp's circuit: supply, ground, two collectors, two
/// bases, and the line between a resistor and the light.
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/design/figure.hpp"
#include "burin/design/nets.hpp"
#include "burin/design/svg.hpp"
#include "burin/workshop/presets.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Loop disc_of(double x, double y, double r) {
    Loop loop;
    constexpr int corners = 90;
    for (int k = 0; k < corners; ++k) {
        const double a = 2 * std::numbers::pi * k / corners;
        loop.push_back({x + r * std::cos(a), y + r * std::sin(a)});
    }
    return loop;
}

FigureDesign drilled(const Region& holes, const std::string& bit = "drill-0.8") {
    FigureWishes wishes;
    wishes.kind = FigureKind::drill;
    wishes.depth = 2;
    wishes.breakthrough = 0.4;
    const PresetFolders presets{{BURIN_SOURCE "/presets"}};
    return design_figure(holes, Region({disc_of(10, 10, 10)}), wishes, find_bit(presets, bit), {});
}

Region layer(const std::string& name) {
    const std::string file = std::string(BURIN_SOURCE "/images/board/") + name;
    return read_svg(read_text(file, "drawing"), name, {}, {}).region;
}

}  // namespace

TEST_CASE("Holes of the drill's size are drilled in their middles, others are told") {
    const FigureDesign design = drilled(Region({disc_of(5, 5, 0.4), disc_of(8, 5, 0.44), disc_of(11, 5, 0.6)}));
    REQUIRE(design.grooves.size() == 2);
    for (std::size_t k = 0; k < 2; ++k) {
        REQUIRE(design.grooves[k].tip.size() == 1);
        CHECK(design.grooves[k].tip[0].x == Approx(5 + 3 * static_cast<double>(k)).margin(1e-4));
        CHECK(design.grooves[k].tip[0].y == Approx(5).margin(1e-4));
        CHECK(design.grooves[k].tip[0].z == -2);
    }
    CHECK(design.breakthrough == 0.4);
    REQUIRE(design.warnings.size() == 1);
    CHECK_THAT(design.warnings[0], ContainsSubstring("1 of 1.20 mm"));
}

TEST_CASE("What is not round, or of no such size, is not drilled") {
    const auto refusal = [](const Region& holes) {
        try {
            (void)drilled(holes);
        } catch (const Error& error) {
            CHECK(error.fault() == Fault::refused);
            return std::string(error.what());
        }
        return std::string();
    };
    CHECK_THAT(refusal(Region({{{4, 4}, {6, 4}, {6, 4.8}, {4, 4.8}}})), ContainsSubstring("X5.00 Y4.40 is not round"));
    CHECK_THAT(refusal(Region({disc_of(5, 5, 1.5)})), ContainsSubstring("1 of 3.00 mm"));
}

TEST_CASE("A flat bit mills wider holes and slots: it covers each and nothing else") {
    Loop slot;
    for (int k = 0; k <= 90; ++k) {
        const double a = std::numbers::pi * (k / 90.0 - 0.5);
        slot.push_back({14 + 0.75 * std::cos(a), 5 + 0.75 * std::sin(a)});
    }
    for (int k = 0; k <= 90; ++k) {
        const double a = std::numbers::pi * (k / 90.0 + 0.5);
        slot.push_back({12 + 0.75 * std::cos(a), 5 + 0.75 * std::sin(a)});
    }
    const Region holes({disc_of(5, 5, 0.5), disc_of(8, 5, 1.6), slot});
    const FigureDesign design = drilled(holes, "flat-1");
    CHECK(design.warnings.empty());
    // What a disc of 1 mm covers that follows every groove: the union of offsets of its segments.
    Region covered;
    for (const Groove& groove : design.grooves) {
        CHECK(groove.tip.front().z == -2);
        const std::size_t n = groove.tip.size(), legs = groove.closed ? n : std::max<std::size_t>(n, 2) - 1;
        for (std::size_t k = 0; k < legs; ++k) {
            const Point3 &a = groove.tip[k], &b = groove.tip[(k + 1) % n];
            Loop capsule;
            const double along = std::atan2(b.y - a.y, b.x - a.x);
            for (int j = 0; j <= 60; ++j) {
                const double t = along + std::numbers::pi * (j / 60.0 - 0.5);
                capsule.push_back({b.x + 0.5 * std::cos(t), b.y + 0.5 * std::sin(t)});
            }
            for (int j = 0; j <= 60; ++j) {
                const double t = along + std::numbers::pi * (j / 60.0 + 0.5);
                capsule.push_back({a.x + 0.5 * std::cos(t), a.y + 0.5 * std::sin(t)});
            }
            covered = united(covered, Region({capsule}));
        }
    }
    CHECK(without(holes, offset_by(covered, 0.006)).empty());
    CHECK(without(covered, offset_by(holes, 0.006)).empty());
    // A drill leaves the slot and the wide hole to others.
    const FigureDesign plain = drilled(Region({disc_of(5, 5, 0.4), disc_of(8, 5, 1.6), slot}));
    CHECK(plain.grooves.size() == 1);
    CHECK_THAT(plain.warnings.at(0), ContainsSubstring("1 of 3.20 mm, 1 slots of 1.50 mm"));
}

TEST_CASE("The lamp's board has the nets of its circuit") {
    const Region top = layer("lamp-top.svg"), bottom = layer("lamp-bottom.svg"), drawn = layer("lamp-holes.svg");
    std::vector<Point> holes;
    for (const Figure& figure : drawn.figures()) {
        double x = 0, y = 0;
        for (const Point& p : figure.outer) x += p.x, y += p.y;
        holes.push_back({x / static_cast<double>(figure.outer.size()), y / static_cast<double>(figure.outer.size())});
    }
    const NetList nets = net_list(top, bottom, holes);
    CHECK(nets.top == 13);
    CHECK(nets.bottom == 16);
    CHECK(nets.holes == 22);
    CHECK(nets.joining == 22);
    CHECK(nets.nets == 7);
    CHECK(nets.missing.empty());
    // Without holes nothing is joined; beside all copper a hole is missing.
    CHECK(net_list(top, bottom, {}).nets == 29);
    CHECK(net_list(top, bottom, {{39, 29}}).missing.size() == 1);
}
