// Whole reliefs, planned and then replayed slowly: the promises hold on surfaces known on paper and on random ones.
#include "burin/toolpath/relief.hpp"

#include <cmath>
#include <functional>
#include <numbers>
#include <random>
#include <string>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"
#include "burin/toolpath/offset.hpp"
#include "check.hpp"
#include "replay.hpp"

using namespace burin;
using namespace burin::test;

namespace {

constexpr double margin = 2, width = 12, height = 10;       // mm
using Surface = std::function<double(double x, double y)>;  // x, y from the picture's lower left corner

HeightMap design_of(const Surface& surface, double cell = 0.1) {
    HeightMap map(static_cast<int>(std::lround((width + 2 * margin) / cell)), static_cast<int>(std::lround((height + 2 * margin) / cell)),
                  cell, {-margin, -margin}, 0.F);
    for (int j = 0; j < map.height(); ++j)
        for (int i = 0; i < map.width(); ++i)
            if (const Point c = map.centre(i, j); c.x > 0 && c.x < width && c.y > 0 && c.y < height)
                map(i, j) = static_cast<float>(std::min(0.0, surface(c.x, c.y)));
    return map;
}

struct Named {
    const char* name;
    Surface surface;
};

const Named dish{"dish", [](double x, double y) {
                     return std::hypot(x - 6, y - 5) < 4.5 ? 10.0 - std::sqrt(156.25 - std::pow(x - 6, 2) - std::pow(y - 5, 2)) + 0.3 : 0.0;
                 }};
const Named wedge{"wedge", [](double x, double) { return -0.2 * x; }};
const Named peak{"cone of 75 degrees", [](double x, double y) {
                     return std::max(-3.0, -0.1 - std::tan(75 * std::numbers::pi / 180) * std::hypot(x - 6, y - 5));
                 }};
const Named pit{"pit of 75 degrees", [](double x, double y) {
                    return std::max(-3.0, -std::tan(75 * std::numbers::pi / 180) * std::max(0.0, 3 - std::hypot(x - 6, y - 5)));
                }};
const Named steps{"steps", [](double x, double y) { return y < 5 ? -0.4 * std::floor(x / 2) : -2.5 + 0.4 * std::floor(x / 3); }};
const Named narrow{"channels of 1.5 and 2 mm", [](double x, double y) {
                       return std::abs(y - 2.75) < 0.75 || std::abs(y - 7) < 1 ? -3.0 : (std::abs(x - 6) < 0.75 ? -3.0 : 0.0);
                   }};
const Named waves{"waves",
                  [](double x, double y) { return -1.2 + 0.8 * std::sin(1.3 * x) * std::cos(1.1 * y) + 0.2 * std::sin(4 * x + 3 * y); }};
const Named slanted{"channels as wide as the bit that fall", [](double x, double y) {
                        return std::abs(x - 3.05) < 0.45 ? -0.5 - 0.25 * y : std::abs(y - 5.05) < 0.45 && x > 5 ? -0.2 * x : 0.0;
                    }};
const Named pocket{"pocket with an island", [](double x, double y) { return std::hypot(x - 6, y - 5) < 1.5 ? -0.5 : -3.0; }};

/// Boxes, slopes and holes from a seed.
Surface random_surface(unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> share(0, 1);
    struct Patch {
        double x, y, w, h, z, lean, turn;
        bool round;
    };
    std::vector<Patch> patches;
    for (int n = 0; n < 14; ++n)
        patches.push_back({width * share(random), height * share(random), 0.3 + 4 * share(random), 0.3 + 4 * share(random),
                           -3 * share(random), share(random) < 0.5 ? 0 : 2 * (share(random) - 0.5), 3.2 * share(random),
                           share(random) < 0.4});
    return [patches](double x, double y) {
        double z = -0.6 + 0.3 * std::sin(x) * std::cos(0.7 * y);
        for (const Patch& p : patches) {
            const double u = (x - p.x) * std::cos(p.turn) + (y - p.y) * std::sin(p.turn),
                         v = (y - p.y) * std::cos(p.turn) - (x - p.x) * std::sin(p.turn);
            if (p.round ? std::hypot(u / p.w, v / p.h) < 0.5 : std::abs(u) < p.w / 2 && std::abs(v) < p.h / 2) z = p.z + p.lean * u;
        }
        return std::max(z, -3.2);
    };
}

ReliefBit bit_of(const char* sizes, double depth_per_pass, double feed = 400, double plunge = 120) {
    return {Bit::parse(sizes), feed, plunge, depth_per_pass};
}

ReliefOrder order_of(std::vector<ReliefBit> bits) {
    ReliefOrder order;
    order.bits = std::move(bits);
    const Bit& last = order.bits.back().bit;
    order.stepover = 0.1 * last.tip_diameter();
    order.scallop = last.round_radius() > 0 ? scallop_height(last.round_radius(), order.stepover) : 0.0;
    return order;
}
ReliefOrder usual() { return order_of({bit_of("flat:3.175", 1.0), bit_of("ball:1.0", 0.5)}); }
ReliefOrder ball_alone() { return order_of({bit_of("ball:1.0", 0.5)}); }

Crew hands(int threads) {
    Crew crew;
    crew.threads = threads;
    return crew;
}

/// Plans, replays and holds the result against the promises.
void check_promises(const std::string& what, const HeightMap& design, const ReliefOrder& order) {
    INFO(what << ", last bit " << order.bits.back().bit.name() << " of " << order.bits.size());
    const ReliefPlan plan = plan_relief(design, order, hands(2));
    REQUIRE(!plan.paths.empty());
    HeightMap stock = halved(design.like(0.F));
    for (const ReliefToolpath& path : plan.paths) {
        const ReliefBit& bit = order.bits[path.bit];
        const bool last = path.bit + 1 == order.bits.size();
        const double most = bit.depth_per_pass + (last ? order.allowance : 0);
        const Seen seen = replay(bit.bit, path.path.track, {most, order.allowance, bit.plunge}, stock);
        INFO("program of " << bit.bit.name());
        CHECK(seen.rapid_in_stock < 1e-3);
        CHECK(seen.slanted_rapids == 0);
        CHECK(seen.fast_descents == 0);
        INFO("most at once at " << seen.most_at.x << " " << seen.most_at.y);
        CHECK(seen.most_at_once <= most + 0.01);
        INFO("section at " << seen.section_at.x << " " << seen.section_at.y << " " << seen.section_at.z);
        CHECK(seen.section <= 1.15);  // cells of 0.05 mm under a bit of 1 mm: the window's ends are good to a tenth
        CHECK(seen.peck <= most + 0.01);
        CHECK(seen.removed > 0);
        REQUIRE(!path.path.passes.empty());
        CHECK(path.path.passes.front().first == 0);
        const Move& end = path.path.track.moves.back();
        CHECK(end.kind == MoveKind::rapid);
        CHECK(end.to.z >= order.safe_height);
    }
    CHECK(gouge(stock, design) <= 0.02);
    const Bit& bit = order.bits.back().bit;
    const Standing left = standing(stock, swept_by(bit, offset_for(bit, design, hands(1)), hands(1)));
    INFO("standing at " << left.at.x << " " << left.at.y);
    CHECK(left.height <= order.scallop + 0.02);
}

Machine desk() {
    Machine machine;
    machine.travel = {250, 160, 50};
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 100};
    machine.lines_per_s = 169;
    return machine;
}
double time_of(const ReliefPlan& plan) {
    double total = 0;
    for (const ReliefToolpath& path : plan.paths) total += reckon_time(path.path.track, desk()).total_s;
    return total;
}

}  // namespace

