/// From traced figures to what is to be cut. Sources: plane geometry where a number has no other; common practice, no source, for
/// what tabs and bits can do.
#include "burin/design/figure.hpp"

#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/tabs.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Loop box_of(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }
Loop disc_of(double x, double y, double r, int corners = 360) {
    Loop loop;
    for (int k = 0; k < corners; ++k) {
        const double a = 2 * std::numbers::pi * k / corners;
        loop.push_back({x + r * std::cos(a), y + r * std::sin(a)});
    }
    return loop;
}

const Region field({box_of(0, 0, 50, 40)});
/// A plate of 30 × 20 mm with a window of 10 × 8 mm.
const Region plate({box_of(10, 10, 40, 30), box_of(20, 15, 30, 23)});

FigureWishes wishes_for(FigureKind kind, double depth = 1) {
    FigureWishes wishes;
    wishes.kind = kind;
    wishes.depth = depth;
    return wishes;
}

FigureDesign designed(const FigureWishes& wishes, const char* bit = "flat:2.0") {
    return design_figure(plate, field, wishes, Bit::parse(bit), {});
}

std::string refusal_of(const auto& deed) {
    try {
        deed();
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::refused);
        return error.what();
    }
    return "";
}

}  // namespace

TEST_CASE("pockets lower the figure or the ground within the picture") {
    const FigureDesign figure = designed(wishes_for(FigureKind::pocket, 1.5));
    CHECK(figure.may.area() == Approx(30 * 20 - 10 * 8));
    CHECK(figure.floor == -1.5);
    CHECK(figure.band == 0);
    CHECK(figure.half_angle == 0);
    FigureWishes ground = wishes_for(FigureKind::pocket);
    ground.ground = true;
    CHECK(designed(ground).may.area() == Approx(50 * 40 - (30 * 20 - 10 * 8)));
    CHECK_FALSE(refusal_of([&] { (void)design_figure(field, field, ground, Bit::parse("flat:2.0"), {}); }).empty());
}

TEST_CASE("outlines follow every line on the side that was asked for") {
    const FigureDesign on = designed(wishes_for(FigureKind::outline, 0.8));
    REQUIRE(on.grooves.size() == 2);
    CHECK(on.grooves[0].closed);
    for (const Groove& groove : on.grooves)
        for (const Point3& p : groove.tip) CHECK(p.z == -0.8);
    CHECK(on.may.empty());
    FigureWishes wishes = wishes_for(FigureKind::outline);
    wishes.allowance = 0.25;
    wishes.side = LineSide::inside;
    CHECK(designed(wishes).may == plate);
    CHECK(designed(wishes).band == Approx(2.25));
    wishes.side = LineSide::outside;
    const FigureDesign outside = designed(wishes);
    CHECK(outside.may.holds({25, 19}));  // the window is ground too
    CHECK_FALSE(outside.may.holds({15, 20}));
    // The slot has room all round, with the world's edge well beyond it.
    for (const Point p : {Point{10 - 2 * 2.25, 20}, Point{40 + 2 * 2.25, 20}, Point{25, 10 - 2 * 2.25}, Point{25, 30 + 2 * 2.25}})
        CHECK(outside.may.holds(p));
}

TEST_CASE("incised figures go as deep as the bit's cone, the limit, or the stock let them") {
    // Cone of 60°, tip 0.1, diameter 3.175: (3.175 − 0.1)/2 / tan 30° = 2.6630.
    CHECK(designed(wishes_for(FigureKind::incise, 0), "vee:60:0.1:3.175").floor == Approx(-2.6630).margin(1e-4));
    CHECK(designed(wishes_for(FigureKind::incise, 1), "vee:60:0.1:3.175").floor == -1);
    CHECK(designed(wishes_for(FigureKind::incise, 9), "vee:60:0.1:3.175").floor == Approx(-2.6630).margin(1e-4));
    CHECK(designed(wishes_for(FigureKind::incise, 1), "vee:90:0:6").half_angle == Approx(std::numbers::pi / 4));
    FigureWishes thin = wishes_for(FigureKind::incise, 0);
    thin.thickness = 2;
    CHECK(designed(thin, "vee:60:0.1:3.175").floor == -1);  // 1 mm stays under it
    CHECK(designed(wishes_for(FigureKind::incise, 1), "vee:60:0.1:3.175").may == plate);
    CHECK_THAT(refusal_of([] { (void)designed(wishes_for(FigureKind::incise), "ball:1.0"); }), ContainsSubstring("no vee bit"));
}

