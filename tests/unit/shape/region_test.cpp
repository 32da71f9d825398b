// Figures with holes: answers on paper (plane geometry) and random figures beside slow, obvious reckoning.
#include "burin/shape/region.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;

Loop rectangle(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

Loop disc(Point centre, double r, int corners) {
    Loop loop;
    for (int k = 0; k < corners; ++k)
        loop.push_back({centre.x + r * std::cos(2 * pi * k / corners), centre.y + r * std::sin(2 * pi * k / corners)});
    return loop;
}

std::size_t holes_of(const Region& region) {
    std::size_t sum = 0;
    for (const Figure& figure : region.figures()) sum += figure.holes.size();
    return sum;
}

}  // namespace

TEST_CASE("areas, boxes and nesting of plain figures are known on paper") {
    // Source: plane geometry.
    const Region square({rectangle(1, 2, 4, 5)});
    CHECK(square.area() == Approx(9).epsilon(1e-12));
    CHECK(square.bounds() == Box{{1, 2}, {4, 5}});
    CHECK(square.points() == 4);
    CHECK(square.figures().front().outer.front() == Point{1, 2});

    // A ring with an island in it that has a hole: two figures of a hole each, whichever way the loops run.
    Loop backwards = rectangle(1, 1, 9, 9);
    std::reverse(backwards.begin(), backwards.end());
    const Region nested({rectangle(4, 4, 6, 6), rectangle(0, 0, 10, 10), backwards, rectangle(3, 3, 7, 7)});
    CHECK(nested.figures().size() == 2);
    CHECK(holes_of(nested) == 2);
    CHECK(nested.area() == Approx(100 - 64 + 16 - 4).epsilon(1e-12));
    CHECK(nested.holds({0.5, 5}));
    CHECK_FALSE(nested.holds({2, 5}));
    CHECK(nested.holds({3.5, 5}));
    CHECK_FALSE(nested.holds({5, 5}));

    CHECK(Region{}.empty());
    CHECK(Region{}.bounds() == Box{});
    CHECK(Region{}.area() == 0);
}

TEST_CASE("offsets of discs and rectangles have the areas that formulas give") {
    // Source: plane geometry: π(r ± d)²; a b + 2 d (a + b) + π d²; (a − 2d)(b − 2d).
    const Region round({disc({3, 4}, 10, 4000)});
    const double polygon = 10 * 10 * 2000 * std::sin(2 * pi / 4000);  // area of the 4000-sided polygon
    CHECK(round.area() == Approx(polygon).epsilon(1e-7));
    for (const double d : {-9.0, -2.5, -0.1, 0.1, 2.5, 30.0})
        CHECK(offset_by(round, d, 0.0005).area() == Approx(pi * (10 + d) * (10 + d)).epsilon(2e-4));
    CHECK(offset_by(round, -10.001).empty());

    const Region bar({rectangle(-10, 0, 30, 25)});
    for (const double d : {0.05, 1.0, 12.0}) {
        CHECK(offset_by(bar, d, 0.0002).area() == Approx(40 * 25 + 2 * d * 65 + pi * d * d).epsilon(2e-5));
        CHECK(offset_by(bar, -d).area() == Approx((40 - 2 * d) * (25 - 2 * d)).epsilon(1e-6));
    }
    const Region ring({disc({0, 0}, 10, 2000), disc({0, 0}, 6, 2000)});
    CHECK(offset_by(ring, 1, 0.0005).area() == Approx(pi * (121 - 25)).epsilon(2e-4));
    CHECK(offset_by(ring, -1, 0.0005).area() == Approx(pi * (81 - 49)).epsilon(2e-4));
    // An L of bars 10 wide and 30 long, shrunk by 2: bars 6 wide, and in the square of side 2 at the inner corner what a quarter
    // disc of radius 2 leaves.
    const Region ell({Loop{{0, 0}, {30, 0}, {30, 10}, {10, 10}, {10, 30}, {0, 30}}});
    CHECK(offset_by(ell, -2, 0.0002).area() == Approx(6 * 26 + 6 * 20 + (4 - pi)).epsilon(1e-5));
}

