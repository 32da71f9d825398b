#pragma once
// Decimal numbers to text and back without a library in between, for the hot loops of writer and reader. Inside the room only.
#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>

namespace burin::numbers {

struct Digits {
    std::array<char, 3> text{};
    std::uint8_t length = 0;
};

/// 0 … 999 without leading zeros.
constexpr std::array<Digits, 1000> whole = [] {
    std::array<Digits, 1000> table{};
    for (int v = 0; v < 1000; ++v) {
        Digits& d = table[static_cast<std::size_t>(v)];
        if (v >= 100) d.text[d.length++] = static_cast<char>('0' + v / 100);
        if (v >= 10) d.text[d.length++] = static_cast<char>('0' + v / 10 % 10);
        d.text[d.length++] = static_cast<char>('0' + v % 10);
    }
    return table;
}();

/// 00 … 99, and how many of the two digits are left once trailing zeros are gone.
struct Pair {
    std::array<char, 2> text{};
    std::uint8_t used = 0;
};
constexpr std::array<Pair, 100> pairs = [] {
    std::array<Pair, 100> table{};
    for (int v = 0; v < 100; ++v)
        table[static_cast<std::size_t>(v)] = {{static_cast<char>('0' + v / 10), static_cast<char>('0' + v % 10)},
                                              static_cast<std::uint8_t>(v == 0        ? 0
                                                                        : v % 10 == 0 ? 1
                                                                                      : 2)};
    return table;
}();

/// value ≥ 0.
inline char* put_whole(char* at, std::uint64_t value) {
    if (value >= 1000) {
        at = put_whole(at, value / 1000);
        const auto rest = static_cast<std::uint32_t>(value % 1000);
        *at++ = static_cast<char>('0' + rest / 100);
        std::memcpy(at, pairs[rest % 100].text.data(), 2);
        return at + 2;
    }
    const Digits& d = whole[value];
    std::memcpy(at, d.text.data(), 3);
    return at + d.length;
}

/// `value` ten-thousandths as a decimal number without trailing zeros. Writes up to 4 characters beyond what it returns.
inline char* put_decimal(char* at, std::int64_t value) {
    *at = '-';
    at += value < 0 ? 1 : 0;
    const std::uint64_t size = value < 0 ? static_cast<std::uint64_t>(-value) : static_cast<std::uint64_t>(value);
    const std::uint64_t units = size / 10000;
    const auto parts = static_cast<std::uint32_t>(size - units * 10000);
    at = put_whole(at, units);
    const Pair &high = pairs[parts / 100], &low = pairs[parts % 100];
    at[0] = '.';
    std::memcpy(at + 1, high.text.data(), 2);
    std::memcpy(at + 3, low.text.data(), 2);
    const int used = low.used != 0 ? 3 + low.used : 1 + high.used;
    return at + (parts != 0 ? used : 0);
}

constexpr std::array<double, 16> ten_to{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};

/// The number at `at`: an optional minus, digits, at most one point, at most 15 digits. Returns where it ends, or null if it
/// is not that simple. Exact to the last bit: both parts of the quotient are whole numbers below 2^53.
inline const char* read_any_decimal(const char* at, double& value) {
    const bool minus = *at == '-';
    at += minus ? 1 : 0;
    const char* const first = at;
    std::uint64_t whole_part = 0;
    unsigned digit = 0;
    const auto is_digit = [&] { return (digit = static_cast<unsigned char>(*at) - static_cast<unsigned>('0')) < 10; };
    for (; is_digit(); ++at) whole_part = whole_part * 10 + digit;
    std::ptrdiff_t digits = at - first, decimals = 0;
    if (*at == '.') {
        const char* const point = ++at;
        for (; is_digit(); ++at) whole_part = whole_part * 10 + digit;
        decimals = at - point;
        digits += decimals;
    }
    if (digits == 0 || digits > 15) return nullptr;
    const double size = static_cast<double>(whole_part) / ten_to[static_cast<std::size_t>(decimals)];
    value = minus ? -size : size;
    return at;
}

/// The same, from eight bytes at once where the number ends within them (how many digits it has is then no question that
/// the processor has to guess). Reads up to nine bytes from `at` on.
///
/// Digits have bit 4 set, while point, space and line end have it clear; the point is squeezed out, the digits are shifted
/// to the top and added up in pairs.
inline const char* read_decimal(const char* const at, double& value) {
    if constexpr (std::endian::native != std::endian::little) {
        return read_any_decimal(at, value);
    } else {
        constexpr std::uint64_t bit4 = 0x1010101010101010U, zeros = 0x3030303030303030U;
        const unsigned minus = *at == '-' ? 1 : 0;
        std::uint64_t bytes = 0;
        std::memcpy(&bytes, at + minus, 8);
        const std::uint64_t stops = ~bytes & bit4;
        if (stops == 0) return read_any_decimal(at, value);
        const unsigned shift = static_cast<unsigned>(std::countr_zero(stops)) & ~7U;  // bits before the first that is no digit
        const bool point = ((bytes >> shift) & 0xFFU) == '.';
        const std::uint64_t before = (std::uint64_t{1} << shift) - 1;
        const std::uint64_t joined = point ? (bytes & before) | ((bytes >> 8) & ~before) : bytes;
        const unsigned bits = static_cast<unsigned>(std::countr_zero(~joined & bit4)) & ~7U;  // of all digits
        if (bits == 0 || bits > 48) return read_any_decimal(at, value);
        std::uint64_t d = (joined ^ zeros) << (64 - bits);
        if (((d | (d + 0x7676767676767676U)) & 0x8080808080808080U) != 0) return read_any_decimal(at, value);
        d = d * 10 + (d >> 8);
        d = ((d & 0x000000FF000000FFU) * 0x000F424000000064U + ((d >> 16) & 0x000000FF000000FFU) * 0x0000271000000001U) >> 32;
        constexpr std::array<double, 2> signs{1, -1};
        value = signs[minus] * static_cast<double>(d) / ten_to[(bits - shift) / 8];
        return at + minus + bits / 8 + (point ? 1 : 0);
    }
}

}  // namespace burin::numbers