TEST_CASE("strokes are as deep as they are wide for the bit, where that is asked for") {
    // A bar 1.2 mm wide. Vee of 90° without a tip: 0.6 mm deep. Ball of 2 mm: h of width 2 √(2 r h − h²) = 1.2 is 1 − 0.8 = 0.2.
    const Region bar({box_of(10, 10, 30, 11.2)});
    FigureWishes wishes = wishes_for(FigureKind::stroke, 2);
    wishes.follow_width = true;
    const auto depth = [&](const char* bit) {
        const FigureDesign design = design_figure(bar, field, wishes, Bit::parse(bit), {});
        REQUIRE(design.grooves.size() == 1);
        const auto& tip = design.grooves[0].tip;
        return -tip[tip.size() / 2].z;
    };
    CHECK(depth("vee:90:0:6") == Approx(0.6).margin(0.01));
    CHECK(depth("ball:2.0") == Approx(0.2).margin(0.01));
    wishes.depth = 0.4;
    CHECK(depth("vee:90:0:6") == Approx(0.4));
    wishes.follow_width = false;
    CHECK(depth("ball:2.0") == 0.4);
    wishes.follow_width = true;
    CHECK_FALSE(design_figure(bar, field, wishes, Bit::parse("flat:1.0"), {}).warnings.empty());
}

TEST_CASE("cut-outs go through the stock beside the line, held by tabs where it runs straight") {
    FigureWishes wishes = wishes_for(FigureKind::cutout);
    wishes.thickness = 5;
    wishes.breakthrough = 0.3;
    wishes.allowance = 0.3;
    const FigureDesign design = designed(wishes);
    CHECK(design.floor == Approx(-5.3));
    CHECK(design.breakthrough == 0.3);
    CHECK(design.band == Approx(2.3));
    const std::vector<Tab> tabs = place_tabs(design, 5, {4, 4, 1});
    // The plate's line is 100 mm long, its window's 36: 36 / (2 × 6.3) gives room for two.
    REQUIRE(tabs.size() == 6);
    for (const Tab& tab : tabs) {
        CHECK(tab.top == -4);
        // On a straight side: 4 mm along it, the slot and 0.3 mm of the piece across; at least half a tab and the slot from corners.
        CHECK(tab.place.area() == Approx(4 * 2.6).epsilon(1e-3));
        const Box box = tab.place.bounds();
        CHECK(box.width() * box.height() == Approx(4 * 2.6).epsilon(1e-3));
        // Its outer end lies 2.3 mm off the piece, its middle on ground.
        CHECK(common(tab.place, plate).area() == Approx(4 * 0.3).epsilon(0.01));
        for (const Loop& loop : plate.loops())
            for (const Point& corner : loop) CHECK(distance(corner, box.centre()) > 3);
    }
    for (std::size_t k = 0; k < tabs.size(); ++k)
        for (std::size_t n = 0; n < k; ++n) CHECK(distance(tabs[k].place.bounds().centre(), tabs[n].place.bounds().centre()) > 6.3 * 0.9);
    CHECK(place_tabs(design, 5, {0, 4, 1}).empty());
    CHECK_THAT(refusal_of([&] { (void)place_tabs(design, 5, {4, 4, 5}); }), ContainsSubstring("--tab-height"));
    // Too small for a tab and its slot: a disc of 1 mm; room for one: a disc of 4 mm (line 12.6 mm).
    const auto on_disc = [&](double r) {
        return place_tabs(design_figure(Region({disc_of(20, 20, r)}), field, wishes, Bit::parse("flat:2.0"), {}), 5, {4, 4, 1}).size();
    };
    CHECK(on_disc(0.5) == 0);
    CHECK(on_disc(2) == 1);
    CHECK(on_disc(10) == 4);
    // A hole of 6.8 mm leaves a crumb of 2.2 mm beside slots of 2.3 mm, which needs no holding; one of 7.2 mm a plug of 2.6 mm.
    const auto in_hole = [&](double r) {
        Loop hole = disc_of(20, 20, r);
        std::reverse(hole.begin(), hole.end());
        const Region ring({disc_of(20, 20, 10), hole});
        return place_tabs(design_figure(ring, field, wishes, Bit::parse("flat:2.0"), {}), 5, {4, 4, 1}).size() - 4;
    };
    CHECK(in_hole(3.4) == 0);
    CHECK(in_hole(3.6) == 1);
}

TEST_CASE("nothing drawn, nothing designed") {
    for (const FigureKind kind : {FigureKind::incise, FigureKind::outline, FigureKind::pocket, FigureKind::stroke, FigureKind::cutout})
        CHECK_FALSE(refusal_of([&] { (void)design_figure({}, field, wishes_for(kind), Bit::parse("vee:60:0.1:3.175"), {}); }).empty());
}
