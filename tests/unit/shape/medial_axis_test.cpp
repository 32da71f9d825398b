// The medial axis beside answers on paper (Blum 1967; plane geometry) and random figures beside brute force.
#include "burin/shape/medial_axis.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "burin/shape/edge_distance.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;
const Crew alone;

Loop rectangle(double x0, double y0, double x1, double y1) { return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}; }

Loop disc(Point centre, double r, int corners) {
    Loop loop;
    for (int k = 0; k < corners; ++k)
        loop.push_back({centre.x + r * std::cos(2 * pi * k / corners), centre.y + r * std::sin(2 * pi * k / corners)});
    return loop;
}

double length_of(const MedialAxis& axis) {
    double sum = 0;
    for (const AxisEdge& edge : axis.edges) sum += distance(axis.nodes[edge.from].at, axis.nodes[edge.to].at);
    return sum;
}

double deepest(const MedialAxis& axis) {
    double most = 0;
    for (const AxisNode& node : axis.nodes) most = std::max(most, node.radius);
    return most;
}

std::size_t corners_of(const MedialAxis& axis) {
    return static_cast<std::size_t>(std::count_if(axis.nodes.begin(), axis.nodes.end(), [](const AxisNode& n) { return n.radius == 0; }));
}

}  // namespace

TEST_CASE("a rectangle's axis is a ridge and four arms of 45 degrees") {
    // Source: plane geometry; Blum 1967. a × b: ridge a − b, arms of b/√2, deepest b/2.
    for (const double turned : {0.0, 0.3, 2.0}) {
        const MedialAxis axis = medial_axis(moved(Region({rectangle(0, 0, 40, 12)}), turned, false, {5, -7}), 0.001, alone);
        CHECK(length_of(axis) == Approx(28 + 4 * 12 / std::sqrt(2.0)).epsilon(1e-6));
        CHECK(deepest(axis) == Approx(6).epsilon(1e-6));
        CHECK(axis.edges.size() == 5);
        CHECK(axis.nodes.size() == 6);
        CHECK(corners_of(axis) == 4);
    }
}

TEST_CASE("a square's axis is its diagonals, a regular polygon's the rays to its corners") {
    // Source: plane geometry.
    const MedialAxis square = medial_axis(Region({rectangle(-3, -3, 3, 3)}), 0.001, alone);
    CHECK(square.edges.size() == 4);
    CHECK(length_of(square) == Approx(12 * std::sqrt(2.0)).epsilon(1e-9));
    CHECK(deepest(square) == Approx(3).epsilon(1e-9));

    const MedialAxis round = medial_axis(Region({disc({10, 20}, 15, 360)}), 0.001, alone);
    CHECK(corners_of(round) == 360);
    CHECK(length_of(round) == Approx(360 * 15).epsilon(1e-3));  // rounded to the lattice, rays meet shortly before the middle
    CHECK(deepest(round) == Approx(15 * std::cos(pi / 360)).epsilon(1e-6));
    // Each of its arms only spares a rim of 15 (1 − cos ½°) = 0.0006 mm: what is left is the middle.
    const MedialAxis middle = pruned(round, 0.002);
    REQUIRE(middle.nodes.size() == 1);
    CHECK(middle.edges.empty());
    CHECK(distance(middle.nodes[0].at, {10, 20}) < 1e-4);
    CHECK(middle.nodes[0].radius == Approx(15).epsilon(1e-4));
    CHECK(pruned(round, 0).edges.size() == round.edges.size());
}

TEST_CASE("an axis is found at the limits of the lattice and between lines that touch") {
    // Source: plane geometry.
    const MedialAxis huge = medial_axis(Region({rectangle(-9999, -9000, 9999, 9000)}), 0.01, alone);
    CHECK(deepest(huge) == Approx(9000).epsilon(1e-9));
    CHECK(length_of(huge) == Approx(1998 + 4 * 9000 * std::sqrt(2.0)).epsilon(1e-9));
    const MedialAxis far = medial_axis(Region({rectangle(9990, 9990, 9999, 9993)}), 0.01, alone);
    CHECK(length_of(far) == Approx(6 + 4 * 1.5 * std::sqrt(2.0)).epsilon(1e-6));
    CHECK(corners_of(far) == 4);
    // A square hole that touches the wall with a corner: no ring, as no disc passes there.
    const MedialAxis touching = medial_axis(Region({rectangle(0, 0, 20, 20), Loop{{0, 10}, {5, 5}, {10, 10}, {5, 15}}}), 0.01, alone);
    std::size_t at_touch = 0;
    for (const AxisNode& node : touching.nodes) at_touch += node.at == Point{0, 10} && node.radius == 0;
    CHECK(at_touch == 1);
    CHECK(deepest(touching) > 5);
    // The thinnest figure there is.
    const double step = Region::lattice;
    CHECK(medial_axis(Region({rectangle(0, 0, 50, step)}), 0.01, alone).nodes.size() >= 2);
}

