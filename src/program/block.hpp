#pragma once
// One line of RS-274/NGC as its words. Inside the room only.
#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace burin {

/// The words of one line, each letter once, but for G and M.
struct Block {
    std::uint32_t letters = 0;       ///< bit k: the letter 'A' + k stands on the line (G and M are not counted)
    std::array<double, 26> value{};  ///< of those letters
    std::array<int, 16> g{};         ///< tenths: G38.2 is 382
    std::array<int, 4> m{};
    int g_count = 0, m_count = 0;
    bool only_percent = false;  ///< nothing but %
    bool empty = true;          ///< no words

    static constexpr std::uint32_t bit(char letter) { return 1U << static_cast<unsigned>(letter - 'A'); }
    static constexpr std::uint32_t axes = 1U << ('X' - 'A') | 1U << ('Y' - 'A') | 1U << ('Z' - 'A');
    static constexpr std::uint32_t centre = 1U << ('I' - 'A') | 1U << ('J' - 'A');
    [[nodiscard]] bool has(char letter) const { return (letters & bit(letter)) != 0; }
    [[nodiscard]] bool has_any(std::uint32_t these) const { return (letters & these) != 0; }
    [[nodiscard]] double operator[](char letter) const { return value[static_cast<std::size_t>(letter - 'A')]; }
};

/// Reads one line without its line end. What is wrong with it, empty if nothing.
[[nodiscard]] std::string read_block(std::string_view line, Block& block);

/// What is wrong with the words of a line taken together, empty if nothing. `modal_motion`: 0 … 3, a cycle's number, or −1 if none is in
/// force. `wide`: words that only programs of other hands have are let pass.
[[nodiscard]] std::string broken_rule(const Block& block, int modal_motion, bool inch, bool wide);

}  // namespace burin
