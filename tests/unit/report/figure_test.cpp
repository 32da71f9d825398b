#include <cmath>
#include <nlohmann/json.hpp>
#include <numbers>

#include "check.hpp"
#include "made_up.hpp"
#include "tags.hpp"

using namespace burin;

namespace {

Loop rectangle(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

/// A plate of 40 × 20 mm with a bar of 0.8 mm beside it and a speck, cut by a flat bit of 2 mm.
FigureReport plate() {
    FigureReport figure;
    figure.drawn = Region({rectangle(5, 5, 45, 25), rectangle(10, 10, 20, 20), rectangle(50, 5, 50.8, 25)});
    figure.dropped = Region({rectangle(30, 30, 30.2, 30.2)});
    figure.picture_box = {{0, 0}, {60, 40}};
    figure.design.traced = figure.design.may = moved(figure.drawn, 0, false, {20, 20});
    figure.design.floor = -1.5;
    figure.unreached = without(figure.design.may, opened_by(figure.design.may, 1));
    return figure;
}

void make_drawing(made_up::Job& job) {
    made_up::fill(job, 0.5);
    JobReport& r = job.report;
    r.command = "pocket";
    r.unreached.reset();
    r.figure = plate();
    r.programs[0].bit = Bit::parse("flat:3.175");
    r.programs[1].bit = Bit::parse("flat:2.0");
    r.design_box = {{20, 20}, {80, 60}};
    r.proof.over_line_mm = 0.004;
    r.proof.short_of_line_mm = 0.011;
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("What a bit's width loses of a figure is told apart: places too narrow, and corners") {
    // Source: plane geometry; opening (Serra 1982). The plate keeps its four corners rounded; the square hole's corners, which point
    // inwards, lose nothing.
    const FigureLosses losses = losses_of(plate(), {Bit::parse("flat:3.175"), Bit::parse("flat:2.0")}, {});
    CHECK(losses.entering == Approx(2.0));
    REQUIRE(losses.thin.size() == 1);
    CHECK(losses.thin[0].whole);
    CHECK(losses.thin[0].width == Approx(0.8).margin(0.002));
    CHECK(losses.thin[0].area == Approx(16).margin(0.001));
    CHECK(losses.thin[0].at.x == Approx(70.4).margin(0.01));
    CHECK(losses.corners == 4);
    CHECK(losses.area == Approx(16 + 4 - std::numbers::pi).margin(0.02));
    CHECK(losses.share == Approx(losses.area / (800 - 100 + 16)));
    CHECK(losses.narrowest() == losses.thin[0].width);

    FigureReport all = plate();
    all.unreached = {};
    const FigureLosses none = losses_of(all, {Bit::parse("flat:0.5")}, {});
    CHECK(none.thin.empty());
    CHECK(none.corners == 0);
    CHECK(none.area == 0);
}

TEST_CASE("A neck in a figure is a place too narrow") {
    FigureReport figure;
    // Two squares of 10 mm joined by a neck 1 mm wide and 10 mm long.
    figure.design.may =
        united(united(Region({rectangle(0, 0, 10, 10)}), Region({rectangle(20, 0, 30, 10)})), Region({rectangle(9, 4.5, 21, 5.5)}));
    figure.design.floor = -1;
    figure.unreached = without(figure.design.may, opened_by(figure.design.may, 1));
    const FigureLosses losses = losses_of(figure, {Bit::parse("flat:2.0")}, {});
    REQUIRE(losses.thin.size() == 1);
    CHECK_FALSE(losses.thin[0].whole);
    CHECK(losses.thin[0].width == Approx(1.0).margin(0.05));  // a little wider where it meets the squares
    CHECK(losses.corners == 8);
}

TEST_CASE("A vee needs its tip's width only, and stock that is not flat costs it width") {
    FigureReport figure = plate();
    figure.design.half_angle = std::numbers::pi / 6;
    CHECK(losses_of(figure, {Bit::parse("flat:3.175"), Bit::parse("vee:60:0.1:3.175")}, {}).entering == Approx(0.1));
    // Source: plane geometry, 0.115 mm at 60 degrees and 0.054 at 30.
    CHECK(width_lost(Bit::parse("vee:60:0.1:3.175"), 0.1).value() == Approx(0.1155).margin(0.0001));
    CHECK(width_lost(Bit::parse("vee:30:0.1:3.175"), 0.1).value() == Approx(0.0536).margin(0.0001));
    CHECK_FALSE(width_lost(Bit::parse("flat:2.0"), 0.1).has_value());
}

TEST_CASE("A groove's contrast is that of a cavity with grey walls") {
    Material grey = made_up::pine();
    // sRGB 0.7354 is half the light (IEC 61966-2-1).
    grey.colour = grey.cut_colour = {0.735357, 0.735357, 0.735357};
    FigureDesign vee;
    vee.half_angle = std::numbers::pi / 6;
    vee.floor = -3;
    const auto contrast = groove_contrast(vee, Bit::parse("vee:60:0.1:3.175"), grey);
    REQUIRE(contrast);
    // F = sin 30° = ½; 0.5 · ½ ⁄ (1 − 0.5 · ½) = 1⁄3. Source: crossed strings (Hottel), cavity (Gouffé), from memory.
    CHECK(contrast->top == Approx(0.5).margin(0.0001));
    CHECK(contrast->groove == Approx(1.0 / 3).margin(0.0001));
    CHECK(contrast->darker() == Approx(1.0 / 3).margin(0.0005));
    CHECK(contrast->top_lightness == Approx(76.07).margin(0.01));  // 116 · 0.5^(1/3) − 16
    // A flat bit's slot as deep as it is wide: F = 1 ⁄ 3.
    FigureDesign slot;
    slot.grooves = {{{{0, 0, -2}, {10, 0, -2}}, false}};
    slot.floor = -2;
    const auto square = groove_contrast(slot, Bit::parse("flat:2.0"), grey);
    REQUIRE(square);
    CHECK(square->groove == Approx(0.5 / 3 / (1 - 0.5 * 2 / 3)).margin(0.0005));
    // Half round by a ball as deep as its radius: F = 2 ⁄ π.
    slot.floor = -1;
    for (Point3& p : slot.grooves[0].tip) p.z = -1;
    const auto half_round = groove_contrast(slot, Bit::parse("ball:2.0"), grey);
    REQUIRE(half_round);
    const double open = 2 / std::numbers::pi;
    CHECK(half_round->groove == Approx(0.5 * open / (1 - 0.5 * (1 - open))).margin(0.0005));
    CHECK_FALSE(groove_contrast(plate().design, Bit::parse("flat:2.0"), grey).has_value());
}

TEST_CASE("The page of a drawing shows its lines and what is lost") {
    made_up::Job job;
    make_drawing(job);
    const JobReport& r = job.report;
    const std::string preview = preview_png(r.proof.surface, r.stock, r.material, Crew{2, nullptr, {}});
    const std::string page = report_html(r, preview, {});
    CHECK(made_up::fault_in_tags(page).empty());
    CHECK(holds(page, "The figure, and what is lost of it"));
    CHECK(holds(page, "The traced lines over the picture"));
    CHECK(holds(page, "lighthouse-depth.png"));
    CHECK(holds(page, "Traced: 2 figures with 1 hole, 716 mm²."));
    CHECK(holds(page, "1 place is too narrow"));
    CHECK(holds(page, "needs 2 mm (1 of them whole figures); the narrowest is 0.8 mm wide"));
    CHECK(holds(page, "a bit that enters 0.8 mm, or the same drawing 2.55 times as large (--width 153)"));
    CHECK(holds(page, "4 corners stay rounded, with a radius of 1 mm."));
    CHECK_FALSE(holds(page, "What the bit cannot reach"));
    CHECK(page.size() < 1000000);
}

TEST_CASE("The page of grooves speaks of contrast, or of their filling") {
    made_up::Job job;
    make_drawing(job);
    JobReport& r = job.report;
    FigureReport& figure = *r.figure;
    figure.unreached = {};
    figure.design.may = {};
    figure.design.grooves = {{{{10, 10, -0.5}, {60, 40, -0.5}}, false}};
    figure.design.floor = -0.5;
    r.programs[1].bit = Bit::parse("vee:60:0.1:3.175");
    const std::string preview = preview_png(r.proof.surface, r.stock, r.material, Crew{2, nullptr, {}});
    const std::string bare = report_html(r, preview, {});
    CHECK(made_up::fault_in_tags(bare).empty());
    CHECK(holds(bare, "A bare groove here sends back"));
    CHECK(holds(bare, "0.115 mm narrower or wider"));
    CHECK(holds(bare, "Lines are followed once"));
    figure.fill = {0.1, 0.2, 0.5};
    CHECK(holds(report_html(r, preview, {}), "shows the grooves filled or painted"));
}

TEST_CASE("The page of a cut-out tells what to do with its tabs") {
    made_up::Job job;
    make_drawing(job);
    FigureReport& figure = *job.report.figure;
    figure.design.floor = -12.2;
    figure.design.band = 2;
    figure.design.tabs = {{Region({rectangle(30, 18, 34, 20)}), -10.5}, {Region({rectangle(30, 50, 34, 52)}), -10.5}};
    const std::string preview = preview_png(job.report.proof.surface, job.report.stock, job.report.material, Crew{2, nullptr, {}});
    const std::string page = report_html(job.report, preview, {});
    CHECK(made_up::fault_in_tags(page).empty());
    CHECK(holds(page, "stays on 2 tabs (green), 1.5 mm high"));
    CHECK_FALSE(holds(page, "--fill"));
    // What the board below and the piece need is said where the stock is held down.
    CHECK_FALSE(holds(page, "into the board below"));
    CHECK_FALSE(holds(page, "tape down the piece"));
    figure.design.breakthrough = 0.2;
    figure.design.tabs.clear();
    const std::string loose = report_html(job.report, preview, {});
    CHECK(holds(loose, "The bit goes 0.2 mm into the board below"));
    CHECK(holds(loose, "tape down the piece too"));
}

TEST_CASE("report.json says of figures what it says of no relief") {
    made_up::Job job;
    make_drawing(job);
    const auto j = nlohmann::json::parse(report_json(job.report));
    CHECK(j["proof"]["over_line_mm"] == 0.004);
    CHECK(j["proof"]["short_of_line_mm"] == 0.011);
    CHECK(j["proof"]["deepest_gouge_mm"].is_number());
    CHECK(j["proof"]["left_standing_mm"].is_number());
    CHECK(j["figure"]["figures"] == 2);
    CHECK(j["figure"]["too_narrow"].size() == 1);
    CHECK(j["figure"]["rounded_corners"] == 4);
    CHECK(j["figure"]["width_lost_mm"].is_null());
    CHECK(j["figure"]["groove_darker"].is_null());
    made_up::Job relief;
    made_up::fill(relief, 0.5);
    const auto k = nlohmann::json::parse(report_json(relief.report));
    CHECK(k["figure"].is_null());
    CHECK(k["proof"]["over_line_mm"].is_null());
    CHECK(k["proof"]["short_of_line_mm"].is_null());
}

TEST_CASE("Where the stock is cut right through, the board below is seen") {
    // Two slots 10 mm wide in stock 6 mm thick, to its underside and 0.1 mm above it. From memory: the board is grey, pine is not.
    HeightMap surface(400, 300, 0.1, {0, 0}, 0.0F);
    for (int j = 50; j < 250; ++j)
        for (int i = 50; i < 150; ++i) surface(i, j) = -6.0F, surface(i + 200, j) = -5.9F;
    const Stock stock = make_stock(Outline::rectangle, 40, 30, 6, Anchor::lower_left);
    const std::string png = preview_png(surface, stock, made_up::pine(), {});
    const Picture picture = read_picture(std::as_bytes(std::span(png.data(), png.size())), "preview.png");
    const auto redder = [&](double share_x) {
        const auto width = static_cast<std::size_t>(picture.width), channels = static_cast<std::size_t>(picture.channels);
        const std::size_t column = static_cast<std::size_t>(share_x * picture.width), row = static_cast<std::size_t>(picture.height) / 2;
        const auto* pixel = picture.samples.data() + (row * width + column) * channels;
        return static_cast<double>(pixel[0]) / std::max(1.0, static_cast<double>(pixel[2]));
    };
    CHECK(redder(0.3) < 1.15);
    CHECK(redder(0.7) > 1.3);
}

TEST_CASE("Grooves are shown in the colour that they will be filled with") {
    // A level board with a wide groove 0.5 mm deep; common practice, no source: blue stays bluer than wood.
    HeightMap surface(400, 300, 0.1, {0, 0}, 0.0F);
    for (int j = 100; j < 200; ++j)
        for (int i = 50; i < 350; ++i) surface(i, j) = -0.5F;
    const Stock stock = make_stock(Outline::rectangle, 40, 30, 10, Anchor::lower_left);
    const auto read = [](const std::string& png) {
        const auto bytes = std::as_bytes(std::span(png.data(), png.size()));
        return read_picture(bytes, "preview.png");
    };
    const Picture bare = read(preview_png(surface, stock, made_up::pine(), {}));
    const Picture blue = read(preview_png(surface, stock, made_up::pine(), {}, std::array<double, 3>{0.05, 0.1, 0.6}));
    REQUIRE(bare.samples.size() == blue.samples.size());
    const std::size_t channels = static_cast<std::size_t>(bare.channels);
    const auto at = [&](const Picture& p, double share_y, std::size_t c) {
        const auto row = static_cast<std::size_t>(share_y * p.height), column = static_cast<std::size_t>(p.width) / 2;
        return static_cast<int>(p.samples[(row * static_cast<std::size_t>(p.width) + column) * channels + c]);
    };
    CHECK(at(blue, 0.5, 2) > at(blue, 0.5, 0));
    CHECK(at(bare, 0.5, 2) < at(bare, 0.5, 0));
    for (std::size_t c = 0; c < 3; ++c) CHECK(at(blue, 0.15, c) == at(bare, 0.15, c));  // the top is as it was
}
