// One line taken apart by the rules of NISTIR 6556: case and spaces mean nothing outside comments, N comes first and goes
// to 99999, numbers are plain decimals, comments stand in parentheses and hold none, a letter stands once but for G and M,
// at most four M words. Cost: O(length).
#include "block.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

namespace burin {
namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string shown(char c) {
    const auto code = static_cast<unsigned char>(c);
    return code > 32 && code < 127 ? fmt::format("'{}'", c) : fmt::format("a character of code {}", code);
}

/// The line in capitals without spaces and comments; what is wrong with it, or empty.
std::string bare_text(std::string_view line, std::string& bare) {
    bool comment = false;
    for (const char c : line) {
        const auto code = static_cast<unsigned char>(c);
        if ((code < 32 && c != '\t') || code == 127) return fmt::format("holds {}, which is no text. Take it out.", shown(c));
        if (comment) {
            if (c == '(') return "has a comment inside a comment. One pair of parentheses is enough.";
            comment = c != ')';
            continue;
        }
        switch (c) {
            case '(':
                comment = true;
                continue;
            case ')':
                return "closes a comment that was not opened.";
            case ';':
                return "has a comment after ';'. Comments stand in parentheses.";
            case '/':
                return "has a '/': whether such a line runs depends on a switch of the machine. Take it out.";
            case '#':
            case '[':
            case ']':
            case '=':
                return "uses parameters or expressions. Only plain numbers are read.";
            case ' ':
            case '\t':
                continue;
            default:
                break;
        }
        if (code >= 128) return "holds letters that are not ASCII. Take them out.";
        bare += c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
    }
    return comment ? "has a comment that is not closed on its line." : "";
}

/// A plain decimal at `at`, which moves past it. False: no number there.
bool read_number(std::string_view text, std::size_t& at, double& value) {
    const bool minus = at < text.size() && text[at] == '-';
    if (at < text.size() && (text[at] == '-' || text[at] == '+')) ++at;
    const std::size_t first = at;
    int digits = 0, points = 0;
    for (; at < text.size() && (is_digit(text[at]) || text[at] == '.'); ++at) (text[at] == '.' ? points : digits)++;
    if (digits == 0 || points > 1) return false;
    if (std::from_chars(text.data() + first, text.data() + at, value, std::chars_format::fixed).ec != std::errc{}) return false;
    if (minus) value = -value;
    return true;
}

}  // namespace

std::string read_block(std::string_view line, Block& block) {
    block = Block{};
    std::string text;
    if (std::string wrong = bare_text(line, text); !wrong.empty()) return wrong;
    if (text == "%") {
        block.only_percent = true;
        return "";
    }
    for (std::size_t at = 0; at < text.size();) {
        const char letter = text[at];
        const std::size_t first = at++;
        if (letter < 'A' || letter > 'Z')
            return fmt::format("has {} where a word should begin. A word is a letter and a number.", shown(letter));
        double value = 0;
        const std::size_t number = at;
        if (!read_number(text, at, value)) return fmt::format("has no plain number after {}.", letter);
        if (letter == 'E') return "has a number with an exponent. Write it out.";
        block.empty = false;
        if (letter == 'N') {
            if (first != 0) return "has an N word that is not its first.";
            if (!is_digit(text[number]) || text.find('.') < at || value > 99999)
                return "has an N word that is not a whole number from 0 to 99999.";
            continue;
        }
        if (letter == 'G' || letter == 'M') {
            const double scale = letter == 'G' ? 10 : 1, code = std::round(value * scale);
            if (value < 0 || value > 999 || std::abs(value * scale - code) > 1e-4)
                return fmt::format("has {}{}, which is no known code.", letter, text.substr(number, at - number));
            if (letter == 'M' && block.m_count == 4) return "has more than four M words. Spread them over two lines.";
            if (letter == 'G' && block.g_count == 16) return "has more G words than there are groups of them.";
            if (letter == 'M') {
                block.m[static_cast<std::size_t>(block.m_count++)] = static_cast<int>(code);
            } else {
                block.g[static_cast<std::size_t>(block.g_count++)] = static_cast<int>(code);
            }
            continue;
        }
        if (block.has(letter)) return fmt::format("has the word {} twice.", letter);
        block.letters |= Block::bit(letter);
        block.value[static_cast<std::size_t>(letter - 'A')] = value;
    }
    return "";
}

}  // namespace burin