TEST_CASE("booleans of squares and discs have the areas that formulas give") {
    // Source: plane geometry; the lens of two discs of radius r whose centres lie c apart: 2r² acos(c/2r) − c/2 √(4r² − c²).
    const Region a({rectangle(0, 0, 10, 10)}), b({rectangle(5, 5, 15, 15)});
    CHECK(united(a, b).area() == Approx(175).epsilon(1e-9));
    CHECK(common(a, b).area() == Approx(25).epsilon(1e-9));
    CHECK(without(a, b).area() == Approx(75).epsilon(1e-9));
    CHECK(without(b, a).figures().size() == 1);
    CHECK(common(a, Region{}).empty());
    CHECK(without(a, Region{}) == a);
    CHECK(united(Region{}, a) == a);
    CHECK(without(a, a).empty());
    CHECK(common(a, Region({rectangle(20, 0, 30, 10)})).empty());
    // A hole cut out of the middle.
    const Region frame = without(a, Region({rectangle(2, 2, 8, 8)}));
    CHECK(holes_of(frame) == 1);
    CHECK(frame.area() == Approx(64).epsilon(1e-9));

    const Region left({disc({0, 0}, 5, 2000)}), right({disc({6, 0}, 5, 2000)});
    const double lens = 2 * 25 * std::acos(0.6) - 3 * std::sqrt(100.0 - 36);
    CHECK(common(left, right).area() == Approx(lens).epsilon(1e-5));
    CHECK(united(left, right).area() == Approx(2 * 25 * pi - lens).epsilon(1e-5));
}

TEST_CASE("fill rules count as they say") {
    // Source: definition. Two squares that overlap in 25, both counter-clockwise; then the second clockwise.
    const Loop a = rectangle(0, 0, 10, 10), b = rectangle(5, 5, 15, 15), c{b.rbegin(), b.rend()};
    CHECK(Region({a, b}, FillRule::even_odd).area() == Approx(150).epsilon(1e-9));
    CHECK(Region({a, b}, FillRule::nonzero).area() == Approx(175).epsilon(1e-9));
    CHECK(Region({a, b}, FillRule::positive).area() == Approx(175).epsilon(1e-9));
    CHECK(Region({a, c}, FillRule::nonzero).area() == Approx(150).epsilon(1e-9));
    CHECK(Region({a, c}, FillRule::positive).area() == Approx(75).epsilon(1e-9));
    // Apart, one in the other: nothing to clip, the same rules.
    const Loop d = rectangle(2, 2, 4, 4), e{d.rbegin(), d.rend()};
    CHECK(Region({a, d}, FillRule::even_odd).area() == Approx(96).epsilon(1e-9));
    CHECK(Region({a, d}, FillRule::nonzero).area() == Approx(100).epsilon(1e-9));
    CHECK(Region({a, e}, FillRule::nonzero).area() == Approx(96).epsilon(1e-9));
    CHECK(Region({a, e}, FillRule::positive).area() == Approx(96).epsilon(1e-9));
    CHECK(Region({c}, FillRule::positive).empty());
    CHECK(Region({c}, FillRule::nonzero).area() == Approx(100).epsilon(1e-9));
}

TEST_CASE("a figure opened by a disc loses what the disc cannot enter") {
    // Source: morphology (Serra 1982), plane geometry. A square of side a opened by r: a² − (4 − π) r². Of a bar narrower than 2r only
    // what the disc reaches from outside stays.
    const Region square({rectangle(0, 0, 20, 20)});
    CHECK(opened_by(square, 2, 0.0005).area() == Approx(400 - (4 - pi) * 4).epsilon(1e-5));
    CHECK(opened_by(square, 0) == square);
    CHECK(opened_by(square, 10.1).empty());
    const Region key({Loop{{0, 0}, {20, 0}, {20, 8}, {40, 8}, {40, 12}, {20, 12}, {20, 20}, {0, 20}}});
    const Region opened = opened_by(key, 3, 0.001);
    // Its centre comes as near to the mouth of the bar, 4 wide, as x = 20 − √5; the cap beyond it is 9 asin ⅔ − 2√5.
    CHECK(opened.bounds().hi.x == Approx(23 - std::sqrt(5.0)).epsilon(1e-4));
    CHECK(opened.area() == Approx(400 - (4 - pi) * 9 + 9 * std::asin(2.0 / 3) - 2 * std::sqrt(5.0)).epsilon(1e-4));
    CHECK(without(opened, offset_by(key, 0.002)).area() < 1e-6);  // an opening stays inside, to the tolerance
}

