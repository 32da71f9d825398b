/// How a plate is touched: fast, back, slow. Until the first touch nobody knows where zero is, so that way counts from where the bit
/// stands.
#include "zero_plan.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "burin/base/error.hpp"

namespace burin {
namespace {

using Kind = ZeroStep::Kind;

std::array<std::optional<double>, 3> along(std::size_t axis, double value) {
    std::array<std::optional<double>, 3> at;
    at[axis] = value;
    return at;
}

/// Towards `side` (−1 or +1) along an axis, at most `look` mm from where it stands; the place of the touch is then called `at`.
void touch_twice(const TouchTask& task, std::size_t axis, int side, double look, double at, std::vector<ZeroStep>& steps) {
    steps.push_back({Kind::probe, true, along(axis, side * look), task.probe_feed, {}});
    steps.push_back({Kind::set, false, along(axis, at), 0, {}});
    steps.push_back({Kind::rapid, false, along(axis, at - side * zero_back_off), 0, {}});
    steps.push_back({Kind::probe, false, along(axis, at + side * zero_back_off), task.probe_slow, {}});
    steps.push_back({Kind::set, false, along(axis, at), 0, {}});
}

void touch_side(const TouchTask& task, std::size_t axis, int side, double drop, std::vector<ZeroStep>& steps) {
    const double over = task.plate + zero_back_off;
    const double face = side * (task.wall + task.bit_radius);
    steps.push_back({Kind::rapid, true, along(axis, side * (task.width / 2 + task.bit_radius + corner_clear)), 0, {}});
    steps.push_back({Kind::feed, false, along(2, task.plate - drop), corner_lower, {}});
    touch_twice(task, axis, -side, corner_look, face, steps);
    steps.push_back({Kind::rapid, false, along(axis, face + side * zero_back_off), 0, {}});
    steps.push_back({Kind::rapid, false, along(2, over), 0, {}});
    steps.push_back({Kind::rapid, false, along(axis, side * (task.wall - task.width / 2)), 0, {}});
}

}  // namespace

std::vector<ZeroStep> plate_steps(const TouchTask& task) {
    std::vector<ZeroStep> steps;
    touch_twice(task, 2, -1, task.probe_travel, task.plate, steps);
    steps.push_back({Kind::rapid, false, along(2, task.plate + zero_away), 0, {}});
    return steps;
}

std::vector<ZeroStep> corner_steps(const TouchTask& task, double drop) {
    std::vector<ZeroStep> steps;
    touch_twice(task, 2, -1, task.probe_travel, task.plate, steps);
    steps.push_back({Kind::rapid, false, along(2, task.plate + zero_back_off), 0, {}});
    touch_side(task, 0, task.side_x, drop, steps);
    steps.push_back({Kind::pause, false, {}, 0, "Turn the bit by hand until its cutting edges point towards you and away, then go on"});
    touch_side(task, 1, task.side_y, drop, steps);
    steps.push_back({Kind::rapid, false, along(2, task.plate + zero_away), 0, {}});
    return steps;
}

std::vector<ZeroStep> here_steps(const TouchTask& task) {
    return {{Kind::set, false, {0.0, 0.0, task.plate}, 0, {}}, {Kind::rapid, false, along(2, task.plate + zero_away), 0, {}}};
}

double corner_drop(const Bit& bit, double plate) {
    constexpr double wanted = 3, least = 1, above_stock = 1;
    const double most = std::min(bit.spec().cutting_length, plate - above_stock), drop = std::min(bit.tip_height() + wanted, most);
    if (drop < bit.tip_height() + least)
        throw Error(
            Fault::refused,
            fmt::format("The sides of a plate of {} mm cannot be touched with {}: it reaches its full width {:.2f} mm above its tip only. "
                        "Take a bit with upright sides, such as --bit flat:3.175.",
                        plate, bit.name(), bit.tip_height()));
    return drop;
}

}  // namespace burin
