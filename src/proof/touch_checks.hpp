#pragma once
// What every program that probes must keep, whatever it probes; inside the room only.
#include <string>
#include <string_view>
#include <vector>

#include "promises.hpp"
#include "touch_words.hpp"

namespace burin::proving {

/// "spindle off": M5 before the first move and after the last.
[[nodiscard]] Check check_touch_still(const std::string& file, const std::vector<TouchLine>& lines);
/// "text that the controller takes": every word read, the start's words said before the first move, M2 last, short lines of plain letters.
/// `besides` names the words that no cutting program has; `breaches` are those found already.
[[nodiscard]] Check check_touch_text(const std::string& file, std::string_view text, const std::vector<TouchLine>& lines,
                                     std::string_view besides, std::vector<Breach> breaches = {});
/// Whether none is broken; none at all prove nothing.
[[nodiscard]] bool all_hold(const std::vector<Check>& checks);

}  // namespace burin::proving
