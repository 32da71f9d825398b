// Dots, and the order in which many of them come. Sources: plane geometry; Or-opt (Or 1976) run for long.
#include <algorithm>
#include <random>

#include "../../../src/toolpath/figure_order.hpp"
#include "figure_cuts.hpp"

using namespace burin;
using namespace burin::test;

TEST_CASE("Dots go straight down in pecks, hop low between neighbours, and leave the bit's own shape") {
    // A vee's dot is t + 2 d tan(θ/2) wide, a ball's 2 √(2 r d − d²) (plane geometry).
    for (const char* sizes : {"vee:60:0.1:3.175", "ball:1.0", "flat:0.8"}) {
        INFO(sizes);
        FigureDesign design;
        for (int k = 0; k < 24; ++k) {
            const int column = k % 6, row = k / 6;
            design.grooves.push_back({{{2 + 2.5 * column, 2 + 2.5 * row, -0.1 - 0.03 * (k * 7 % 24)}}, false});
        }
        design.grooves.push_back({{{29, 29, -0.5}}, false});  // far away
        FigureOrder order;
        order.bits = {bit_of(sizes, 0.3)};
        order.hop = 1;
        const FigurePlan plan = plan_grooves(design, order, {});
        const Cut cut(plan, order, 31);
        cut.keeps(plan, order);
        CHECK(cut.seen[0].peck <= 0.3 + 1e-6);
        const Bit& bit = order.bits[0].bit;
        CHECK(cut.worst([&](const Point& p) {
            double low = 0, high = 0;
            for (const Groove& g : design.grooves) {
                const double r = distance(p, flat(g.tip[0])), z = g.tip[0].z;
                if (r <= bit.radius() + 0.04) low = std::min(low, z + bit.rise(std::max(0.0, std::min(bit.radius(), r - 0.04))));
                if (r <= bit.radius() - 0.04) high = std::min(high, z + bit.rise(r + 0.04));
            }
            return std::pair(low - 0.001, high + 0.001);
        }) <= 0);
        // Each dot once; between neighbours no higher than the hop.
        std::size_t holes = 0, high_ways = 0;
        Point3 at = plan.paths[0].path.track.start;
        for (const Move& move : plan.paths[0].path.track.moves) {
            const bool across = flat(move.to) != flat(at);
            if (across) ++holes;
            if (across && move.to.z > 1 + 1e-9) ++high_ways;
            CHECK((!across || move.kind == MoveKind::rapid));
            at = move.to;
        }
        CHECK(holes == design.grooves.size());
        CHECK(high_ways == 2);  // to the first, and to or from the one far away
    }
    FigureDesign one;
    one.grooves.push_back({{{5, 5, -0.5}}, false});
    FigureOrder order;
    BitSpec spec = Bit::parse("flat:2.0").spec();
    spec.centre_cutting = false;
    order.bits = {{Bit(spec, "not at its centre"), 400, 120, 1}};
    order.hop = 1;
    CHECK_THROWS_AS(plan_grooves(one, order, {}), Error);
    order.hop = 0;
    CHECK_THROWS_AS(plan_grooves(one, order, {}), Error);
}

