/// How a top is measured and what is bent onto it: the part of the option table that level and bend have of their own.
#include "level_options.hpp"

namespace burin {

std::vector<Option> level_options() {
    using enum ValueKind;
    constexpr bool above = true;
    return {
        {"apart", number, "MM", "15", "from one measured place to the next, at most", command_level,
         MemberOf<RunOptions>(&RunOptions::apart), 1, 500},
        {"inset", number, "MM", "3", "how far the measured places keep from the stock's edge", command_level,
         MemberOf<RunOptions>(&RunOptions::inset), 0, 100},
        {"reach", number, "MM", "1.5", "how far above and below the work zero the top is looked for", command_level,
         MemberOf<RunOptions>(&RunOptions::reach), 0, 10, above},
        {"stop-at-places", flag, "", "", "waits after each touch, for a person who writes the places down (M0)", command_level,
         MemberOf<RunOptions>(&RunOptions::stop_at_places)},
        {"points", text, "FILE", "", "measured points: lines of x y z, a table, or the controller's bracketed reports", command_bend,
         MemberOf<RunOptions>(&RunOptions::points)},
        {"zero-at", text, "X,Y,Z", "as the machine's file says (stock-at)",
         "where the work zero lies on the machine; then the points count from the machine's own zero", command_bend,
         MemberOf<RunOptions>(&RunOptions::zero_at)},
    };
}

}  // namespace burin
