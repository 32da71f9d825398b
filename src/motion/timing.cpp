// How long a track takes on a machine that knows only the next N moves.
//
// Each move runs as a trapezoid of speed between the squared speeds at its two ends. With c_j the greatest squared speed at
// which the corner before move j can be taken and d_j = 2 a_j l_j what a move can lose on its way, the rule is
//     v_i² = min( c_i, min over k = 1 … N−1 of (c_{i+k} + d_i + … + d_{i+k−1}), d_i + … + d_{i+N−1} ),
// the last term because the last of N known moves must be able to stop. As c ≥ 0, corners beyond the N moves can never be
// the least, so the middle term may run on to the end of motion: w_i = min(c_i, d_i + w_{i+1}), one backward sweep, and the
// last term is a difference of running sums. For the same reason a sweep that starts at 0 anywhere at least N moves ahead
// is exact, so tracks of any length go through in blocks. Then forwards, v_{i+1}² ≤ v_i² + d_i.
//
// Corners: a circle that touches both moves and stays within δ of the corner has r = δ s/(1 − s), s = cos(half the turn),
// and v² = a r with a the acceleration along u₂ − u₁ (common practice, no source). With |u₂ − u₁|² = 4 (1 − s²) this is
// a δ s (1 + s) 4/|u₂ − u₁|², which keeps its digits on nearly straight ways.
//
// Cost: O(moves and chords), memory for one block. Kinematics.
#include "burin/motion/timing.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <limits>

#include "burin/base/clones.hpp"
#include "burin/base/error.hpp"
#include "chords.hpp"

namespace burin {
namespace {

constexpr double arc_tolerance = 0.0005;
constexpr double no_length = 1e-9;

/// Moves in a straight line that lie ahead, arrays of one length.
struct Ahead {
    std::vector<double> accel, loss, limit2, corner2;  ///< a, 2 a l, v², squared speed of the corner before it
    std::vector<double> entry2, run2, seconds;
    std::vector<std::uint32_t> move;  ///< index into Track::moves

    [[nodiscard]] std::size_t size() const { return accel.size(); }
    /// Forgets the first `count`.
    void drop(std::size_t count) {
        const auto cut = [count](auto& values) { values.erase(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(count)); };
        cut(accel), cut(loss), cut(limit2), cut(corner2), cut(move);
    }
};

struct Limits {
    std::array<double, 3> per_speed{}, per_accel{};  ///< 1 ÷ limit
    double corner_tolerance = 0;
    std::size_t planned = 1;
    double least_s = 0;
};

Limits limits_of(const Machine& machine) {
    Limits limits;
    for (std::size_t k = 0; k < 3; ++k) {
        const double v = machine.rapid[k], a = machine.acceleration[k];
        if (!(v > 0 && a > 0 && std::isfinite(v) && std::isfinite(a)))
            throw Error(Fault::usage,
                        "The machine has an axis without speed or acceleration, so no time can be reckoned. "
                        "Give rapid and acceleration of x, y and z in its file.");
        limits.per_speed[k] = 60 / v;
        limits.per_accel[k] = 1 / a;
    }
    if (machine.planned_moves < 1)
        throw Error(Fault::usage,
                    "The machine plans no moves ahead, so no time can be reckoned. Give planned_moves of 1 or more in its file.");
    if (!(machine.corner_tolerance >= 0))
        throw Error(Fault::usage, "The machine's corner tolerance is below 0. Give 0 mm or more in its file.");
    limits.corner_tolerance = machine.corner_tolerance;
    limits.planned = static_cast<std::size_t>(machine.planned_moves);
    limits.least_s = machine.lines_per_s > 0 ? 1 / machine.lines_per_s : 0;
    return limits;
}

/// Sum of |d_k| ÷ limit_k's greatest: the limit along d is |d| ÷ this.
double hardest(const Point3& d, const std::array<double, 3>& per_limit) {
    return std::max({std::abs(d.x) * per_limit[0], std::abs(d.y) * per_limit[1], std::abs(d.z) * per_limit[2]});
}

/// Walks the track and lays its straight pieces onto `ahead`.
class Feeder {
public:
    Feeder(const Track& track, const Limits& limits) : track_(track), limits_(limits), at_(track.start) {}

