// Comments that no controller can misread. NISTIR 6556: a comment stands in parentheses and holds none. Common practice, no
// source: controllers that listen to a cable act on ? ! ~ at once wherever they stand, and take % and ; as marks of their
// own, so these go too. Cost: O(length).
#include <algorithm>
#include <array>
#include <cstdint>
#include <string>
#include <string_view>

#include "burin/program/rs274.hpp"

namespace burin {
namespace {

/// U+00C0 … U+017F without their accents; '?' where there is no plain letter.
constexpr std::string_view bare_letters =
    "AAAAAAACEEEEIIIIDNOOOOOxOUUUUYTsaaaaaaaceeeeiiiidnooooo-ouuuuyty"   // U+00C0 … U+00FF
    "AaAaAaCcCcCcCcDdDdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiIiIiJjKkkLlLlLlL"   // U+0100 … U+013F
    "lLlNnNnNnnNnOoOoOoOoRrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZzs";  // U+0140 … U+017F

/// One code point of UTF-8 from `at` on, which moves past it; bytes that are no UTF-8 come out one by one as U+FFFD.
char32_t code_point(std::string_view text, std::size_t& at) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
    const unsigned char lead = byte(at++);
    if (lead < 0x80) return lead;
    const std::size_t more = lead >= 0xF0 ? 3 : lead >= 0xE0 ? 2 : 1;
    if (lead < 0xC2 || lead > 0xF4 || at + more > text.size()) return 0xFFFD;
    char32_t code = lead & (0x3FU >> more);
    for (std::size_t k = 0; k < more; ++k) {
        if ((byte(at + k) & 0xC0U) != 0x80U) return 0xFFFD;
        code = (code << 6U) | (byte(at + k) & 0x3FU);
    }
    at += more;
    return code;
}

struct Form {
    char32_t code;
    std::string_view text;
};
// clang-format off
constexpr std::array<Form, 58> forms{{
    {'\t', " "}, {'\n', " "}, {'\r', " "}, {'!', "."}, {'%', " pct"}, {'(', "["}, {')', "]"}, {';', ","}, {'?', "."}, {'{', "["},
    {'}', "]"}, {'~', "-"}, {0xA0, " "}, {0xAB, "\""}, {0xB0, " deg"}, {0xB1, "+-"}, {0xB2, "2"}, {0xB3, "3"}, {0xB5, "u"},
    {0xBB, "\""}, {0xBC, "1/4"}, {0xBD, "1/2"}, {0xBE, "3/4"}, {0xC6, "AE"}, {0xDE, "Th"}, {0xDF, "ss"}, {0xE6, "ae"}, {0xFE, "th"},
    {0x132, "IJ"}, {0x133, "ij"}, {0x152, "OE"}, {0x153, "oe"}, {0x300, ""}, {0x301, ""}, {0x302, ""}, {0x303, ""}, {0x308, ""},
    {0x30A, ""}, {0x327, ""}, {0x3BC, "u"}, {0x2009, " "}, {0x200B, ""}, {0x2010, "-"}, {0x2011, "-"}, {0x2012, "-"}, {0x2013, "-"},
    {0x2014, "-"}, {0x2018, "'"}, {0x2019, "'"}, {0x201A, "'"}, {0x201C, "\""}, {0x201D, "\""}, {0x201E, "\""}, {0x2026, "..."},
    {0x202F, " "}, {0x2033, "\""}, {0x2212, "-"}, {0xFEFF, ""},
}};
// clang-format on
static_assert(std::is_sorted(forms.begin(), forms.end(), [](const Form& a, const Form& b) { return a.code < b.code; }));

}  // namespace

std::string clean_comment(std::string_view text, std::size_t most) {
    std::string clean;
    for (std::size_t at = 0; at < text.size() && clean.size() < most;) {
        const char32_t code = code_point(text, at);
        const auto* const known = std::lower_bound(forms.begin(), forms.end(), code, [](const Form& f, char32_t c) { return f.code < c; });
        const char ascii = code < 0x80 ? static_cast<char>(code) : '_';
        std::string_view form(&ascii, 1);
        if (known != forms.end() && known->code == code) {
            form = known->text;
        } else if (code >= 0xC0 && code < 0xC0 + bare_letters.size()) {
            form = bare_letters.substr(static_cast<std::size_t>(code) - 0xC0, 1);
        } else if (code < 0x20 || code == 0x7F) {
            continue;
        }
        if (form == " " && (clean.empty() || clean.back() == ' ')) continue;
        clean += form;
    }
    if (clean.size() > most) clean.resize(most);
    while (!clean.empty() && clean.back() == ' ') clean.pop_back();
    return clean;
}

}  // namespace burin
