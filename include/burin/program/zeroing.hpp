#pragma once
/// Programs that probe and set the work zero, as text: the words that no cutting program has.
#include <array>
#include <optional>
#include <string>
#include <vector>

#include "burin/workshop/machine.hpp"

namespace burin {

/// One line of a program that sets a zero. Axes that are empty stay out of it.
struct ZeroStep {
    enum class Kind {
        probe,  ///< G38.2: to there, or until it touches; not touched is the controller's alarm
        rapid,
        feed,
        set,    ///< the place of the last touch, or where it stands, is called so from now on
        pause,  ///< M0 with a message
    };
    Kind kind = Kind::rapid;
    bool relative = false;                      ///< counted from where it stands, not from zero; not of `set`
    std::array<std::optional<double>, 3> at{};  ///< mm
    double feed = 0;                            ///< mm/min; probe and feed
    std::string message;
};

struct ZeroStyle {
    ZeroBy by = ZeroBy::g10_l20;
    std::vector<std::string> header;  ///< comment lines, cleaned and cut to fit
};

/// Header, G21 G90 G17 G94 G54, M5, the steps, M5, M2. Three decimals; lines ≤ 70 characters, ASCII, LF. G10 L2 is written with the
/// parameters of the last touch (NISTIR 6556: #5061 … #5063, in program coordinates) and of the first zero (#5221 … #5223), after G92.1 at
/// the start has ended what G92 may have shifted. Throws Error (refused): a number that is not finite or beyond 10 m, a probe or feed
/// without feed, no axis; by G10 L2 a `set` of an axis that no probe has touched last.
[[nodiscard]] std::string write_zeroing(const std::vector<ZeroStep>& steps, const ZeroStyle& style);

}  // namespace burin
