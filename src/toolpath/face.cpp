// Facing. Ways are laid in a frame whose origin is the stock's middle and whose u runs along its longer side; rows go up along v.
//
// A row at v is as long as the bit needs to be clear of the stock at both ends: as the stock, grown by the run-out (its sum with a disc,
// Minkowski), is at that height. A spiral lies nearer to its last turn than the stepover everywhere: of ellipses whose half axes are both
// shorter by s the support functions differ by at most s. Cost: the length of the ways.
#include "burin/toolpath/face.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "pen.hpp"

namespace burin {
namespace {

using Way = std::vector<Point>;

constexpr double spare = 0.05;     // mm by which strips overlap at least, and what counts as uncovered
constexpr double beyond = 0.5;     // mm that the last row reaches beyond the stock's edge
constexpr double chord = 0.002;    // mm that chords of a round spiral may leave it
constexpr double above = 0.5;      // mm above the stock from which the bit goes down by feed
constexpr double steepest = 0.05;  // of ramps: 3 degrees, gentle for wide bits (common practice, no source)
constexpr double innermost = 0.9;  // of the radius: half the width of what a spiral's last turn goes round

/// The stock's outline round its middle.
struct Outlined {
    bool round = false;
    double a = 0, b = 0;  // half of its length along u, and across
};

/// Half the length, along u, of the outline grown by `far` at the height v. Below 0: shrunk, rectangles only.
double half_row(const Outlined& o, double v, double far) {
    if (!o.round) {
        const double over = std::abs(v) - o.b;
        if (over <= 0 || far <= 0) return o.a + far;
        return o.a + std::sqrt(std::max(0.0, far * far - over * over));
    }
    // The largest sum of two concave halves: a point of the ellipse at w, and from there a chord of the disc.
    const auto reach = [&](double w) {
        return o.a * std::sqrt(std::max(0.0, 1 - w * w / (o.b * o.b))) + std::sqrt(std::max(0.0, far * far - (v - w) * (v - w)));
    };
    double lo = std::max(-o.b, v - far), hi = std::min(o.b, v + far);
    for (int k = 0; k < 80; ++k) {
        const double low = lo + (hi - lo) / 3, high = hi - (hi - lo) / 3;
        if (reach(low) < reach(high))
            lo = low;
        else
            hi = high;
    }
    return reach((lo + hi) / 2);
}

/// From the frame to work coordinates.
struct Laid {
    Point middle;
    bool swapped = false;  // u is Y
    [[nodiscard]] Point operator()(const Point& p) const {
        return swapped ? Point{middle.x + p.y, middle.y + p.x} : Point{middle.x + p.x, middle.y + p.y};
    }
};

class Facing {
public:
    explicit Facing(const FaceOrder& order) : order_(order), r_(order.bit.bit.radius()) {
        const Box& box = order.stock.bounds;
        frame_ = {box.centre(), box.height() > box.width()};
        outline_ = {order.stock.outline == Outline::round, std::max(box.width(), box.height()) / 2,
                    std::min(box.width(), box.height()) / 2};
        beside_ = order.run_out >= r_ + face_clearance - 1e-9;
        step_ = order.stepover;
    }
    [[nodiscard]] bool beside() const { return beside_; }
    [[nodiscard]] double step() const { return step_; }

    /// The ways of one level in work coordinates, each cut without lifting the bit.
    [[nodiscard]] std::vector<Way> ways() {
        std::vector<Way> ways = order_.sweep == FaceSweep::rows ? rows() : std::vector<Way>{outline_.round ? winding() : corners()};
        for (Way& way : ways)
            for (Point& p : way) p = frame_(p);
        return ways;
    }

private:
    /// How far outside the edge the middle of the first strip lies: it takes a stepover.
    [[nodiscard]] double outset() const { return std::min(order_.run_out, r_ - step_); }

