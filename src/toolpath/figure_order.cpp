// Short tours over lines that may be cut either way round (a travelling salesman's path whose cities have two ends each).
//
// Nearest neighbour over buckets; then, along lists of the ten nearest ends of each end, 2-opt moves (a part of the tour is turned
// round, and every line in it) and Or-opt moves (one to three lines are put elsewhere) as long as they shorten the way, until none
// does. Closed lines are points to this; where on them it is best to come in is reckoned between the rounds.
// Croes, "A method for solving traveling-salesman problems" (1958); Or (1976).
#include "figure_order.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "figure_rail.hpp"

namespace burin {
namespace {

constexpr std::size_t neighbours = 10;
constexpr std::size_t longest_turn = 50'000;
constexpr double gain = 1e-6;  // mm

/// Ends of stops in square buckets.
class Ends {
public:
    explicit Ends(const std::vector<Point>& points) : points_(points) {
        box_ = box_of(points);
        side_ = std::max(
            1e-3, std::sqrt(std::max(box_.width(), 1e-3) * std::max(box_.height(), 1e-3) / static_cast<double>(points.size() + 1)) * 1.5);
        columns_ = static_cast<int>(std::min(2000.0, box_.width() / side_)) + 1,
        rows_ = static_cast<int>(std::min(2000.0, box_.height() / side_)) + 1;
        side_ = std::max({side_, box_.width() / columns_ * 1.0001, box_.height() / rows_ * 1.0001});
        buckets_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
        for (std::size_t k = 0; k < points.size(); ++k) bucket(points[k]).push_back(static_cast<std::uint32_t>(k));
    }
    void strike(std::size_t k) { std::erase(bucket(points_[k]), static_cast<std::uint32_t>(k)); }

    /// Calls see(end) ring by ring; see says how far is far enough.
    template <class See>
    void around(const Point& p, const See& see) const {
        const int ci = column(p.x), cj = row(p.y);
        double enough = std::numeric_limits<double>::max();
        for (int ring = 0; ring <= std::max(columns_, rows_) && (ring - 1) * side_ <= enough; ++ring)
            for (int j = std::max(0, cj - ring); j <= std::min(rows_ - 1, cj + ring); ++j) {
                const bool whole = j == cj - ring || j == cj + ring;
                for (int i = ci - ring; i <= ci + ring; i += whole || ring == 0 ? 1 : 2 * ring) {
                    if (i < 0 || i >= columns_) continue;
                    for (const std::uint32_t k :
                         buckets_[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i)])
                        enough = see(static_cast<std::size_t>(k));
                }
            }
    }

private:
    int column(double x) const { return static_cast<int>(std::clamp((x - box_.lo.x) / side_, 0.0, static_cast<double>(columns_ - 1))); }
    int row(double y) const { return static_cast<int>(std::clamp((y - box_.lo.y) / side_, 0.0, static_cast<double>(rows_ - 1))); }
    std::vector<std::uint32_t>& bucket(const Point& p) {
        return buckets_[static_cast<std::size_t>(row(p.y)) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(column(p.x))];
    }
    const std::vector<Point>& points_;
    Box box_;
    double side_ = 1;
    int columns_ = 1, rows_ = 1;
    std::vector<std::vector<std::uint32_t>> buckets_;
};

/// The tour while it is improved. Ends: 2 k is the beginning of stop k, 2 k + 1 its end; the way of a stop is end ^ 1.
class Tour {
public:
    Tour(const std::vector<Stop>& stops, const Point& start, const Crew& crew) : start_(start), crew_(crew) {
        for (const Stop& s : stops) ends_.push_back(s.a), ends_.push_back(s.b);
    }
    void nearest_first() {
        Ends buckets(ends_);
        Point at = start_;
        for (std::size_t n = 0; n < ends_.size() / 2; ++n) {
            double least = std::numeric_limits<double>::max();
            std::size_t best = 0;
            buckets.around(at, [&](std::size_t k) {
                if (const double d = distance(at, ends_[k]); d < least || (d <= least && k < best)) least = d, best = k;
                return least;
            });
            order_.push_back(best);
            buckets.strike(best), buckets.strike(best ^ 1);
            at = ends_[best ^ 1];
        }
    }
    void set(std::size_t stop, const Point& p) { ends_[2 * stop] = ends_[2 * stop + 1] = p; }
    [[nodiscard]] const std::vector<std::size_t>& order() const { return order_; }
    [[nodiscard]] Point end(std::size_t k) const { return ends_[k]; }
    [[nodiscard]] Point before(std::size_t place) const { return place == 0 ? start_ : ends_[order_[place - 1] ^ 1]; }

