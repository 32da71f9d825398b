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

FigureDesign drilled(const Region& holes) {
    FigureWishes wishes;
    wishes.kind = FigureKind::drill;
    wishes.depth = 2;
    wishes.breakthrough = 0.4;
    const PresetFolders presets{{BURIN_SOURCE "/presets"}};
    return design_figure(holes, Region({disc_of(10, 10, 10)}), wishes, find_bit(presets, "drill-0.8"), {});
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
