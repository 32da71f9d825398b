#pragma once
// Decimal numbers into a buffer without a library in between: the writer's hot loop. Inside the room only.
#include <array>
#include <cstdint>
#include <cstring>

namespace burin::number_text {

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

}  // namespace burin::number_text
