/// Tones and screens. Depths and shares are plane geometry on paper; light is IEC 61966-2-1.
#include "burin/design/screen.hpp"

#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/tones.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const Bit sharp = Bit::parse("vee:60:0:6");
const Bit usual = Bit::parse("vee:60:0.1:3.175");

/// 8-bit greys, rows from the top.
Picture picture_of(const std::vector<std::vector<int>>& rows) {
    Picture picture;
    picture.height = static_cast<int>(rows.size());
    picture.width = static_cast<int>(rows.front().size());
    for (const auto& row : rows)
        for (const int v : row) picture.samples.push_back(static_cast<std::uint16_t>(v * 257));
    return picture;
}

Grid<float> even(float share, double width = 30, double height = 20) {
    return {static_cast<int>(width * 10), static_cast<int>(height * 10), 0.1, {}, share};
}

/// Area of grooves that do not meet: width × way.
double area_of(const std::vector<Groove>& grooves, const Bit& bit) {
    double area = 0;
    for (const Groove& groove : grooves)
        for (std::size_t k = groove.closed ? 0 : 1; k < groove.tip.size(); ++k) {
            const Point3 &a = groove.tip[k == 0 ? groove.tip.size() - 1 : k - 1], &b = groove.tip[k];
            const double half = (bit.width_at(std::max(0.0, -a.z)) + bit.width_at(std::max(0.0, -b.z))) / 2;
            if (std::min(a.z, b.z) < 0) area += half * distance(flat(a), flat(b));
        }
    return area;
}

}  // namespace

TEST_CASE("darkness is what is missing of the light") {
    // Source: IEC 61966-2-1; the coded value 0.5 (here 128 of 255) is 0.21586 of the light.
    const Picture picture = picture_of({{0, 128, 255}, {0, 128, 255}});
    TonesWishes wishes;
    wishes.width = 3, wishes.height = 2, wishes.cell = 1, wishes.black = 0, wishes.white = 100;
    const Grid<float> darkness = make_tones(picture, wishes, {}).darkness;
    CHECK(darkness(0, 0) == Approx(1).margin(1e-4));
    CHECK(darkness(1, 1) == Approx(1 - 0.21586).margin(2e-4));
    CHECK(darkness(2, 0) == Approx(0).margin(1e-4));
    wishes.invert = true;
    CHECK(make_tones(picture, wishes, {}).darkness(1, 0) == Approx(0.21586).margin(2e-4));
    CHECK_THROWS_AS(make_tones(picture_of({{90, 90}, {90, 90}}), wishes, {}), Error);
}

TEST_CASE("transparent parts stay bare") {
    Picture picture = picture_of({{0, 0, 255, 0}});
    picture.alpha = {65535, 0, 65535, 65535};
    TonesWishes wishes;
    wishes.width = 4, wishes.height = 1, wishes.cell = 1;
    const Grid<float> darkness = make_tones(picture, wishes, {}).darkness;
    CHECK(darkness(0, 0) == 1);
    CHECK(darkness(1, 0) == 0);
    picture.alpha = {0, 0, 0, 0};
    CHECK_THROWS_AS(make_tones(picture, wishes, {}), Error);
}

TEST_CASE("a groove is as deep as its share of the pitch is wide") {
    // d = (a p − t) / (2 tan(θ/2)): pitch 1, 60°, sharp, half covered: 0.4330 (Murray–Davies 1936 and plane geometry).
    ScreenWishes wishes;
    wishes.pitch = 1, wishes.most_depth = 1;
    const Screen screen = make_screen(even(0.5F), wishes, sharp, {});
    REQUIRE(screen.grooves.size() == 20);  // 20 mm high
    for (const Groove& groove : screen.grooves) {
        CHECK(groove.tip.front().z == 0);  // comes in from above
        CHECK(groove.tip.back().z == 0);
        double deepest = 0;
        for (const Point3& p : groove.tip) deepest = std::min(deepest, p.z);
        CHECK(-deepest <= 0.6);  // deeper near the ends, for what is missing there
        const Point3& middle = groove.tip[groove.tip.size() / 2];
        CHECK(-middle.z == Approx(0.4330).margin(0.01));
    }
    CHECK(screen.least == Approx(sharp.width_at(0.05)).margin(1e-9));
    CHECK(screen.most == 1);
}

TEST_CASE("every pattern covers the share that is asked for") {
    for (const ScreenKind kind : {ScreenKind::lines, ScreenKind::waves, ScreenKind::rings, ScreenKind::spiral})
        for (const double angle : {0.0, 0.5}) {
            CAPTURE(static_cast<int>(kind), angle);
            ScreenWishes wishes;
            wishes.kind = kind, wishes.pitch = 0.8, wishes.angle = angle;
            CHECK(area_of(make_screen(even(0.4F), wishes, usual, {}).grooves, usual) == Approx(0.4 * 30 * 20).epsilon(0.015));
        }
    // Crossed lines overlap: 1 − (1 − a)² of each set covers what is asked for.
    ScreenWishes wishes;
    wishes.kind = ScreenKind::crossed, wishes.pitch = 0.8;
    CHECK(area_of(make_screen(even(0.4F), wishes, usual, {}).grooves, usual) == Approx(2 * (1 - std::sqrt(0.6)) * 30 * 20).epsilon(0.015));
}

TEST_CASE("where the picture is bare there is no groove, and the tip comes and goes gently") {
    Grid<float> half = even(0.6F);
    for (int j = 0; j < half.height(); ++j)
        for (int i = 0; i < half.width() / 2; ++i) half(i, j) = 0;
    const Screen screen = make_screen(half, {}, usual, {});
    for (const Groove& groove : screen.grooves)
        for (std::size_t k = 0; k < groove.tip.size(); ++k) {
            if (groove.tip[k].z < 0) CHECK(groove.tip[k].x > 14.3);  // half a pitch of mixed tone at the edge
            if (k == 0) continue;
            const double way = distance(flat(groove.tip[k - 1]), flat(groove.tip[k]));
            CHECK(std::abs(groove.tip[k].z - groove.tip[k - 1].z) <= way * 1.0001 + 1e-9);
        }
    CHECK_THROWS_AS(make_screen(even(0.01F), {}, usual, {}), Error);
}

TEST_CASE("what cannot be screened is told") {
    ScreenWishes wishes;
    CHECK_THROWS_AS(make_screen(even(0.5F), wishes, Bit::parse("flat:1.0"), {}), Error);
    wishes.pitch = 0.1;
    CHECK_THROWS_AS(make_screen(even(0.5F), wishes, usual, {}), Error);
    wishes.pitch = 1, wishes.least_depth = 2;
    CHECK_THROWS_AS(make_screen(even(0.5F), wishes, usual, {}), Error);
}

TEST_CASE("a screen does not depend on the number of threads") {
    Grid<float> wedge = even(0);
    for (int j = 0; j < wedge.height(); ++j)
        for (int i = 0; i < wedge.width(); ++i) wedge(i, j) = static_cast<float>(i) / static_cast<float>(wedge.width());
    Crew two;
    two.threads = 2;
    const auto a = make_screen(wedge, {}, usual, {}).grooves, b = make_screen(wedge, {}, usual, two).grooves;
    REQUIRE(a.size() == b.size());
    for (std::size_t k = 0; k < a.size(); ++k) CHECK(a[k].tip == b[k].tip);
}
