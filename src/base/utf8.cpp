#include "burin/base/utf8.hpp"

namespace burin {
namespace {

unsigned byte_at(std::string_view text, std::size_t at) { return static_cast<unsigned char>(text[at]); }

}  // namespace

std::size_t utf8_length(std::string_view text, std::size_t at) {
    const unsigned lead = byte_at(text, at);
    const std::size_t length = lead < 0x80 ? 1 : lead < 0xC2 ? 0 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : lead < 0xF5 ? 4 : 0;
    if (length == 0 || length > text.size() - at) return 0;
    for (std::size_t k = 1; k < length; ++k)
        if ((byte_at(text, at + k) & 0xC0U) != 0x80U) return 0;
    const unsigned second = length > 1 ? byte_at(text, at + 1) : 0;
    const bool wrong = (lead == 0xE0 && second < 0xA0) || (lead == 0xED && second >= 0xA0) || (lead == 0xF0 && second < 0x90) ||
                       (lead == 0xF4 && second >= 0x90);
    return wrong ? 0 : length;
}

char32_t utf8_code(std::string_view text, std::size_t at, std::size_t length) {
    char32_t code = length == 1 ? byte_at(text, at) : byte_at(text, at) & (0x7FU >> length);
    for (std::size_t k = 1; k < length; ++k) code = code << 6U | (byte_at(text, at + k) & 0x3FU);
    return code;
}

bool is_utf8(std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t length = utf8_length(text, at);
        if (length == 0) return false;
        at += length;
    }
    return true;
}

}  // namespace burin