TEST_CASE("an L's axis bends round its inner corner in two parabolas") {
    // Source: plane geometry. Bars 10 wide, 30 long. On the diagonal t = √2 (10 − t) is deepest: t = 10 (2 − √2). From there the points as
    // far from the side y = 0 as from the corner (10, 10), y = ((x − 10)² + 100)/20, to (10, 5); then a ridge of 15, arms of 5√2.
    const MedialAxis axis = medial_axis(Region({Loop{{0, 0}, {30, 0}, {30, 10}, {10, 10}, {10, 30}, {0, 30}}}), 1e-4, alone);
    const double root = std::sqrt(2.0), t = 10 * (2 - root), a = root - 1;
    CHECK(deepest(axis) == Approx(t).epsilon(1e-6));
    const double bend = 5 * (a * std::sqrt(1 + a * a) + std::asinh(a));
    CHECK(length_of(axis) == Approx(t * root + 2 * bend + 2 * 15 + 4 * 5 * root).epsilon(1e-5));
    CHECK(corners_of(axis) == 5);
    for (const AxisNode& node : axis.nodes) CHECK(distance(node.at, {10, 10}) > 4.9);  // no arm into the inner corner
    // Chords: the sagitta of a parabola over w is w²/80.
    CHECK(axis.edges.size() == 1 + 2 * static_cast<std::size_t>(std::ceil(10 * a / std::sqrt(80 * 1e-4))) + 2 + 4);
}

TEST_CASE("a ring's axis is the circle midway") {
    // Source: plane geometry.
    const Region ring({disc({0, 0}, 10, 720), disc({0, 0}, 6, 720)});
    const MedialAxis axis = pruned(medial_axis(ring, 1e-4, alone), 0.005);
    CHECK(axis.edges.size() == axis.nodes.size());
    CHECK(length_of(axis) == Approx(2 * pi * 8).epsilon(1e-3));
    for (const AxisNode& node : axis.nodes) {
        CHECK(std::hypot(node.at.x, node.at.y) == Approx(8).epsilon(2e-4));
        CHECK(node.radius == Approx(2).epsilon(1e-3));
    }
}

namespace {

/// Stars of random rays, some with holes: any angle, figures that meet and cross.
Region random_region(std::mt19937& chance, int stars, double size) {
    std::uniform_real_distribution<double> share(0, 1);
    std::vector<Loop> loops;
    for (int s = 0; s < stars; ++s) {
        const Point centre{share(chance) * size, share(chance) * size};
        const int corners = 3 + static_cast<int>(share(chance) * 30);
        Loop loop;
        for (int k = 0; k < corners; ++k) {
            const double r = size / 4 * (0.2 + share(chance)), angle = 2 * pi * k / corners;
            loop.push_back({centre.x + r * std::cos(angle), centre.y + r * std::sin(angle)});
        }
        loops.push_back(loop);
    }
    return Region(loops);
}

std::uint32_t root(std::vector<std::uint32_t>& parent, std::uint32_t k) {
    while (parent[k] != k) k = parent[k] = parent[parent[k]];
    return k;
}

}  // namespace

