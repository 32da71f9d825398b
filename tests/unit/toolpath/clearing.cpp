// Clearing one level of a region: everything is swept, nothing outside is touched, and the way down is gentle.
#include "../../../src/toolpath/clearing.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "check.hpp"
#include "replay.hpp"

using namespace burin;
using namespace burin::test;

namespace {

using Mask = Grid<std::uint8_t>;
constexpr double cell = 0.1;

Mask random_region(std::mt19937& random) {
    Mask region(140, 110, cell);
    std::uniform_int_distribution<int> i(18, 110), j(18, 80), size(1, 45);
    for (int n = 0; n < 9; ++n) {
        const int i0 = i(random), j0 = j(random), w = size(random), h = size(random);
        const bool round = n % 3 == 0;
        for (int y = j0; y < std::min(92, j0 + h); ++y)
            for (int x = i0; x < std::min(122, i0 + w); ++x)
                if (!round || std::hypot((x - i0 - w / 2.0) / w, (y - j0 - h / 2.0) / h) < 0.5) region(x, y) = n % 5 != 4;
    }
    return region;
}

LevelOrder order_of(const Bit& bit, double z, double most_peck) {
    LevelOrder order;
    order.z = z;
    order.stepover = 0.9 * bit.radius();
    order.tolerance = 0.02;
    order.ramp = 0.2;
    order.most = 1;
    order.diameter = bit.diameter();
    order.most_peck = most_peck;
    return order;
}

/// Every way of the level from below `from`, as far as its places are those of cells.
template <class Act>
void for_places(const Track& track, double below, const Act& act) {
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        const int steps = 1 + static_cast<int>(distance(at, move.to) / 0.02);
        for (int k = 0; k <= steps; ++k) {
            const double t = static_cast<double>(k) / steps;
            const Point3 p{at.x + (move.to.x - at.x) * t, at.y + (move.to.y - at.y) * t, at.z + (move.to.z - at.z) * t};
            if (p.z < below) act(p);
        }
        at = move.to;
    }
}

}  // namespace

TEST_CASE("random regions are swept wholly by a flat bit that stays within them") {
    // Source: clearing.hpp: every cell of the region lies within a stepover of the way, so the bit has cut it; the tip goes
    // where the region is, so that nothing is cut farther from it than the bit's radius. To a cell and the thinning.
    std::mt19937 random(314);
    for (const char* name : {"flat:3.175", "flat:1.0"}) {
        const Bit bit = Bit::parse(name);
        for (int round = 0; round < 6; ++round) {
            const Mask region = random_region(random);
            Pen pen(400, 120, 3);
            pen.pass("level", -1);
            CHECK(clear_level(pen, region, nullptr, 0, order_of(bit, -1, 1), nullptr) > 0);
            pen.retract();
            HeightMap stock = region.like(0.F);
            const Toolpath path = pen.take();
            const Seen seen = replay(bit, path.track, {1, 0, 120}, stock);
            INFO(name << ", round " << round << ", seed 314");
            CHECK(seen.rapid_in_stock < 1e-6);
            CHECK(seen.slanted_rapids == 0);
            CHECK(seen.fast_descents == 0);
            CHECK(seen.most_at_once <= 1 + 1e-6);
            CHECK(seen.section <= 1.15);
            CHECK(seen.lowest == Approx(-1).margin(1e-9));
            const int reach = static_cast<int>((bit.radius() + cell) / cell) + 1;
            std::size_t left = 0, strayed = 0;
            for (int j = 0; j < region.height(); ++j)
                for (int i = 0; i < region.width(); ++i) {
                    left += region(i, j) && stock(i, j) > -1 + 1e-5F;
                    bool near = false;
                    for (int b = -reach; b <= reach && !near; ++b)
                        for (int a = -reach; a <= reach && !near; ++a)
                            near =
                                region.holds(i + a, j + b) && region(i + a, j + b) && cell * std::hypot(a, b) <= bit.radius() + 0.75 * cell;
                    strayed += !near && stock(i, j) < 0;
                }
            CHECK(left == 0);
            CHECK(strayed == 0);
        }
    }
}