TEST_CASE("figures move, turn and mirror") {
    // Source: plane geometry.
    const Region ell({Loop{{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 2}, {0, 2}}});
    const Region turned = moved(ell, pi / 2, false, {10, 20});
    CHECK(turned.bounds() == Box{{8, 20}, {10, 23}});
    CHECK(turned.area() == ell.area());
    CHECK(turned.holds({9.5, 22.5}));
    const Region mirrored = moved(ell, 0, true, {0, 0});
    CHECK(mirrored.bounds() == Box{{-3, 0}, {0, 2}});
    CHECK(mirrored.holds({-0.5, 1.5}));
    CHECK(moved(mirrored, 0, true, {0, 0}) == ell);
    CHECK(moved(ell, 0.7, true, {1, 2}).area() == Approx(4).epsilon(1e-6));
    CHECK_THROWS_AS(moved(ell, std::numeric_limits<double>::quiet_NaN(), false, {}), Error);
}

TEST_CASE("simplifying keeps within its tolerance") {
    // Source: definition of the tolerance. A disc of 3600 corners needs few within 0.01 mm: chords of 2√(2 r t) and a little more.
    const Region round({disc({0, 0}, 10, 3600)});
    const Region fewer = simplified(round, 0.01);
    CHECK(fewer.points() < 150);
    CHECK(fewer.points() > 60);
    CHECK(without(round, offset_by(fewer, 0.0101, 1e-4)).empty());
    CHECK(without(fewer, round).area() < 1e-6);
    CHECK(simplified(Region({rectangle(0, 0, 1, 1)}), 0.2) == Region({rectangle(0, 0, 1, 1)}));
    CHECK(simplified(Region{}, 0.1).empty());
    CHECK_THROWS_AS(simplified(round, -1), Error);
}

TEST_CASE("loops that cross, touch, double back or enclose nothing make valid figures or none") {
    // Source: plane geometry.
    CHECK(Region(std::vector<Loop>{{}, {{1, 1}}, {{1, 1}, {2, 2}}, {{0, 0}, {1, 0}, {2, 0}}, {{3, 3}, {3, 3}, {3, 3}}}).empty());
    CHECK(Region({Loop{{0, 0}, {4, 0}, {4, 0}, {8, 0}, {8, 3}, {8, 5}, {0, 5}, {0, 5}}}) ==
          Region({rectangle(0, 0, 8, 5)}));                                                                     // doubled, straight
    CHECK(Region({Loop{{0, 0}, {8, 0}, {12, 0}, {8, 0}, {8, 5}, {0, 5}}}).area() == Approx(40).epsilon(1e-9));  // a whisker
    // A bow tie: two triangles that meet in a corner.
    const Region bow({Loop{{0, 0}, {4, 4}, {4, 0}, {0, 4}}});
    CHECK(bow.figures().size() == 2);
    CHECK(bow.area() == Approx(8).epsilon(1e-9));
    // A hole that touches the outer line in one corner is a hole; in two it parts the figure.
    const Region one({rectangle(0, 0, 10, 10), Loop{{0, 5}, {4, 3}, {4, 7}}});
    CHECK(one.figures().size() == 1);
    CHECK(holes_of(one) == 1);
    CHECK(one.points() == 4 + 1 + 3);  // the outer line has the corner too
    const Region two({rectangle(0, 0, 10, 10), Loop{{0, 5}, {5, 3}, {10, 5}, {5, 7}}});
    CHECK(two.figures().size() == 2);
    CHECK(holes_of(two) == 0);
    CHECK(two.area() == Approx(80).epsilon(1e-9));
    // Squares side by side become one, on a corner they stay two.
    CHECK(united(Region({rectangle(0, 0, 1, 1)}), Region({rectangle(1, 0, 2, 1)})) == Region({rectangle(0, 0, 2, 1)}));
    CHECK(united(Region({rectangle(0, 0, 1, 1)}), Region({rectangle(1, 1, 2, 2)})).figures().size() == 2);
    // A chessboard of 8 × 8: 32 squares that touch in corners, from four rows and four columns.
    std::vector<Loop> lines;
    for (int i = 1; i < 8; i += 2) lines.push_back(rectangle(0, i, 8, i + 1));
    for (int i = 1; i < 8; i += 2) lines.push_back(rectangle(i, 0, i + 1, 8));
    const Region board(lines, FillRule::even_odd);
    CHECK(board.area() == Approx(32).epsilon(1e-9));
    CHECK(board.figures().size() == 32);
    CHECK(Region(board.loops(), FillRule::even_odd) == board);
}

