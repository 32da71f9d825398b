/// Clamps and screws in words. What cannot be is told with an example that can.
#include "burin/base/error.hpp"
#include "burin/job/options.hpp"
#include "fmt/format.h"

namespace burin {
namespace {

constexpr std::size_t longest_name = 40;

[[nodiscard]] Error no_keep_out(std::string_view text) {
    return {
        Fault::usage,
        fmt::format("'{}' is no keep-out. Give a box by its lower left and upper right corner and its height above the stock top, as in "
                    "box:0,0,15,30:12, or a circle by its centre, diameter and height, as in circle:50,5,9:4. A name may follow, as "
                    "in circle:50,5,9:4:left screw.",
                    text)};
}

/// What stands before the next colon; the rest stays in `text`. Empty at the end.
std::string_view next_part(std::string_view& text) {
    const std::size_t colon = std::min(text.find(':'), text.size());
    const std::string_view part = text.substr(0, colon);
    text.remove_prefix(std::min(colon + 1, text.size()));
    return part;
}

/// Exactly `count` numbers with commas.
std::vector<double> numbers(std::string_view part, std::size_t count, std::string_view whole) {
    try {
        std::vector<double> values = parse_numbers(part);
        if (values.size() == count) return values;
    } catch (const Error&) {
        throw no_keep_out(whole);
    }
    throw no_keep_out(whole);
}

}  // namespace

KeepOut parse_keep_out(std::string_view text, std::size_t number) {
    std::string_view rest = text;
    const std::string_view shape = next_part(rest), place = next_part(rest), height = next_part(rest);
    if (rest.size() > longest_name)
        throw Error(Fault::usage, fmt::format("The name '{}' of a keep-out is longer than {} bytes.", rest, longest_name));
    std::string name = rest.empty() ? fmt::format("keep-out {}", number) : std::string(rest);
    if (shape == "box") {
        const std::vector<double> v = numbers(place, 4, text);
        return KeepOut::box(std::move(name), {{v[0], v[1]}, {v[2], v[3]}}, numbers(height, 1, text)[0]);
    }
    if (shape != "circle") throw no_keep_out(text);
    const std::vector<double> v = numbers(place, 3, text);
    return KeepOut::circle(std::move(name), {v[0], v[1]}, v[2], numbers(height, 1, text)[0]);
}

std::vector<KeepOut> parse_keep_outs(const std::vector<std::string>& texts) {
    if (texts.size() > most_keep_outs)
        throw Error(Fault::usage, fmt::format("{} keep-outs were given, and {} are the most.", texts.size(), most_keep_outs));
    std::vector<KeepOut> zones;
    for (const std::string& text : texts) zones.push_back(parse_keep_out(text, zones.size() + 1));
    return zones;
}

std::vector<KeepOut> keep_outs_of(const std::vector<std::string>& texts, const Machine& machine) {
    std::vector<KeepOut> zones = parse_keep_outs(texts);
    zones.insert(zones.end(), machine.keep_outs.begin(), machine.keep_outs.end());
    return zones;
}

}  // namespace burin
