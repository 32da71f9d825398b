// Lines of equal value: circles known on paper, then random fields against the definition; thinning; distances.
#include "../../../src/toolpath/contours.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numbers>
#include <random>

#include "check.hpp"

using namespace burin;

namespace {

using Mask = Grid<std::uint8_t>;

double area_of(const std::vector<Point>& p) {
    double twice = 0;
    for (std::size_t k = 0; k < p.size(); ++k) {
        const Point &a = p[k], &b = p[(k + 1) % p.size()];
        twice += a.x * b.y - b.x * a.y;
    }
    return twice / 2;
}

double distance_to_segment(const Point& p, const Point& a, const Point& b) {
    const double ux = b.x - a.x, uy = b.y - a.y, l2 = ux * ux + uy * uy;
    const double t = l2 > 0 ? std::clamp(((p.x - a.x) * ux + (p.y - a.y) * uy) / l2, 0.0, 1.0) : 0;
    return distance(p, Point{a.x + ux * t, a.y + uy * t});
}

double distance_to_line(const Point& p, const std::vector<Point>& line, bool closed) {
    double least = 1e9;
    if (line.size() == 1) return distance(p, line[0]);
    for (std::size_t k = 0; k + (closed ? 0 : 1) < line.size(); ++k)
        least = std::min(least, distance_to_segment(p, line[k], line[(k + 1) % line.size()]));
    return least;
}

/// Largest distance from the points to the thinned line.
double left_by(const std::vector<Point>& points, const std::vector<Point>& kept, bool closed) {
    double most = 0;
    for (const Point& p : points) most = std::max(most, distance_to_line(p, kept, closed));
    return most;
}

HeightMap cone(int width, int height, double cell, const Point& peak) {
    HeightMap map(width, height, cell);
    for (int j = 0; j < height; ++j)
        for (int i = 0; i < width; ++i) map(i, j) = static_cast<float>(-distance(map.centre(i, j), peak));
    return map;
}

Mask random_mask(int width, int height, std::mt19937& random) {
    Mask mask(width, height, 0.1);
    std::uniform_int_distribution<int> i(-5, width), j(-5, height), size(1, 30);
    for (int n = 0; n < 14; ++n) {
        const int i0 = i(random), j0 = j(random), w = size(random), h = size(random);
        for (int y = std::max(0, j0); y < std::min(height, j0 + h); ++y)
            for (int x = std::max(0, i0); x < std::min(width, i0 + w); ++x) mask(x, y) = n % 4 != 3;
    }
    return mask;
}

}  // namespace

TEST_CASE("contours of a cone are closed circles with the larger values on their left") {
    // Source: plane geometry. Between two centres at distances r and r + s (s up to a cell) the distance is not linear: it
    // bends by at most cell² ⁄ (8 r).
    const Point peak{5.03, 4.06};
    const HeightMap field = cone(100, 80, 0.1, peak);
    const std::array<float, 4> values{-3.F, -2.F, -1.F, -0.5F};
    const std::vector<Contour> found = contours_at(field, values, nullptr);
    REQUIRE(found.size() == 4);
    std::array<int, 4> seen{};
    for (const Contour& c : found) {
        CHECK(c.closed);
        ++seen[static_cast<std::size_t>(c.ring)];
        const double radius = -static_cast<double>(values[static_cast<std::size_t>(c.ring)]);
        INFO("radius " << radius);
        double most = 0, longest_step = 0;
        for (std::size_t k = 0; k < c.points.size(); ++k) {
            most = std::max(most, std::abs(distance(c.points[k], peak) - radius));
            longest_step = std::max(longest_step, distance(c.points[k], c.points[(k + 1) % c.points.size()]));
        }
        CHECK(most <= 0.01 / (8 * (radius - 0.1)) + 1e-6);
        CHECK(longest_step < 0.1 * std::numbers::sqrt2 + 1e-9);
        CHECK(area_of(c.points) == Approx(std::numbers::pi * radius * radius).epsilon(0.01));  // counter-clockwise
        CHECK(length_of(c.points, true) == Approx(2 * std::numbers::pi * radius).epsilon(0.01));
        CHECK(distance(c.points.front(), c.points.back()) > 1e-12);
    }
    CHECK(seen == std::array<int, 4>{1, 1, 1, 1});
    // A pit instead of a peak: clockwise.
    HeightMap pit = field;
    for (float& v : pit.values()) v = -v;
    const std::array<float, 1> two{2.F};
    const std::vector<Contour> around = contours_at(pit, two, nullptr);
    REQUIRE(around.size() == 1);
    CHECK(area_of(around[0].points) == Approx(-4 * std::numbers::pi).epsilon(0.01));
}