// Source of all: promises 1 to 4 of a job (nothing below the design, nothing left that the bit can reach, nothing too much
// at once, no crash), measured by the replay in replay.cpp.
TEST_CASE("surfaces known on paper, roughing and finishing bit") {
    for (const Named& s : {dish, wedge, peak, pit, steps, narrow, slanted, waves, pocket})
        check_promises(s.name, design_of(s.surface), usual());
}

TEST_CASE("surfaces known on paper, one bit alone") {
    for (const Named& s : {peak, narrow, waves}) check_promises(s.name, design_of(s.surface), ball_alone());
}

TEST_CASE("random surfaces") {
    for (const unsigned seed : {1U, 2U, 3U, 4U, 5U, 6U}) {
        const HeightMap design = design_of(random_surface(seed));
        check_promises("seed " + std::to_string(seed), design, seed % 3 == 0 ? ball_alone() : usual());
    }
}

TEST_CASE("other bits", "[long]") {
    check_promises(steps.name, design_of(steps.surface), order_of({bit_of("flat:2.0", 0.6)}));
    check_promises(narrow.name, design_of(narrow.surface), order_of({bit_of("flat:3.175", 1.0), bit_of("flat:1.5", 0.5)}));
    check_promises(waves.name, design_of(waves.surface, 0.05), order_of({bit_of("flat:3.175", 1.0), bit_of("taper:0.5:10:3.175", 0.4)}));
    check_promises("seed 102", design_of(random_surface(102)), order_of({bit_of("flat:3.175", 1.0), bit_of("taper:0.5:10:3.175", 0.4)}));
    check_promises(waves.name, design_of(waves.surface), order_of({bit_of("bull:3.175:0.5", 0.8), bit_of("ball:1.0", 0.5)}));
    check_promises(dish.name, design_of(dish.surface), order_of({bit_of("ball:3.175", 0.8)}));
}

