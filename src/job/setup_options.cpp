/// What is set up at the machine: the part of the option table that the commands machine, zero and pace have of their own.
#include "setup_options.hpp"

#include <fmt/format.h>

#include "burin/base/error.hpp"

namespace burin {
namespace {

Point parse_place(std::string_view text) {
    const std::size_t comma = text.find(',');
    if (comma == std::string_view::npos) throw Error(Fault::usage, fmt::format("'{}' is no place such as 4,4.", text));
    const Point at{parse_number(text.substr(0, comma)), parse_number(text.substr(comma + 1))};
    if (std::abs(at.x) > 1e4 || std::abs(at.y) > 1e4) throw Error(Fault::usage, fmt::format("'{}' lies beyond 10 m.", text));
    return at;
}

void check_dots(std::string_view text) { (void)parse_dots(text); }

std::vector<Option> zero_options() {
    using enum ValueKind;
    constexpr bool above = true;
    return {
        {"plate", number, "MM", "",
         "thickness of the touch plate, measured with a caliper; zero: without it a slip of paper sets it; level and bend: of the plate "
         "that lay under the bit at every place",
         command_zero | command_level | command_bend, MemberOf<RunOptions>(&RunOptions::plate), 0, 100, above},
        {"plate-wall", number, "MM", "", "corner plate: from the stock's sides to the plate's outer faces, where the bit touches",
         command_zero, MemberOf<RunOptions>(&RunOptions::plate_wall), 0, 100, above},
        {"plate-width", number, "MM", "", "corner plate: its outer width, so that the bit is led past it", command_zero,
         MemberOf<RunOptions>(&RunOptions::plate_width), 12, 200},
        {"paper", number, "MM", "0.1", "thickness of the slip of paper; 0: the bit touches the stock itself", command_zero,
         MemberOf<RunOptions>(&RunOptions::paper), 0, 2},
        {"probe-feed", number, "MM/MIN", "100; level: 60", "feed of the first touch", command_zero | command_level,
         MemberOf<RunOptions>(&RunOptions::probe_feed), 1, 1000},
        {"probe-slow", number, "MM/MIN", "25", "feed of the second touch, which counts", command_zero,
         MemberOf<RunOptions>(&RunOptions::probe_slow), 1, 1000},
        {"probe-travel", number, "MM", "20", "how far a touch is looked for at most", command_zero,
         MemberOf<RunOptions>(&RunOptions::probe_travel), 1, 100},
        {"datum-dots",
         text,
         "X,Y:X,Y",
         "",
         "drills two small dots at these places of the waste, in work coordinates, by which zero is found again",
         command_zero,
         MemberOf<RunOptions>(&RunOptions::datum_dots),
         0,
         0,
         false,
         {},
         check_dots},
    };
}

}  // namespace

DatumDots parse_dots(std::string_view text) {
    const std::size_t colon = text.find(':');
    if (colon == std::string_view::npos) throw Error(Fault::usage, fmt::format("'{}' is not of the form X,Y:X,Y, as in 4,4:96,76.", text));
    const DatumDots dots{parse_place(text.substr(0, colon)), parse_place(text.substr(colon + 1))};
    if (distance(dots.first, dots.second) < 5)
        throw Error(Fault::usage, fmt::format("'{}' will not do; the dots lie less than 5 mm apart and would not tell a turn.", text));
    return dots;
}

std::vector<Option> setup_options() {
    using enum ValueKind;
    std::vector<Option> options{
        {"controller", text, "NAME", "numbered-settings", "kind of controller that the list comes from: a preset or a file",
         command_machine, MemberOf<RunOptions>(&RunOptions::controller)},
        {"like", text, "MACHINE", "desk-240x150", "machine that fills in what the list does not say: a preset or a file", command_machine,
         MemberOf<RunOptions>(&RunOptions::like)},
        {"by",
         word,
         "OUTLINE",
         "box",
         "what is walked: box, circle (the smallest round all) or hull (as a thread would lie round all that is cut)",
         command_pace,
         MemberOf<RunOptions>(&RunOptions::by),
         0,
         0,
         false,
         {"box", "circle", "hull"}},
        {"grow", number, "MM", "0", "walks so much farther out, such as half the width of a collet nut", command_pace,
         MemberOf<RunOptions>(&RunOptions::grow), 0, 100},
        {"walk",
         word,
         "KIND",
         "feed",
         "feed: at --feed; rapid: as fast as the machine goes, along straight lines only",
         command_pace,
         MemberOf<RunOptions>(&RunOptions::walk),
         0,
         0,
         false,
         {"feed", "rapid"}},
        {"stop-at-corners", flag, "", "", "waits at each corner until the program is told to go on (M0)", command_pace,
         MemberOf<RunOptions>(&RunOptions::stop_at_corners)},
    };
    const std::vector<Option> zero = zero_options();
    options.insert(options.end(), zero.begin(), zero.end());
    return options;
}

}  // namespace burin
