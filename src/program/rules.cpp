// The rules of NISTIR 6556 on which words may stand on one line together: modal groups, words that nothing uses, words that
// are missing; and the words that this reader does not follow, each with its reason. Cost: O(words).
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include "block.hpp"

namespace burin {
namespace {

/// A G word in tenths, its modal group by NISTIR 6556, table 4 (0: not modal), and why it is not followed, if so.
struct Known {
    int g;
    int group;
    std::string_view why_not;
};
/// Of those, what the wide reader follows all the same.
constexpr std::array<int, 21> followed_widely{100, 280, 300, 382, 383, 384, 385, 430, 530, 810, 820,
                                              830, 850, 860, 890, 920, 921, 922, 923, 980, 990};
bool follows(int g, bool wide) { return wide && std::binary_search(followed_widely.begin(), followed_widely.end(), g); }
/// Words that take the axes of their line for themselves.
bool takes_axes(int g) { return g == 100 || g == 280 || g == 300 || (g >= 382 && g <= 385) || g == 920; }
constexpr std::string_view goes_home = "goes home by the machine's own coordinates, which this text does not know";
constexpr std::string_view shifts_zero = "shifts the work zero, so what follows lies elsewhere";
constexpr std::string_view probes = "probes: where it stops is not known beforehand";
constexpr std::string_view drills = "belongs to drilling cycles, which are not followed. Write their moves out";
constexpr std::string_view taps = "taps a thread, which takes a spindle whose turns and feed go together";
constexpr std::string_view bores_back = "bores from behind, with a spindle that stops at an angle to pass through the hole";
constexpr std::string_view by_hand = "waits in the hole until somebody lifts the bit by hand, and nobody knows how far";
constexpr std::string_view offsets = "shifts the path by the bit's radius, which this text does not know";
// clang-format off
constexpr std::array<Known, 57> known_words{{
    {0, 1, {}}, {10, 1, {}}, {20, 1, {}}, {30, 1, {}}, {40, 0, {}}, {100, 0, shifts_zero}, {170, 2, {}}, {180, 2, {}}, {190, 2, {}},
    {200, 6, {}}, {210, 6, {}}, {280, 0, goes_home}, {300, 0, goes_home}, {382, 1, probes}, {383, 1, probes}, {384, 1, probes},
    {385, 1, probes}, {400, 7, {}}, {410, 7, offsets}, {420, 7, offsets},
    {430, 8, "shifts Z by a tool's length, which this text does not know"}, {490, 8, {}},
    {530, 0, "moves in the machine's own coordinates, which this text does not know"}, {540, 12, {}}, {550, 12, {}}, {560, 12, {}},
    {570, 12, {}}, {580, 12, {}}, {590, 12, {}}, {591, 12, {}}, {592, 12, {}}, {593, 12, {}}, {610, 13, {}}, {611, 13, {}},
    {640, 13, {}}, {800, 1, {}}, {810, 1, drills}, {820, 1, drills}, {830, 1, drills}, {840, 1, taps}, {850, 1, drills},
    {860, 1, drills}, {870, 1, bores_back}, {880, 1, by_hand}, {890, 1, drills}, {900, 3, {}},
    {901, 4, {}}, {910, 3, {}}, {911, 4, {}},  // the .1 words say how arcs give their centre: in use, but younger than the report
    {920, 0, shifts_zero}, {921, 0, shifts_zero}, {922, 0, shifts_zero}, {923, 0, shifts_zero},
    {930, 5, "gives feeds as inverse time, which is not followed. Use G94"}, {940, 5, {}},
    {980, 10, drills}, {990, 10, drills},
}};
// clang-format on
static_assert(std::is_sorted(known_words.begin(), known_words.end(), [](const Known& a, const Known& b) { return a.g < b.g; }));
const Known* known(int g) {
    const auto* const at = std::lower_bound(known_words.begin(), known_words.end(), g, [](const Known& k, int code) { return k.g < code; });
    return at != known_words.end() && at->g == g ? at : nullptr;
}

std::string name_of(int g) { return g % 10 != 0 ? fmt::format("G{}.{}", g / 10, g % 10) : fmt::format("G{}", g / 10); }

/// Groups of M words: 4 stop, 6 tools, 7 spindle, 8 and 10 coolant, 11 coolant off; −1: not understood.
int group_of_m(int m) {
    constexpr std::array<int, 10> groups{4, 4, 4, 7, 7, 7, 6, 8, 10, 11};
    return m == 30 ? 4 : m >= 0 && m < 10 ? groups[static_cast<std::size_t>(m)] : -1;
}

struct Words {
    int motion = -1, units = -1;                                                     ///< G words of those groups; −1: none
    int takers = 0;                                                                  ///< words that want the axes for themselves
    bool dwell = false, taken = false, zero = false, length = false, shift = false;  ///< G4; what takes the axes; G10; G43; G92
};

std::string broken_by_words(const Block& block, int modal_motion, bool inch, const Words& words, bool wide) {
    if (block.has('T') && !wide) return "has a T word: a change of tools cannot be followed. Use one program for each bit.";
    const int motion = words.motion >= 0 ? words.motion / 10 : modal_motion;
    const bool cycle = wide && motion >= 81 && motion <= 89 && !words.taken;
    const bool dwell = words.dwell;
    const bool arc = (motion == 2 || motion == 3) && block.has_any(Block::axes | Block::centre | Block::bit('R'));
    std::uint32_t known = Block::axes | Block::bit('F') | Block::bit('S');
    if (dwell || cycle || words.zero) known |= Block::bit('P');
    if (arc || cycle) known |= Block::bit('R');
    if (arc) known |= Block::centre;
    if (arc && wide) known |= Block::bit('K');
    if (cycle) known |= Block::bit('Q') | Block::bit('L');
    if (words.zero) known |= Block::bit('L');
    if (words.length) known |= Block::bit('H');
    if (wide) known |= Block::bit('T');
    if (const std::uint32_t other = block.letters & ~known; other != 0) {
        char letter = 'A';
        while ((other & Block::bit(letter)) == 0) ++letter;
        return fmt::format("has a word {} that nothing on the line uses.", letter);
    }
    if (dwell && !block.has('P')) return "has G4 without P, the time to wait.";
    if (dwell && !(block['P'] >= 0 && block['P'] <= 1e9)) return "waits for a time below 0 or beyond all measure.";
    if (block.has('F') && !(block['F'] >= 0 && block['F'] <= 1e7)) return "has a feed below 0 or beyond all measure.";
    if (block.has('S') && !(block['S'] >= 0 && block['S'] <= 1e7)) return "has a speed below 0 or beyond all measure.";
    const bool other_units = words.units >= 0 && (words.units == 200) != inch;
    if (block.has('F') && other_units) return "has F together with a change of units: it is not clear in which of them. Use two lines.";
    if (block.has('T') && !(block['T'] >= 0 && block['T'] == std::floor(block['T']))) return "has a T word that is no number of a tool.";
    if (words.shift && !block.has_any(Block::axes)) return "has G92 without X, Y or Z.";
    if (words.taken) return "";
    if (block.has_any(Block::axes) && (motion < 0 || motion > 3) && !cycle) return "names axes, but neither G0, G1, G2 nor G3 is in force.";
    if (words.motion >= 0 && words.motion <= 30 && !block.has_any(Block::axes)) return fmt::format("has G{} without X, Y or Z.", motion);
    if (arc && !wide && !block.has_any(Block::bit('X') | Block::bit('Y'))) return "has an arc that names neither X nor Y.";
    return "";
}

}  // namespace

std::string broken_rule(const Block& block, int modal_motion, bool inch, bool wide) {
    Words words;
    std::array<int, 16> of_group{};
    of_group.fill(-1);
    for (int k = 0; k < block.g_count; ++k) {
        const int g = block.g[static_cast<std::size_t>(k)];
        const Known* const word = known(g);
        if (word == nullptr) return fmt::format("has {}, which is not understood.", name_of(g));
        words.taken |= wide && takes_axes(g), words.takers += static_cast<int>(takes_axes(g) || g == 530), words.zero |= g == 100,
            words.length |= g == 430, words.shift |= g == 920;
        if (!word->why_not.empty() && !follows(g, wide)) return fmt::format("has {}: it {}.", name_of(g), word->why_not);
        int& same = of_group[static_cast<std::size_t>(word->group)];
        if (same >= 0) return fmt::format("has two G words of one modal group, {} and {}.", name_of(same), name_of(g));
        same = g;
    }
    if (words.takers > 1) return "has two G words that both want the axes.";
    std::array<bool, 16> m_seen{};
    for (int k = 0; k < block.m_count; ++k) {
        const int m = block.m[static_cast<std::size_t>(k)], group = group_of_m(m);
        if (m == 6 && !wide) return "has M6: a change of tools cannot be followed. Use one program for each bit.";
        if (group < 0) return fmt::format("has M{}, which is not understood.", m);
        if (m_seen[static_cast<std::size_t>(group)]) return fmt::format("has two M words that exclude each other, the second is M{}.", m);
        m_seen[static_cast<std::size_t>(group)] = true;
    }
    if (m_seen[11] && (m_seen[8] || m_seen[10])) return "has two M words that exclude each other, M9 and coolant on.";
    words.motion = of_group[1], words.units = of_group[6], words.dwell = of_group[0] == 40;
    return broken_by_words(block, modal_motion, inch, words, wide);
}

}  // namespace burin