TEST_CASE("every crossing of a random field lies on exactly one contour, in its place") {
    // Source: the definition of a contour, written out: an edge between neighbours is crossed where one is at least the value
    // and the other is not, at the linear share.
    std::mt19937 random(31);
    std::uniform_real_distribution<float> height(0.F, 1.F);
    for (int round = 0; round < 6; ++round) {
        HeightMap field(37, 29, 0.25, {3, -2});
        for (float& v : field.values()) v = round % 2 ? height(random) : std::round(4 * height(random)) / 4;  // ties too
        for (int i = 0; i < field.width(); ++i) field(i, 0) = field(i, field.height() - 1) = 0;
        for (int j = 0; j < field.height(); ++j) field(0, j) = field(field.width() - 1, j) = 0;
        const std::array<float, 4> values{0.2F, 0.25F, 0.5F, 0.9F};
        const std::vector<Contour> found = contours_at(field, values, nullptr);
        for (std::size_t q = 0; q < values.size(); ++q) {
            std::vector<Point> expected, points;
            const auto edge = [&](int i, int j, int di, int dj) {
                if (!field.holds(i + di, j + dj)) return;
                const float a = field(i, j), b = field(i + di, j + dj);
                if ((a >= values[q]) == (b >= values[q])) return;
                const double t = static_cast<double>(values[q] - a) / static_cast<double>(b - a);
                const Point c = field.centre(i, j);
                expected.push_back({c.x + di * t * 0.25, c.y + dj * t * 0.25});
            };
            for (int j = 0; j < field.height(); ++j)
                for (int i = 0; i < field.width(); ++i) edge(i, j, 1, 0), edge(i, j, 0, 1);
            bool all_closed = true;
            double longest_step = 0, area = 0;
            for (const Contour& c : found) {
                if (c.ring != static_cast<int>(q)) continue;
                all_closed = all_closed && c.closed;
                area += area_of(c.points);
                for (std::size_t k = 0; k < c.points.size(); ++k) {
                    points.push_back(c.points[k]);
                    longest_step = std::max(longest_step, distance(c.points[k], c.points[(k + 1) % c.points.size()]));
                }
            }
            INFO("round " << round << ", value " << values[q] << ", seed 31");
            CHECK(all_closed);
            CHECK(area > 0);  // the border is low: what is high is gone round counter-clockwise
            CHECK(longest_step <= 0.25 * std::numbers::sqrt2 + 1e-9);
            const auto before = [](const Point& a, const Point& b) { return std::abs(a.x - b.x) > 1e-7 ? a.x < b.x : a.y < b.y - 1e-7; };
            std::sort(expected.begin(), expected.end(), before);
            std::sort(points.begin(), points.end(), before);
            REQUIRE(points.size() == expected.size());
            double apart = 0;
            for (std::size_t k = 0; k < points.size(); ++k) apart = std::max(apart, distance(points[k], expected[k]));
            CHECK(apart < 1e-5);
        }
    }
}

