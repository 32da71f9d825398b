/// Tones as dots. Sources: plane geometry (areas of discs, what a wedge asks for), weighted centroidal Voronoi stippling (Secord 2002),
/// and slow loops over all pairs; limits of spreads are ours, no source.
#include "burin/design/stipple.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "../../../src/design/stipple_cells.hpp"
#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

double area(const Dot& d) { return std::numbers::pi / 4 * d.diameter * d.diameter; }
double area_of(const Stipple& s) {
    double sum = 0;
    for (const Dot& d : s.dots) sum += area(d);
    return sum;
}
Grid<float> grey(int width, int height, double cell, float share) { return {width, height, cell, {3, -2}, share}; }
/// From bare at the left to `darkest` at the right.
Grid<float> wedge(double darkest) {
    Grid<float> grid(400, 200, 0.25, {0, 0}, 0.0F);
    for (int j = 0; j < grid.height(); ++j)
        for (int i = 0; i < grid.width(); ++i) grid(i, j) = static_cast<float>(darkest * (i + 0.5) / grid.width());
    return grid;
}
StippleWishes wishes_for(int dots, double least, double most, double gap = 0) {
    StippleWishes wishes;
    wishes.dots = dots, wishes.least = least, wishes.most = most, wishes.gap = gap;
    return wishes;
}
/// Hills, edges and bare ground.
Grid<float> landscape(unsigned seed) {
    std::mt19937 random(seed);
    const auto unit = [&] { return static_cast<double>(random()) / 4294967296.0; };
    Grid<float> grid(160 + static_cast<int>(80 * unit()), 120, 0.2 + 0.2 * unit(), {-10, 5}, 0.0F);
    const double a = 3 + 9 * unit(), b = 3 + 9 * unit(), c = 6 * unit(), edge = unit();
    for (int j = 0; j < grid.height(); ++j)
        for (int i = 0; i < grid.width(); ++i) {
            const double x = static_cast<double>(i) / grid.width(), y = static_cast<double>(j) / grid.height();
            const double v = 0.45 + 0.5 * std::sin(a * x + c) * std::cos(b * y);
            grid(i, j) = static_cast<float>(x > edge && y > 0.8 ? 0 : v < 0.15 ? 0 : v);
        }
    return grid;
}
bool on_bare(const Grid<float>& grid, const Point& p) {
    const int i = std::min(static_cast<int>((p.x - grid.origin().x) / grid.cell()), grid.width() - 1);
    const int j = std::min(static_cast<int>((p.y - grid.origin().y) / grid.cell()), grid.height() - 1);
    return !(grid(i, j) > 0);
}

}  // namespace

TEST_CASE("Cells hold together what the raster holds, each what the places nearest to its site hold") {
    std::mt19937 random(5);
    const auto unit = [&] { return static_cast<double>(random()) / 4294967296.0; };
    Grid<float> values(37, 23, 1);
    for (float& v : values.values()) v = unit() < 0.3 ? 0.0F : static_cast<float>(unit());
    const dots::Pyramid raster(values);
    std::vector<Point> sites;
    for (int k = 0; k < 40; ++k) sites.push_back({37 * unit(), 23 * unit()});
    sites.push_back(sites.front());  // two in one place: nothing is counted twice
    const std::vector<dots::Mass> cells = dots::cell_masses(raster, sites, {});
    // Slowly: each cell in 20 × 20 places.
    constexpr int fine = 20;
    std::vector<dots::Mass> slow(sites.size());
    for (int j = 0; j < 23 * fine; ++j)
        for (int i = 0; i < 37 * fine; ++i) {
            const Point p{(i + 0.5) / fine, (j + 0.5) / fine};
            const auto nearest = std::min_element(sites.begin(), sites.end(),
                                                  [&](const Point& a, const Point& b) { return distance(a, p) < distance(b, p); });
            const double v = static_cast<double>(values(i / fine, j / fine)) / (fine * fine);
            slow[static_cast<std::size_t>(nearest - sites.begin())].add({v, v * p.x, v * p.y});
        }
    double all = 0, held = 0;
    for (const float v : values.values()) all += static_cast<double>(v);
    for (std::size_t k = 0; k < sites.size(); ++k) {
        held += cells[k].sum;
        CHECK(cells[k].sum == Approx(slow[k].sum).margin(0.08));
        if (cells[k].sum > 1) {
            CHECK(cells[k].x / cells[k].sum == Approx(slow[k].x / slow[k].sum).margin(0.03));
            CHECK(cells[k].y / cells[k].sum == Approx(slow[k].y / slow[k].sum).margin(0.03));
        }
    }
    CHECK(held == Approx(all).epsilon(1e-9));
}