TEST_CASE("what is not a number or too far away is refused") {
    // Source: the header's contract.
    constexpr double nan = std::numeric_limits<double>::quiet_NaN(), far = std::numeric_limits<double>::infinity();
    CHECK_THROWS_AS(Region({Loop{{0, 0}, {1, nan}, {1, 1}}}), Error);
    CHECK_THROWS_AS(Region({Loop{{0, 0}, {far, 0}, {1, 1}}}), Error);
    CHECK_THROWS_AS(Region({Loop{{0, 0}, {10001, 0}, {1, 1}}}), Error);
    const Region huge({rectangle(-9999, -9999, 9999, 9999)});
    CHECK(huge.area() == Approx(19998.0 * 19998.0).epsilon(1e-12));
    CHECK_THROWS_AS(offset_by(huge, 10), Error);
    CHECK(offset_by(huge, -9000).area() == Approx(1998.0 * 1998.0).epsilon(1e-9));
    CHECK(offset_by(huge, -1e9).empty());
    CHECK_THROWS_AS(offset_by(huge, nan), Error);
    CHECK_THROWS_AS(offset_by(huge, 1, 0), Error);
    CHECK_THROWS_AS(opened_by(huge, -1), Error);
}

namespace {

/// Loops through random places: of a few whole numbers (many meet and lie on each other), of real numbers, or of lattice steps.
std::vector<Loop> random_loops(std::mt19937& chance, int kind) {
    std::uniform_real_distribution<double> share(0, 1);
    std::vector<Loop> loops(1 + chance() % 5);
    for (Loop& loop : loops)
        for (unsigned long k = 0, n = 3 + chance() % 25; k < n; ++k) {
            if (kind == 0) loop.push_back({std::round(12 * share(chance)), std::round(12 * share(chance))});
            if (kind == 1) loop.push_back({12 * share(chance), 12 * share(chance)});
            if (kind == 2)
                loop.push_back({std::round(12 * share(chance)) * Region::lattice, std::round(12 * share(chance)) * Region::lattice});
            if (kind == 3) loop.push_back({200 * share(chance) * Region::lattice, 12 * share(chance)});
        }
    return loops;
}

int winding(const std::vector<Loop>& loops, const Point& p) {
    int sum = 0;
    for (const Loop& loop : loops)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point a = loop[k], b = loop[(k + 1) % loop.size()];
            if ((a.y > p.y) == (b.y > p.y)) continue;
            if (p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) sum += b.y > a.y ? 1 : -1;
        }
    return sum;
}

double depth(const std::vector<Loop>& loops, const Point& p) {
    double least = 1e9;
    for (const Loop& loop : loops)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point a = loop[k], b = loop[(k + 1) % loop.size()];
            const double dx = b.x - a.x, dy = b.y - a.y, l = dx * dx + dy * dy;
            const double t = l > 0 ? std::max(0.0, std::min(1.0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / l)) : 0;
            least = std::min(least, std::hypot(a.x + t * dx - p.x, a.y + t * dy - p.y));
        }
    return least;
}

/// Slow and obvious: no two segments cross, none ends within another, none lies on another.
bool segments_are_apart(const Region& region) {
    std::vector<std::pair<Point, Point>> segments;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) segments.emplace_back(loop[k], loop[(k + 1) % loop.size()]);
    const auto turn = [](const Point& a, const Point& b, const Point& c) {  // exact: small numbers of lattice steps
        const double v = (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
        return (v > 0) - (v < 0);
    };
    const auto within = [&](const std::pair<Point, Point>& s, const Point& p) {
        return turn(s.first, s.second, p) == 0 && !(p == s.first) && !(p == s.second) && p.x >= std::min(s.first.x, s.second.x) &&
               p.x <= std::max(s.first.x, s.second.x) && p.y >= std::min(s.first.y, s.second.y) && p.y <= std::max(s.first.y, s.second.y);
    };
    for (std::size_t i = 0; i < segments.size(); ++i)
        for (std::size_t j = 0; j < i; ++j) {
            const auto &s = segments[i], &t = segments[j];
            if (turn(s.first, s.second, t.first) * turn(s.first, s.second, t.second) < 0 &&
                turn(t.first, t.second, s.first) * turn(t.first, t.second, s.second) < 0)
                return false;
            if (within(s, t.first) || within(s, t.second) || within(t, s.first) || within(t, s.second)) return false;
            if ((s.first == t.first && s.second == t.second) || (s.first == t.second && s.second == t.first)) return false;
        }
    return true;
}

}  // namespace

