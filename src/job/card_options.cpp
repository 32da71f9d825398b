/// What stands on a test card: the part of the option table that only a card has.
#include "card_options.hpp"

#include <fmt/format.h>

#include "burin/base/error.hpp"

namespace burin {
namespace {

void check_powers(std::string_view text) {
    for (const double percent : parse_list(text))
        if (percent > 100) throw Error(Fault::usage, fmt::format("'{}' will not do; 100 per cent is the most.", text));
}
void check_feeds(std::string_view text) {
    for (const double feed : parse_list(text))
        if (feed < 1 || feed > 100000) throw Error(Fault::usage, fmt::format("'{}' will not do; feeds lie between 1 and 100000.", text));
}

}  // namespace

std::vector<Option> card_options() {
    using enum ValueKind;
    return {
        {"kind",
         word,
         "KIND",
         "as the machine is",
         "a card of grooves, or one that a beam burns",
         command_card,
         MemberOf<Cut>(&Cut::kind),
         0,
         0,
         false,
         {"grooves", "beam"}},
        {"patches", whole, "N", "11", "patches of the grey wedge, the bare one included", command_card, MemberOf<Cut>(&Cut::patches), 3,
         40},
        {"powers",
         text,
         "LIST",
         "20,40,60,80,100",
         "per cent of the beam's power, a row of patches each",
         command_card,
         MemberOf<Cut>(&Cut::powers),
         0,
         0,
         false,
         {},
         check_powers},
        {"feeds",
         text,
         "LIST",
         "half to twice what the material wants",
         "mm/min of the beam, a patch in each row; the slowest also burns the wedge",
         command_card,
         MemberOf<Cut>(&Cut::feeds),
         0,
         0,
         false,
         {},
         check_feeds},
        {"patch-size", number, "MM", "8; of a beam 5", "side of a patch", command_card, MemberOf<Cut>(&Cut::patch_size), 3, 40},
    };
}

}  // namespace burin
