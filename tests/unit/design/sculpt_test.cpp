/// What a bas-relief must do, on surfaces whose answer is known on paper: attenuate large steps more than small ones and
/// keep both sharp, keep planes planes and flat ground flat, with no bowl and no halo (Weyrich and others 2007).
#include <numbers>
#include <vector>

#include "burin/design/heights.hpp"
#include "check.hpp"
#include "pictures.hpp"

using namespace burin;
using namespace pictures;

namespace {

/// Depth maps (16 bits), so that values count as they are.
template <class Value>
HeightMap sculpt(double width, double height, Value value, double cell = 0.1) {
    const Picture p = grey(
        static_cast<int>(std::lround(width / cell)), static_cast<int>(std::lround(height / cell)),
        [&](double x, double y) { return value(x * width, y * height); }, 16);
    HeightsWishes w = wishes(HeightsKind::sculpt, width, height, cell);
    w.black = 0;
    w.white = 100;
    return make_heights(p, w, hands(2)).heights;
}

struct Spread {
    double low, high;
    [[nodiscard]] double size() const { return high - low; }
};
/// Least and greatest height where in(x, y) holds.
template <class In>
Spread spread(const HeightMap& map, In in) {
    Spread s{1e9, -1e9};
    for (int j = 0; j < map.height(); ++j)
        for (int i = 0; i < map.width(); ++i) {
            const Point c = map.centre(i, j);
            if (!in(c.x, c.y)) continue;
            s.low = std::min(s.low, static_cast<double>(map(i, j)));
            s.high = std::max(s.high, static_cast<double>(map(i, j)));
        }
    return s;
}

}  // namespace

TEST_CASE("Sculpt fills the depth wanted") {
    const HeightMap map = sculpt(40, 30, [](double x, double y) { return 0.5 + 0.2 * std::sin(x) * std::cos(0.7 * y) + 0.01 * x; });
    const Spread all = spread(map, [](double, double) { return true; });
    CHECK(all.low == Approx(-2).margin(1e-4));  // source: the lowest point is the depth, the highest the stock top
    CHECK(all.high == Approx(0).margin(1e-4));
}

TEST_CASE("A plane stays a plane") {
    const HeightMap map = sculpt(40, 30, [](double x, double y) { return 0.1 + 0.015 * x + 0.005 * y; });
    // Source: its slope is the same everywhere, so attenuation takes the same share everywhere.
    double sx = 0, sy = 0;
    int n = 0;
    for (int j = 50; j < 250; ++j)
        for (int i = 50; i < 350; ++i, ++n) {
            sx += (map(i + 1, j) - map(i - 1, j)) / 0.2;
            sy += (map(i, j + 1) - map(i, j - 1)) / 0.2;
        }
    sx /= n;
    sy /= n;
    CHECK(sy / sx == Approx(1.0 / 3).epsilon(0.02));
    for (int j = 5; j < 300; j += 10)
        for (int i = 5; i < 400; i += 10)
            CHECK(map(i, j) - map(200, 150) == Approx(sx * (i - 200) * 0.1 + sy * (j - 150) * 0.1).margin(0.03));
}

TEST_CASE("A flat background stays flat round steep figures: no bowl, no halo") {
    // A tall block, a low one and a bulge, two of them touching, on flat ground.
    const auto scene = [](double x, double y) {
        double z = 0;
        if (std::abs(x - 20) < 8 && std::abs(y - 18) < 6) z = 0.9;
        if (std::hypot(x - 42, y - 28) < 5) z = 0.25;
        const double r = std::hypot(x - 33, y - 18);
        if (r < 7) z = std::max(z, 0.6 * std::sqrt(1 - r * r / 49));
        return z;
    };
    const HeightMap map = sculpt(60, 40, scene);
    const auto ground = [&](double x, double y, double away) {
        for (int k = 0; k < 16; ++k)
            if (scene(x + away * std::cos(k * std::numbers::pi / 8), y + away * std::sin(k * std::numbers::pi / 8)) > 0) return false;
        return scene(x, y) == 0;
    };
    const Spread far = spread(map, [&](double x, double y) { return ground(x, y, 2.0); });
    const Spread near = spread(map, [&](double x, double y) { return ground(x, y, 0.7); });
    INFO("ground varies by " << far.size() << ", beside the figures by " << near.size());
    CHECK(far.size() < 0.03 * 2);  // common practice, no source: not seen below three per cent of the depth
    CHECK(near.size() < 0.05 * 2);
    const Spread top = spread(map, [](double x, double y) { return std::abs(x - 19) < 5.5 && std::abs(y - 18) < 4.5; });
    INFO("top varies by " << top.size());
    CHECK(top.size() < 0.05 * 2);
    CHECK(top.low > far.high + 0.4);
}

TEST_CASE("Steps stay sharp, large ones lose more than small ones") {
    const std::vector<double> steps = {0.02, 0.1, 0.7};
    const HeightMap map =
        sculpt(60, 30, [&](double x, double) { return 0.1 + (x > 15 ? steps[0] : 0) + (x > 30 ? steps[1] : 0) + (x > 45 ? steps[2] : 0); });
    std::vector<double> left;
    for (const int at : {150, 300, 450}) {
        const double whole = map(at + 20, 150) - map(at - 21, 150), sharp = map(at + 1, 150) - map(at - 2, 150);
        left.push_back(whole);
        if (at > 150) CHECK(sharp > 0.7 * whole);  // within three cells
    }
    // Source: attenuation (1 + D/α)^(−p), falling with the step: the share kept is the less the larger the step.
    CHECK(left[0] > 0);
    CHECK(left[0] / steps[0] > 1.15 * left[1] / steps[1]);
    CHECK(left[1] / steps[1] > 1.4 * left[2] / steps[2]);
    CHECK(left[2] > left[1]);  // silhouettes are kept: the largest stays the largest
    CHECK(left[1] > left[0]);
}

TEST_CASE("A step keeps its share at any size of cell") {
    const auto scene = [](double x, double) { return x < 10 ? 0.1 : x < 20 ? 0.2 : 0.9; };
    const HeightMap coarse = sculpt(30, 20, scene, 0.2), fine = sculpt(30, 20, scene, 0.05);
    const double a = coarse(75, 50) - coarse(25, 50), b = fine(300, 200) - fine(100, 200);
    CHECK(a == Approx(b).epsilon(0.1));  // source: contrast is taken over mm, not over cells
}

TEST_CASE("Sizes that cosine transforms dislike work as well") {
    for (const auto& size : std::vector<Point>{{9.7, 10.1}, {0.1, 3.1}, {12.8, 0.3}, {20.3, 15.7}}) {
        const double w = size.x, h = size.y;
        const HeightMap map = sculpt(w, h, [&](double x, double y) { return 0.2 + 0.6 * (x / w) * 0.5 + 0.3 * (y / h); });
        for (const float v : map.values()) CHECK(std::isfinite(v));
        CHECK(map(map.width() - 1, map.height() - 1) > map(0, 0) + 1);  // source: it rises that way
    }
}
