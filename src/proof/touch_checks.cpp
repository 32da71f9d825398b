// Checks of the text alone. O(text).
#include "touch_checks.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace burin::proving {

Check check_touch_still(const std::string& file, const std::vector<TouchLine>& lines) {
    std::vector<Breach> breaches;
    bool off = false, last_off = false;
    for (const TouchLine& line : lines) {
        off |= line.spindle_off;
        if (line.spindle_off) last_off = true;
        if (line.verb == TouchVerb::none) continue;
        if (!off) breaches.push_back({line.line, {}, "moves before M5 has switched the spindle off."});
        last_off = false;
    }
    if (!last_off) breaches.push_back({lines.empty() ? 0 : lines.back().line, {}, "no M5 follows the last move."});
    return verdict("spindle off", file, "M5 comes before the first move and after the last; no word switches the spindle on.",
                   std::move(breaches));
}

Check check_touch_text(const std::string& file, std::string_view text, const std::vector<TouchLine>& lines, std::string_view besides,
                       std::vector<Breach> breaches) {
    bool metric = false, absolute = false, plane = false, minute = false, offset = false;
    for (const TouchLine& line : lines) {
        if (!line.wrong.empty()) breaches.push_back({line.line, {}, line.wrong});
        metric |= line.metric, absolute |= line.absolute, plane |= line.plane, minute |= line.per_minute, offset |= line.offset;
        if (line.verb != TouchVerb::none && !(metric && absolute && plane && minute && offset))
            breaches.push_back({line.line, {}, "comes before G21 G90 G17 G94 G54 have all been said."});
    }
    if (lines.empty() || !lines.back().ends)
        breaches.push_back({lines.empty() ? 0 : lines.back().line, {}, "is the last line, and no M2 ends the program."});
    std::uint32_t number = 1;
    std::size_t length = 0, longest = 0;
    for (const char c : text) {
        length = c == '\n' ? 0 : length + 1;
        number += c == '\n' ? 1 : 0;
        longest = std::max(longest, length);
        if (length == 71) breaches.push_back({number, {}, "has more than 70 characters."});
        if (c != '\n' && (c < 32 || c > 126)) breaches.push_back({number, {}, "holds something else than plain letters."});
    }
    return verdict(
        "text that the controller takes", file,
        fmt::format("{} lines, the longest of {} characters; beside the words of every program only {}.", number - 1, longest, besides),
        std::move(breaches));
}

bool all_hold(const std::vector<Check>& checks) {
    return !checks.empty() && std::all_of(checks.begin(), checks.end(), [](const Check& check) { return check.ok; });
}

}  // namespace burin::proving
