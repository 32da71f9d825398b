#pragma once
// A machine of numbers that runs a probing program beside a plate; inside the room only.
#include <array>
#include <optional>
#include <string>

#include "burin/proof/touch.hpp"
#include "touch_words.hpp"

namespace burin::proving {

using Axes = std::array<double, 3>;

/// Where everything is, in the machine's own coordinates.
struct TouchScene {
    Axes corner{};        ///< the zero point of the stock
    Axes start{};         ///< of the tip
    Axes old_zero{};      ///< of G54 before
    bool present = true;  ///< the plate (and the clip on the bit)
    double late = 0;      ///< share of v²/(2a) that it runs on after a touch
};

struct TouchRun {
    Axes zero{};                        ///< of the program's words when it ended or stopped
    Axes at{};                          ///< where the tip ended
    std::array<bool, 3> set{};          ///< axes whose zero was set
    bool ended = false, alarm = false;  ///< alarm: a probe did not touch
    std::string trouble;                ///< ran into something; empty: nothing
    std::uint32_t line = 0;             ///< of the trouble or the alarm
    Axes lo{}, hi{};                    ///< extents of the tip's way
    double time_s = 0, probed = 0, moved = 0;
    double longest_probe = 0;
    std::uint32_t longest_at = 0;
};

[[nodiscard]] TouchRun run_touch(const std::vector<TouchLine>& lines, const TouchTask& task, const TouchScene& scene);

}  // namespace burin::proving
