#include <cmath>

#include "check.hpp"
#include "made_up.hpp"

using namespace burin;

namespace {

Picture read(const std::string& png) { return read_picture(std::as_bytes(std::span(png.data(), png.size())), "made here"); }

/// Value of a tEXt chunk (PNG, ISO/IEC 15948, 11.3.4.3), empty if there is none.
std::string text_chunk(const std::string& png, const std::string& key) {
    const auto number = [&](std::size_t at) {
        std::uint32_t n = 0;
        for (std::size_t k = 0; k < 4; ++k) n = n << 8 | static_cast<unsigned char>(png[at + k]);
        return n;
    };
    for (std::size_t at = 8; at + 12 <= png.size(); at += 12 + number(at)) {
        const std::string body = png.substr(at + 8, number(at));
        if (png.compare(at + 4, 4, "tEXt") == 0 && body.compare(0, key.size() + 1, key + '\0') == 0) return body.substr(key.size() + 1);
    }
    return "";
}

Stock plank(double width, double height) { return make_stock(Outline::rectangle, width, height, 12, Anchor::lower_left); }

/// Mean light, 0 … 1, of a rectangle of the preview given in mm of the stock.
double mean_light(const Picture& picture, const Stock& stock, const Box& box) {
    const double pixel = *picture.width_mm / picture.width;
    const Point middle = stock.bounds.centre();
    double sum = 0, count = 0;
    for (int j = 0; j < picture.height; ++j)
        for (int i = 0; i < picture.width; ++i) {
            const Point p{middle.x + (i + 0.5 - picture.width / 2.0) * pixel, middle.y - (j + 0.5 - picture.height / 2.0) * pixel};
            if (!box.holds(p)) continue;
            for (std::size_t c = 0; c < 3; ++c)
                sum +=
                    picture
                        .samples[(static_cast<std::size_t>(j) * static_cast<std::size_t>(picture.width) + static_cast<std::size_t>(i)) * 3 +
                                 c] /
                    65535.0;
            count += 3;
        }
    REQUIRE(count > 0);
    return sum / count;
}

}  // namespace

TEST_CASE("surface.png reads back to the same heights within a step") {
    HeightMap surface(61, 47, 0.1, {-3, 2}, 0.0f);
    for (int j = 0; j < 47; ++j)
        for (int i = 0; i < 61; ++i) surface(i, j) = static_cast<float>(-1.5 + 1.5 * std::sin(i * 0.3) * std::cos(j * 0.2));
    const std::string png = surface_png(surface);
    const Picture picture = read(png);
    REQUIRE(picture.width == 61);
    REQUIRE(picture.height == 47);
    CHECK(picture.source_bits == 16);
    const double lo = std::stod(text_chunk(png, "Height of 0 (mm)")), hi = std::stod(text_chunk(png, "Height of 65535 (mm)"));
    // Source: the contract of surface.png (a 16-bit map, its mm scale in the text chunks); half a step of rounding and the
    // six decimals of the text.
    const double step = (hi - lo) / 65535;
    double worst = 0;
    for (int j = 0; j < 47; ++j)
        for (int i = 0; i < 61; ++i) {
            const double read_height = lo + step * picture.samples[static_cast<std::size_t>(46 - j) * 61 + static_cast<std::size_t>(i)];
            worst = std::max(worst, std::abs(read_height - static_cast<double>(surface(i, j))));
        }
    CHECK(worst <= step / 2 + 1e-6);
    CHECK(std::stod(text_chunk(png, "Cell (mm)")) == Approx(0.1));
    CHECK(text_chunk(png, "Lower left corner (mm)") == "-3.000000 2.000000");
    REQUIRE(picture.width_mm);
    CHECK(*picture.width_mm == Approx(6.1).epsilon(0.001));  // pHYs holds whole pixels a metre
}

TEST_CASE("A level surface has a surface.png too") {
    const std::string png = surface_png(HeightMap(5, 4, 0.5, {0, 0}, -1.25f));
    // Source: the contract of surface.png.
    CHECK(std::stod(text_chunk(png, "Height of 0 (mm)")) == -1.25);
    const Picture picture = read(png);
    CHECK(std::all_of(picture.samples.begin(), picture.samples.end(), [](std::uint16_t s) { return s == 0; }));
}

TEST_CASE("Without a surface there is a sentence, no picture") {
    // Source: the contract of the two functions.
    CHECK_THROWS_AS(surface_png(HeightMap()), Error);
    CHECK_THROWS_AS(preview_png(HeightMap(), plank(10, 10), made_up::pine(), Crew{}), Error);
}