TEST_CASE("many values at once give the contours of each by itself") {
    // Source: the same function, one value at a time.
    HeightMap field(60, 50, 0.1);
    for (int j = 0; j < 50; ++j)
        for (int i = 0; i < 60; ++i) field(i, j) = static_cast<float>(std::sin(i * 0.3) * std::cos(j * 0.23) + 0.01 * i);
    std::vector<float> values;
    for (int k = 0; k < 150; ++k) values.push_back(-1.F + 0.015F * static_cast<float>(k));
    const std::vector<Contour> together = contours_at(field, values, nullptr);
    std::size_t alone = 0;
    bool same = true;
    for (std::size_t q = 0; q < values.size(); ++q) {
        const std::array<float, 1> one{values[q]};
        const std::vector<Contour> mine = contours_at(field, one, nullptr);
        std::vector<const Contour*> theirs;
        for (const Contour& c : together)
            if (c.ring == static_cast<int>(q)) theirs.push_back(&c);
        alone += mine.size();
        same = same && theirs.size() == mine.size();
        for (std::size_t k = 0; same && k < mine.size(); ++k)
            same = mine[k].points == theirs[k]->points && mine[k].closed == theirs[k]->closed;
    }
    CHECK(same);
    CHECK(alone == together.size());
}

TEST_CASE("a mask and the field's edge end contours, both ends included") {
    // Source: contours.hpp; on a ramp along x the contour is one straight line over the whole height of the field.
    HeightMap ramp(20, 12, 1.0);
    for (int j = 0; j < 12; ++j)
        for (int i = 0; i < 20; ++i) ramp(i, j) = static_cast<float>(i);
    const std::array<float, 1> value{7.25F};
    const std::vector<Contour> whole = contours_at(ramp, value, nullptr);
    REQUIRE(whole.size() == 1);
    CHECK(!whole[0].closed);
    CHECK(length_of(whole[0].points, false) == Approx(11));
    for (const Point& p : whole[0].points) CHECK(p.x == Approx(7.75));
    CHECK(whole[0].points.front().y > whole[0].points.back().y);  // larger values, to the right in the picture, on its left
    Mask mask(20, 12, 1.0, {}, 1);
    for (int i = 0; i < 20; ++i) mask(i, 5) = 0;
    const std::vector<Contour> parts = contours_at(ramp, value, &mask);
    REQUIRE(parts.size() == 2);
    CHECK(length_of(parts[0].points, false) + length_of(parts[1].points, false) == Approx(4 + 5));
}

TEST_CASE("the line keeps to the lower side where that is asked for") {
    // Source: contours.hpp: at most the given share of the way from the lower to the higher of two neighbours.
    HeightMap step(20, 12, 1.0);
    for (int j = 0; j < 12; ++j)
        for (int i = 0; i < 20; ++i) step(i, j) = i < 10 ? 0.F : 1.F;
    const std::array<float, 2> values{0.2F, 0.8F};
    for (const Contour& c : contours_at(step, values, nullptr, 0.45))
        for (const Point& p : c.points) CHECK(p.x == Approx(9.5 + (c.ring == 0 ? 0.2 : 0.45)));
    for (float& v : step.values()) v = 1 - v;
    for (const Contour& c : contours_at(step, values, nullptr, 0.45))
        for (const Point& p : c.points) CHECK(p.x == Approx(10.5 - (c.ring == 0 ? 0.2 : 0.45)));
}

