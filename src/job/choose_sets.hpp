#pragma once
/// Which sets of bits are worth trying, and the command line that makes one of them.
#include <string>
#include <vector>

#include "burin/job/order.hpp"
#include "burin/workshop/bit.hpp"

namespace burin {

/// The bits that are tried where none were given, as presets; those before `finishing` only rough.
struct UsualBits {
    std::vector<std::string> bits;
    std::size_t finishing = 0;
};
[[nodiscard]] UsualBits usual_bits(const std::string& make);

/// Places in `bits`: each of those from `finishing` on by itself, and behind each flat or bull bit at least half as wide again as its tip.
/// Outlines and cut-outs run one bit round, and have no pairs.
[[nodiscard]] std::vector<std::vector<std::size_t>> sets_of(const std::vector<Bit>& bits, std::size_t finishing, const std::string& make);

/// What a person types to make the job, a POSIX shell's quotes where they are needed.
[[nodiscard]] std::string command_line(const Job& job, const std::string& picture, const std::string& folder);

}  // namespace burin
