// The machine that a controller's list describes. Cost: settings times meanings, both few.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "burin/base/error.hpp"
#include "burin/workshop/controller.hpp"
#include "burin/workshop/presets.hpp"
#include "setting_targets.hpp"

namespace burin {
namespace {

// The limits are those that read_machine has.
// clang-format off
constexpr std::array<SettingTarget, 15> all_targets{{
    {"travel-x", "travel x", "mm", 1, 10000, [](Machine& m) { return &m.travel[0]; }, nullptr},
    {"travel-y", "travel y", "mm", 1, 10000, [](Machine& m) { return &m.travel[1]; }, nullptr},
    {"travel-z", "travel z", "mm", 0, 10000, [](Machine& m) { return &m.travel[2]; }, nullptr},
    {"rapid-x", "rapid x", "mm/min", 1, 1e6, [](Machine& m) { return &m.rapid[0]; }, nullptr},
    {"rapid-y", "rapid y", "mm/min", 1, 1e6, [](Machine& m) { return &m.rapid[1]; }, nullptr},
    {"rapid-z", "rapid z", "mm/min", 1, 1e6, [](Machine& m) { return &m.rapid[2]; }, nullptr},
    {"acceleration-x", "acceleration x", "mm/s²", 0.1, 1e6, [](Machine& m) { return &m.acceleration[0]; }, nullptr},
    {"acceleration-y", "acceleration y", "mm/s²", 0.1, 1e6, [](Machine& m) { return &m.acceleration[1]; }, nullptr},
    {"acceleration-z", "acceleration z", "mm/s²", 0.1, 1e6, [](Machine& m) { return &m.acceleration[2]; }, nullptr},
    {"corner-tolerance", "corner-tolerance", "mm", 1e-6, 10, [](Machine& m) { return &m.corner_tolerance; }, nullptr},
    {"homes", "homes", "", 0, 0, nullptr, [](Machine& m) { return &m.homes; }},
    {"least-rpm", "spindle least-rpm", "rpm", 1, 1e6, [](Machine& m) { return m.spindle ? &m.spindle->least_rpm : nullptr; }, nullptr},
    {"most-rpm", "spindle most-rpm", "rpm", 1, 1e6, [](Machine& m) { return m.spindle ? &m.spindle->most_rpm : nullptr; }, nullptr},
    {"scale", "laser scale", "S at full power", 1, 1e6, [](Machine& m) { return m.laser ? &m.laser->scale : nullptr; }, nullptr},
    {"scales-with-speed", "laser scales-with-speed", "", 0, 0, nullptr, [](Machine& m) { return m.laser ? &m.laser->scales_with_speed : nullptr; }},
}};
// clang-format on

std::string words(double value, std::string_view unit) {
    return unit.empty() ? fmt::format("{}", value) : fmt::format("{} {}", value, unit);
}

double number_in(const Setting& setting, const std::string& mark, const std::string& origin) {
    const std::string& text = setting.value;
    const char* const first = text.data() + (text.front() == '+' ? 1 : 0);
    double value = 0;
    const auto [end, error] = std::from_chars(first, text.data() + text.size(), value, std::chars_format::fixed);
    if (error == std::errc{} && end == text.data() + text.size() && std::isfinite(value) && text != "+") return value;
    const bool comma = text.find(',') != std::string::npos;
    throw Error(Fault::input,
                fmt::format("'{}', line {}: {}{} is '{}', which is no plain decimal number{}", origin, setting.line, mark, setting.number,
                            text.substr(0, 40), comma ? ": write a point in place of the comma." : " such as 2000.5."));
}

/// Puts one value where it belongs. False: it says nothing, or the machine has no such part.
bool put(Machine& machine, const SettingTarget& target, const SettingMeaning& meaning, const Setting& setting, const Controller& controller,
         const std::string& origin) {
    const double given = number_in(setting, controller.mark, origin);
    if (target.flag) {
        bool* const flag = target.flag(machine);
        if (flag) *flag = meaning.yes ? given == *meaning.yes : given != 0;
        return flag != nullptr;
    }
    double* const place = target.place(machine);
    if (!place || (given < meaning.from && given >= 0)) return false;
    const double value = std::round(given * meaning.factor * 1e6) / 1e6;
    if (value < target.least || value > target.most)
        throw Error(Fault::input,
                    fmt::format("'{}', line {}: {}{} is {}, and no machine has a {} of {}: it lies between {} and {}. Ask the controller "
                                "again, or compare the file with its screen.",
                                origin, setting.line, controller.mark, setting.number, words(given, meaning.unit), target.key,
                                words(value, target.unit), target.least, words(target.most, target.unit)));
    *place = value;
    return true;
}

FigureOrigin told(Machine& machine, const SettingTarget& target, const Setting* setting) {
    FigureOrigin origin;
    origin.key = target.key;
    origin.value = target.flag ? (*target.flag(machine) ? "yes" : "no") : words(*target.place(machine), target.unit);
    if (setting) origin.line = setting->line, origin.number = setting->number;
    return origin;
}

/// What fits together less well than it looks.
void settle(Machine& machine, const Machine& like, bool speed_given, std::vector<std::string>& warnings) {
    if (machine.spindle && machine.spindle->least_rpm > machine.spindle->most_rpm) {
        machine.spindle->least_rpm = machine.spindle->most_rpm;
        warnings.emplace_back(
            "The least speed of the spindle lay above the greatest: it was taken as one fixed speed. Put the true ones into the file.");
    }
    if (machine.spindle && !speed_given)
        warnings.push_back(
            fmt::format("The list says nothing of the spindle's speed: {} rpm is as in '{}'. Feeds are reckoned from it, so put the true "
                        "one into the file.",
                        machine.spindle->most_rpm, like.name));
    if (machine.laser)
        machine.laser->pilot_s = std::min(machine.laser->pilot_s * machine.laser->scale / like.laser->scale, machine.laser->scale);
    machine.most_feed = std::min(machine.most_feed, std::min(machine.rapid[0], machine.rapid[1]));
    if (machine.stock_at && !machine.homes) {
        machine.stock_at.reset();
        warnings.push_back(
            fmt::format("'{}' says where the stock lies on the machine, but this one does not home: that was left out.", like.name));
    }
}

}  // namespace

std::span<const SettingTarget> targets() { return all_targets; }

std::vector<std::string> setting_targets() {
    std::vector<std::string> names;
    for (const SettingTarget& target : all_targets) names.emplace_back(target.name);
    return names;
}

MachineFromSettings machine_from(const SettingsList& list, const Controller& controller, const Machine& like, const std::string& name,
                                 const std::string& origin) {
    MachineFromSettings made;
    Machine& machine = made.machine = like;
    machine.name = name;
    machine.title = fmt::format("{}, by its controller's own settings", name);
    std::array<const Setting*, all_targets.size()> said{};
    const auto is_known = [&](int number) {
        return std::find(controller.known.begin(), controller.known.end(), number) != controller.known.end() ||
               std::any_of(controller.meanings.begin(), controller.meanings.end(), [&](const auto& m) { return m.number == number; });
    };
    for (const Setting& setting : list.settings) {
        if (!is_known(setting.number)) made.unknown.push_back(setting.number);
        for (const SettingMeaning& meaning : controller.meanings) {
            if (meaning.number != setting.number) continue;
            for (std::size_t k = 0; k < all_targets.size(); ++k)
                if (all_targets[k].name == meaning.sets && put(machine, all_targets[k], meaning, setting, controller, origin))
                    said[k] = &setting;
        }
    }
    const auto given = [&](std::string_view target) {
        for (std::size_t k = 0; k < all_targets.size(); ++k)
            if (all_targets[k].name == target) return said[k] != nullptr;
        return false;
    };
    machine.typical_dynamics = false;
    for (const SettingTarget& target : all_targets)
        if ((target.name.starts_with("rapid") || target.name.starts_with("acceleration")) && !given(target.name))
            machine.typical_dynamics = true;
    if (machine.laser && !machine.spindle && given("scales-with-speed") && !machine.laser->scales_with_speed)
        made.warnings.emplace_back(
            "The controller is not set to drive a beam: power would not go with the speed, and corners burn darker. Set it so (its manual "
            "says how), and make this file again.");
    settle(machine, like, given("most-rpm"), made.warnings);
    for (std::size_t k = 0; k < all_targets.size(); ++k) {
        const SettingTarget& target = all_targets[k];
        if (target.flag ? target.flag(machine) != nullptr : target.place(machine) != nullptr)
            made.origins.push_back(told(machine, target, said[k]));
    }
    if (machine.travel[2] <= 0 && machine.spindle)
        throw Error(Fault::input, fmt::format("'{}': a travel of 0 mm in z cannot be, on a machine with a spindle.", origin));
    return made;
}

}  // namespace burin
