/// How a circuit board is isolated: the part of the option table that only boards have.
#include "board_options.hpp"

#include "board_field.hpp"

namespace burin {
namespace {

void check_field(std::string_view text) { (void)parse_field(text); }

}  // namespace

std::vector<Option> board_options() {
    using enum ValueKind;
    constexpr bool above = true;
    constexpr unsigned files = figure_commands | command_burn;
    constexpr unsigned layered = command_isolate | command_drill | command_cutout | command_burn;
    return {
        {"copper", number, "MM", "0.035", "thickness of the board's copper", command_isolate, MemberOf<Cut>(&Cut::copper), 0, 1, above},
        {"unevenness", number, "MM", "0.05", "how much deeper than the copper the groove goes, for a board that is not flat",
         command_isolate, MemberOf<Cut>(&Cut::unevenness), 0, 1},
        {"overlap", number, "PERCENT", "30; --clear: 50", "of a groove's width that the next one covers again", command_isolate,
         MemberOf<Cut>(&Cut::overlap), 0, 90},
        {"clear", flag, "", "", "takes all copper away that no track or pad needs, not only what lies round them", command_isolate,
         MemberOf<Cut>(&Cut::clear)},
        {"squeeze", number, "MM", "0.01",
         "where a gap is narrower than the groove, or the beam's spot: what the copper on either side of it may lose; more than 0.02 makes "
         "tracks thinner there",
         command_isolate | command_burn, MemberOf<Cut>(&Cut::squeeze), 0, 1},
        {"hole-slack", number, "MM", "0.1", "by how much a hole may be wider or narrower than the drill", command_drill,
         MemberOf<Cut>(&Cut::hole_slack), 0, 10},
        {"hole-sizes", pair, "LEAST,MOST", "all; several bits: nearest", "only holes from so wide to so wide, mm", command_drill,
         MemberOf<Cut>(&Cut::hole_sizes), 0, 1000},
        {"board-field",
         text,
         "X0,Y0,X1,Y1",
         "the box round all board files of the job",
         "of Gerber and drill files: the rectangle in their own coordinates that is the drawing; layers with one field lie on one another",
         files,
         MemberOf<Cut>(&Cut::board_field),
         0,
         0,
         false,
         {},
         check_field},
        {"drill-units",
         word,
         "UNIT",
         "as the file says",
         "unit of a drill file that does not say it: mm or inch",
         files,
         MemberOf<Cut>(&Cut::drill_units),
         0,
         0,
         false,
         {"mm", "inch"}},
        {"drill-zeros",
         word,
         "WHICH",
         "as the file says",
         "zeros that a drill file's numbers keep, where it does not say: leading or trailing",
         files,
         MemberOf<Cut>(&Cut::drill_zeros),
         0,
         0,
         false,
         {"leading", "trailing"}},
        {"drill-digits", pair, "WHOLE,FRACTION", "3,3; inch: 2,4",
         "digits of a drill file's numbers before and after the point that they lack", files, MemberOf<Cut>(&Cut::drill_digits), 0, 7},
        {"layer",
         word,
         "SIDE",
         "top",
         "from which side of the board this is cut; bottom: the artwork is drawn as seen from above, through the board, and is cut "
         "mirrored",
         layered,
         MemberOf<Cut>(&Cut::layer),
         0,
         0,
         false,
         {"top", "bottom"}},
        {"turn-over",
         word,
         "WAY",
         "left-right",
         "bottom: how the board is turned over: left-right (its left edge comes to lie on the right) or front-back",
         layered,
         MemberOf<Cut>(&Cut::turn_over),
         0,
         0,
         false,
         {"left-right", "front-back"}},
    };
}

}  // namespace burin
