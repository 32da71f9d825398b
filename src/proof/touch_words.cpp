// A reader of a handful of words, written apart from the one in `program`. G10 without L2 or L20 and P1, words that turn the spindle and
// everything else that a probing program has no need of are wrong. O(bytes).
#include "touch_words.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace burin::proving {
namespace {

std::optional<double> plain(std::string_view digits) {
    double value = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value, std::chars_format::fixed);
    if (error != std::errc{} || end != digits.data() + digits.size() || !(std::abs(value) < 1e6)) return {};
    return value;
}

/// "[#5223+#5063-15.200]": terms with signs between them; "12.5" too.
std::optional<TouchValue> value_of(std::string_view text) {
    TouchValue value;
    if (!text.starts_with('[')) {
        const auto number = plain(text);
        if (number) value.number = *number;
        return number ? std::optional(value) : std::nullopt;
    }
    if (!text.ends_with(']')) return {};
    text = text.substr(1, text.size() - 2);
    bool minus = false;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find_first_of("+-", 1), text.size());
        const std::string_view term = text.substr(0, end);
        const bool parameter = term.starts_with('#');
        const auto number = plain(parameter ? term.substr(1) : term);
        if (!number || (parameter && minus) || *number < 0) return {};
        if (parameter)
            value.plus.push_back(static_cast<int>(*number));
        else
            value.number += minus ? -*number : *number;
        if (end == text.size()) return value;
        minus = text[end] == '-';
        text.remove_prefix(end + 1);
    }
    return {};  // empty, or a sign at its end
}

struct Word {
    char letter;
    std::string_view value;
};

/// Words of a line, blanks between them; false: one has no letter.
bool split(std::string_view line, std::vector<Word>& words) {
    while (!line.empty()) {
        if (line.front() == ' ') {
            line.remove_prefix(1);
            continue;
        }
        if (line.front() == '(') {
            const std::size_t close = line.find(')');
            if (close == std::string_view::npos) return false;
            line.remove_prefix(close + 1);
            continue;
        }
        const std::size_t end = std::min(line.find_first_of(" ("), line.size());
        if (line.front() < 'A' || line.front() > 'Z') return false;
        words.push_back({line.front(), line.substr(1, end - 1)});
        line.remove_prefix(end);
    }
    return true;
}

void take_g(std::string_view code, TouchLine& line) {
    const auto verb = [&](TouchVerb v) {
        if (line.verb != TouchVerb::none) line.wrong = "has two words that move or set something.";
        line.verb = v;
    };
    if (code == "0") return verb(TouchVerb::rapid);
    if (code == "1") return verb(TouchVerb::feed);
    if (code == "38.2") return verb(TouchVerb::probe);
    if (code == "10") return verb(TouchVerb::set_l2);
    if (code == "92") return verb(TouchVerb::set_g92);
    if (code == "92.1") return verb(TouchVerb::clear_g92);
    if (code == "21") return void(line.metric = true);
    if (code == "17") return void(line.plane = true);
    if (code == "94") return void(line.per_minute = true);
    if (code == "54") return void(line.offset = true);
    if (code == "90") return void(line.absolute = true);
    if (code == "91") return void(line.relative = true);
    line.wrong = fmt::format("has G{}, which has no place in a probing program.", code.substr(0, 12));
}

TouchLine line_of(const std::vector<Word>& words, std::uint32_t number) {
    TouchLine line;
    line.line = number;
    std::string_view l, p;
    for (const auto& [letter, value] : words) {
        if (letter == 'G') {
            take_g(value, line);
        } else if (letter == 'M') {
            line.spindle_off |= value == "5", line.pause |= value == "0", line.ends |= value == "2";
            if (value != "5" && value != "0" && value != "2")
                line.wrong = fmt::format("has M{}, which has no place in a probing program.", value.substr(0, 12));
        } else if (letter >= 'X' && letter <= 'Z') {
            auto& axis = line.axes[static_cast<std::size_t>(letter - 'X')];
            if (axis || !(axis = value_of(value))) line.wrong = fmt::format("has no plain value after {}.", letter);
        } else if (letter == 'F') {
            line.feed = plain(value).value_or(0);
            if (!(line.feed > 0)) line.wrong = "has a feed that is none.";
        } else if (letter == 'L') {
            l = value;
        } else if (letter == 'P') {
            p = value;
        } else {
            line.wrong = fmt::format("has a word {}, which has no place in a probing program.", letter);
        }
    }
    if (line.verb == TouchVerb::set_l2) {
        if (p != "1" || (l != "2" && l != "20")) line.wrong = "has G10 without L2 or L20 and P1, the zero that G54 uses.";
        if (l == "20") line.verb = TouchVerb::set_l20;
    } else if (!l.empty() || !p.empty()) {
        line.wrong = "has L or P, which nothing on the line uses.";
    }
    const bool axes = line.axes[0] || line.axes[1] || line.axes[2];
    if (axes != (line.verb != TouchVerb::none && line.verb != TouchVerb::clear_g92))
        line.wrong = "names axes that nothing uses, or none where some are wanted.";
    return line;
}

}  // namespace

std::vector<TouchLine> touch_lines(std::string_view text) {
    std::vector<TouchLine> lines;
    std::uint32_t number = 0;
    for (std::size_t at = 0; at < text.size() && number < 10000;) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string_view line = text.substr(at, end - at);
        at = end + 1;
        ++number;
        std::vector<Word> words;
        if (!split(line, words)) {
            TouchLine broken;
            broken.line = number;
            broken.wrong = "is no line of words.";
            lines.push_back(broken);
        } else if (!words.empty()) {
            lines.push_back(line_of(words, number));
        }
    }
    return lines;
}

}  // namespace burin::proving