    [[nodiscard]] std::vector<double> heights() {
        double first = -outline_.b - outset(), last = outline_.b - r_ + std::min(beyond, r_ + order_.run_out);
        if (outline_.round && !beside_) {  // nearer to the rim a row would be a point
            first = std::max(first, -outline_.b + r_ / 2);
            last = std::min(last, outline_.b - r_ / 2);
        }
        if (last <= first) return {first};
        const int count = static_cast<int>(std::ceil((last - first) / step_ - 1e-9));
        step_ = (last - first) / count;
        std::vector<double> v;
        for (int k = 0; k <= count; ++k) v.push_back(first + (last - first) * k / count);
        return v;
    }

    std::vector<Way> rows() {
        // What is left to cut lies towards v: a bit that climbs has it on its right, which in a swapped frame is the other way.
        const bool forwards = frame_.swapped != order_.conventional;
        std::vector<Way> ways;
        int index = 0;
        for (const double v : heights()) {
            const double half = half_row(outline_, v, order_.run_out);
            const bool along = order_.one_way ? forwards : forwards == (index++ % 2 == 0);
            if (ways.empty() || order_.one_way) ways.emplace_back();
            ways.back().push_back({along ? -half : half, v});
            ways.back().push_back({along ? half : -half, v});
        }
        if (order_.run_out < 0) ways.push_back(round_inside());  // rows that end inside leave the edge scalloped
        return ways;
    }

    /// Once along all four sides, as far inside as the bit stays.
    [[nodiscard]] Way round_inside() const {
        const double a = outline_.a + order_.run_out, b = outline_.b + order_.run_out;
        Way way{{-a, -b}, {-a, b}, {a, b}, {a, -b}, {-a, -b}};
        for (Point& p : way) p.x *= turn();
        return way;
    }

    /// Clockwise in work coordinates where it climbs.
    [[nodiscard]] double turn() const { return frame_.swapped != order_.conventional ? -1 : 1; }

    /// A spiral of straight sides round a rectangle that nothing has covered yet, until there is none; and one side more, for the corner
    /// at which the last one ends.
    [[nodiscard]] Way corners() const {
        const double o = outset(), reach = r_ - spare;
        Box left{{-outline_.a, -outline_.b}, {outline_.a, outline_.b}};
        const double far = beside_ ? std::sqrt(order_.run_out * order_.run_out - std::max(0.0, o) * std::max(0.0, o)) : o;
        Way way{{-outline_.a - o, -outline_.b - far}};
        const auto bare = [&] { return left.lo.x < left.hi.x && left.lo.y < left.hi.y; };
        bool last = false;
        for (int side = 0; !last; ++side) {
            last = !bare();
            const int turns = side / 4;
            const double in = step_ * turns - o;
            Point p = way.back();
            if (side % 4 == 0) p.y = outline_.b - in, left.lo.x = p.x + reach;
            if (side % 4 == 1) p.x = outline_.a - in, left.hi.y = p.y - reach;
            if (side % 4 == 2) p.y = -outline_.b + in, left.hi.x = p.x - reach;
            if (side == 3 && order_.run_out < 0) way.push_back(way.front());  // the first turn closed: nothing runs out over that corner
            if (side % 4 == 3) p.x = -outline_.a + in + step_, left.lo.y = p.y + reach;
            way.push_back(p);
        }
        for (Point& p : way) p.x *= turn();
        return way;
    }

    /// One turn along the edge, turns inwards, one round the middle.
    [[nodiscard]] Way winding() const {
        const double o = outset(), narrow = std::min(outline_.a, outline_.b) + o;
        const double inwards = std::max(0.0, narrow - innermost * r_);
        const double turns = std::ceil(inwards / step_ - 1e-9), longest = std::max(outline_.a, outline_.b) + o;
        const int each = std::max(24, static_cast<int>(std::ceil(std::numbers::pi / std::acos(1 - chord / std::max(longest, 1.0)))));
        const int all = static_cast<int>(turns + 2) * each;
        Way way;
        if (beside_) way.push_back({-turn() * (outline_.a + order_.run_out), 0});
        for (int k = 0; k <= all; ++k) {
            const double done = static_cast<double>(k) / each, angle = std::numbers::pi * (1 - 2 * done);
            const double in = turns > 0 ? inwards * std::clamp((done - 1) / turns, 0.0, 1.0) - o : -o;
            way.push_back({turn() * (outline_.a - in) * std::cos(angle), (outline_.b - in) * std::sin(angle)});
        }
        return way;
    }

