#include "ink.hpp"

#include <fmt/format.h>

#include <cmath>
#include <cstdint>

namespace burin::ink {
namespace {

/// Length of the well-formed UTF-8 sequence at the start of `text`, 0 if there is none (RFC 3629).
std::size_t sequence_length(std::string_view text) {
    const auto byte = [&](std::size_t k) { return static_cast<unsigned char>(text[k]); };
    const unsigned first = byte(0);
    if (first < 0x80) return 1;
    const std::size_t length = first >= 0xC2 && first <= 0xDF ? 2 : (first & 0xF0) == 0xE0 ? 3 : first >= 0xF0 && first <= 0xF4 ? 4 : 0;
    if (length == 0 || text.size() < length) return 0;
    for (std::size_t k = 1; k < length; ++k)
        if ((byte(k) & 0xC0) != 0x80) return 0;
    const unsigned second = byte(1);
    if ((first == 0xE0 && second < 0xA0) || (first == 0xED && second > 0x9F)) return 0;  // overlong, surrogates
    if ((first == 0xF0 && second < 0x90) || (first == 0xF4 && second > 0x8F)) return 0;
    if (first == 0xEF && second == 0xBF && byte(2) >= 0xBE) return 0;  // U+FFFE and U+FFFF are no XML
    return length;
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