TEST_CASE("lines at an angle") {
    for (const double degrees : {30.0, 90.0, -45.0}) {
        ReliefOrder order = usual();
        order.angle = degrees * std::numbers::pi / 180;
        for (const Named& s : {waves, steps}) check_promises(s.name + (" at " + std::to_string(degrees)), design_of(s.surface), order);
    }
}

TEST_CASE("lines one way only, and a stepover with a scallop that can be seen") {
    ReliefOrder order = usual();
    order.one_way = true;
    order.stepover = 0.3;
    order.scallop = scallop_height(0.5, 0.3);
    check_promises(waves.name, design_of(waves.surface), order);
    // Source: one way: no finishing line takes stock on a way to the left.
    const ReliefPlan plan = plan_relief(design_of(wedge.surface), order, hands(1));
    const Toolpath& finish = plan.paths.back().path;
    std::size_t lines = finish.passes.size();
    for (std::size_t k = 0; k < finish.passes.size(); ++k)
        if (finish.passes[k].what == "lines") lines = k;
    REQUIRE(lines < finish.passes.size());
    const std::size_t end = lines + 1 < finish.passes.size() ? finish.passes[lines + 1].first : finish.track.moves.size();
    std::size_t leftwards = 0, rightwards = 0;
    for (std::size_t k = std::max<std::size_t>(1, finish.passes[lines].first); k < end; ++k) {
        const Move& move = finish.track.moves[k];
        const double dx = move.to.x - finish.track.moves[k - 1].to.x;
        if (move.kind == MoveKind::feed) leftwards += dx<-0.2, rightwards += dx> 0.2;
    }
    CHECK(leftwards == 0);
    CHECK(rightwards > 10);
}

TEST_CASE("a bit that does not cut at its centre never goes straight down into stock") {
    // Source: promise 4.
    ReliefOrder order = usual();
    BitSpec spec = order.bits[0].bit.spec();
    spec.centre_cutting = false;
    order.bits[0].bit = Bit(spec, "flat:3.175");
    for (const Named& s : {pocket, steps}) {
        const HeightMap design = design_of(s.surface);
        const ReliefPlan plan = plan_relief(design, order, hands(1));
        HeightMap stock = halved(design.like(0.F));
        REQUIRE(plan.paths.front().bit == 0);
        const Seen seen = replay(order.bits[0].bit, plan.paths.front().path.track, {1, 0.3, 120}, stock);
        INFO(s.name);
        CHECK(seen.peck < 1e-3);
    }
}

TEST_CASE("two bits are quicker than the small one alone") {
    // Source: the design's wish; time by the motion rules on a machine of the small desktop kind.
    for (const Named& s : {pocket, waves, steps}) {
        const HeightMap design = design_of(s.surface);
        INFO(s.name);
        CHECK(time_of(plan_relief(design, usual(), hands(2))) < time_of(plan_relief(design, ball_alone(), hands(2))));
    }
}

