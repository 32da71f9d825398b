// Hulls and circles: what plane geometry says of simple figures, OpenCV's convexHull and minEnclosingCircle on random ones.
#include "burin/shape/hull.hpp"

#include <cmath>
#include <numbers>
#include <opencv2/imgproc.hpp>
#include <random>

#include "check.hpp"

using namespace burin;

namespace {

std::vector<Point> scattered(std::mt19937& chance, int count) {
    std::vector<Point> points;
    // Whole numbers: many on one line, many twice.
    for (int k = 0; k < count; ++k) points.push_back({static_cast<double>(chance() % 40), static_cast<double>(chance() % 25)});
    return points;
}

double area_of(const std::vector<Point>& polygon) {
    double twice = 0;
    for (std::size_t k = 0; k < polygon.size(); ++k) {
        const Point &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
        twice += a.x * b.y - a.y * b.x;
    }
    return twice / 2;
}

/// How far inside of all sides of a convex polygon a point lies.
double inside(const std::vector<Point>& polygon, const Point& p) {
    double least = 1e300;
    for (std::size_t k = 0; k < polygon.size(); ++k) {
        const Point &a = polygon[k], &b = polygon[(k + 1) % polygon.size()];
        least = std::min(least, ((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / distance(a, b));
    }
    return least;
}

std::vector<Point> ring(int n, double r) {
    std::vector<Point> points;
    for (int k = 0; k < n; ++k)
        points.push_back({30 + r * std::cos(2 * std::numbers::pi * k / n), 20 + r * std::sin(2 * std::numbers::pi * k / n)});
    return points;
}

}  // namespace

TEST_CASE("hulls of figures known on paper") {  // plane geometry
    CHECK(convex_hull({}).empty());
    CHECK((convex_hull({{2, 3}, {2, 3}}) == std::vector<Point>{{2, 3}}));
    CHECK((convex_hull({{4, 4}, {0, 0}, {1, 1}, {2, 2}}) == std::vector<Point>{{0, 0}, {4, 4}}));
    CHECK((convex_hull({{0, 0}, {4, 0}, {2, 0}, {4, 3}, {0, 3}, {2, 1}, {0, 1}}) == std::vector<Point>{{0, 0}, {4, 0}, {4, 3}, {0, 3}}));
    CHECK(convex_hull(ring(17, 10)).size() == 17);
    CHECK(area_of(convex_hull(ring(100, 10))) == Approx(50 * 100 * std::sin(2 * std::numbers::pi / 100)));
}

TEST_CASE("hulls are OpenCV's") {
    std::mt19937 chance(1854);
    for (int round = 0; round < 200; ++round) {
        const std::vector<Point> points = scattered(chance, 1 + static_cast<int>(chance() % 60));
        std::vector<cv::Point> theirs_in, theirs;
        for (const Point& p : points) theirs_in.emplace_back(static_cast<int>(p.x), static_cast<int>(p.y));
        cv::convexHull(theirs_in, theirs);
        const std::vector<Point> ours = convex_hull(points);
        // Theirs may keep a corner on a line: area and length of way round do not mind.
        std::vector<Point> other;
        for (const cv::Point& p : theirs) other.push_back({static_cast<double>(p.x), static_cast<double>(p.y)});
        CHECK(area_of(ours) == Approx(std::abs(area_of(other))).margin(1e-9));
        for (const Point& p : ours) CHECK(std::find(other.begin(), other.end(), p) != other.end());
    }
}

TEST_CASE("smallest circles: known ones, and OpenCV's") {
    CHECK(smallest_circle({}).radius == 0);
    const Circle two = smallest_circle({{0, 0}, {6, 8}});  // half the diagonal 10
    CHECK((two.radius == Approx(5) && two.centre.x == Approx(3) && two.centre.y == Approx(4)));
    const Circle even = smallest_circle({{0, 0}, {2, 0}, {1, std::sqrt(3.0)}});  // side ÷ √3
    CHECK(even.radius == Approx(2 / std::sqrt(3.0)));
    CHECK(smallest_circle({{0, 0}, {10, 0}, {5, 1}}).radius == Approx(5));  // blunt: the long side alone
    CHECK(smallest_circle({{0, 0}, {1, 0}, {2, 0}, {9, 0}}).radius == Approx(4.5));
    CHECK(smallest_circle(ring(360, 47)).radius == Approx(47).epsilon(1e-9));
    std::mt19937 chance(1911);
    for (int round = 0; round < 200; ++round) {
        const std::vector<Point> points = scattered(chance, 2 + static_cast<int>(chance() % 50));
        std::vector<cv::Point2f> theirs;
        for (const Point& p : points) theirs.emplace_back(static_cast<float>(p.x), static_cast<float>(p.y));
        cv::Point2f centre;
        float radius = 0;
        cv::minEnclosingCircle(theirs, centre, radius);  // in floats, and a hair too large
        const Circle ours = smallest_circle(points);
        CHECK(ours.radius <= static_cast<double>(radius) + 1e-3);
        CHECK(ours.radius >= static_cast<double>(radius) - 5e-3);
        for (const Point& p : points) CHECK(distance(ours.centre, p) <= ours.radius + 1e-9);
    }
}

TEST_CASE("a hull with fewer corners holds the hull and stays near it") {
    const std::vector<Point> round = ring(2000, 50);
    const std::vector<Point> few = simplified_outwards(round, 0.02);
    // Sides that touch a circle from outside stand out by r (1/cos(a) − 1): 0.02 at r 50 is a half angle of 1.62°, 111 sides.
    CHECK(few.size() < 125);
    CHECK(few.size() > 105);
    for (const Point& p : round) CHECK(inside(few, p) > -1e-9);
    for (const Point& p : few) CHECK(distance(p, {30, 20}) < 50.0201);
    const std::vector<Point> square{{0, 0}, {4, 0}, {4, 3}, {0, 3}};
    CHECK(simplified_outwards(square, 0.02) == square);
    std::mt19937 chance(7);
    for (int k = 0; k < 50; ++k) {
        const std::vector<Point> hull = convex_hull(scattered(chance, 30));
        if (hull.size() < 3) continue;
        const std::vector<Point> simple = simplified_outwards(hull, 1);
        CHECK(simple.size() <= hull.size());
        for (const Point& p : hull) CHECK(inside(simple, p) > -1e-9);
    }
}

TEST_CASE("a grown hull keeps its distance") {
    const std::vector<Point> square{{0, 0}, {4, 0}, {4, 3}, {0, 3}};
    CHECK(grown_hull(square, 0) == square);
    for (const auto& hull : std::initializer_list<std::vector<Point>>{square, {{1, 1}}, {{0, 0}, {5, 2}}, ring(50, 9)}) {
        const std::vector<Point> grown = grown_hull(hull, 2);
        for (const Point& p : hull) CHECK(inside(grown, p) > 2 - 1e-9);
        for (const Point& p : grown) {
            double nearest = 1e300;
            for (const Point& q : hull) nearest = std::min(nearest, distance(p, q));
            CHECK(nearest < 2 * 1.04);  // 1 ÷ cos 15° is 1.035
        }
    }
}
