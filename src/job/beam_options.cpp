/// How a photo or a figure is burnt: the part of the option table that only a beam has.
#include "beam_options.hpp"

namespace burin {

std::vector<Option> beam_options() {
    using enum ValueKind;
    constexpr bool above = true;
    return {
        {"tone",
         word,
         "KIND",
         "power",
         "how a photo's greys are burnt: power (weaker or stronger from point to point), or by dots of one strength: floyd-steinberg, "
         "jarvis, stucki (the error handed on), ordered, ordered-fine (a pattern), blue-noise (even, without a pattern)",
         command_burn,
         MemberOf<Cut>(&Cut::tone),
         0,
         0,
         false,
         {"power", "floyd-steinberg", "jarvis", "stucki", "ordered", "ordered-fine", "blue-noise"}},
        {"dither-one-way", flag, "", "", "hands the error of dots on from left to right in every row, not to and fro", command_burn,
         MemberOf<Cut>(&Cut::dither_one_way)},
        {"cover",
         word,
         "KIND",
         "filled, where no photo is given",
         "how figures are burnt: filled (rows, then along the edge), rows (alone), outline (along the edge alone) or lines (along the "
         "middle of strokes); a picture of pixels is traced then",
         command_burn,
         MemberOf<Cut>(&Cut::cover),
         0,
         0,
         false,
         {"filled", "rows", "outline", "lines"}},
        {"coating",
         word,
         "KIND",
         "",
         "burns the coating off a circuit board: resist (everywhere but over the artwork's copper; what is bare is etched away then) or "
         "mask (over the artwork alone, such as pads that are to be soldered)",
         command_burn,
         MemberOf<Cut>(&Cut::coating),
         0,
         0,
         false,
         {"resist", "mask"}},
        {"around", number, "MM", "the whole drawing", "--coating resist: takes the coating off only so far round the copper", command_burn,
         MemberOf<Cut>(&Cut::around), 0, 1000, above},
        {"crossed", flag, "", "", "turns the rows of every second pass by a quarter, so that they lie across those of the first",
         command_burn, MemberOf<Cut>(&Cut::crossed)},
        {"line-spacing", number, "MM", "the beam's spot; --coating: 0.7 of it", "from one row of the beam to the next",
         command_burn | command_card, MemberOf<Cut>(&Cut::line_spacing), 0.01, 10},
        {"power", number, "PERCENT", "100", "the most power that is used, of the beam's full power", command_burn | command_card,
         MemberOf<Cut>(&Cut::power), 0, 100, above},
        {"least-power", number, "PERCENT", "0", "the least power that marks the material; tones that ask for less stay bare", command_burn,
         MemberOf<Cut>(&Cut::least_power), 0, 99},
        {"power-mode",
         word,
         "MODE",
         "scaled, where the controller can",
         "scaled: the controller lowers the power where it moves slower (M4); constant: it does not (M3)",
         command_burn | command_card,
         MemberOf<Cut>(&Cut::power_mode),
         0,
         0,
         false,
         {"scaled", "constant"}},
        {"line-up", number, "MM", "0", "moves rows that run back so far to the right, to line up with the others", command_burn,
         MemberOf<Cut>(&Cut::line_up), -5, 5},
        {"passes", whole, "N", "1; --crossed: 2",
         "burns figures so many times, as to cut through; isolate: so many grooves beside each other", command_burn | command_isolate,
         MemberOf<Cut>(&Cut::passes), 1, 100},
        {"focus-step", number, "MM", "0", "lowers the head by so much from pass to pass", command_burn, MemberOf<Cut>(&Cut::focus_step), 0,
         10},
        {"air-assist", flag, "", "", "switches the air on while burning (M8, M9)", command_burn | command_card,
         MemberOf<Cut>(&Cut::air_assist)},
        {"pilot", number, "PERCENT", "the most that the machine's file allows; pace: 0",
         "power of the border run before the burning, or of pace; 0: dark", command_burn | command_card | command_pace,
         MemberOf<Cut>(&Cut::pilot), 0, 100},
    };
}

}  // namespace burin