    /// Until `ahead` holds `wanted` pieces or the track ends (false).
    bool fill(Ahead& ahead, std::size_t wanted) {
        while (ahead.size() < wanted) {
            if (next_ >= track_.moves.size()) return false;
            const Move& move = track_.moves[next_];
            for (; event_ < track_.events.size() && track_.events[event_].before <= next_; ++event_) rest_ = true;
            const bool arc = (move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw) && move.arc < track_.arcs.size();
            if (!arc) {
                add(ahead, move, move.to);
            } else {
                const Chords chords = chords_of(at_, move, track_.arcs[move.arc], arc_tolerance);
                for (int k = 1; k <= chords.count; ++k) add(ahead, move, chords.end(k));
            }
            ++next_;
        }
        return true;
    }

private:
    void add(Ahead& ahead, const Move& move, const Point3& to) {
        const Point3 d{to.x - at_.x, to.y - at_.y, to.z - at_.z};
        const double length = std::sqrt(d.x * d.x + d.y * d.y + d.z * d.z);
        if (!(length > no_length)) return;
        const double slowness = std::max(hardest(d, limits_.per_speed) / length,
                                         move.feed > 0 && move.kind != MoveKind::rapid ? 60 / static_cast<double>(move.feed) : 0);
        const double limit2 = 1 / (slowness * slowness), accel = length / hardest(d, limits_.per_accel);
        const Point3 u{d.x / length, d.y / length, d.z / length};
        ahead.accel.push_back(accel);
        ahead.loss.push_back(2 * accel * length);
        ahead.limit2.push_back(limit2);
        ahead.corner2.push_back(rest_ ? 0 : std::min({corner2(u), limit2, limit2_}));
        ahead.move.push_back(static_cast<std::uint32_t>(next_));
        at_ = to;
        u_ = u;
        limit2_ = limit2;
        rest_ = false;
    }
    [[nodiscard]] double corner2(const Point3& u) const {
        const Point3 turn{u.x - u_.x, u.y - u_.y, u.z - u_.z};
        const double turn2 = turn.x * turn.x + turn.y * turn.y + turn.z * turn.z;
        if (turn2 < 1e-24) return std::numeric_limits<double>::infinity();
        const double s = std::sqrt(std::max(0.0, (1 + (u.x * u_.x + u.y * u_.y + u.z * u_.z)) / 2));
        const double accel = std::sqrt(turn2) / hardest(turn, limits_.per_accel);
        return accel * limits_.corner_tolerance * s * (1 + s) * 4 / turn2;
    }