TEST_CASE("the axis of any figure lies as deep as its radii say, hangs together and fills the figure") {
    // Source: definition (Blum 1967): every centre's disc touches the line; together the discs are the figure. A connected figure with
    // h holes has a connected axis with h rings: edges − nodes + 1 = h.
    constexpr unsigned seed = 20261125;
    std::mt19937 chance(seed);
    INFO("seed " << seed);
    constexpr double tolerance = 0.002;
    for (int round = 0; round < 40; ++round) {
        const Region all = random_region(chance, 1 + round % 5, 20);
        for (const Figure& figure : all.figures()) {
            std::vector<Loop> loops = figure.holes;
            loops.push_back(figure.outer);
            const Region one(loops, FillRule::positive);
            if (one.figures().size() != 1) continue;
            INFO("round " << round << ", corners " << one.points());
            const MedialAxis axis = medial_axis(one, tolerance, alone);
            double worst_node = 0, worst_chord = 0;
            std::vector<std::uint32_t> parent(axis.nodes.size());
            for (std::uint32_t k = 0; k < parent.size(); ++k) parent[k] = k;
            const auto depth = [&](const Point& p) {
                const double d = distance(p, nearest_on_edge(one, p));
                return d < 1e-4 || one.holds(p) ? d : -d;
            };
            for (const AxisNode& node : axis.nodes) worst_node = std::max(worst_node, std::abs(depth(node.at) - node.radius));
            for (const AxisEdge& edge : axis.edges) {
                const AxisNode &a = axis.nodes[edge.from], &b = axis.nodes[edge.to];
                for (const double t : {0.25, 0.5, 0.8})
                    worst_chord = std::max(worst_chord, std::abs(depth({a.at.x + t * (b.at.x - a.at.x), a.at.y + t * (b.at.y - a.at.y)}) -
                                                                 (a.radius + t * (b.radius - a.radius))));
                parent[root(parent, edge.from)] = root(parent, edge.to);
            }
            CHECK(worst_node < 2e-5);
            CHECK(worst_chord < 2 * tolerance);
            std::size_t pieces = 0;
            for (std::uint32_t k = 0; k < parent.size(); ++k) pieces += parent[k] == k;
            CHECK(pieces == 1);
            CHECK(axis.edges.size() + 1 == axis.nodes.size() + figure.holes.size());

            const MedialAxis fewer = pruned(axis, 0.05);
            CHECK(fewer.edges.size() <= axis.edges.size());
            std::uniform_real_distribution<double> share(0, 1);
            const Box box = one.bounds();
            const auto uncovered = [](const MedialAxis& by, const Point& p) {
                double least = 1e9;
                for (const AxisNode& n : by.nodes) least = std::min(least, distance(p, n.at) - n.radius);
                for (const AxisEdge& edge : by.edges) {
                    const AxisNode &a = by.nodes[edge.from], &b = by.nodes[edge.to];
                    const auto beyond = [&](double t) {  // convex in t
                        return distance(p, {a.at.x + t * (b.at.x - a.at.x), a.at.y + t * (b.at.y - a.at.y)}) -
                               (a.radius + t * (b.radius - a.radius));
                    };
                    double lo = 0, hi = 1;
                    for (int i = 0; i < 40; ++i) {
                        const double l = lo + (hi - lo) / 3, h = hi - (hi - lo) / 3;
                        if (beyond(l) < beyond(h))
                            hi = h;
                        else
                            lo = l;
                    }
                    least = std::min(least, beyond(lo));
                }
                return least;
            };
            double bare = 0, bare_fewer = 0;
            for (int k = 0; k < 60; ++k) {
                const Point p{box.lo.x + share(chance) * box.width(), box.lo.y + share(chance) * box.height()};
                if (!one.holds(p)) continue;
                bare = std::max(bare, uncovered(axis, p));
                bare_fewer = std::max(bare_fewer, uncovered(fewer, p));
            }
            CHECK(bare < 2 * tolerance);
            CHECK(bare_fewer < 0.05 + 2 * tolerance);
        }
    }
}

TEST_CASE("the axis is the same on any number of threads") {
    // Source: promise of equal bytes.
    std::mt19937 chance(7);
    const Region region = random_region(chance, 25, 100);
    Crew four;
    four.threads = 4;
    const MedialAxis a = medial_axis(region, 0.002, alone), b = medial_axis(region, 0.002, four);
    REQUIRE(a.nodes.size() == b.nodes.size());
    REQUIRE(a.edges.size() == b.edges.size());
    bool same = true;
    for (std::size_t k = 0; k < a.nodes.size(); ++k)
        same = same && a.nodes[k].at == b.nodes[k].at && a.nodes[k].radius == b.nodes[k].radius;
    for (std::size_t k = 0; k < a.edges.size(); ++k) same = same && a.edges[k].from == b.edges[k].from && a.edges[k].to == b.edges[k].to;
    CHECK(same);
    CHECK(medial_axis(Region{}, 0.01, four).nodes.empty());
    CHECK_THROWS_AS(medial_axis(region, 0, four), Error);
}
