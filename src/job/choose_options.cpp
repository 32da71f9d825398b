/// The part of the option table that the command choose has of its own.
#include "choose_options.hpp"

#include <algorithm>
#include <array>

namespace burin {

std::vector<Option> choose_options() {
    return {{"make",
             ValueKind::word,
             "COMMAND",
             "relief",
             "what is to be made of the picture: the command that the bits are chosen for",
             command_choose,
             MemberOf<RunOptions>(&RunOptions::make),
             0,
             0,
             false,
             {"relief", "incise", "outline", "pocket", "cutout"}}};
}

bool choose_takes(std::string_view name) {
    static constexpr auto shared = std::to_array<std::string_view>({
        "output",      "name",     "width",  "height",    "heights",         "depth",          "levels",    "gamma", "invert", "smooth",
        "detail",      "steepest", "border", "dome-rise", "least-thickness", "most-thickness", "threshold", "ink",   "trim",   "despeckle",
        "close-holes", "side",     "part",   "rotate",    "mirror",          "columns",        "rows",      "gap",   "bit",    "material",
        "machine",     "stock",    "zero",   "cell",      "megapixels",      "threads",        "json",      "quiet",
    });
    return std::find(shared.begin(), shared.end(), name) != shared.end();
}

}  // namespace burin
