#pragma once
/// The machine, as its file describes it.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "burin/workshop/keep_out.hpp"

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

/// How a program sets the work zero (NISTIR 6556). `g10_l20`: G10 L20 P1 says what the place where the machine stands is called from now
/// on (younger than the report, common practice). `g10_l2`: G10 L2 P1 says where the zero lies on the machine, reckoned by the controller
/// from its parameters #5221 … and #5061 …. `g92`: shifts all zeros; by the report the end of a program undoes it.
enum class ZeroBy { g10_l20, g10_l2, g92 };
/// "G10 L20", "G10 L2", "G92".
[[nodiscard]] std::string to_string(ZeroBy by);

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
    ZeroBy zero_by = ZeroBy::g10_l20;               ///< how programs that set a zero do it
    std::vector<KeepOut> keep_outs;                 ///< what always stands at the same place, seen from the work zero
    std::optional<Spindle> spindle;
    std::optional<Laser> laser;
};

}  // namespace burin