    void improve() {
        find_neighbours();
        place_.resize(order_.size());
        for (std::size_t n = 0; n < order_.size(); ++n) place_[order_[n] / 2] = n;
        const std::size_t most_rounds = 60;
        bool better = true;
        for (std::size_t round = 0; better && round < most_rounds; ++round) {
            crew_.check();
            better = false;
            for (std::size_t stop = 0; stop < place_.size(); ++stop)
                while (turn_round(stop) || put_elsewhere(stop)) better = true;
        }
    }

private:
    void find_neighbours() {
        near_.assign(ends_.size(), {});
        const Ends buckets(ends_);
        in_parallel(crew_, static_cast<int>((ends_.size() + 1023) / 1024), [&](int job) {
            std::vector<std::pair<double, std::size_t>> found;
            const auto from = static_cast<std::size_t>(job) * 1024;
            for (std::size_t e = from; e < std::min(ends_.size(), from + 1024); ++e) {
                found.clear();
                buckets.around(ends_[e], [&](std::size_t k) {
                    if (k / 2 != e / 2) {
                        found.push_back({distance(ends_[e], ends_[k]), k});
                        std::push_heap(found.begin(), found.end());
                        if (found.size() > neighbours) std::pop_heap(found.begin(), found.end()), found.pop_back();
                    }
                    return found.size() < neighbours ? std::numeric_limits<double>::max() : found.front().first;
                });
                std::sort(found.begin(), found.end());
                for (const auto& [d, k] : found) near_[e].push_back(static_cast<std::uint32_t>(k));
            }
        });
    }
    /// The way into the stop at a place; 0 past the end.
    [[nodiscard]] double way_into(std::size_t place) const {
        return place >= order_.size() ? 0 : distance(before(place), ends_[order_[place]]);
    }

