// Photos of pieces that nobody took, painted here with known outlines: they must come back within half a millimetre (issue of this work:
// "synthetic photos of known outlines come back within 0.5 mm").
#include "burin/design/slice.hpp"

#include <cmath>
#include <functional>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <random>

#include "burin/base/error.hpp"
#include "burin/shape/edge_distance.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;
using Colour = std::array<double, 3>;  // linear light

struct Scene {
    double bark = 4, shrink = 1;  ///< width of the bark; size of the piece
    Colour table{0.55, 0.55, 0.56}, bark_colour{0.07, 0.045, 0.03}, wood_colour{0.52, 0.36, 0.2};
    double uneven = 0.4, slant = 0, blur = 1, grain = 0.012, shadow = 0, weave = 0.06;
    int width = 800, height = 640;
    double pixels = 5.5;  ///< to a millimetre, in the middle
    Point middle{};       ///< of the piece
    int pieces = 1;
};

/// A log's edge: nearly round, with a flat side and bumps; mm from the piece's middle.
double edge_at(double angle, double shrink) {
    return shrink * (42 + 3.5 * std::cos(2 * angle + 0.6) + 1.6 * std::cos(3 * angle) + 0.8 * std::sin(5 * angle));
}

Loop edge_of(const Scene& scene, double inset) {
    Loop loop;
    for (int k = 0; k < 720; ++k) {
        const double a = pi * k / 360, r = edge_at(a, scene.shrink);
        loop.push_back({scene.middle.x + r * std::cos(a), scene.middle.y + r * std::sin(a)});
    }
    const Region region({loop});
    return inset > 0 ? offset_by(region, -inset).figures().front().outer : region.figures().front().outer;
}

/// mm → pixels: the far side smaller by the slant.
Homography to_photo(const Scene& scene) {
    const double w = scene.width / 2.0, h = scene.height / 2.0, x = w / scene.pixels, y = h / scene.pixels, s = scene.slant;
    return homography_of(
        {{{-x, -y}, {x, -y}, {x, y}, {-x, y}}},
        {{{-0.04 * s * w, 0}, {2 * w + 0.1 * s * w, 0.05 * s * h}, {2 * w - 0.8 * s * w, 2 * h}, {0.9 * s * w, 2 * h - 0.4 * s * h}}});
}

Picture photo_of(const Scene& scene) {
    const Region outer({edge_of(scene, 0)}), wood({edge_of(scene, scene.bark)});
    const EdgeSearch in_outer(outer), in_wood(wood);
    const Homography back = inverse_of(to_photo(scene));
    const auto colour_at = [&](const Point& p) -> Colour {
        const Point second{p.x - 75, p.y - 40};
        const double weave = 1 + scene.weave * std::sin(2.1 * p.x) * std::sin(1.7 * p.y + 0.3 * std::sin(p.x));
        const auto times = [](Colour c, double k) { return Colour{c[0] * k, c[1] * k, c[2] * k}; };
        const double ring = std::sin(2.2 * std::hypot(p.x - scene.middle.x - 3, p.y - scene.middle.y + 2));
        if (in_wood.holds(p)) return times(scene.wood_colour, 1 + 0.12 * ring);
        if (in_outer.holds(p)) return times(scene.bark_colour, 1 + 0.25 * std::sin(3 * p.x + 2 * p.y));
        if (scene.pieces > 1 && std::hypot(second.x, second.y) < 28) return scene.wood_colour;
        const double shade = scene.shadow > 0 && in_outer.holds({p.x + 5, p.y - 4}) ? 1 - scene.shadow : 1;
        return times(scene.table, weave * shade);
    };
    cv::Mat light(scene.height, scene.width, CV_32FC3);
    for (int j = 0; j < scene.height; ++j)
        for (int i = 0; i < scene.width; ++i) {
            Colour sum{};
            for (int s = 0; s < 4; ++s) {
                const Colour c = colour_at(mapped(back, {i + (s % 2 + 0.5) / 2, j + (s / 2 + 0.5) / 2}));
                for (std::size_t k = 0; k < 3; ++k) sum[k] += c[k] / 4;
            }
            const double u = (i + 0.5) / scene.width, v = (j + 0.5) / scene.height, lamp = 1 - scene.uneven * (0.6 * u * u + 0.4 * v);
            light.at<cv::Vec3f>(j, i) = {static_cast<float>(lamp * sum[0]), static_cast<float>(lamp * sum[1]),
                                         static_cast<float>(lamp * sum[2])};
        }
    if (scene.blur > 0) cv::GaussianBlur(light, light, cv::Size(), scene.blur);
    std::mt19937 numbers(7);
    Picture photo;
    photo.width = scene.width, photo.height = scene.height, photo.channels = 3;
    for (int row = scene.height - 1; row >= 0; --row)
        for (int i = 0; i < scene.width; ++i)
            for (int c = 0; c < 3; ++c) {
                double noise = -2;
                for (int k = 0; k < 4; ++k) noise += static_cast<double>(numbers()) / 4294967296.0;
                const double v = static_cast<double>(light.at<cv::Vec3f>(row, i)[c]);
                const double coded = v <= 0.0031308 ? 12.92 * v : 1.055 * std::pow(v, 1 / 2.4) - 0.055;  // IEC 61966-2-1
                photo.samples.push_back(
                    static_cast<std::uint16_t>(257 * std::lround(255 * std::clamp(coded + 1.7 * scene.grain * noise, 0.0, 1.0))));
            }
    return photo;
}

