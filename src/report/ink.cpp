#include "ink.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstdint>

#include "burin/base/utf8.hpp"

namespace burin::ink {
namespace {

/// Length of the sequence at the start of `text`, 0 if it is no UTF-8, or one of those that are no XML.
std::size_t sequence_length(std::string_view text) {
    const std::size_t length = utf8_length(text, 0);
    return length == 3 && utf8_code(text, 0, 3) >= 0xFFFE ? 0 : length;
}

}  // namespace

std::string escaped(std::string_view text) {
    std::string out;
    out.reserve(text.size() + 16);
    while (!text.empty()) {
        const std::size_t length = sequence_length(text);
        const char c = text.front();
        if (length == 0)
            out += "\xEF\xBF\xBD";
        else if (length > 1)
            out += text.substr(0, length);
        else if (c == '&')
            out += "&amp;";
        else if (c == '<')
            out += "&lt;";
        else if (c == '>')
            out += "&gt;";
        else if (c == '"')
            out += "&quot;";
        else if (c == '\'')
            out += "&#39;";
        else if (c == '\n' || c == '\t')
            out += ' ';
        else if (static_cast<unsigned char>(c) >= 0x20 && c != 0x7F)
            out += c;
        text.remove_prefix(std::max<std::size_t>(length, 1));
    }
    return out;
}

std::string outline_path(const Region& region) {
    std::string path;
    for (const Loop& loop : region.loops()) {
        for (std::size_t k = 0; k < loop.size(); ++k)
            path += fmt::format("{}{} {}", k == 0 ? "M" : "L", number(loop[k].x), number(-loop[k].y));
        path += "Z";
    }
    return path;
}

std::string number(double value, int decimals) {
    if (!std::isfinite(value)) return "unknown";
    std::string text = fmt::format("{:.{}f}", value, decimals);
    if (text.find('.') != std::string::npos) {
        while (text.back() == '0') text.pop_back();
        if (text.back() == '.') text.pop_back();
    }
    return text == "-0" ? "0" : text;
}

std::string grouped(double value) {
    const std::string digits = number(value, 0);
    std::string out;
    for (std::size_t k = 0; k < digits.size(); ++k) {
        const std::size_t left = digits.size() - k;
        if (k > 0 && left % 3 == 0 && digits[k - 1] != '-') out += "\xE2\x80\xAF";
        out += digits[k];
    }
    return out;
}

std::string fact(std::string_view name, std::string_view value) {
    return fmt::format("<div><dt>{}</dt><dd>{}</dd></div>", escaped(name), escaped(value));
}

std::string base64(std::string_view bytes) {
    constexpr std::string_view letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    out.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t k = 0; k < bytes.size(); k += 3) {
        std::uint32_t three = 0;
        for (std::size_t b = 0; b < 3; ++b) three = three << 8 | (k + b < bytes.size() ? static_cast<unsigned char>(bytes[k + b]) : 0u);
        for (std::size_t b = 0; b < 4; ++b) out += k + b <= bytes.size() ? letters[three >> (18 - 6 * b) & 63] : '=';
    }
    return out;
}

}  // namespace burin::ink