TEST_CASE("ramps are no steeper than allowed and nothing goes straight down where it must not") {
    // Source: promise 4, and LevelOrder::ramp.
    std::mt19937 random(159);
    const Bit bit = Bit::parse("flat:2.0");
    for (int round = 0; round < 6; ++round) {
        const Mask region = random_region(random);
        for (const double ramp : {0.05, 0.2}) {
            Pen pen(400, 120, 3);
            LevelOrder order = order_of(bit, -0.8, 0);
            order.ramp = ramp;
            clear_level(pen, region, nullptr, 0, order, nullptr);
            const Track track = pen.take().track;
            double steepest = 0, upright = 0;
            Point3 at = track.start;
            for (const Move& move : track.moves) {
                const double across = distance(flat(at), flat(move.to)), down = std::min(at.z, 0.0) - std::min(move.to.z, 0.0);
                if (across < 1e-9)
                    upright = std::max(upright, down);
                else
                    steepest = std::max(steepest, down / across);
                at = move.to;
            }
            INFO("round " << round << ", ramp " << ramp << ", seed 159");
            CHECK(upright < 1e-9);
            CHECK(steepest <= ramp + 1e-6);
            HeightMap stock = halved(region.like(0.F));
            const Seen seen = replay(bit, track, {0.8, 0, 120}, stock);
            CHECK(seen.peck < 1e-6);
            // Along a ramp the section stays that of a slot as deep as is allowed.
            CHECK(seen.section <= 1.25);  // most is 1 here, held against 0.8
        }
    }
}

TEST_CASE("a region one cell wide is followed from end to end") {
    // Source: a channel exactly as wide as the bit is reached: its tip has one row of cells.
    for (const double most_peck : {0.0, 1.0})
        for (const double tolerance : {0.005, 0.02}) {
            Mask region(140, 60, cell);
            for (int i = 20; i < 120; ++i) region(i, 30) = 1;
            for (int j = 20; j < 45; ++j) region(50, j) = 1;
            Pen pen(400, 120, 3);
            LevelOrder order = order_of(Bit::parse("flat:2.0"), -0.5, most_peck);
            order.tolerance = tolerance;
            clear_level(pen, region, nullptr, 0, order, nullptr);
            Mask passed = region.like(std::uint8_t{0});
            for_places(pen.take().track, -0.5 + 1e-6, [&](const Point3& p) {
                const int i = static_cast<int>(p.x / cell), j = static_cast<int>(p.y / cell);
                if (passed.holds(i, j)) passed(i, j) = 1;
            });
            std::size_t missed = 0, strayed = 0;
            for (int j = 0; j < 60; ++j)
                for (int i = 0; i < 140; ++i) {
                    missed += region(i, j) && !passed(i, j);
                    strayed += !region(i, j) && passed(i, j);
                }
            INFO("tolerance " << tolerance << ", straight plunges up to " << most_peck);
            CHECK(missed <= 3);  // the three ends' last cells, to the lines' corners
            CHECK(strayed == 0);
        }
}

TEST_CASE("a level below a cleared one is entered from the cleared height") {
    // Source: clearing.hpp: stock lies nowhere above stock_z. No way in the air is cut at feed deeper than the clearance.
    const Bit bit = Bit::parse("flat:2.0");
    Mask region(140, 110, cell);
    for (int j = 30; j < 80; ++j)
        for (int i = 30; i < 110; ++i) region(i, j) = 1;
    HeightMap stock(140, 110, cell);
    Pen pen(400, 120, 3);
    clear_level(pen, region, nullptr, 0, order_of(bit, -1, 1), nullptr);
    clear_level(pen, region, nullptr, -1, order_of(bit, -2, 1), nullptr);
    pen.retract();
    const Track track = pen.take().track;
    const Seen seen = replay(bit, track, {1, 0, 120}, stock);
    CHECK(seen.rapid_in_stock < 1e-6);
    CHECK(seen.most_at_once <= 1 + 1e-6);
    CHECK(seen.lowest == Approx(-2));
    double idle = 0;
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        if (move.kind == MoveKind::feed && distance(flat(at), flat(move.to)) < 1e-9 && move.to.z < at.z)
            idle = std::max(idle, at.z - move.to.z);
        at = move.to;
    }
    CHECK(idle <= 0.5 + 1e-6);
}

TEST_CASE("the way is marked where it has been") {
    // Source: clearing.hpp and pen.hpp: `reached` holds z in every cell that the way crosses.
    const Bit bit = Bit::parse("ball:1.0");
    std::mt19937 random(26);
    const Mask region = random_region(random);
    HeightMap reached = region.like(1e6F);
    Pen pen(400, 120, 3);
    clear_level(pen, region, nullptr, 0, order_of(bit, -0.4, 1), &reached);
    Mask passed = region.like(std::uint8_t{0});
    for_places(pen.take().track, -0.4 + 1e-6,
               [&](const Point3& p) { passed(static_cast<int>(p.x / cell), static_cast<int>(p.y / cell)) = 1; });
    std::size_t marked = 0, wrong = 0;
    for (int j = 0; j < region.height(); ++j)
        for (int i = 0; i < region.width(); ++i) {
            if (reached(i, j) > 1e5F) continue;
            ++marked;
            bool near = false;
            for (int b = -1; b <= 1; ++b)
                for (int a = -1; a <= 1; ++a) near = near || (passed.holds(i + a, j + b) && passed(i + a, j + b));
            wrong += !near || reached(i, j) != -0.4F;
        }
    CHECK(marked > 200);
    CHECK(wrong == 0);
}