    const Track& track_;
    const Limits& limits_;
    Point3 at_, u_;
    double limit2_ = 0;
    std::size_t next_ = 0, event_ = 0;
    bool rest_ = true;
};

/// Squared entry speeds under all that is known ahead, for pieces 0 … count − planned (all of them if `to_the_end`).
void plan(Ahead& ahead, std::size_t planned, bool to_the_end) {
    const std::size_t count = ahead.size();
    ahead.entry2.assign(count + 1, 0);
    ahead.run2.assign(count + 1, 0);  // running sums of what can be lost
    for (std::size_t i = 0; i < count; ++i) ahead.run2[i + 1] = ahead.run2[i] + ahead.loss[i];
    for (std::size_t i = count; i-- > 0;) ahead.entry2[i] = std::min(ahead.corner2[i], ahead.entry2[i + 1] + ahead.loss[i]);
    if (count < planned) return;
    const std::size_t known = count - planned + (to_the_end ? 0 : 1);
    double* entry2 = ahead.entry2.data();
    const double* run2 = ahead.run2.data();
    for (std::size_t i = 0; i < known; ++i) entry2[i] = std::min(entry2[i], run2[i + planned] - run2[i]);
}

/// Seconds of each piece from the squared speeds at its ends: up, along, down.
BURIN_CLONES void trapezoids(std::size_t count, const double* accel, const double* loss, const double* limit2, const double* entry2,
                             double* seconds) {
    for (std::size_t i = 0; i < count; ++i) {
        const double e2 = entry2[i], x2 = entry2[i + 1];
        const double p2 = std::min(limit2[i], (loss[i] + e2 + x2) / 2);
        const double peak = std::sqrt(p2), ramps = 2 * peak - std::sqrt(e2) - std::sqrt(x2);
        const double along = loss[i] - (2 * p2 - e2 - x2);
        seconds[i] = (ramps + (along > 0 ? along : 0) / (2 * peak)) / accel[i];
    }
}

/// The least speed on the pieces of one move.
struct Slowness {
    double least2 = std::numeric_limits<double>::infinity(), length = 0;
    void add(double piece, double ends2) {
        least2 = std::min(least2, ends2);
        length += piece;
    }
    /// Of the move that ends here; the next begins.
    float take(double least_s) {
        const double speed = length > 0 ? std::sqrt(least2) : 0, by_rate = least_s > 0 ? length / least_s : speed;
        *this = Slowness{};
        return static_cast<float>(std::min(speed, by_rate));
    }
};

}  // namespace

Timing reckon_time(const Track& track, const Machine& machine, bool speeds) {
    const Limits limits = limits_of(machine);
    Timing timing;
    timing.move_s.assign(track.moves.size(), static_cast<float>(limits.least_s));
    if (speeds) timing.least_mm_s.assign(track.moves.size(), 0);
    for (const Event& event : track.events)
        if (event.kind == EventKind::dwell) timing.dwell_s += event.value;

    Feeder feeder(track, limits);
    Ahead ahead;
    std::size_t timed = 0;  // moves whose time stands in total_s
    double of_move = 0;
    Slowness slow;
    const auto close_moves = [&](std::size_t upto) {  // the move `timed` took of_move, those after it go nowhere
        for (; timed < upto; ++timed, of_move = 0) {
            if (speeds) timing.least_mm_s[timed] = slow.take(limits.least_s);
            const double s = std::max(of_move, limits.least_s);
            timing.move_s[timed] = static_cast<float>(s);
            timing.total_s += s;
        }
    };
    const std::size_t block = std::max<std::size_t>(4096, 4 * limits.planned);
    double carried2 = 0;
    for (bool more = true; more;) {
        more = feeder.fill(ahead, block + limits.planned);
        plan(ahead, limits.planned, !more);
        const std::size_t count = more ? ahead.size() - limits.planned : ahead.size();
        if (count == 0) break;
        ahead.entry2[0] = std::min(ahead.entry2[0], carried2);
        for (std::size_t i = 0; i < count; ++i) ahead.entry2[i + 1] = std::min(ahead.entry2[i + 1], ahead.entry2[i] + ahead.loss[i]);
        carried2 = ahead.entry2[count];
        ahead.seconds.resize(count);
        trapezoids(count, ahead.accel.data(), ahead.loss.data(), ahead.limit2.data(), ahead.entry2.data(), ahead.seconds.data());
        for (std::size_t i = 0; i < count; ++i) {
            close_moves(ahead.move[i]);
            of_move += ahead.seconds[i];
            if (speeds) slow.add(ahead.loss[i] / (2 * ahead.accel[i]), std::min(ahead.entry2[i], ahead.entry2[i + 1]));
        }
        ahead.drop(count);
    }
    close_moves(track.moves.size());
    timing.total_s += timing.dwell_s;
    return timing;
}

std::string duration_text(double seconds) {
    if (!std::isfinite(seconds) || seconds < 0) return "unknown";
    const long long whole = std::llround(seconds);
    if (whole < 60) return fmt::format("{} s", whole);
    if (whole < 3600) return whole % 60 == 0 ? fmt::format("{} min", whole / 60) : fmt::format("{} min {} s", whole / 60, whole % 60);
    return fmt::format("{} h {:02} min", (whole + 30) / 3600, (whole + 30) % 3600 / 60);
}

}  // namespace burin