TEST_CASE("Uniform grey gives dots of nearly one size, and their areas are the coverage") {
    const Grid<float> grid = grey(300, 200, 0.2, 0.4F);
    const Stipple s = stipple(grid, wishes_for(1500, 0.2, 3), {});
    REQUIRE(s.dots.size() == 1500);
    CHECK(s.asked == Approx(0.4 * 60 * 40).epsilon(1e-6));
    CHECK(area_of(s) == Approx(s.asked).epsilon(0.01));
    CHECK(s.covered == Approx(area_of(s)).epsilon(1e-12));
    double squares = 0;
    const double mean = area_of(s) / 1500;
    for (const Dot& d : s.dots) squares += (area(d) - mean) * (area(d) - mean);
    CHECK(std::sqrt(squares / 1500) < 0.08 * mean);
}

TEST_CASE("On a wedge the dots' areas follow the tone, strip by strip; with equal dots their number does") {
    const Grid<float> grid = wedge(0.7);
    for (const bool equal : {false, true}) {
        const Stipple s = stipple(grid, equal ? wishes_for(0, 0.6, 0.6) : wishes_for(5000, 0.2, 1.2), {});
        CHECK(area_of(s) == Approx(0.35 * 100 * 50).epsilon(0.01));
        double strips[5] = {};
        for (const Dot& d : s.dots) strips[std::min(4, static_cast<int>(d.at.x / 20))] += area(d);
        // A strip of 20 mm from x asks for 50 · 20 · 0.7 (x + 10) / 100 mm².
        for (int k = 1; k < 5; ++k) CHECK(strips[k] == Approx(10 * 0.7 * (20 * k + 10)).epsilon(0.03));
        if (!equal) continue;
        CHECK(s.dots.size() == Approx(0.35 * 5000 / area({{}, 0.6})).epsilon(0.005));
        for (const Dot& d : s.dots) REQUIRE(d.diameter == 0.6);
    }
}

TEST_CASE("Dots lie inside the picture, none where it is bare, none runs into another; the same on two threads") {
    Crew two;
    two.threads = 2;
    for (unsigned seed = 1; seed <= 4; ++seed) {
        const Grid<float> grid = landscape(seed);
        const StippleWishes wishes = seed % 2 == 0 ? wishes_for(0, 0.8, 0.8, 0.1) : wishes_for(900, 0.3, 1.6, 0.05);
        const Stipple s = stipple(grid, wishes, {}), again = stipple(grid, wishes, two);
        REQUIRE(!s.dots.empty());
        REQUIRE(s.dots.size() == again.dots.size());
        double nearest = 1e9;
        for (std::size_t k = 0; k < s.dots.size(); ++k) {
            const Dot& d = s.dots[k];
            CHECK(grid.bounds().holds(d.at));
            CHECK_FALSE(on_bare(grid, d.at));
            CHECK(d.diameter >= wishes.least - 1e-9);
            CHECK(d.diameter <= wishes.most + 1e-9);
            CHECK((d.at == again.dots[k].at && d.diameter == again.dots[k].diameter));
            for (std::size_t m = 0; m < k; ++m)
                nearest = std::min(nearest, distance(d.at, s.dots[m].at) - (d.diameter + s.dots[m].diameter) / 2);
        }
        CHECK(nearest >= wishes.gap - 0.0021);
    }
}

TEST_CASE("What is darker than dots can show, and numbers that do not fit the picture, are told") {
    const Stipple dark = stipple(grey(200, 200, 0.2, 0.95F), wishes_for(0, 1, 1), {});
    CHECK(dark.too_dark == Approx((0.95 - darkest_share(1, 0)) * 1600).epsilon(1e-5));
    REQUIRE(dark.notes.size() == 1);
    CHECK(dark.notes[0].find("darker") != std::string::npos);
    // Dots of 0.5 to 1 mm cover 160 mm² when there are 204 to 815 of them.
    const Grid<float> grid = grey(200, 200, 0.2, 0.1F);
    const Stipple many = stipple(grid, wishes_for(5000, 0.5, 1), {});
    CHECK(many.dots.size() == 815);
    CHECK(many.notes.size() == 1);
    const Stipple few = stipple(grid, wishes_for(100, 0.5, 1), {});
    CHECK(few.dots.size() == 100);
    CHECK(few.notes.size() == 1);
    CHECK(few.scale == Approx(100 * area({{}, 1}) / 160).epsilon(0.001));
    CHECK(area_of(few) == Approx(few.scale * 160).epsilon(0.06));
    CHECK_THROWS_AS(stipple(grey(20, 20, 0.2, 0.0F), wishes_for(10, 0.5, 1), {}), Error);
    CHECK_THROWS_AS(stipple(grid, wishes_for(10, 1, 0.5), {}), Error);
    CHECK_THROWS_AS(stipple(grid, wishes_for(-1, 0.5, 1), {}), Error);
    CHECK_THROWS_AS(stipple(grid, wishes_for(0, 0.01, 0.01), {}), Error);
}
