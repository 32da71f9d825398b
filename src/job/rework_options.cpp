/// Where a program stopped, and how a long one is cut into parts.
#include "rework_options.hpp"

namespace burin {

std::vector<Option> rework_options() {
    using enum ValueKind;
    constexpr bool above = true;
    return {
        {"line", whole, "N", "",
         "the last line of the program that the controller had answered, or showed, when it stopped; so many moves before it as the "
         "machine "
         "plans ahead count as not done",
         command_resume, MemberOf<RunOptions>(&RunOptions::stopped_line), 1, 4e9},
        {"share", number, "PERCENT", "", "in place of --line: how much of the program's time was over", command_resume,
         MemberOf<RunOptions>(&RunOptions::stopped_share), 0, 100},
        {"below", number, "Z", "", "in place of --line: goes on where the program first cuts at this height or below it, such as -1.5",
         command_resume, MemberOf<RunOptions>(&RunOptions::stopped_below), -1000, 0},
        {"run-in", number, "MM", "3; beams: what they need to come to speed", "how much of the way is run once more, over what is cut",
         command_resume | command_split, MemberOf<RunOptions>(&RunOptions::run_in), 0, 1000},
        {"minutes", number, "MIN", "", "how long a part may take", command_split, MemberOf<RunOptions>(&RunOptions::minutes), 0, 100000,
         above},
        {"parts", whole, "N", "", "in place of --minutes: how many parts, about equally long", command_split,
         MemberOf<RunOptions>(&RunOptions::parts_wanted), 2, 26},
    };
}

}  // namespace burin
