/// Grooves round copper. Sources: plane geometry (the width of a vee's groove, offsets, distances) for every number; what a board's gaps
/// ask of a bit follows from the same formula.
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/figure.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Loop box_of(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }
const Region field({box_of(0, 0, 30, 20)});

/// Two pads of 4 × 4 mm, `gap` apart.
Region pads(double gap) { return Region({box_of(8, 8, 12, 12), box_of(12 + gap, 8, 16 + gap, 12)}); }

FigureDesign isolated(const Region& copper, const BoardWishes& board = {}, const char* bit = "vee:30:0.1:3.175", double depth = 0.085) {
    FigureWishes wishes;
    wishes.kind = FigureKind::isolate;
    wishes.depth = depth;
    wishes.board = board;
    return design_figure(copper, field, wishes, Bit::parse(bit), {});
}

std::string refusal_of(const Region& copper, const BoardWishes& board = {}, double depth = 0.085) {
    try {
        (void)isolated(copper, board, "vee:30:0.1:3.175", depth);
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::refused);
        return error.what();
    }
    return "";
}

}  // namespace

TEST_CASE("A groove is as wide as the vee at its depth, and its rim is the copper's line") {
    // w = t + 2 d tan(θ/2)
    const double w = 0.1 + 2 * 0.085 * std::tan(15 * std::numbers::pi / 180);
    const FigureDesign design = isolated(pads(3));
    REQUIRE(design.board);
    CHECK(design.board->groove == Approx(w).epsilon(1e-9));
    CHECK(design.floor == -0.085);
    REQUIRE(design.grooves.size() == 2);
    for (const Groove& groove : design.grooves) {
        CHECK(groove.closed);
        for (const Point3& p : groove.tip) {
            CHECK(p.z == -0.085);
            double away = 1e9;  // from the nearer pad's edge, on its outside
            for (const double x : {8.0, 15.0})
                away = std::min(away, std::hypot(std::max({x - p.x, 0.0, p.x - x - 4}), std::max({8 - p.y, 0.0, p.y - 12})));
            CHECK(away >= w / 2);
            CHECK(away <= w / 2 + 0.01);
        }
    }
}

TEST_CASE("Passes lie beside each other by the groove's width less the overlap") {
    BoardWishes board;
    board.passes = 3;
    board.overlap = 0.4;
    const FigureDesign design = isolated(pads(5), board);
    CHECK(design.grooves.size() == 6);
    double right = 0;
    for (const Groove& groove : design.grooves)
        for (const Point3& p : groove.tip) right = std::max(right, p.x);
    const double w = design.board->groove;
    CHECK(right == Approx(21 + w / 2 + 2 * 0.6 * w).margin(0.01));
}

TEST_CASE("A gap that is too narrow is told with its place, its width and what opens it") {
    const std::string refused = refusal_of(pads(0.12));
    CHECK_THAT(refused, ContainsSubstring("0.120 mm at X12.06"));
    // d = (g − t) / 2 tan(θ/2) with what both sides may lose: (0.12 + 0.02 − 0.1) / (2 tan 15°) = 0.0746, less what paths need.
    CHECK_THAT(refused, ContainsSubstring("--depth 0.06"));
    CHECK_THAT(refused, ContainsSubstring("--bit vee:20:0.1:3.175"));  // 0.1 + 2 × 0.085 tan 10° = 0.130
    // Narrower than any such tip: no depth helps.
    const std::string narrower = refusal_of(pads(0.05));
    CHECK_THAT(narrower, !ContainsSubstring("--depth 0"));
    CHECK_THAT(narrower, ContainsSubstring("narrower than 0.07 mm"));
    // One that is as wide as the groove is none.
    CHECK(refusal_of(pads(0.16)).empty());
}

TEST_CASE("A gap a little too narrow is cut along its middle, at the cost of both sides") {
    const Region copper = pads(0.12);
    BoardWishes board;
    board.squeeze = 0.02;
    const FigureDesign design = isolated(copper, board);
    REQUIRE(design.board->gaps.size() == 1);
    CHECK(design.board->gaps[0].squeezed);
    CHECK(design.board->gaps[0].width == Approx(0.12).margin(1e-4));
    // Once round both, and once along the middle of the gap.
    REQUIRE(design.grooves.size() == 2);
    const Groove& middle = design.grooves[0].closed ? design.grooves[1] : design.grooves[0];
    CHECK_FALSE(middle.closed);
    double low = 1e9, high = 0;
    for (const Point3& p : middle.tip) {
        CHECK(p.x == Approx(12.06).margin(0.005));
        low = std::min(low, p.y), high = std::max(high, p.y);
    }
    CHECK(low < 8.1);
    CHECK(high > 11.9);
    CHECK(design.warnings.size() == 1);
}

TEST_CASE("A slit within one piece joins nothing and is no reason to refuse") {
    // A pad with a slit of 0.1 mm from its right edge.
    const Region copper({{{8, 8}, {12, 8}, {12, 9.95}, {9, 9.95}, {9, 10.05}, {12, 10.05}, {12, 12}, {8, 12}}});
    const FigureDesign design = isolated(copper);
    REQUIRE(design.board->gaps.size() == 1);
    CHECK_FALSE(design.board->gaps[0].joins);
    CHECK(design.board->gaps[0].width == Approx(0.1).margin(0.005));
    CHECK(design.board->uncut.area() == Approx(0.3).margin(0.03));
}

TEST_CASE("Cleared copper leaves nothing but the pieces") {
    BoardWishes board;
    board.clear = true;
    board.overlap = 0.5;
    const FigureDesign design = isolated(pads(2), board, "flat:0.8");
    // Every place of the field that is no copper lies within half a bit of some way of the tip.
    const Region copper = pads(2);
    for (double x = 0.05; x < 30; x += 0.29)
        for (double y = 0.05; y < 20; y += 0.31) {
            double near = 1e9, edge = 1e9;
            for (const Groove& groove : design.grooves)
                for (std::size_t k = 0; k < groove.tip.size(); ++k) {
                    const Point3 &a = groove.tip[k], &b = groove.tip[(k + 1) % groove.tip.size()];
                    const double dx = b.x - a.x, dy = b.y - a.y, l2 = dx * dx + dy * dy;
                    const double t = l2 > 0 ? std::clamp(((x - a.x) * dx + (y - a.y) * dy) / l2, 0.0, 1.0) : 0;
                    near = std::min(near, std::hypot(a.x + t * dx - x, a.y + t * dy - y));
                }
            for (const double left : {8.0, 14.0})
                edge = std::min(edge, std::hypot(std::max({left - x, 0.0, x - left - 4}), std::max({8 - y, 0.0, y - 12})));
            INFO(x << ' ' << y);
            if (edge > 0.02) CHECK(near <= 0.4 + 1e-6);
        }
}