TEST_CASE("thinning drops no point farther than the tolerance from what is left") {
    // Source: contours.hpp's promise, by the distance of every point to the line that is left.
    std::mt19937 random(2718);
    std::normal_distribution<double> noise(0, 1);
    for (int round = 0; round < 200; ++round) {
        std::vector<Point> points{{0, 0}};
        double heading = 0;
        const double turn = round % 4 == 0 ? 0.02 : round % 4 == 1 ? 0.15 : round % 4 == 2 ? 0.6 : 2.0;
        for (int k = 0; k < 120; ++k) {
            heading += turn * noise(random);
            const double step = 0.02 + 0.04 * std::abs(noise(random));
            points.push_back({points.back().x + step * std::cos(heading), points.back().y + step * std::sin(heading)});
        }
        for (const bool closed : {false, true})
            for (const double tolerance : {0.005, 0.02}) {
                const std::vector<Point> kept = thinned(points, closed, tolerance);
                INFO("round " << round << ", seed 2718, tolerance " << tolerance << ", closed " << closed);
                CHECK(left_by(points, kept, closed) <= tolerance + 1e-9);
                CHECK(kept.size() <= points.size());
                CHECK(kept.front() == points.front());
                if (!closed) CHECK(kept.back() == points.back());
            }
    }
    // A straight line keeps its ends, a circle about π ⁄ √(2 t ⁄ R) points.
    std::vector<Point> straight, circle;
    for (int k = 0; k <= 50; ++k) straight.push_back({k * 0.1, k * 0.03});
    CHECK(thinned(straight, false, 0.001).size() == 2);
    for (int k = 0; k < 600; ++k) circle.push_back({5 * std::cos(k * std::numbers::pi / 300), 5 * std::sin(k * std::numbers::pi / 300)});
    const std::vector<Point> kept = thinned(circle, true, 0.02);
    CHECK(left_by(circle, kept, true) <= 0.02 + 1e-9);
    CHECK(kept.size() < 80);
}

TEST_CASE("thinning keeps the ends of hairpins") {
    // Source: contours.hpp's promise. The contour round a region one cell wide is a loop much longer than it is wide.
    const double tolerance = 0.02;
    std::vector<Point> loop;
    for (int k = 0; k <= 40; ++k) loop.push_back({0.1 * k, 0.0});
    for (int k = 40; k >= 0; --k) loop.push_back({0.1 * k, 0.01});
    for (std::size_t first = 0; first < loop.size(); first += 7) {
        std::rotate(loop.begin(), loop.begin() + 7, loop.end());
        const std::vector<Point> kept = thinned(loop, true, tolerance);
        INFO("starting at x " << loop.front().x);
        CHECK(left_by(loop, kept, true) <= tolerance + 1e-9);
    }
    const std::vector<Point> there_and_back{{0, 0}, {1, 0}, {2, 0}, {1, 0.001}, {0.5, 0.001}};
    CHECK(left_by(there_and_back, thinned(there_and_back, false, tolerance), false) <= tolerance + 1e-9);
}

TEST_CASE("distances inside a mask are exact") {
    // Source: the definition: the least distance to a centre outside. The outermost cells are outside.
    std::mt19937 random(17);
    for (int round = 0; round < 4; ++round) {
        Mask mask = random_mask(50, 37, random);
        for (int i = 0; i < 50; ++i) mask(i, 0) = mask(i, 36) = 0;
        for (int j = 0; j < 37; ++j) mask(0, j) = mask(49, j) = 0;
        const HeightMap inside = distance_inside(mask);
        double differs = 0;
        for (int j = 0; j < 37; ++j)
            for (int i = 0; i < 50; ++i) {
                double least = 1e9;
                for (int b = 0; b < 37; ++b)
                    for (int a = 0; a < 50; ++a)
                        if (!mask(a, b)) least = std::min(least, 0.1 * std::hypot(a - i, b - j));
                differs = std::max(differs, std::abs(static_cast<double>(inside(i, j)) - least));
            }
        INFO("round " << round << ", seed 17");
        CHECK(differs < 1e-5);
    }
}

TEST_CASE("a grown mask holds every cell within the radius and no other") {
    // Source: the definition, cell by cell.
    std::mt19937 random(23);
    for (const double radius : {0.1, 0.25, 0.31, 1.0}) {
        const Mask mask = random_mask(50, 37, random), wide = grown(mask, radius);
        std::size_t wrong = 0;
        for (int j = 0; j < 37; ++j)
            for (int i = 0; i < 50; ++i) {
                bool near = false;
                for (int b = 0; b < 37; ++b)
                    for (int a = 0; a < 50; ++a) near = near || (mask(a, b) && 0.1 * std::hypot(a - i, b - j) <= radius + 1e-7);
                wrong += near != (wide(i, j) != 0);
            }
        INFO(radius << " mm, seed 23");
        CHECK(wrong == 0);
    }
    const Mask none(9, 9, 0.1);
    CHECK(grown(none, 0.5) == none);
}
