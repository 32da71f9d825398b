/// UTF-8 is read strictly by the table of RFC 3629, ch. 4; runs are those of Unicode's bidirectional algorithm (UAX 9; levels by
/// FriBidi, order by its rule L2), parted once more where the script changes (UAX 24: common and inherited characters go with what
/// stands before them). Cost: linear in the text.
#include "lettering_text.hpp"

#include <fmt/format.h>
#include <fribidi.h>

#include <algorithm>
#include <array>
#include <cstdint>

#include "burin/base/error.hpp"
#include "burin/base/utf8.hpp"

namespace burin {
namespace {

struct NamedControl {
    char32_t code;
    std::string_view name;
};
constexpr std::array<NamedControl, 14> controls{{{0x00, "null"},
                                                 {0x07, "bell"},
                                                 {0x08, "backspace"},
                                                 {0x09, "tab"},
                                                 {0x0B, "vertical tab"},
                                                 {0x0C, "form feed"},
                                                 {0x0D, "carriage return"},
                                                 {0x1A, "substitute"},
                                                 {0x1B, "escape"},
                                                 {0x7F, "delete"},
                                                 {0x85, "next line"},
                                                 {0x2028, "line separator"},
                                                 {0x2029, "paragraph separator"},
                                                 {0xFFFC, "object replacement"}}};

hb_unicode_general_category_t category(char32_t c) { return hb_unicode_general_category(hb_unicode_funcs_get_default(), c); }

/// The code point at `at`, which moves behind it.
char32_t decode(std::string_view text, std::size_t& at) {
    const std::size_t length = utf8_length(text, at);
    if (length == 0)
        throw Error(Fault::usage, fmt::format("The text to be lettered holds bytes that are no letters (byte {} is 0x{:02X}, which is no "
                                              "UTF-8 there). Save it as UTF-8.",
                                              at + 1, static_cast<unsigned char>(text[at])));
    at += length;
    return utf8_code(text, at - length, length);
}

void refuse_control(char32_t c, std::size_t line, std::size_t place) {
    const auto* named = std::find_if(controls.begin(), controls.end(), [&](const NamedControl& n) { return n.code == c; });
    if (named == controls.end() && category(c) != HB_UNICODE_GENERAL_CATEGORY_CONTROL) return;
    throw Error(Fault::usage,
                fmt::format("The text to be lettered holds a control character, {} (U+{:04X}), in line {} at place {}. {}",
                            named == controls.end() ? "one without a name" : named->name, static_cast<std::uint32_t>(c), line, place,
                            c == '\t' ? "Put spaces there." : "Take it out; a new line is the only one that has a meaning here."));
}

std::vector<FriBidiLevel> levels_of(const std::u32string& line) {
    const std::vector<FriBidiChar> characters(line.begin(), line.end());
    const auto n = static_cast<FriBidiStrIndex>(line.size());
    std::vector<FriBidiCharType> types(line.size());
    std::vector<FriBidiBracketType> brackets(line.size());
    std::vector<FriBidiLevel> levels(line.size());
    fribidi_get_bidi_types(characters.data(), n, types.data());
    fribidi_get_bracket_types(characters.data(), n, types.data(), brackets.data());
    FriBidiParType direction = FRIBIDI_PAR_ON;  // by the first letter that has one, else to the right
    if (n > 0 && fribidi_get_par_embedding_levels_ex(types.data(), brackets.data(), n, &direction, levels.data()) == 0)
        throw Error(Fault::refused, "The directions of a line of text could not be worked out for want of memory. Letter less at once.");
    return levels;
}

std::vector<hb_script_t> scripts_of(const std::u32string& line) {
    std::vector<hb_script_t> scripts(line.size(), HB_SCRIPT_COMMON);
    const auto own = [](char32_t c) {
        const hb_script_t script = hb_unicode_script(hb_unicode_funcs_get_default(), c);
        return script == HB_SCRIPT_INHERITED || script == HB_SCRIPT_UNKNOWN ? HB_SCRIPT_COMMON : script;
    };
    hb_script_t before = HB_SCRIPT_COMMON;
    for (std::size_t k = line.size(); k-- > 0;)  // what stands before the first letter goes with that
        if (own(line[k]) != HB_SCRIPT_COMMON) before = own(line[k]);
    for (std::size_t k = 0; k < line.size(); ++k) {
        if (own(line[k]) != HB_SCRIPT_COMMON) before = own(line[k]);
        scripts[k] = before;
    }
    return scripts;
}

}  // namespace

std::vector<std::u32string> lines_of(std::string_view text, std::size_t most) {
    std::vector<std::u32string> lines(1);
    std::size_t characters = 0;
    bool seen = false;
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == '\r' && at + 1 < text.size() && text[at + 1] == '\n') ++at;
        const char32_t c = decode(text, at);
        if (++characters > most)
            throw Error(Fault::usage,
                        fmt::format("The text to be lettered has more than {} characters. Letter it in several cuts or jobs.", most));
        if (c == '\n') {
            lines.emplace_back();
            continue;
        }
        refuse_control(c, lines.size(), lines.back().size() + 1);
        lines.back().push_back(c);
        seen = seen || !blank(c);
    }
    if (!seen)
        throw Error(Fault::usage, text.empty() ? "There is no text to be lettered: give some."
                                               : "The text to be lettered is blank: there is nothing to cut. Give letters.");
    return lines;
}

