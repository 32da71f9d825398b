/// Facing: all of the top is reached, nothing lies below the plane, and the bit comes down where it may. No source but plane geometry: a
/// flat bit of radius r cuts what lies within r of its middle's way.
#include "burin/toolpath/face.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <vector>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

double to_way(const Point& p, const Point3& a, const Point3& b) {
    const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
    const double t = length > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length, 0.0, 1.0) : 0;
    return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

struct Stretch {
    Point3 from, to;
    MoveKind kind = MoveKind::rapid;
};

std::vector<Stretch> stretches_of(const Track& track) {
    std::vector<Stretch> all;
    Point3 at = track.start;
    for (const Move& move : track.moves) {
        all.push_back({at, move.to, move.kind});
        at = move.to;
    }
    return all;
}

bool on_stock(const Stock& stock, const Point& p) {
    if (stock.outline != Outline::round) return stock.bounds.holds(p);
    const Point c = stock.bounds.centre();
    return std::hypot((p.x - c.x) / stock.bounds.width(), (p.y - c.y) / stock.bounds.height()) <= 0.5;
}

/// Places of the stock, close together.
std::vector<Point> places_of(const Stock& stock, double apart) {
    std::vector<Point> places;
    for (double y = stock.bounds.lo.y; y <= stock.bounds.hi.y; y += apart)
        for (double x = stock.bounds.lo.x; x <= stock.bounds.hi.x; x += apart)
            if (on_stock(stock, {x, y})) places.push_back({x, y});
    return places;
}

FaceOrder order_of(const char* bit, Outline outline, double width, double height) {
    FaceOrder order{{Bit::parse(bit), 900, 300, 0.8}, {}, 1.3, 0.45 * Bit::parse(bit).diameter()};
    order.stock.outline = outline;
    order.stock.bounds = {{10, 20}, {10 + width, 20 + height}};
    order.run_out = order.bit.bit.radius() + 1;
    return order;
}

/// Whether what is taken away lies on the right of the way, weighed over all of the floor's cuts: what a clockwise spindle calls climbing.
double right_share(const FacePlan& plan, const FaceOrder& order) {
    std::vector<Point> left = places_of(order.stock, 0.4);
    const double r = order.bit.bit.radius();
    double right = 0, all = 0;
    for (const Stretch& s : stretches_of(plan.path.track)) {
        if (s.kind == MoveKind::rapid || s.from.z > 1e-9 || s.to.z > 1e-9) continue;
        const auto gone = std::partition(left.begin(), left.end(), [&](const Point& p) { return to_way(p, s.from, s.to) > r; });
        for (auto p = gone; p != left.end(); ++p) {
            const double across = (s.to.x - s.from.x) * (p->y - s.from.y) - (s.to.y - s.from.y) * (p->x - s.from.x);
            right += across < 0 ? 1 : 0, all += 1;
        }
        left.erase(gone, left.end());
    }
    return all > 0 ? right / all : 0;
}

}  // namespace

TEST_CASE("facing reaches every place of the top, however it sweeps") {
    std::mt19937 chance(20261126);
    const auto between = [&](double lo, double hi) { return std::uniform_real_distribution<>(lo, hi)(chance); };
    for (int round = 0; round < 60; ++round) {
        const char* bit = round % 2 == 0 ? "flat:6" : "flat:12.7";
        FaceOrder order = order_of(bit, round % 3 == 0 ? Outline::round : Outline::rectangle, between(30, 120), between(30, 120));
        const double r = order.bit.bit.radius();
        order.sweep = round % 4 < 2 ? FaceSweep::rows : FaceSweep::spiral;
        order.stepover = between(0.2, 0.8) * 2 * r;
        order.run_out = between(0, r + 3);
        order.one_way = order.sweep == FaceSweep::rows && round % 5 == 0;
        order.rise = between(0.1, 3);
        INFO("round " << round << ", " << bit << ", run-out " << order.run_out << ", stepover " << order.stepover);
        const FacePlan plan = plan_face(order);
        CHECK(plan.levels == static_cast<int>(std::ceil(order.rise / order.bit.depth_per_pass - 1e-9)));
        CHECK(plan.stepover <= order.stepover + 1e-9);
        const std::vector<Stretch> all = stretches_of(plan.path.track);
        std::vector<Stretch> floor;
        double lowest = 1;
        for (const Stretch& s : all) {
            lowest = std::min(lowest, s.to.z);
            if (s.kind != MoveKind::rapid && s.from.z < 1e-9 && s.to.z < 1e-9) floor.push_back(s);
        }
        CHECK(lowest == 0);
        double farthest = 0;
        for (const Point& p : places_of(order.stock, 1.1)) {
            double nearest = 1e9;
            for (const Stretch& s : floor) nearest = std::min(nearest, to_way(p, s.from, s.to));
            farthest = std::max(farthest, nearest);
        }
        CHECK(farthest <= r);
    }
}