/// The farthest that one line lies from the other, both ways.
double apart(const Loop& a, const Loop& b) {
    const Region ra({a}), rb({b});
    const EdgeSearch sa(ra), sb(rb);
    double most = 0;
    for (const Point& p : a) most = std::max(most, sb.nearest(p).distance);
    for (const Point& p : b) most = std::max(most, sa.nearest(p).distance);
    return most;
}

SliceFound seen(const Scene& scene) { return find_slice(photo_of(scene), inverse_of(to_photo(scene)), {}, {}); }

std::string refusal(const Scene& scene) {
    try {
        (void)seen(scene);
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::refused);
        return error.what();
    }
    return "";
}

}  // namespace

TEST_CASE("Outlines of painted pieces come back within half a millimetre", "[slice]") {
    Scene scene;
    SECTION("dark bark on a pale table, unevenly lit") {}
    SECTION("seen at a slant, with a shadow beside it") { scene.slant = 0.12, scene.shadow = 0.55; }
    SECTION("pale bark on a dark cloth, grainy and out of focus") {
        scene.table = {0.03, 0.045, 0.07}, scene.bark_colour = {0.6, 0.55, 0.46}, scene.wood_colour = {0.33, 0.2, 0.1};
        scene.grain = 0.025, scene.blur = 1.8, scene.bark = 3, scene.weave = 0.15;
    }
    const SliceFound found = seen(scene);
    const double outer = apart(found.outer, edge_of(scene, 0)), wood = apart(found.wood, edge_of(scene, scene.bark));
    CAPTURE(outer, wood, found.contrast, found.bark_contrast, found.sure, found.bark);
    CHECK(outer < 0.5);
    CHECK(wood < 0.5);
    CHECK(std::abs(found.bark - scene.bark) < 0.3);
    // The area by OpenCV's contourArea of the painted line.
    std::vector<cv::Point2f> line;
    for (const Point& p : edge_of(scene, 0)) line.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
    CHECK(std::abs(Region({found.outer}).area() / cv::contourArea(line) - 1) < 0.005);
}

TEST_CASE("A piece without bark has one line", "[slice]") {
    Scene scene;
    scene.bark = 0;
    scene.bark_colour = scene.wood_colour;
    const SliceFound found = seen(scene);
    CHECK(found.bark == 0);
    CHECK(found.outer == found.wood);
    CHECK(apart(found.outer, edge_of(scene, 0)) < 0.5);
}

TEST_CASE("Photos that show no one clear piece are refused", "[slice]") {
    Scene scene;
    scene.width = 400, scene.height = 320, scene.pixels = 2.6;
    const auto says = [](const std::string& text, const char* part) { return text.find(part) != std::string::npos; };
    Scene nothing = scene;
    nothing.shrink = 0.02, nothing.bark = 0;
    CHECK(says(refusal(nothing), "No piece"));
    Scene over = scene;
    over.middle = {45, 0};
    CHECK(says(refusal(over), "touches the photo's edge"));
    Scene two = scene;
    two.middle = {-25, -10}, two.pixels = 2.1, two.shrink = 0.8;
    two.pieces = 2;
    CHECK(says(refusal(two), "Two pieces"));
    Scene far = scene;
    far.pixels = 1.4;
    CHECK(says(refusal(far), "too small in the photo"));
    Scene alike = scene;
    alike.bark = 0, alike.wood_colour = alike.bark_colour = {0.56, 0.55, 0.54}, alike.weave = 0.1;
    CHECK(!refusal(alike).empty());
}

TEST_CASE("Where the camera stood", "[slice]") {
    // Two places 300 pixels apart that are 100 mm apart: three pixels to a millimetre.
    const Homography straight = view_by_distance({100, 50}, {400, 50}, 100);
    CHECK(distance(mapped(straight, {300, 0}), {100, 0}) < 1e-9);
    const std::array<Point, 4> corners{{{110, 90}, {830, 120}, {760, 560}, {180, 600}}};
    const Homography view = view_by_marks(corners, {120, 80});
    CHECK(distance(mapped(view, corners[2]), {120, 80}) < 1e-6);
    CHECK(distance(mapped(inverse_of(view), {0, 80}), corners[3]) < 1e-6);
    CHECK_THROWS_AS(view_by_marks({{corners[0], corners[2], corners[1], corners[3]}}, {120, 80}), Error);
    CHECK_THROWS_AS(view_by_distance({5, 5}, {5, 5}, 100), Error);
    // Drawn by hand: a square of 300 pixels is one of 100 mm.
    const SliceFound found = slice_by_hand({{0, 0}, {300, 0}, {300, 300}, {0, 300}}, straight);
    CHECK(std::abs(Region({found.outer}).area() - 10000) < 1);
    CHECK(std::abs(found.pixels_per_mm - 3) < 1e-6);
    CHECK_THROWS_AS(slice_by_hand({{0, 0}, {300, 300}, {300, 0}, {0, 300}}, straight), Error);
}