TEST_CASE("The preview is at least 1200 pixels wide and shows the whole stock") {
    const Crew crew{2, nullptr, {}};
    const Material pine = made_up::pine();
    // Source: the contract of preview.png in the project's design.
    for (const auto& [w, h] : {std::pair{4.0, 3.0}, {60.0, 45.0}, {250.0, 160.0}, {20.0, 200.0}}) {
        const Stock stock = plank(w, h);
        const double cell = w < 100 ? 0.1 : 0.25;
        const HeightMap surface(static_cast<int>(w / cell), static_cast<int>(h / cell), cell, {0, 0}, 0.0f);
        const Picture picture = read(preview_png(surface, stock, pine, crew));
        CHECK(picture.width >= 1200);
        REQUIRE(picture.width_mm);
        const double pixel = *picture.width_mm / picture.width;
        CHECK(picture.width * pixel > w);
        CHECK(picture.height * pixel > h);
        // The corners of the stock are wood, those of the picture are bench: lighter and greyer than pine.
        const double corner = mean_light(picture, stock, {{0.02 * w, 0.02 * h}, {0.08 * w, 0.08 * h}});
        CHECK(corner > 0.4);
        CHECK(corner < 0.9);
    }
}

TEST_CASE("The preview is lit from the upper left and casts shadows") {
    const Crew crew{1, nullptr, {}};
    Material plaster = made_up::pine();
    plaster.grain = Grain::none;
    plaster.gloss = 0;
    plaster.colour = plaster.cut_colour = {0.7, 0.7, 0.7};
    const Stock stock = plank(40, 40);
    // A pit 3 mm deep with level floor: light comes from the upper left, so its upper wall throws a shadow on the floor, its
    // lower wall none. Source: plane geometry, a wall of 3 mm under a lamp at 28° shades 3/tan 28° = 5.6 mm.
    HeightMap pit(400, 400, 0.1, {0, 0}, 0.0f);
    for (int j = 100; j < 300; ++j)
        for (int i = 100; i < 300; ++i) pit(i, j) = -3;
    const Picture picture = read(preview_png(pit, stock, plaster, crew));
    const double upper = mean_light(picture, stock, {{17, 27}, {24, 29}}), lower = mean_light(picture, stock, {{17, 11}, {24, 13}});
    const double open = mean_light(picture, stock, {{15, 4}, {25, 6}});
    CHECK(upper < 0.6 * open);
    CHECK(lower > 1.25 * upper);
    // A ramp that faces the light is brighter than one that turns away (cosine law, Lambert 1760).
    HeightMap ridge(400, 400, 0.1, {0, 0}, 0.0f);
    for (int j = 0; j < 400; ++j)
        for (int i = 0; i < 400; ++i) ridge(i, j) = static_cast<float>(-0.4 * std::abs(j * 0.1 - 20));
    const Picture roof = read(preview_png(ridge, stock, plaster, crew));
    CHECK(mean_light(roof, stock, {{10, 25}, {30, 35}}) > 1.15 * mean_light(roof, stock, {{10, 5}, {30, 15}}));
}

TEST_CASE("The preview has the material's colour, and a cut shows it fresh") {
    const Crew crew{2, nullptr, {}};
    const Stock stock = plank(60, 40);
    for (const Grain grain : {Grain::none, Grain::straight, Grain::rings, Grain::fibres, Grain::speckle, Grain::cells}) {
        Material m = made_up::pine();
        m.grain = grain;
        m.gloss = 0.1;
        m.colour = {0.25, 0.3, 0.35};
        m.cut_colour = {0.75, 0.8, 0.85};
        HeightMap half(600, 400, 0.1, {0, 0}, 0.0f);
        for (int j = 0; j < 400; ++j)
            for (int i = 300; i < 600; ++i) half(i, j) = -0.5f;
        const Picture picture = read(preview_png(half, stock, m, crew));
        const double top = mean_light(picture, stock, {{5, 5}, {25, 35}}), cut = mean_light(picture, stock, {{35, 5}, {55, 35}});
        INFO("grain " << static_cast<int>(grain));
        // Source: common practice, no source: a level surface is shown about as bright as its colour is given.
        CHECK(top == Approx(0.30).margin(0.10));
        CHECK(cut == Approx(0.80).margin(0.14));
    }
}

TEST_CASE("Round stock is shown round") {
    const Crew crew{2, nullptr, {}};
    Material plain = made_up::pine();
    plain.grain = Grain::none;
    plain.colour = plain.cut_colour = {0.1, 0.1, 0.1};
    const Stock disc = make_stock(Outline::round, 50, 50, 10, Anchor::centre);
    const HeightMap surface(500, 500, 0.1, {-25, -25}, 0.0f);
    const Picture picture = read(preview_png(surface, disc, plain, crew));
    // Source: plane geometry: the corner of the square lies 0.29 radii outside the disc.
    CHECK(mean_light(picture, disc, {{-24.5, 22}, {-22, 24.5}}) > 0.5);
    CHECK(mean_light(picture, disc, {{-16, 14}, {-14, 16}}) < 0.3);
}
