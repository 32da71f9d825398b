#pragma once
// What a controller's setting can become in a machine file; inside the room only.
#include <span>
#include <string_view>

#include "burin/workshop/machine.hpp"

namespace burin {

struct SettingTarget {
    std::string_view name;                 ///< "rapid-x"
    std::string_view key;                  ///< "rapid x", for people
    std::string_view unit;                 ///< of the machine file
    double least, most;                    ///< what a machine can have, both included
    double* (*place)(Machine&) = nullptr;  ///< of numbers; null where the machine has no such part
    bool* (*flag)(Machine&) = nullptr;     ///< of what is true or false
};

/// In the order of a machine file.
[[nodiscard]] std::span<const SettingTarget> targets();

}  // namespace burin