TEST_CASE("a facing bit comes down beside the stock, or gently where there is no room") {
    for (const Outline outline : {Outline::rectangle, Outline::round})
        for (const FaceSweep sweep : {FaceSweep::rows, FaceSweep::spiral})
            for (const double run_out : {4.0, 1.0}) {
                FaceOrder order = order_of("flat:6", outline, 90, 60);
                order.sweep = sweep;
                order.run_out = run_out;
                const FacePlan plan = plan_face(order);
                CHECK(plan.from_beside == (run_out == 4.0));
                const std::vector<Point> places = places_of(order.stock, 0.5);
                double lowest = order.rise;
                for (const Stretch& s : stretches_of(plan.path.track)) {
                    if (s.kind == MoveKind::rapid) {
                        CHECK(s.to.z > lowest);  // never in the stock: above what is cut already
                        if (flat(s.from) != flat(s.to)) CHECK(s.to.z >= order.rise);
                        continue;
                    }
                    lowest = std::min(lowest, s.to.z);
                    if (s.to.z >= s.from.z) continue;
                    if (!plan.from_beside) {
                        const double way = std::hypot(s.to.x - s.from.x, s.to.y - s.from.y);
                        CHECK(s.from.z - s.to.z <= 0.05 * way + 1e-9);  // 3 degrees
                        continue;
                    }
                    const bool clear =
                        std::none_of(places.begin(), places.end(), [&](const Point& p) { return to_way(p, s.from, s.to) < 3.0; });
                    CHECK(clear);
                }
            }
}

TEST_CASE("rows that run one way, and spirals, climb unless they are told not to") {
    for (const bool tall : {false, true})
        for (const FaceSweep sweep : {FaceSweep::rows, FaceSweep::spiral})
            for (const Outline outline : {Outline::rectangle, Outline::round}) {
                FaceOrder order = order_of("flat:6", outline, tall ? 50 : 80, tall ? 80 : 50);
                order.sweep = sweep;
                order.one_way = sweep == FaceSweep::rows;
                INFO((tall ? "tall" : "wide") << (sweep == FaceSweep::rows ? " rows" : " spiral")
                                              << (outline == Outline::round ? ", round" : ", rectangle"));
                CHECK(right_share(plan_face(order), order) > 0.6);
                order.conventional = true;
                CHECK(right_share(plan_face(order), order) < 0.4);
            }
}

TEST_CASE("an area of the spoilboard is levelled up to its edges, and no bit leaves it") {
    FaceOrder order = order_of("flat:6", Outline::rectangle, 100, 70);
    order.run_out = -3;
    for (const FaceSweep sweep : {FaceSweep::rows, FaceSweep::spiral}) {
        order.sweep = sweep;
        const FacePlan plan = plan_face(order);
        const Box& area = order.stock.bounds;
        const Box inner{{area.lo.x + 3, area.lo.y + 3}, {area.hi.x - 3, area.hi.y - 3}};
        std::vector<Stretch> floor;
        for (const Stretch& s : stretches_of(plan.path.track)) {
            if (s.kind == MoveKind::rapid) continue;
            CHECK(
                (s.to.x >= inner.lo.x - 1e-6 && s.to.x <= inner.hi.x + 1e-6 && s.to.y >= inner.lo.y - 1e-6 && s.to.y <= inner.hi.y + 1e-6));
            if (s.from.z < 1e-9 && s.to.z < 1e-9) floor.push_back(s);
        }
        for (const Point& p : places_of(order.stock, 0.9)) {
            const Point in{std::clamp(p.x, inner.lo.x, inner.hi.x), std::clamp(p.y, inner.lo.y, inner.hi.y)};
            if (distance(p, in) > 2.99) continue;  // the corners keep the bit's radius
            double nearest = 1e9;
            for (const Stretch& s : floor) nearest = std::min(nearest, to_way(p, s.from, s.to));
            CHECK(nearest <= 3.0);
        }
    }
}

TEST_CASE("facing that cannot be is refused") {
    const auto wrong = [](auto&& change) {
        FaceOrder order = order_of("flat:6", Outline::rectangle, 80, 50);
        change(order);
        CHECK_THROWS_AS(plan_face(order), Error);
    };
    wrong([](FaceOrder& o) { o.bit.bit = Bit::parse("ball:3"); });
    wrong([](FaceOrder& o) { o.rise = 0; });
    wrong([](FaceOrder& o) { o.stepover = 5; });
    wrong([](FaceOrder& o) { o.bit.depth_per_pass = 0; });
    wrong([](FaceOrder& o) { o.run_out = -30; });
    wrong([](FaceOrder& o) { o.stock.outline = Outline::round, o.run_out = -1; });
}
