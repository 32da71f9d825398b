// The plate is a box (or, where z alone is set, a floor as wide as one likes), the stock another below it, the bit an upright cylinder, at
// its tip for what it comes down on. A probe moves one axis and stops where it touches, or a little later. O(lines).
#include "touch_machine.hpp"

#include <algorithm>
#include <cmath>

namespace burin::proving {
namespace {

constexpr double deep = 1000;  // mm: solids go down as far as anything comes
constexpr double touch = 1e-9;

struct Solid {
    Axes lo, hi;
};

/// The plate, then the stock.
std::array<Solid, 2> solids_of(const TouchTask& task, const TouchScene& scene) {
    const double top = scene.corner[2] + (task.kind == TouchKind::here ? 0 : task.plate);
    Solid plate{{-1e6, -1e6, top - deep}, {1e6, 1e6, top}};
    Solid stock{{-1e6, -1e6, scene.corner[2] - deep}, {1e6, 1e6, scene.corner[2]}};
    if (task.kind == TouchKind::corner) {
        const std::array<int, 2> sides{task.side_x, task.side_y};
        for (std::size_t k = 0; k < 2; ++k) {
            const double face = scene.corner[k] + sides[k] * task.wall, other = face - sides[k] * task.width;
            plate.lo[k] = std::min(face, other), plate.hi[k] = std::max(face, other);
            (sides[k] < 0 ? stock.lo : stock.hi)[k] = scene.corner[k];
        }
    }
    if (!scene.present) plate = stock;
    return {plate, stock};
}

/// How far the tip gets from `at` along axis `k` by `by` before the bit touches; `by` itself where it touches nothing.
double free_way(const Solid& solid, const TouchTask& task, const Axes& at, std::size_t k, double by) {
    const double r = task.kind == TouchKind::corner ? task.bit_radius : 0;
    for (std::size_t n = 0; n < 3; ++n) {
        if (n == k) continue;
        const double below = n == 2 ? 0 : r, above = n == 2 ? deep : r;  // the bit goes up from its tip
        if (at[n] + above <= solid.lo[n] + touch || at[n] - below >= solid.hi[n] - touch) return by;
    }
    const double reach = k == 2 ? 0 : r;
    const double gap = by > 0 ? solid.lo[k] - reach - at[k] : at[k] - reach - solid.hi[k];
    const double past = by > 0 ? at[k] - reach - solid.hi[k] : solid.lo[k] - reach - at[k];
    constexpr double pressed = 0.5;   // mm: it ran on a little after a touch, and goes back
    if (past >= -pressed) return by;  // away from it
    if (gap < -touch) return 0;       // inside already
    return gap >= std::abs(by) ? by : std::copysign(std::max(0.0, gap), by);
}

class Runner {
public:
    Runner(const TouchTask& task, const TouchScene& scene)
        : task_(task), scene_(scene), solids_(solids_of(task, scene)), at_(scene.start), zero_(scene.old_zero) {
        run_.lo = run_.hi = at_;
    }
    TouchRun run(const std::vector<TouchLine>& lines) {
        for (const TouchLine& line : lines) {
            if (line.absolute) relative_ = false;
            if (line.relative) relative_ = true;
            step(line);
            if (!run_.trouble.empty() || run_.alarm) {
                run_.line = line.line;
                break;
            }
            if (line.ends) {
                run_.ended = true;
                break;
            }
        }
        for (std::size_t k = 0; k < 3; ++k) run_.zero[k] = zero_[k] + shift_[k];
        run_.at = at_;
        return run_;
    }

private:
    void step(const TouchLine& line) {
        switch (line.verb) {
            case TouchVerb::none:
                return;
            case TouchVerb::clear_g92:
                shift_ = {};
                return;
            case TouchVerb::rapid:
            case TouchVerb::feed:
                return move(line);
            case TouchVerb::probe:
                return probe(line);
            default:
                return set(line);
        }
    }
    [[nodiscard]] double reckoned(const TouchValue& value) const {
        double sum = value.number;
        for (const int p : value.plus) {
            if (p >= 5061 && p <= 5063) sum += touched_[static_cast<std::size_t>(p - 5061)];
            if (p >= 5221 && p <= 5223) sum += zero_[static_cast<std::size_t>(p - 5221)];
            if (p < 5061 || (p > 5063 && p < 5221) || p > 5223) sum += 1e6;  // a parameter that holds something else
        }
        return sum;
    }
    [[nodiscard]] Axes target(const TouchLine& line) const {
        Axes to = at_;
        for (std::size_t k = 0; k < 3; ++k)
            if (line.axes[k]) to[k] = reckoned(*line.axes[k]) + (relative_ ? at_[k] : zero_[k] + shift_[k]);
        return to;
    }
    void go(const Axes& to, double speed_mm_s) {
        double square = 0;
        for (std::size_t k = 0; k < 3; ++k) {
            square += (to[k] - at_[k]) * (to[k] - at_[k]);
            run_.lo[k] = std::min(run_.lo[k], to[k]), run_.hi[k] = std::max(run_.hi[k], to[k]);
        }
        const double length = std::sqrt(square),
                     a = *std::min_element(task_.machine.acceleration.begin(), task_.machine.acceleration.end());
        run_.time_s += length >= speed_mm_s * speed_mm_s / a ? length / speed_mm_s + speed_mm_s / a : 2 * std::sqrt(length / a);
        at_ = to;
    }
    void move(const TouchLine& line) {
        const Axes to = target(line);
        std::size_t axis = 3, count = 0;
        for (std::size_t k = 0; k < 3; ++k)
            if (std::abs(to[k] - at_[k]) > 1e-12) axis = k, ++count;
        if (count == 0) return;
        if (count > 1) return void(run_.trouble = "moves several axes at once beside the plate.");
        if (line.verb == TouchVerb::rapid && axis == 2 && to[2] < at_[2]) return void(run_.trouble = "goes down in a rapid.");
        const double by = to[axis] - at_[axis];
        for (const Solid& solid : solids_)
            if (std::abs(free_way(solid, task_, at_, axis, by)) < std::abs(by) - 1e-6)
                return void(run_.trouble = "runs into the plate or the stock without probing.");
        const double speed = line.verb == TouchVerb::rapid ? task_.machine.rapid[axis] : std::min(line.feed, task_.machine.rapid[axis]);
        run_.moved += std::abs(by);
        go(to, speed / 60);
    }
    void probe(const TouchLine& line) {
        const Axes to = target(line);
        std::size_t axis = 3, count = 0;
        for (std::size_t k = 0; k < 3; ++k)
            if (std::abs(to[k] - at_[k]) > 1e-12) axis = k, ++count;
        if (count != 1) return void(run_.trouble = "probes along no axis, or several at once.");
        const double by = to[axis] - at_[axis], way = free_way(solids_[0], task_, at_, axis, by);
        if (scene_.present && std::abs(way) < 1e-9) return void(run_.trouble = "probes from where it touches already.");
        if (std::abs(by) > run_.longest_probe) run_.longest_probe = std::abs(by), run_.longest_at = line.line;
        if (axis < 2 && at_[2] + task_.bit_tip > solids_[0].hi[2])
            return void(run_.trouble = "touches with the curve of the bit's tip, which is narrower.");
        const double speed = line.feed / 60, late = scene_.late * speed * speed / (2 * task_.machine.acceleration[axis]);
        if (!scene_.present || std::abs(way) >= std::abs(by)) {
            // Without a plate, or past it, nothing stops the bit before the stock.
            run_.alarm = true;
            return;
        }
        Axes contact = at_;
        contact[axis] += way;
        for (std::size_t k = 0; k < 3; ++k) touched_[k] = contact[k] - zero_[k] - shift_[k];
        Axes stop = contact;
        stop[axis] += std::copysign(late, by);
        run_.probed += std::abs(way);
        go(stop, speed);
        at_ = stop;
    }
    void set(const TouchLine& line) {
        for (std::size_t k = 0; k < 3; ++k) {
            if (!line.axes[k]) continue;
            const double value = reckoned(*line.axes[k]);
            if (line.verb == TouchVerb::set_l20) zero_[k] = at_[k] - shift_[k] - value;
            if (line.verb == TouchVerb::set_l2) zero_[k] = value;
            if (line.verb == TouchVerb::set_g92) shift_[k] = at_[k] - zero_[k] - value;
            run_.set[k] = true;
        }
    }

    const TouchTask& task_;
    const TouchScene& scene_;
    std::array<Solid, 2> solids_;
    Axes at_, zero_, shift_{}, touched_{};
    bool relative_ = false;
    TouchRun run_;
};

}  // namespace

TouchRun run_touch(const std::vector<TouchLine>& lines, const TouchTask& task, const TouchScene& scene) {
    return Runner(task, scene).run(lines);
}

}  // namespace burin::proving