TEST_CASE("the larger bit takes the bulk and keeps the allowance") {
    // Source: promise 3: roughing leaves g above floors and g beside walls, and no more. A floor of 3 mm depth.
    const HeightMap design = design_of([](double, double) { return -3.0; });
    const ReliefOrder order = usual();
    const ReliefPlan plan = plan_relief(design, order, hands(1));
    HeightMap stock = halved(design.like(0.F));
    REQUIRE(plan.paths.size() == 2);
    const Seen rough = replay(order.bits[0].bit, plan.paths[0].path.track, {1, 0.3, 120}, stock);
    CHECK(rough.lowest == Approx(-2.7).margin(1e-6));
    // A rectangle 2 g smaller, its corners rounded by the bit: (w − 2g)(h − 2g) − (4 − π) r², 2.7 deep; edges to a cell.
    const double w = width - 0.6, h = height - 0.6, r = 1.5875;
    CHECK(rough.removed == Approx(2.7 * (w * h - (4 - std::numbers::pi) * r * r)).epsilon(0.03));
}

TEST_CASE("nothing to do for a bit: no program, and a note") {
    // Source: the design: a bit that finds nothing to do gets no program, and the report says so. Everything lies above the
    // allowance.
    const HeightMap design = design_of([](double, double) { return -0.25; });
    const ReliefPlan plan = plan_relief(design, usual(), hands(1));
    REQUIRE(plan.paths.size() == 1);
    CHECK(plan.paths[0].bit == 1);
    REQUIRE(plan.notes.size() == 1);
    CHECK_THAT(plan.notes[0], ContainsSubstring("flat:3.175"));
}

TEST_CASE("what cannot be cut is refused with a reason") {
    // Source: the design's exit statuses: a conflict with the job is refused.
    const auto refused = [](const HeightMap& design, const ReliefOrder& order) -> std::string {
        try {
            const ReliefPlan plan = plan_relief(design, order, hands(1));
            return "planned " + std::to_string(plan.paths.size());
        } catch (const Error& error) {
            CHECK(error.fault() == Fault::refused);
            return error.what();
        }
    };
    CHECK_THAT(refused(design_of([](double, double) { return 0.0; }), usual()), ContainsSubstring("nothing to cut"));
    const HeightMap slit = design_of([](double, double y) { return y < 2 ? -1.0 : 0.0; });
    CHECK_THAT(refused(slit, usual()), ContainsSubstring("flat:3.175"));
    CHECK_THAT(refused(slit, usual()), ContainsSubstring("wider"));
    ReliefOrder shallow = ball_alone();
    BitSpec spec = shallow.bits[0].bit.spec();
    spec.cutting_length = 2;
    shallow.bits[0].bit = Bit(spec, "stubby");
    CHECK_THAT(refused(design_of(pocket.surface), shallow), ContainsSubstring("stubby"));
}

TEST_CASE("a stop is obeyed") {
    // Source: crew.hpp: Error (stopped) once the flag is set.
    const std::atomic<bool> stop{true};
    Crew crew;
    crew.stop = &stop;
    Fault fault = Fault::usage;
    try {
        const ReliefPlan plan = plan_relief(design_of(waves.surface), usual(), crew);
        FAIL("planned " << plan.paths.size());
    } catch (const Error& error) {
        fault = error.fault();
    }
    CHECK(fault == Fault::stopped);
}

TEST_CASE("one and two threads plan the same moves") {
    // Source: promise 6.
    for (const unsigned seed : {11U, 12U}) {
        const HeightMap design = design_of(random_surface(seed));
        const ReliefPlan one = plan_relief(design, usual(), hands(1)), two = plan_relief(design, usual(), hands(2));
        REQUIRE(one.paths.size() == two.paths.size());
        for (std::size_t p = 0; p < one.paths.size(); ++p) {
            const auto &a = one.paths[p].path.track.moves, &b = two.paths[p].path.track.moves;
            REQUIRE(a.size() == b.size());
            bool same = true;
            for (std::size_t k = 0; k < a.size(); ++k)
                same = same && a[k].to == b[k].to && a[k].feed == b[k].feed && a[k].kind == b[k].kind;
            CHECK(same);
        }
    }
}
