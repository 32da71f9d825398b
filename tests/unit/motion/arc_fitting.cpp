// Runs of short lines as arcs, held against circles known on paper.
#include "burin/motion/arc_fitting.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;

Move feed_to(double x, double y, double z = -1, float feed = 400) {
    Move move;
    move.kind = MoveKind::feed;
    move.to = {x, y, z};
    move.feed = feed;
    return move;
}

/// A circle of radius r about (20, 10) as chords within `tolerance`, counter-clockwise from its right.
Toolpath circle(double r, double tolerance, double turns = 1) {
    Toolpath path;
    path.track.start = {20 + r, 10, -1};
    const double step = 2 * std::acos(1 - tolerance / r);
    const int n = static_cast<int>(std::ceil(2 * pi * turns / step));
    for (int k = 1; k <= n; ++k)
        path.track.moves.push_back(feed_to(20 + r * std::cos(2 * pi * turns * k / n), 10 + r * std::sin(2 * pi * turns * k / n)));
    path.passes.push_back({0, -1, "wall"});
    return path;
}

/// The way as points, arcs within half a thousandth.
std::vector<Point3> points_of(const Track& track) {
    std::vector<Point3> points{track.start};
    for (const Move& move : track.moves) {
        const Point3 from = points.back();
        if (move.kind == MoveKind::arc_ccw || move.kind == MoveKind::arc_cw)
            for (const Point3& p : arc_points(from, move, track.arcs.at(move.arc), 0.0005)) points.push_back(p);
        else
            points.push_back(move.to);
    }
    return points;
}

double away(const std::vector<Point3>& line, const Point3& p) {
    double least = 1e9;
    for (std::size_t k = 1; k < line.size(); ++k) {
        const Point a = flat(line[k - 1]), b = flat(line[k]);
        const double x = b.x - a.x, y = b.y - a.y, l2 = x * x + y * y;
        const double t = l2 > 0 ? std::clamp(((p.x - a.x) * x + (p.y - a.y) * y) / l2, 0.0, 1.0) : 0;
        least = std::min(least, distance(flat(p), Point{a.x + t * x, a.y + t * y}));
    }
    return least;
}

}  // namespace

TEST_CASE("A circle of chords becomes a few arcs about its centre") {
    // Plane geometry: every corner lies on the circle, so do the arcs; two make it.
    const Toolpath fitted = fitted_arcs(circle(8, 0.002), 0.004);
    CHECK(fitted.track.moves.size() == 2);
    REQUIRE(!fitted.track.arcs.empty());
    for (const Move& move : fitted.track.moves) {
        CHECK(move.kind == MoveKind::arc_ccw);
        const Point centre = fitted.track.arcs.at(move.arc).centre;
        CHECK(centre.x == Approx(20).margin(0.001));
        CHECK(centre.y == Approx(10).margin(0.001));
    }
    // Its length: 2 π r.
    double length = 0;
    const auto points = points_of(fitted.track);
    for (std::size_t k = 1; k < points.size(); ++k) length += distance(points[k - 1], points[k]);
    CHECK(length == Approx(2 * pi * 8).epsilon(1e-4));
}

TEST_CASE("The other way round, arcs go clockwise") {
    Toolpath path = circle(5, 0.002);
    std::vector<Move> back;
    for (std::size_t k = path.track.moves.size(); k-- > 1;) back.push_back(path.track.moves[k - 1]);
    path.track.moves = back;
    const Toolpath fitted = fitted_arcs(path, 0.004);
    for (const Move& move : fitted.track.moves)
        if (move.kind != MoveKind::feed) CHECK(move.kind == MoveKind::arc_cw);
    CHECK(fitted.track.moves.size() < 6);
}

TEST_CASE("Ways with bends keep to the tolerance both ways, and end where they ended") {
    // The contract: neither line is farther than the tolerance from the other (random walks; seed 11).
    std::mt19937 random(11);
    std::uniform_real_distribution<double> unit(0, 1);
    for (const double tolerance : {0.002, 0.005, 0.02}) {
        Toolpath path;
        double x = 0, y = 0, angle = 0, bend = 0;
        for (int k = 0; k < 3000; ++k) {
            if (k % 40 == 0) bend = (unit(random) - 0.5) * 0.2;
            if (k % 170 == 0) angle += 2 * unit(random);
            angle += bend;
            x += 0.12 * std::cos(angle), y += 0.12 * std::sin(angle);
            path.track.moves.push_back(feed_to(x, y, k % 500 < 5 ? -0.01 * (k % 500) - 1 : -1));
        }
        path.track.start = {0, 0, -1};
        path.passes = {{0, -1, "a"}, {1500, -1, "b"}};
        path.track.events.push_back({700, EventKind::pause, 0, 0});
        const Toolpath fitted = fitted_arcs(path, tolerance);
        CHECK(fitted.track.moves.size() < path.track.moves.size() / 2);
        const auto before = points_of(path.track), after = points_of(fitted.track);
        CHECK(after.back() == before.back());
        double most = 0;
        for (std::size_t k = 0; k < before.size(); k += 7) most = std::max(most, away(after, before[k]));
        for (std::size_t k = 0; k < after.size(); k += 7) most = std::max(most, away(before, after[k]));
        CHECK(most <= tolerance + 0.0006);
        // The pass and the pause begin at the same places as before.
        const auto place = [](const Track& track, std::size_t move) { return move == 0 ? track.start : track.moves[move - 1].to; };
        CHECK(place(fitted.track, fitted.passes[1].first) == place(path.track, 1500));
        CHECK(place(fitted.track, fitted.track.events[0].before) == place(path.track, 700));
    }
}

TEST_CASE("No arcs where none belong") {
    // Straight lines, rapids, ramps and changes of feed stay as they are.
    Toolpath path;
    for (int k = 1; k <= 20; ++k) path.track.moves.push_back(feed_to(k, 0.5 * k));
    CHECK(fitted_arcs(path, 0.004).track.arcs.empty());
    Toolpath ramp = circle(8, 0.002);
    for (std::size_t k = 0; k < ramp.track.moves.size(); ++k) ramp.track.moves[k].to.z = -0.01 * static_cast<double>(k + 1);
    CHECK(fitted_arcs(ramp, 0.004).track.arcs.empty());
    Toolpath feeds = circle(8, 0.002);
    for (std::size_t k = 0; k < feeds.track.moves.size(); ++k) feeds.track.moves[k].feed = k % 2 == 0 ? 300.F : 400.F;
    CHECK(fitted_arcs(feeds, 0.004).track.arcs.empty());
    Toolpath rapids = circle(8, 0.002);
    for (Move& move : rapids.track.moves) move.kind = MoveKind::rapid;
    CHECK(fitted_arcs(rapids, 0.004).track.arcs.empty());
    CHECK_THROWS_AS(fitted_arcs(circle(8, 0.002), 0), Error);
}