    void reverse(std::size_t first, std::size_t last) {  // inclusive
        std::reverse(order_.begin() + static_cast<std::ptrdiff_t>(first), order_.begin() + static_cast<std::ptrdiff_t>(last) + 1);
        for (std::size_t n = first; n <= last; ++n) order_[n] ^= 1, place_[order_[n] / 2] = n;
    }
    /// What is gained by turning the part round.
    [[nodiscard]] double gained(std::size_t first, std::size_t last) const {
        const Point in = before(first), head = ends_[order_[first]], tail = ends_[order_[last] ^ 1];
        double d = distance(in, head) - distance(in, tail);
        if (last + 1 < order_.size()) {
            const Point out = ends_[order_[last + 1]];
            d += distance(tail, out) - distance(head, out);
        }
        return d;
    }
    bool try_reverse(std::size_t first, std::size_t last) {
        if (first > last || last - first > longest_turn || gained(first, last) < gain) return false;
        reverse(first, last);
        return true;
    }
    bool turn_round(std::size_t stop) {
        const std::size_t at = place_[stop];
        if (try_reverse(at, at)) return true;
        if (try_reverse(at, order_.size() - 1) || try_reverse(0, at)) return true;
        for (const std::size_t e : {2 * stop, 2 * stop + 1})
            for (const std::uint32_t k : near_[e]) {
                const std::size_t other = place_[k / 2];
                // Both heads, or both tails, come to lie beside each other.
                const bool head = order_[at] == e, other_head = order_[other] == k;
                if (head != other_head) continue;
                const std::size_t lo = std::min(at, other), hi = std::max(at, other);
                if (head ? try_reverse(lo, hi - 1) : try_reverse(lo + 1, hi)) return true;
            }
        return false;
    }
    /// Takes one to three stops from their place and puts them beside a neighbour, either way round.
    bool put_elsewhere(std::size_t stop) {
        const std::size_t n = order_.size();
        for (std::size_t count = 1; count <= 3; ++count) {
            const std::size_t first = place_[stop];
            if (first + count > n) break;
            const std::size_t last = first + count - 1;
            const double out = way_into(first) + way_into(last + 1) - (last + 1 < n ? distance(before(first), ends_[order_[last + 1]]) : 0);
            if (out < gain) continue;
            const std::size_t head = order_[first], tail = order_[last] ^ 1;
            for (const std::size_t e : {head, tail})
                for (const std::uint32_t k : near_[e]) {
                    const std::size_t other = place_[k / 2];
                    if (other >= first && other <= last) continue;
                    // Before the neighbour when its beginning is near, else behind it.
                    const std::size_t gap = order_[other] == k ? other : other + 1;  // the stop now at `gap` comes after
                    if (gap == first || gap == last + 1) continue;
                    const std::size_t moved_by = gap > first ? gap - last - 1 : first - gap;
                    if (moved_by > longest_turn) continue;
                    const Point in = before(gap);
                    const bool at_end = gap >= n;
                    const Point next = at_end ? Point{} : ends_[order_[gap]];
                    const double old = at_end ? 0 : distance(in, next);
                    const double straight = distance(in, ends_[head]) + (at_end ? 0 : distance(ends_[tail], next)) - old;
                    const double turned = distance(in, ends_[tail]) + (at_end ? 0 : distance(ends_[head], next)) - old;
                    if (out - std::min(straight, turned) < gain) continue;
                    if (turned < straight) reverse(first, last);
                    const auto begin = order_.begin();
                    const auto f = static_cast<std::ptrdiff_t>(first), l = static_cast<std::ptrdiff_t>(last) + 1,
                               g = static_cast<std::ptrdiff_t>(gap);
                    if (gap > first)
                        std::rotate(begin + f, begin + l, begin + g);
                    else
                        std::rotate(begin + g, begin + f, begin + l);
                    for (std::size_t m = std::min(first, gap); m < std::max(last + 1, gap); ++m) place_[order_[m] / 2] = m;
                    return true;
                }
        }
        return false;
    }

    Point start_;
    const Crew& crew_;
    std::vector<Point> ends_;
    std::vector<std::size_t> order_, place_;
    std::vector<std::vector<std::uint32_t>> near_;
};

}  // namespace

std::vector<Turn> short_tour(const std::vector<Stop>& stops, const Point& start, const Crew& crew) {
    if (stops.empty()) return {};
    Tour tour(stops, start, crew);
    tour.nearest_first();
    const bool open_entries = std::any_of(stops.begin(), stops.end(), [](const Stop& s) { return s.entries.size() > 1; });
    for (int round = 0; round < (open_entries ? 4 : 1); ++round) {
        tour.improve();
        for (int sweep = 0; open_entries && sweep < 4; ++sweep)
            for (std::size_t n = 0; n < tour.order().size(); ++n) {
                const std::size_t stop = tour.order()[n] / 2;
                if (stops[stop].entries.size() < 2) continue;
                const Point in = tour.before(n);
                const bool last = n + 1 == tour.order().size();
                const Point out = last ? in : tour.end(tour.order()[n + 1]);
                double least = std::numeric_limits<double>::max();
                Point best = stops[stop].a;
                for (const Point& p : stops[stop].entries)
                    if (const double d = distance(in, p) + (last ? 0 : distance(p, out)); d < least - 1e-9) least = d, best = p;
                tour.set(stop, best);
            }
    }
    std::vector<Turn> turns;
    for (const std::size_t e : tour.order()) turns.push_back({e / 2, e % 2 == 1, tour.end(e)});
    return turns;
}

