// Ways in a vertical plane: thinning from above, and what is done at walls.
#include "../../../src/toolpath/profile.hpp"

#include <algorithm>
#include <cmath>
#include <random>

#include "check.hpp"

using namespace burin;

namespace {

using Profile = std::vector<ProfilePoint>;

double height_at(const Profile& line, double d) {
    std::size_t k = 1;
    while (k + 1 < line.size() && line[k].d < d) ++k;
    const ProfilePoint &a = line[k - 1], &b = line[k];
    return b.d > a.d ? a.z + (b.z - a.z) * (d - a.d) / (b.d - a.d) : b.z;
}

/// Least height of the way over d.
double lowest_at(const Profile& way, double d) {
    double least = 1e9;
    for (std::size_t k = 1; k < way.size(); ++k) {
        const ProfilePoint &a = way[k - 1], &b = way[k];
        if (d < std::min(a.d, b.d) - 1e-9 || d > std::max(a.d, b.d) + 1e-9) continue;
        if (std::abs(b.d - a.d) < 1e-9)
            least = std::min(least, std::min(a.z, b.z));
        else
            least = std::min(least, a.z + (b.z - a.z) * (d - a.d) / (b.d - a.d));
    }
    return least;
}

/// How far the way goes below what it may: between neighbours that differ by more than `low` the upper one's height
/// holds all the way, else the straight line.
double cuts_in(const Profile& way, const Profile& points, double low) {
    double most = 0;
    for (std::size_t k = 1; k < points.size(); ++k) {
        const ProfilePoint &a = points[k - 1], &b = points[k];
        const bool wall = std::abs(b.z - a.z) > low;
        for (int n = 0; n <= 20; ++n) {
            const double t = n / 20.0, d = a.d + (b.d - a.d) * t;
            const double may = n == 0 ? a.z : n == 20 ? b.z : wall ? std::max(a.z, b.z) : a.z + (b.z - a.z) * t;
            most = std::max(most, may - lowest_at(way, d));
        }
    }
    return most;
}

}  // namespace

TEST_CASE("thinning from above never dips below the way and rises at most the tolerance") {
    // Source: profile.hpp's promise, at every point and, as both are straight between points, therefore everywhere.
    std::mt19937 random(20240);
    std::normal_distribution<double> noise(0, 1);
    for (int round = 0; round < 300; ++round) {
        Profile points{{0, -1}};
        const double rough = round % 5 == 0 ? 0.0005 : round % 5 == 1 ? 0.004 : round % 5 == 2 ? 0.03 : round % 5 == 3 ? 1.0 : 0.0;
        double slope = 0;
        for (int k = 1; k < 150; ++k) {
            slope += 0.05 * noise(random);
            const double step = round % 2 ? 0.1 : 0.02 + 0.1 * std::abs(noise(random));
            points.push_back({points.back().d + step, points.back().z + 0.3 * slope * step + rough * noise(random)});
        }
        for (const double tolerance : {0.0, 0.005, 0.05}) {
            const Profile kept = thinned_above(points, tolerance);
            double below = 0, above = 0;
            for (const ProfilePoint& p : points) {
                below = std::max(below, p.z - height_at(kept, p.d));
                above = std::max(above, height_at(kept, p.d) - p.z);
            }
            INFO("round " << round << ", seed 20240, tolerance " << tolerance);
            CHECK(below < 1e-9);
            CHECK(above <= tolerance + 1e-9);
            CHECK(kept.front().d == points.front().d);
            CHECK(kept.back().d == points.back().d);
            CHECK(kept.size() <= points.size());
        }
    }
}

TEST_CASE("a straight way keeps two points, a round one few") {
    // Source: plane geometry: a chord of a circle of radius r with a rise of t spans 2 √(2 r t), here 2 √(2 · 20 · 0.005) =
    // 0.894, so 8 ⁄ 0.894 = 9 chords; a greedy thinning from one side needs no more than twice that.
    Profile straight, round;
    for (int k = 0; k <= 80; ++k) {
        straight.push_back({0.1 * k, -1 + 0.02 * k});
        round.push_back({0.1 * k, std::sqrt(400 - (0.1 * k - 4) * (0.1 * k - 4)) - 20});
    }
    CHECK(thinned_above(straight, 1e-6).size() == 2);
    CHECK(thinned_above(round, 0.005).size() <= 20);
    CHECK(thinned_above({{0, 1}}, 0.005).size() == 1);
    CHECK(thinned_above({}, 0.005).empty());
}

TEST_CASE("a wall is gone up at its foot and down beyond its edge") {
    // Source: profile.hpp. Floor, wall, plateau, wall, floor; both floors are reached up to the walls' feet.
    Profile points;
    for (int k = 0; k < 30; ++k) points.push_back({0.1 * k, k < 10 || k >= 20 ? -2.0 : -0.2});
    const Profile way = safe_profile(points, {0.5, 0.05}, 0.005);
    CHECK(cuts_in(way, points, 0.05) < 1e-9);
    CHECK(lowest_at(way, 0.9) == Approx(-2));
    CHECK(lowest_at(way, 2.0) == Approx(-2));
    CHECK(lowest_at(way, 1.0) == Approx(-0.2));
    CHECK(lowest_at(way, 1.9) == Approx(-0.2));
    CHECK(way.front().d == 0);
    CHECK(way.back().d == Approx(2.9));
}

TEST_CASE("a valley of steps is reached at its bottom") {
    // Source: promise 2. Steps below a wall's height down and up again, as round bits of few cells have them.
    Profile points;
    for (int k = 0; k < 12; ++k) points.push_back({0.1 * k, -0.1 * std::min(k, 11 - k)});
    points[6].z = -0.62;
    const Profile way = safe_profile(points, {0.5, 0.05}, 0.005);
    CHECK(cuts_in(way, points, 0.05) < 1e-9);
    CHECK(lowest_at(way, 0.6) <= -0.615);
}

TEST_CASE("ways over random profiles with walls and steps stay clear of them and leave nothing that they can reach") {
    // Source: profile.hpp. Reached: every point but those within a falling flight of steps, where the way may lag one point
    // behind, and slots one point wide.
    std::mt19937 random(606);
    std::uniform_real_distribution<double> share(0, 1);
    for (int round = 0; round < 200; ++round) {
        Profile points{{0, -1}};
        for (int k = 1; k < 100; ++k) {
            const double jump = share(random) < 0.08 ? 2 * (share(random) - 0.5) : 0.02 * (share(random) - 0.5);
            points.push_back({0.1 * k, std::clamp(points.back().z + jump, -3.0, 0.0)});
        }
        const Walls walls{0.4, round % 2 ? 0.05 : 0.4};
        const Profile way = safe_profile(points, walls, 0.005);
        INFO("round " << round << ", seed 606");
        CHECK(cuts_in(way, points, walls.low) < 1e-9);
        double missed = 0;
        for (std::size_t k = 1; k + 1 < points.size(); ++k) {
            const double fall = points[k - 1].z - points[k].z, rise = points[k + 1].z - points[k].z;
            if (fall > walls.low && fall <= walls.high && -rise > walls.low) continue;  // within a falling flight of steps
            if (fall > walls.high && rise > walls.high) continue;                       // slot
            missed = std::max(missed, lowest_at(way, points[k].d) - points[k].z);
        }
        CHECK(missed <= 0.005 + 1e-9);
        CHECK(way.front().d == points.front().d);
        CHECK(way.back().d == Approx(points.back().d));
    }
}
