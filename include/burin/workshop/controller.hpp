#pragma once
/// A machine from its controller's own words: the numbered list of settings that it answers with.
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/workshop/machine.hpp"

namespace burin {

/// What one number of a controller's list means.
struct SettingMeaning {
    int number = 0;
    std::string sets;           ///< "rapid-x", "travel-z", "corner-tolerance", …: see `setting_targets`
    std::string unit;           ///< as the controller has it, for sentences
    double factor = 1;          ///< times this it is in the machine file's unit
    double from = 0;            ///< a smaller value says nothing
    std::optional<double> yes;  ///< of what is true or false: the value that means true; empty: all but 0
};

/// A kind of controller, as its file describes it.
struct Controller {
    std::string name, title;
    std::string mark;                      ///< before each number: "$"; may be empty
    std::string ask;                       ///< what to type to have the list
    std::vector<SettingMeaning> meanings;  ///< a number may stand here more than once, a target may not
    std::vector<int> known;                ///< numbers that say nothing about a machine file
};

/// The words that `sets` may be.
[[nodiscard]] std::vector<std::string> setting_targets();
/// Throws Error (usage) as the readers of presets do.
[[nodiscard]] Controller read_controller(std::string_view toml, const std::string& origin);

/// One line of the list, its value as it stands there.
struct Setting {
    int number = 0;
    std::uint32_t line = 0;
    std::string value;
};

struct SettingsList {
    std::vector<Setting> settings;           ///< in order of lines, each number once
    std::vector<std::uint32_t> other_lines;  ///< that are no settings: greetings, answers; empty ones are not counted
    static constexpr std::size_t most_bytes = std::size_t{1} << 20;
};

/// Reads lines such as "$110=2000.000 (x max rate)": mark, number, equals, value, maybe words behind it. Any line end, blanks anywhere.
/// Other lines are passed over. `origin`: the file's name, for sentences. Throws Error (input): no text, larger than `most_bytes`, no
/// setting in it at all, a setting without a value, a number given twice with different values, each with its line.
[[nodiscard]] SettingsList read_settings(std::string_view text, const Controller& controller, const std::string& origin);

/// Where a figure of the machine came from.
struct FigureOrigin {
    std::string key;         ///< as in a machine file: "rapid", "corner-tolerance"
    std::string value;       ///< as it came out, with its unit
    std::uint32_t line = 0;  ///< of the list; 0: filled from the other machine
    int number = 0;          ///< of the setting
};

struct MachineFromSettings {
    Machine machine;
    std::vector<FigureOrigin> origins;  ///< axis by axis, in the order of a machine file
    std::vector<int> unknown;           ///< numbers that the controller's file does not know
    std::vector<std::string> warnings;  ///< each with what to do
};

/// The machine that the list describes; what it does not say is as in `like`. Dynamics count as measured where all rates and
/// accelerations come from the list. `most_feed` becomes no more than the slower of x and y.
/// Throws Error (input) with file and line: a value that is no plain decimal, or that no machine has (a travel below 0, a rate of 0, …).
[[nodiscard]] MachineFromSettings machine_from(const SettingsList& list, const Controller& controller, const Machine& like,
                                               const std::string& name, const std::string& origin);

}  // namespace burin