double idle_way(const std::vector<Stop>& stops, const std::vector<Turn>& tour, const Point& start) {
    double sum = 0;
    Point at = start;
    for (const Turn& turn : tour) {
        sum += distance(at, turn.entry);
        const Stop& stop = stops[turn.stop];
        at = stop.entries.empty() ? (turn.reversed ? stop.a : stop.b) : turn.entry;
    }
    return sum;
}

std::vector<std::size_t> holders_of(const std::vector<std::vector<Point>>& loops) {
    const std::size_t n = loops.size();
    std::vector<Box> boxes;
    for (const auto& loop : loops) boxes.push_back(box_of(loop));
    // By the box's area: what holds a loop has a larger one. Sorted from left to right, few boxes are asked.
    std::vector<std::size_t> by_left(n);
    std::iota(by_left.begin(), by_left.end(), std::size_t{0});
    std::sort(by_left.begin(), by_left.end(),
              [&](std::size_t a, std::size_t b) { return boxes[a].lo.x < boxes[b].lo.x || (boxes[a].lo.x == boxes[b].lo.x && a < b); });
    const auto area = [&](std::size_t k) { return boxes[k].width() * boxes[k].height(); };
    std::vector<std::size_t> holders(n, n), open;
    for (const std::size_t k : by_left) {
        if (loops[k].empty()) continue;
        std::erase_if(open, [&](std::size_t o) { return boxes[o].hi.x < boxes[k].lo.x; });
        double least = std::numeric_limits<double>::max();
        for (const std::size_t o : open)
            if (area(o) < least && boxes[o].lo.y <= boxes[k].lo.y && boxes[o].hi.y >= boxes[k].hi.y && boxes[o].hi.x >= boxes[k].hi.x &&
                area(o) > area(k) && loops[o].size() > 2 && inside_loop(loops[o], loops[k].front()))
                least = area(o), holders[k] = o;
        open.push_back(k);
    }
    return holders;
}

std::vector<Turn> inner_first(const std::vector<std::vector<Point>>& loops, const std::vector<Stop>& stops, const Point& start,
                              const Crew& crew) {
    const std::size_t n = loops.size();
    const std::vector<std::size_t> holders = holders_of(loops);
    std::vector<std::vector<std::size_t>> held(n + 1);
    for (std::size_t k = 0; k < n; ++k) held[holders[k]].push_back(k);
    std::vector<Turn> turns;
    Point at = start;
    // Those held by a loop, on a short tour, each after what it holds itself; nesting is rarely deep.
    struct Task {
        std::size_t loop;
        std::vector<Turn> tour;
        std::size_t next = 0;
    };
    const auto tour_of = [&](std::size_t holder) {
        std::vector<Stop> some;
        for (const std::size_t k : held[holder]) some.push_back(stops[k]);
        std::vector<Turn> tour = short_tour(some, at, crew);
        for (Turn& turn : tour) turn.stop = held[holder][turn.stop];
        return tour;
    };
    std::vector<Task> tasks;
    tasks.push_back({n, tour_of(n)});
    while (!tasks.empty()) {
        Task& task = tasks.back();
        if (task.next == task.tour.size()) {
            tasks.pop_back();
            if (tasks.empty()) break;
            Turn turn = tasks.back().tour[tasks.back().next++];
            const Stop& stop = stops[turn.stop];
            double least = distance(at, turn.entry);
            for (const Point& p : stop.entries)  // coming from what it holds, it may be entered elsewhere
                if (const double d = distance(at, p); !held[turn.stop].empty() && d < least) least = d, turn.entry = p;
            turns.push_back(turn);
            at = stop.entries.empty() ? (turn.reversed ? stop.a : stop.b) : turn.entry;
            continue;
        }
        const std::size_t loop = task.tour[task.next].stop;
        if (held[loop].empty()) {
            const Turn turn = task.tour[task.next++];
            turns.push_back(turn);
            const Stop& stop = stops[turn.stop];
            at = stop.entries.empty() ? (turn.reversed ? stop.a : stop.b) : turn.entry;
        } else {
            tasks.push_back({loop, tour_of(loop)});
        }
    }
    return turns;
}

}  // namespace burin