    const FaceOrder& order_;
    double r_;
    Laid frame_;
    Outlined outline_;
    bool beside_ = false;
    double step_ = 0;
};

/// The first part of a way, `length` mm of it or all.
Way beginning(const Way& way, double length) {
    Way part{way.front()};
    for (std::size_t k = 1; k < way.size() && length > 0; ++k) {
        const double whole = distance(way[k - 1], way[k]);
        const double share = whole > length ? length / whole : 1;
        part.push_back({way[k - 1].x + (way[k].x - way[k - 1].x) * share, way[k - 1].y + (way[k].y - way[k - 1].y) * share});
        length -= whole;
    }
    return part;
}

double length_of(const Way& way) {
    double length = 0;
    for (std::size_t k = 1; k < way.size(); ++k) length += distance(way[k - 1], way[k]);
    return length;
}

/// Down along the way's beginning, to and fro until it is deep enough, and back along the floor to where the way begins.
void ramp_in(Pen& pen, const Way& way, double from, double z) {
    const Way part = beginning(way, (from - z) / steepest);
    const double length = length_of(part);
    int times = static_cast<int>(std::ceil((from - z) / (steepest * length) - 1e-9));
    times += times % 2 == 0 ? 1 : 0;
    double gone = 0;
    for (int n = 0; n < times; ++n)
        for (std::size_t k = 1; k < part.size(); ++k) {
            const std::size_t here = n % 2 == 0 ? k - 1 : part.size() - k, next = n % 2 == 0 ? k : part.size() - k - 1;
            gone += distance(part[here], part[next]);
            pen.cut({part[next].x, part[next].y, from - (from - z) * std::min(1.0, gone / (length * times))});
        }
    for (std::size_t k = part.size() - 1; k-- > 0;) pen.cut({part[k].x, part[k].y, z});
}

void check(const FaceOrder& order) {
    const Bit& bit = order.bit.bit;
    const auto wrong = [](const char* what) { return Error(Fault::usage, fmt::format("A stock cannot be faced so: {}.", what)); };
    if (bit.shape() != BitShape::flat) throw wrong("the bit is not flat");
    if (!(order.rise > 0) || !(order.stepover > 0) || order.stepover > 0.8 * bit.diameter() || !(order.bit.depth_per_pass > 0))
        throw wrong("what it stands above the plane, the stepover (at most 80 % of the diameter) and the depth per pass must be above 0");
    const double narrow = std::min(order.stock.bounds.width(), order.stock.bounds.height());
    if (order.run_out < 0 && (order.stock.outline == Outline::round || narrow + 2 * order.run_out < 0))
        throw wrong("the bit has no room inside");
    const double longest = std::max(order.stock.bounds.width(), order.stock.bounds.height());
    if (longest + 2 * order.run_out < bit.diameter()) throw wrong("its rows would be shorter than the bit is wide");
}

}  // namespace

FacePlan plan_face(const FaceOrder& order) {
    check(order);
    Facing facing(order);
    const std::vector<Way> ways = facing.ways();
    FacePlan plan;
    plan.from_beside = facing.beside();
    plan.stepover = facing.step();
    plan.levels = std::max(1, static_cast<int>(std::ceil(order.rise / (order.bit.depth_per_pass * order.take) - 1e-9)));
    Pen pen(order.bit.feed, order.bit.plunge, order.rise + order.safe_height);
    for (int level = 1; level <= plan.levels; ++level) {
        const double from = order.rise * (plan.levels - level + 1) / plan.levels, z = order.rise * (plan.levels - level) / plan.levels;
        pen.pass("facing level", z);
        for (const Way& way : ways) {
            if (plan.from_beside) {
                pen.approach(way.front(), order.rise + std::min(above, order.safe_height));
                pen.cut({way.front().x, way.front().y, z});
            } else {
                const double start = from + std::min(above, order.safe_height) / 2;
                pen.approach(way.front(), start);
                ramp_in(pen, way, start, z);
            }
            for (const Point& p : way) pen.cut({p.x, p.y, z});
            pen.retract();
        }
    }
    plan.path = pen.take();
    return plan;
}

}  // namespace burin
