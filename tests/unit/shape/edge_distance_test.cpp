// Distances from a region's line: on paper, and beside brute force over all segments.
#include "burin/shape/edge_distance.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const Crew alone;

Loop rectangle(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

Region random_region(std::mt19937& chance, int stars, double size) {
    std::uniform_real_distribution<double> share(0, 1);
    std::vector<Loop> loops;
    for (int s = 0; s < stars; ++s) {
        const Point centre{share(chance) * size, share(chance) * size};
        const int corners = 3 + static_cast<int>(share(chance) * 40);
        Loop& loop = loops.emplace_back();
        for (int k = 0; k < corners; ++k) {
            const double r = size / 5 * (0.2 + share(chance)), angle = 2 * std::numbers::pi * k / corners;
            loop.push_back({centre.x + r * std::cos(angle), centre.y + r * std::sin(angle)});
        }
    }
    return Region(loops);
}

/// Slow and obvious: positive inside.
double depth_by_force(const Region& region, const Point& p) {
    double least = 1e9;
    bool inside = false;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point a = loop[k], b = loop[(k + 1) % loop.size()];
            const double dx = b.x - a.x, dy = b.y - a.y;
            const double t = std::max(0.0, std::min(1.0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy)));
            least = std::min(least, std::hypot(a.x + t * dx - p.x, a.y + t * dy - p.y));
            if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / dy * dx) inside = !inside;
        }
    return inside ? least : -least;
}

}  // namespace

TEST_CASE("distances from a square's line are known on paper") {
    // Source: plane geometry. A square of 10 on cells of 0.5: beside a side the offset from it, off a corner the hypotenuse.
    const Region square({rectangle(0, 0, 10, 10)});
    const Grid<float> cells(40, 40, 0.5, {-5, -5});
    const Grid<float> depth = edge_distance(square, cells, 3, alone);
    CHECK(depth.centre(10, 20) == Point{0.25, 5.25});
    CHECK(depth(10, 20) == Approx(0.25));
    CHECK(depth(9, 20) == Approx(-0.25));
    CHECK(depth(8, 8) == Approx(-std::hypot(0.75, 0.75)));
    CHECK(depth(5, 9) == Approx(-std::hypot(2.25, 0.25)));
    CHECK(depth(20, 20) == 3);
    CHECK(depth(0, 0) == -3);
    CHECK(nearest_on_edge(square, {4, 3}) == Point{4, 0});
    CHECK(nearest_on_edge(square, {12, 13}) == Point{10, 10});
}

TEST_CASE("distances of cells are those of brute force, on any number of threads") {
    // Source: definition of the distance from a segment.
    constexpr unsigned seed = 11;
    std::mt19937 chance(seed);
    INFO("seed " << seed);
    Crew three;
    three.threads = 3;
    for (int round = 0; round < 12; ++round) {
        const Region region = random_region(chance, 1 + round, 40);
        const Grid<float> cells(300 + 7 * round, 270, 0.2, {-9.03, -8.01});
        const double reach = round % 3 == 0 ? 0.3 : round % 3 == 1 ? 2.5 : 100;
        const Grid<float> depth = edge_distance(region, cells, reach, alone);
        double worst = 0;
        int wrong_side = 0;
        for (int j = round % 5; j < cells.height(); j += 5)
            for (int i = 0; i < cells.width(); i += 3) {
                const double exact = depth_by_force(region, cells.centre(i, j));
                worst = std::max(worst, std::abs(std::abs(depth(i, j)) - std::min(std::abs(exact), reach)));
                if (std::abs(exact) > 1e-9 && (depth(i, j) > 0) != (exact > 0)) ++wrong_side;
            }
        CHECK(worst < 1e-5);
        CHECK(wrong_side == 0);
        CHECK(depth == edge_distance(region, cells, reach, three));
    }
    // Nothing there: all outside.
    const Grid<float> none = edge_distance(Region{}, Grid<float>(5, 4, 1), 2, alone);
    CHECK(none(3, 3) == -2);
    CHECK_THROWS_AS(edge_distance(Region{}, Grid<float>(5, 4, 1), 0, alone), Error);
}

TEST_CASE("a search among the segments answers as brute force does") {
    // Source: definition of the distance from a segment.
    constexpr unsigned seed = 12;
    std::mt19937 chance(seed);
    INFO("seed " << seed);
    std::uniform_real_distribution<double> place(-60, 100);
    for (int round = 0; round < 20; ++round) {
        const Region region = round == 0 ? Region({rectangle(0, 0, 300, 0.01)}) : random_region(chance, round, 40);
        const EdgeSearch search(region);
        double worst = 0, off_line = 0;
        int wrong_side = 0;
        for (int k = 0; k < 500; ++k) {
            const Point p{place(chance), place(chance)};
            const double exact = depth_by_force(region, p);
            const EdgeSearch::Nearest nearest = search.nearest(p);
            worst = std::max(worst, std::abs(nearest.distance - std::abs(exact)));
            off_line = std::max(off_line, std::abs(distance(nearest.at, p) - nearest.distance));
            if (std::abs(exact) > 1e-9 && search.holds(p) != (exact > 0)) ++wrong_side;
            if (std::abs(exact) > 1e-9 && region.holds(p) != (exact > 0)) ++wrong_side;
            worst = std::max(worst, std::abs(search.depth(p) - exact));
        }
        CHECK(worst < 1e-9);
        CHECK(off_line < 1e-9);
        CHECK(wrong_side == 0);
    }
    const EdgeSearch nothing{Region{}};
    CHECK_FALSE(nothing.holds({0, 0}));
    CHECK_THROWS_AS(nothing.nearest({0, 0}), Error);
    CHECK_THROWS_AS(nearest_on_edge(Region{}, {0, 0}), Error);
}
