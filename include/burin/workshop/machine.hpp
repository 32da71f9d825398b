#pragma once
/// The machine, as its file describes it.
#include <array>
#include <optional>
#include <string>
#include <vector>

namespace burin {

/// A router's spindle.
struct Spindle {
    double least_rpm = 0, most_rpm = 0;  ///< equal: one fixed speed
    double power_w = 0;                  ///< at the bit
    double spin_up_s = 3;                ///< dwell after M3
};

/// A laser head (used from the laser strategies on).
struct Laser {
    double scale = 1000;  ///< S at full power
    double power_w = 5;   ///< optical
    double spot_mm = 0.1;
    double pilot_s = 0;  ///< greatest S of a border run, in the unit of scale; 0: dark only
    bool scales_with_speed = true;
};

/// Checked when read: travels, rates and accelerations positive (a laser's travel in z may be 0), a spindle or a laser
/// or both.
struct Machine {
    std::string name, title;
    std::array<double, 3> travel{};        ///< mm
    std::array<double, 3> rapid{};         ///< mm/min
    std::array<double, 3> acceleration{};  ///< mm/s²
    double corner_tolerance = 0.01;        ///< mm
    int planned_moves = 16;
    double lines_per_s = 0;     ///< 0: no limit
    double most_feed = 0;       ///< greatest sensible feed, mm/min
    double stiffness_n_mm = 0;  ///< sideways, at the bit; 0 unknown
    bool dwell_in_milliseconds = false;
    bool typical_dynamics = true;                   ///< figures are common for the kind, not measured on this machine
    double spoilboard = 0;                          ///< thickness, mm
    std::optional<std::array<double, 3>> stock_at;  ///< machine position of the work zero, if the file says so
    bool homes = false;                             ///< it finds its own zero by switches
    std::optional<Spindle> spindle;
    std::optional<Laser> laser;
};

}  // namespace burin