namespace {

/// The twelve nearest of each.
std::vector<std::vector<std::size_t>> near_of(const std::vector<Point>& points) {
    std::vector<std::vector<std::size_t>> near;
    for (const Point& p : points) {
        std::vector<std::size_t> all;
        for (std::size_t m = 0; m < points.size(); ++m)
            if (&points[m] != &p) all.push_back(m);
        std::partial_sort(all.begin(), all.begin() + 12, all.end(),
                          [&](std::size_t a, std::size_t b) { return distance(p, points[a]) < distance(p, points[b]); });
        near.emplace_back(all.begin(), all.begin() + 12);
    }
    return near;
}

std::vector<std::size_t> nearest_first(const std::vector<Point>& points, std::size_t first) {
    std::vector<std::size_t> tour{first};
    std::vector<bool> done(points.size(), false);
    done[first] = true;
    while (tour.size() < points.size()) {
        const Point& here = points[tour.back()];
        std::size_t best = points.size();
        for (std::size_t m = 0; m < points.size(); ++m)
            if (!done[m] && (best == points.size() || distance(here, points[m]) < distance(here, points[best]))) best = m;
        done[best] = true;
        tour.push_back(best);
    }
    return tour;
}

/// The slow and obvious way: nearest neighbour from some point, then 2-opt and Or-opt (one to three points put elsewhere, either way
/// round) over the nearest of each, until nothing is gained.
double long_or_opt(const std::vector<Point>& points, const Point& start, std::size_t first) {
    const std::size_t n = points.size();
    const std::vector<std::vector<std::size_t>> near = near_of(points);
    std::vector<std::size_t> tour = nearest_first(points, first), place(n);
    const auto at = [&](std::size_t k) { return k == 0 ? start : points[tour[k - 1]]; };  // at(k + 1) is stop k
    const auto way = [&](std::size_t a, std::size_t b) { return b > n ? 0.0 : distance(at(a), at(b)); };
    const auto renumber = [&] {
        for (std::size_t k = 0; k < n; ++k) place[tour[k]] = k + 1;
    };
    renumber();
    const auto improve = [&](std::size_t city) {
        for (const std::size_t other : near[city]) {
            const std::size_t lo = std::min(place[city], place[other]), hi = std::max(place[city], place[other]);
            for (const auto& [a, b] : {std::pair(lo, hi - 1), std::pair(lo + 1, hi)}) {  // turned round: a … b
                if (a > b) continue;
                const double gain = way(a - 1, a) - way(a - 1, b) + (b < n ? way(b, b + 1) - distance(at(a), at(b + 1)) : 0);
                if (gain < 1e-9) continue;
                std::reverse(tour.begin() + static_cast<std::ptrdiff_t>(a) - 1, tour.begin() + static_cast<std::ptrdiff_t>(b));
                renumber();
                return true;
            }
        }
        for (std::size_t count = 1; count <= 3; ++count) {
            const std::size_t a = place[city], b = a + count - 1;
            if (b > n) break;
            const double out = way(a - 1, a) + way(b, b + 1) - (b < n ? way(a - 1, b + 1) : 0);
            for (const std::size_t end : {a, b})
                for (const std::size_t other : near[tour[end - 1]])
                    for (const std::size_t gap : {place[other] - 1, place[other]}) {  // behind the stop at `gap`
                        if (gap + 1 >= a && gap <= b) continue;
                        for (const bool turned : {false, true}) {
                            const std::size_t head = turned ? b : a, tail = turned ? a : b;
                            const double in =
                                distance(at(gap), at(head)) + (gap < n ? distance(at(tail), at(gap + 1)) - way(gap, gap + 1) : 0);
                            if (out - in < 1e-9) continue;
                            std::vector<std::size_t> part(tour.begin() + static_cast<std::ptrdiff_t>(a) - 1,
                                                          tour.begin() + static_cast<std::ptrdiff_t>(b));
                            if (turned) std::reverse(part.begin(), part.end());
                            tour.erase(tour.begin() + static_cast<std::ptrdiff_t>(a) - 1, tour.begin() + static_cast<std::ptrdiff_t>(b));
                            const std::size_t to = gap < a ? gap : gap - count;
                            tour.insert(tour.begin() + static_cast<std::ptrdiff_t>(to), part.begin(), part.end());
                            renumber();
                            return true;
                        }
                    }
        }
        return false;
    };
    for (bool better = true; better;) {
        better = false;
        for (std::size_t city = 0; city < n; ++city)
            while (improve(city)) better = true;
    }
    double length = 0;
    for (std::size_t k = 1; k <= n; ++k) length += way(k - 1, k);
    return length;
}

}  // namespace

TEST_CASE("The way over 2,000 dots is no more than 1.1 times that of a long Or-opt run") {
    std::mt19937 random(17);
    const auto unit = [&] { return static_cast<double>(random()) / 4294967296.0; };
    std::vector<Point> points;
    std::vector<Stop> stops;
    while (points.size() < 2000) {  // denser to the right
        const Point p{100 * unit(), 60 * unit()};
        if (unit() < 0.1 + 0.9 * p.x / 100) points.push_back(p), stops.push_back({p, p});
    }
    const std::vector<Turn> tour = short_tour(stops, {0, 0}, {});
    REQUIRE(tour.size() == stops.size());
    double best = 1e9;
    for (const std::size_t first : {0U, 700U, 1400U}) best = std::min(best, long_or_opt(points, {0, 0}, first));
    INFO(idle_way(stops, tour, {0, 0}) << " against " << best);
    CHECK(idle_way(stops, tour, {0, 0}) <= 1.1 * best);
}
