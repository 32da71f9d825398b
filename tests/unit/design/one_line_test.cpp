/// A photo as one line. Sources: plane geometry (crossings, what a groove covers), Croes 1958 (turning round mends a crossing), and slow
/// loops over all pairs; limits without another source are ours.
#include "burin/design/one_line.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "burin/base/error.hpp"
#include "burin/design/stipple.hpp"
#include "check.hpp"

using namespace burin;

namespace {

double side(const Point& a, const Point& b, const Point& p) { return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x); }

int crossings(const std::vector<Point>& line) {
    int count = 0;
    for (std::size_t k = 0; k + 1 < line.size(); ++k)
        for (std::size_t m = k + 2; m + 1 < line.size(); ++m)
            count += side(line[k], line[k + 1], line[m]) * side(line[k], line[k + 1], line[m + 1]) < 0 &&
                     side(line[m], line[m + 1], line[k]) * side(line[m], line[m + 1], line[k + 1]) < 0;
    return count;
}
double length_of(const std::vector<Point>& line) {
    double sum = 0;
    for (std::size_t k = 1; k < line.size(); ++k) sum += distance(line[k - 1], line[k]);
    return sum;
}
/// Share of a rectangle within the groove of a bit, looked at in points 0.1 mm apart.
double covered(const Groove& groove, const Bit& bit, const Box& box) {
    int inside = 0, all = 0;
    for (double y = box.lo.y + 0.05; y < box.hi.y; y += 0.1)
        for (double x = box.lo.x + 0.05; x < box.hi.x; x += 0.1) {
            ++all;
            for (std::size_t k = 1; k < groove.tip.size(); ++k) {
                const Point3 &a = groove.tip[k - 1], &b = groove.tip[k];
                if (std::abs(a.x - x) > 4 || std::abs(a.y - y) > 4) continue;
                const double u = b.x - a.x, v = b.y - a.y, l2 = u * u + v * v;
                const double t = l2 > 0 ? std::clamp(((x - a.x) * u + (y - a.y) * v) / l2, 0.0, 1.0) : 0;
                const double z = a.z + (b.z - a.z) * t;
                if (z < 0 && std::hypot(x - a.x - t * u, y - a.y - t * v) <= bit.width_at(-z) / 2) {
                    ++inside;
                    break;
                }
            }
        }
    return static_cast<double>(inside) / all;
}
std::vector<Point> stops_for(const Grid<float>& coverage, double least, double most) {
    StippleWishes wishes;
    wishes.least = least, wishes.most = most, wishes.line = true;
    std::vector<Point> stops;
    for (const Dot& dot : stipple(coverage, wishes, {}).dots) stops.push_back(dot.at);
    return uncrossed(std::move(stops), {});
}

}  // namespace

TEST_CASE("A line that crosses itself is turned round until it does not, and becomes shorter") {
    std::mt19937 random(11);
    for (const std::size_t count : {5U, 40U, 250U}) {
        std::vector<Point> line;
        for (std::size_t k = 0; k < count; ++k)
            line.push_back({static_cast<double>(random()) / 4294967296.0 * 80, static_cast<double>(random()) / 4294967296.0 * 50});
        const std::vector<Point> mended = uncrossed(line, {});
        CHECK(crossings(mended) == 0);
        CHECK(length_of(mended) <= length_of(line) + 1e-9);
        const auto sorted = [](std::vector<Point> points) {
            std::sort(points.begin(), points.end(),
                      [](const Point& a, const Point& b) { return std::pair(a.x, a.y) < std::pair(b.x, b.y); });
            return points;
        };
        CHECK(sorted(mended) == sorted(line));
    }
    CHECK(uncrossed({{0, 0}, {1, 0}}, {}).size() == 2);
}

TEST_CASE("One line over a wedge covers what each strip of it asks for, does not cross itself, comes and goes at the top") {
    // From 20 % at the left to 65 % at the right.
    Grid<float> wedge(240, 160, 0.15, {2, 3}, 0.0F);
    for (int j = 0; j < wedge.height(); ++j)
        for (int i = 0; i < wedge.width(); ++i) wedge(i, j) = static_cast<float>(0.2 + 0.45 * (i + 0.5) / wedge.width());
    const Bit bit = Bit::parse("vee:60:0.1:3.175");
    LineWishes wishes;
    const std::vector<Point> stops = stops_for(wedge, wishes.least, wishes.most);
    const OneLine made = one_line(stops, wedge, wishes, bit, {});
    const auto& tip = made.groove.tip;
    REQUIRE(tip.size() > stops.size());
    CHECK_FALSE(made.groove.closed);
    CHECK((tip.front().z == 0 && tip.back().z == 0));
    std::vector<Point> plan;
    for (const Point3& p : tip) plan.push_back(flat(p));
    CHECK(crossings(plan) == 0);
    CHECK(made.length == Approx(length_of(plan)).epsilon(0.01));
    // A vee of 60 degrees with a tip of 0.1: 0.8 mm wide at 0.7 / (2 tan 30°) = 0.6062 (plane geometry).
    for (std::size_t k = 1; k < tip.size(); ++k) {
        CHECK(wedge.bounds().holds(flat(tip[k]), 1e-9));
        CHECK(tip[k].z >= -0.607);
        CHECK(std::abs(tip[k].z - tip[k - 1].z) <= wishes.steepest * distance(flat(tip[k - 1]), flat(tip[k])) + 0.01);
    }
    for (int k = 0; k < 3; ++k) {
        const double x = 2 + 12 * k;
        const Box strip{{x + 1.5, 5}, {x + 10.5, 25}};
        CHECK(covered(made.groove, bit, strip) == Approx(0.2 + 0.45 * (12 * k + 6) / 36).margin(0.02));
    }
    Crew two;
    two.threads = 2;
    const OneLine again = one_line(stops, wedge, wishes, bit, two);
    CHECK((again.groove.tip == tip));
}

TEST_CASE("A line stays one line over bare ground, and what cannot be made is refused") {
    Grid<float> two_spots(200, 60, 0.2, {0, 0}, 0.0F);
    for (int j = 0; j < 60; ++j)
        for (int i = 0; i < 200; ++i) two_spots(i, j) = i < 70 || i >= 130 ? 0.4F : 0.0F;
    const Bit bit = Bit::parse("vee:60:0.1:3.175");
    const LineWishes wishes;
    const OneLine made = one_line(stops_for(two_spots, wishes.least, wishes.most), two_spots, wishes, bit, {});
    // 0.3 mm wide: 0.2 / (2 tan 30°) = 0.1732 deep.
    bool across = false;
    for (const Point3& p : made.groove.tip)
        if (p.x > 18 && p.x < 22) {
            across = true;
            CHECK(p.z == Approx(-0.1732).margin(0.002));
        }
    CHECK(across);
    CHECK_THROWS_AS(one_line({{0, 0}, {1, 1}}, two_spots, wishes, bit, {}), Error);
    CHECK_THROWS_AS(one_line({{0, 0}, {1, 1}, {2, 0}}, two_spots, wishes, Bit::parse("flat:1.0"), {}), Error);
}