TEST_CASE("figures of random loops are valid and hold what the rule says") {
    // Source: definition of the winding number.
    constexpr unsigned seed = 4;
    std::mt19937 chance(seed);
    INFO("seed " << seed);
    std::uniform_real_distribution<double> place(-0.5, 12.5);
    for (int round = 0; round < 200; ++round) {
        const int kind = round % 4;
        const FillRule rule = static_cast<FillRule>(chance() % 3);
        const std::vector<Loop> loops = random_loops(chance, kind);
        const Region region(loops, rule);
        INFO("round " << round << ", kind " << kind);
        CHECK(segments_are_apart(region));
        for (const Figure& figure : region.figures()) {
            CHECK(figure.outer.size() >= 3);
            for (const Loop& hole : figure.holes) CHECK(hole.size() >= 3);
        }
        int wrong = 0;
        for (int k = 0; k < 300 && kind < 2; ++k) {
            const Point p{place(chance), place(chance)};
            const int w = winding(loops, p);
            const bool expected = rule == FillRule::even_odd ? w % 2 != 0 : rule == FillRule::nonzero ? w != 0 : w > 0;
            if (region.holds(p) != expected && depth(loops, p) > 1e-4) ++wrong;
        }
        CHECK(wrong == 0);
        if (kind < 2) CHECK(Region(region.loops(), FillRule::positive) == region);
    }
}

TEST_CASE("offsets of random figures lie where brute force says") {
    // Source: definition of the offset: what lies within d of the figure; shrunk: what lies at least d inside.
    constexpr unsigned seed = 5;
    std::mt19937 chance(seed);
    INFO("seed " << seed);
    std::uniform_real_distribution<double> place(-3, 15), by(-1.5, 1.5);
    constexpr double tolerance = 0.003;
    for (int round = 0; round < 48; ++round) {
        const int kind = round % 3 == 2 ? 3 : round % 3;  // slivers of some lattice steps too
        const Region region(random_loops(chance, kind));
        if (region.empty()) continue;
        const std::vector<Loop> loops = region.loops();
        const double d = round % 4 == 0 ? 0.5 : by(chance);
        const Region moved_out = offset_by(region, d, tolerance);
        INFO("round " << round << ", kind " << kind << ", d " << d);
        const auto outside_by = [&](const Point& p) { return region.holds(p) ? -depth(loops, p) : depth(loops, p); };
        int wrong = 0;
        for (int k = 0; k < 300; ++k) {
            const Point p{place(chance), place(chance)};
            const double out = outside_by(p);
            if (std::abs(out - d) > tolerance + 1e-5 && moved_out.holds(p) != (out < d)) ++wrong;
        }
        CHECK(wrong == 0);
        double worst = 0;
        for (const Loop& loop : moved_out.loops())
            for (std::size_t k = 0; k < loop.size(); ++k) {
                const Point a = loop[k], b = loop[(k + 1) % loop.size()];
                worst = std::max(worst, std::abs(std::abs(outside_by({(a.x + b.x) / 2, (a.y + b.y) / 2})) - std::abs(d)));
            }
        CHECK(worst < tolerance + 1e-5);
    }
}

TEST_CASE("lines with a corner just where a strip ends are cut there without harm", "[long]") {
    // So many corners are cut into strips at their median in x, which is 0 here, each strip 1000 lattice steps beyond it: there
    // lie corners of lines with 4 to 68 corners. What a frame round all of it leaves is all of it.
    std::vector<Loop> loops;
    for (int k = 0; k < 15'500; ++k) {
        const double y = 0.3 * k;
        loops.push_back(k % 2 == 0 ? rectangle(-1, y, 0, y + 0.2) : rectangle(0, y, 1, y + 0.2));
    }
    for (int corners = 2; corners <= 66; ++corners) {
        const double y = -3.0 * corners;
        Loop loop{{-1, y + 1}, {-1000 * Region::lattice, y}};
        for (int k = 0; k < corners; ++k) {
            const double angle = -pi / 3 + pi * 0.8 * k / (corners - 1);
            loop.push_back({std::cos(angle), y + 1 + std::sin(angle)});
        }
        loops.push_back(std::move(loop));
    }
    const Region all(loops), frame({rectangle(-10, -300, 10, 5000)}), kept = common(all, frame);
    REQUIRE(all.points() > 60'000);
    CHECK(kept.figures().size() == all.figures().size());
    CHECK(kept.area() == Approx(all.area()).epsilon(1e-7));
    CHECK(kept.bounds() == all.bounds());
}
