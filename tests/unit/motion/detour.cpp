/// Ways round keep-outs. No source but plane geometry: a way is free where it and the rectangle that each of its parts spans hold no place
/// of an obstacle, and the shortest way round one box is known on paper.
#include "burin/motion/detour.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "check.hpp"

using namespace burin;
using Catch::Matchers::WithinAbs;

namespace {

Move rapid_to(double x, double y, double z) {
    Move move;
    move.to = {x, y, z};
    return move;
}

Toolpath rapids(std::vector<Point3> places) {
    Toolpath path;
    path.track.start = places.front();
    for (std::size_t k = 1; k < places.size(); ++k) path.track.moves.push_back(rapid_to(places[k].x, places[k].y, places[k].z));
    return path;
}

/// Whether some place of the rapids' rectangles, sampled closely, lies deep in a box.
bool enters(const Track& track, const std::vector<Box>& boxes) {
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        for (int i = 0; i <= 20; ++i)
            for (int j = 0; j <= 20; ++j) {
                const Point p{at.x + (move.to.x - at.x) * i / 20, at.y + (move.to.y - at.y) * j / 20};
                if (std::any_of(boxes.begin(), boxes.end(), [&](const Box& box) { return box.holds(p, -1e-9); })) return true;
            }
        at = move.to;
    }
    return false;
}

double length_of(const Track& track) {
    double length = 0;
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        length += std::hypot(move.to.x - at.x, move.to.y - at.y);
        at = move.to;
    }
    return length;
}

}  // namespace

TEST_CASE("a rapid goes round a box on the shorter side") {
    const std::vector<Box> boxes{{{40, 10}, {60, 80}}};
    Toolpath path = rapids({{0, 20, 3}, {100, 20, 3}});
    path.passes.push_back({1, -1, "lines"});
    path.track.events.push_back({1, EventKind::dwell, 1, 0});
    CHECK(go_round(path, [&](double) { return boxes; }) == 1);
    // Under the box, whose lower side lies 10 mm below the way: (0, 20), (40, 10), (60, 10), (100, 20).
    REQUIRE(path.track.moves.size() == 3);
    CHECK((path.track.moves[0].to == Point3{40, 10, 3} && path.track.moves[1].to == Point3{60, 10, 3}));
    CHECK_THAT(length_of(path.track), WithinAbs(2 * std::hypot(40, 10) + 20, 1e-9));
    CHECK(path.track.moves[2].to == Point3{100, 20, 3});
    CHECK((path.passes[0].first == 3 && path.track.events[0].before == 3));
}

TEST_CASE("rapids above a clamp, cuts, and rapids with no way round stay as they are") {
    const auto box = [](double z) { return z < 12 ? std::vector<Box>{{{40, 10}, {60, 80}}} : std::vector<Box>{}; };
    const Toolpath over = rapids({{0, 20, 12}, {100, 20, 12}, {100, 20, 3}});
    Toolpath path = over;
    CHECK(go_round(path, box) == 0);
    CHECK(path.track.moves.size() == 2);
    path = rapids({{0, 20, 3}, {100, 20, 3}});
    path.track.moves[0].kind = MoveKind::feed;
    CHECK(go_round(path, box) == 0);
    path = rapids({{0, 20, 3}, {50, 20, 3}});  // ends in it
    CHECK(go_round(path, box) == 0);
    CHECK(path.track.moves.size() == 1);
}

TEST_CASE("whatever stands about, ways round enter nothing and arrive") {
    std::mt19937 chance(20261126);
    const auto between = [&](double lo, double hi) { return std::uniform_real_distribution<>(lo, hi)(chance); };
    std::size_t round = 0;
    for (int trial = 0; trial < 300; ++trial) {
        std::vector<Box> boxes;
        for (int k = 0; k < 1 + trial % 7; ++k) {
            const Point p{between(0, 100), between(0, 80)};
            boxes.push_back({p, {p.x + between(2, 40), p.y + between(2, 40)}});
        }
        std::vector<Point3> places;
        while (places.size() < 6) {
            const Point p{between(-10, 130), between(-10, 120)};
            if (std::none_of(boxes.begin(), boxes.end(), [&](const Box& box) { return box.holds(p); })) places.push_back({p.x, p.y, 2});
        }
        Toolpath path = rapids(places);
        const std::size_t gone = go_round(path, [&](double) { return boxes; });
        // Boxes may fence a place in: then, and only then, a rapid stays.
        if (gone == 0 && enters(path.track, boxes)) continue;
        round += gone;
        Toolpath again = path;
        const std::size_t second = go_round(again, [&](double) { return boxes; });
        CHECK(second == 0);  // what is free needs nothing, what is fenced in has no way
        for (const Point3& place : places)
            CHECK((place == places.front() ||
                   std::any_of(path.track.moves.begin(), path.track.moves.end(), [&](const Move& move) { return move.to == place; })));
    }
    CHECK(round > 300);
    // Of three boxes that do not touch, no place is fenced in.
    const std::vector<Box> apart{{{10, 10}, {30, 60}}, {{40, 20}, {60, 90}}, {{70, -10}, {90, 50}}};
    for (int trial = 0; trial < 100; ++trial) {
        std::vector<Point3> places;
        while (places.size() < 5) {
            const Point p{between(-10, 110), between(-20, 100)};
            if (std::none_of(apart.begin(), apart.end(), [&](const Box& box) { return box.holds(p); })) places.push_back({p.x, p.y, 2});
        }
        Toolpath path = rapids(places);
        (void)go_round(path, [&](double) { return apart; });
        CHECK_FALSE(enters(path.track, apart));
    }
}
