/// Sets of bits that are worth trying, and a command line for one of them.
#include "choose_sets.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "burin/job/options.hpp"
#include "reckoned.hpp"

namespace burin {
namespace {

constexpr double wider = 1.5;  // a roughing bit that is hardly wider than the finishing tip saves nothing (common practice, no source)

bool clears_floors(const Bit& bit) { return bit.shape() == BitShape::flat || bit.shape() == BitShape::bull; }

std::string shell_word(const std::string& word) {
    constexpr std::string_view safe = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_./:,-+=%@";
    if (!word.empty() && word.find_first_not_of(safe) == std::string::npos) return word;
    std::string out = "'";
    for (const char c : word) out += c == '\'' ? "'\\''" : std::string(1, c);
    return out + "'";
}

std::string option_text(const Option& option, const OptionValue& value) {
    if (std::holds_alternative<bool>(value)) return std::get<bool>(value) ? fmt::format(" --{}", option.name) : "";
    std::string text;
    if (const auto* number = std::get_if<double>(&value)) text = number_text(*number);
    if (const auto* words = std::get_if<std::string>(&value)) text = *words;
    if (const auto* pair = std::get_if<Point>(&value)) text = fmt::format("{},{}", number_text(pair->x), number_text(pair->y));
    return fmt::format(" --{} {}", option.name, shell_word(text));
}

}  // namespace

UsualBits usual_bits(const std::string& make) {
    if (make == "relief") return {{"flat-3.175", "ball-3.175", "ball-2", "ball-1", "taper-0.5-10"}, 1};
    if (make == "incise") return {{"vee-90", "vee-60", "vee-30"}, 0};
    return {{"flat-3.175", "flat-2", "flat-1.5", "flat-1"}, 0};
}

std::vector<std::vector<std::size_t>> sets_of(const std::vector<Bit>& bits, std::size_t finishing, const std::string& make) {
    std::vector<std::vector<std::size_t>> sets;
    const bool pairs = make == "relief" || make == "pocket" || make == "incise";
    for (std::size_t last = finishing; last < bits.size(); ++last) {
        sets.push_back({last});
        for (std::size_t first = 0; pairs && first < bits.size(); ++first)
            if (first != last && clears_floors(bits[first]) && bits[first].diameter() >= wider * bits[last].tip_diameter())
                sets.push_back({first, last});
    }
    return sets;
}

std::string command_line(const Job& job, const std::string& picture, const std::string& folder) {
    const Cut& cut = job.cuts.at(0);
    // A name that begins with a dash would be read as an option.
    std::string out = fmt::format("burin {} {}", cut.make, shell_word(picture.starts_with('-') ? "./" + picture : picture));
    for (const Option& option : option_table())
        if (const auto value = held_value(option, job, cut)) out += option_text(option, *value);
    for (const BitUse& bit : cut.bits) out += fmt::format(" --bit {}", shell_word(bit.use));
    return out + fmt::format(" -o {}", shell_word(folder));
}

}  // namespace burin