std::vector<TextRun> runs_of(const std::u32string& line) {
    const std::vector<FriBidiLevel> levels = levels_of(line);
    const std::vector<hb_script_t> scripts = scripts_of(line);
    std::vector<TextRun> runs;
    std::vector<FriBidiLevel> level;  // of each run
    for (std::size_t k = 0; k < line.size(); ++k) {
        if (k == 0 || levels[k] != levels[k - 1] || scripts[k] != scripts[k - 1]) {
            runs.push_back({k, k, (levels[k] & 1) != 0, scripts[k]});
            level.push_back(levels[k]);
        }
        runs.back().end = k + 1;
    }
    // Rule L2: from the highest level down, every stretch of that level or higher is turned round.
    const FriBidiLevel highest = level.empty() ? FriBidiLevel{0} : *std::max_element(level.begin(), level.end());
    for (FriBidiLevel at = highest; at > 0; --at)
        for (std::size_t k = 0; k < runs.size(); ++k) {
            std::size_t end = k;
            while (end < runs.size() && level[end] >= at) ++end;
            const auto from = static_cast<std::ptrdiff_t>(k), to = static_cast<std::ptrdiff_t>(end);
            std::reverse(runs.begin() + from, runs.begin() + to);
            std::reverse(level.begin() + from, level.begin() + to);
            k = end;
        }
    return runs;
}

std::string utf8(char32_t c) {
    const auto tail = [&](int shift) { return static_cast<char>(0x80u | (c >> shift & 0x3Fu)); };
    if (c < 0x80) return {static_cast<char>(c)};
    if (c < 0x800) return {static_cast<char>(0xC0u | c >> 6), tail(0)};
    if (c < 0x10000) return {static_cast<char>(0xE0u | c >> 12), tail(6), tail(0)};
    return {static_cast<char>(0xF0u | c >> 18), tail(12), tail(6), tail(0)};
}

std::string shown(char32_t c) {
    const std::string code = fmt::format("U+{:04X}", static_cast<std::uint32_t>(c));
    switch (category(c)) {
        case HB_UNICODE_GENERAL_CATEGORY_CONTROL:
        case HB_UNICODE_GENERAL_CATEGORY_FORMAT:
        case HB_UNICODE_GENERAL_CATEGORY_UNASSIGNED:
        case HB_UNICODE_GENERAL_CATEGORY_PRIVATE_USE:
        case HB_UNICODE_GENERAL_CATEGORY_SURROGATE:
        case HB_UNICODE_GENERAL_CATEGORY_LINE_SEPARATOR:
        case HB_UNICODE_GENERAL_CATEGORY_PARAGRAPH_SEPARATOR:
        case HB_UNICODE_GENERAL_CATEGORY_SPACE_SEPARATOR:
            return code;
        case HB_UNICODE_GENERAL_CATEGORY_SPACING_MARK:
        case HB_UNICODE_GENERAL_CATEGORY_ENCLOSING_MARK:
        case HB_UNICODE_GENERAL_CATEGORY_NON_SPACING_MARK:
            return fmt::format("'{}{}' ({})", utf8(0x25CC), utf8(c), code);
        default:
            return fmt::format("'{}' ({})", utf8(c), code);
    }
}

bool blank(char32_t c) {
    const hb_unicode_general_category_t kind = category(c);
    const bool filler = c == 0x115F || c == 0x1160 || c == 0x3164 || c == 0xFFA0 || c == 0x2800 || (c >= 0xFE00 && c <= 0xFE0F) ||
                        c == 0x34F || (c >= 0xE0100 && c <= 0xE01EF);
    return filler || kind == HB_UNICODE_GENERAL_CATEGORY_SPACE_SEPARATOR || kind == HB_UNICODE_GENERAL_CATEGORY_FORMAT;
}

bool joined_up(hb_script_t script) {
    constexpr std::array<hb_script_t, 8> scripts{HB_SCRIPT_ARABIC, HB_SCRIPT_SYRIAC,     HB_SCRIPT_MANDAIC, HB_SCRIPT_MONGOLIAN,
                                                 HB_SCRIPT_NKO,    HB_SCRIPT_DEVANAGARI, HB_SCRIPT_BENGALI, HB_SCRIPT_GURMUKHI};
    return std::find(scripts.begin(), scripts.end(), script) != scripts.end();
}

}  // namespace burin
