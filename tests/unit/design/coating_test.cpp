/// A coating burnt off a circuit board. Source of every number: plane geometry (distances, areas of rectangles and of their corners'
/// rounded offsets); what a spot asks of a gap follows from the same.
#include "burin/design/coating.hpp"

#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double spot = 0.2;
Loop box_of(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }
const Region field({box_of(0, 0, 30, 20)});

/// Two pads of 4 × 4 mm, `gap` apart.
Region pads(double gap) { return Region({box_of(8, 8, 12, 12), box_of(12 + gap, 8, 16 + gap, 12)}); }

CoatingWishes wishes(bool mask = false) {
    CoatingWishes w;
    w.spot = w.least = spot;
    w.mask = mask;
    return w;
}

std::string refusal_of(const Region& artwork, const CoatingWishes& asked) {
    try {
        (void)plan_coating(artwork, field, asked, {});
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::refused);
        return error.what();
    }
    return "";
}

}  // namespace

TEST_CASE("The coating goes all over the drawing but over its copper, or so far round that alone") {
    const CoatingDesign all = plan_coating(pads(3), field, wishes(), {});
    CHECK(all.burnt.area() == Approx(30 * 20 - 2 * 16));
    CHECK(all.board.copper.figures().size() == 2);
    CHECK(all.board.gaps.empty());
    CHECK(all.middles.empty());
    CHECK_FALSE(all.burnt.holds({10, 10}));
    CoatingWishes near = wishes();
    near.around = 1;
    // A square of 4 mm grown by 1: its four sides, and a disc's quarters at its corners.
    CHECK(plan_coating(pads(3), field, near, {}).burnt.area() == Approx(2 * (16 + std::numbers::pi)).margin(0.02));
}

TEST_CASE("Copper at the drawing's edge is parted from what lies beyond it") {
    const CoatingDesign design = plan_coating(Region({box_of(0, 5, 4, 9)}), field, wishes(), {});
    CHECK(design.burnt.holds({-spot, 7}));
    CHECK_FALSE(design.burnt.holds({2, 7}));
}

TEST_CASE("A mask opens the artwork and nothing else") {
    const CoatingDesign design = plan_coating(pads(0.05), field, wishes(true), {});  // a bridge may be narrower than the spot
    CHECK(design.burnt.area() == Approx(2 * 16));
    CHECK(design.board.gaps.empty());
}

TEST_CASE("A gap narrower than the spot is refused with its place, or burnt along its middle at both sides' cost") {
    const std::string told = refusal_of(pads(0.16), wishes());
    CHECK_THAT(told, ContainsSubstring("0.160 mm at X12.08 Y"));
    CHECK_THAT(told, ContainsSubstring("a spot of 0.180 mm or less gets in, or --squeeze 0.023"));
    CoatingWishes more = wishes();
    more.squeeze = 0.025;
    const CoatingDesign design = plan_coating(pads(0.16), field, more, {});
    REQUIRE(design.board.gaps.size() == 1);
    CHECK(design.board.gaps[0].squeezed);
    CHECK(design.board.gaps[0].width == Approx(0.16).margin(1e-3));
    REQUIRE(design.middles.size() == 1);
    for (const Point& p : design.middles[0].points) CHECK(p.x == Approx(12.08).margin(0.005));
    CHECK(design.board.slack == Approx(0.035));
    REQUIRE(design.warnings.size() == 2);
    CHECK_THAT(design.warnings[0], ContainsSubstring("loses up to 0.020 mm"));  // (0.2 − 0.16) / 2
    more.follows = false;                                                       // rows alone run along no middle
    CHECK_THAT(refusal_of(pads(0.16), more), ContainsSubstring("0.160 mm at X12.08"));
    CHECK(refusal_of(pads(0.22), wishes()).empty());
}

TEST_CASE("A slot within one piece may stay coated: it joins nothing") {
    const Region comb({{{5, 5}, {12, 5}, {12, 12}, {8.6, 12}, {8.6, 7}, {8.5, 7}, {8.5, 12}, {5, 12}}});
    const CoatingDesign design = plan_coating(comb, field, wishes(), {});
    REQUIRE(design.board.gaps.size() == 1);
    CHECK_FALSE(design.board.gaps[0].joins);
    CHECK(design.board.uncut.area() == Approx(0.1 * 5).epsilon(0.03));
    CHECK(design.middles.empty());
}

TEST_CASE("An opening narrower than the spot is refused with its place, or opened a little too wide") {
    const Region slit({box_of(5, 5, 5.17, 9), box_of(10, 5, 14, 9)});
    const std::string told = refusal_of(slit, wishes(true));
    CHECK_THAT(told, ContainsSubstring("A place of the openings is too narrow for the beam, which needs 0.200 mm"));
    CHECK_THAT(told, ContainsSubstring("0.170 mm at X5.08"));
    CoatingWishes more = wishes(true);
    more.squeeze = 0.02;
    const CoatingDesign design = plan_coating(slit, field, more, {});
    REQUIRE(design.middles.size() == 1);
    for (const Point& p : design.middles[0].points) {
        CHECK(p.x == Approx(5.085).margin(0.006));
        CHECK(p.y > 5 + spot / 2 - more.squeeze - 0.006);  // the spot's rim goes no farther over the end
        CHECK(p.y < 9 - spot / 2 + more.squeeze + 0.006);
    }
}

TEST_CASE("A drawing without copper is refused") { CHECK_THAT(refusal_of({}, wishes()), ContainsSubstring("holds no copper")); }

TEST_CASE("The middle of a gap between round pads keeps off both") {
    std::vector<Loop> discs(2);
    for (int k = 0; k < 120; ++k) {
        const double a = k * std::numbers::pi / 60;
        discs[0].push_back({8 + 1.5 * std::cos(a), 10 + 1.5 * std::sin(a)});
        discs[1].push_back({11.16 + 1.5 * std::cos(a), 10 + 1.5 * std::sin(a)});
    }
    CoatingWishes more = wishes();
    more.squeeze = 0.03;
    const CoatingDesign design = plan_coating(Region(discs), field, more, {});
    REQUIRE(design.middles.size() == 1);
    double low = 10, high = 10;
    for (const Point& p : design.middles[0].points) {
        CHECK(distance(p, {8, 10}) > 1.5 + 0.08 - 0.006);  // half the gap, as in its narrowest place
        CHECK(distance(p, {11.16, 10}) > 1.5 + 0.08 - 0.006);
        low = std::min(low, p.y), high = std::max(high, p.y);
    }
    // As far as the spot does not get in: its middle, 1.6 from both discs' middles, lies √(1.6² − 1.58²) from the line that joins them.
    CHECK(high - low > 0.2);
    CHECK(high - low < 2 * std::sqrt(1.6 * 1.6 - 1.58 * 1.58));
}
