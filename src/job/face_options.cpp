/// How a stock is levelled: the part of the option table that only facing has.
#include "face_options.hpp"

namespace burin {

std::vector<Option> face_options() {
    using enum ValueKind;
    return {
        {"highest", number, "MM", "", "height of the stock's highest place, as the machine shows it from any zero", command_face,
         MemberOf<Cut>(&Cut::highest), -100, 100},
        {"lowest", number, "MM", "", "height of its lowest place, from the same zero", command_face, MemberOf<Cut>(&Cut::lowest), -100,
         100},
        {"skim", number, "MM", "0.2", "how far below the lowest place the plane lies, so that it is cut there too", command_face,
         MemberOf<Cut>(&Cut::skim), 0, 10},
        {"sweep",
         word,
         "WAY",
         "rows",
         "rows to and fro, or a spiral from the edge inwards, which always cuts on the same side",
         command_face,
         MemberOf<Cut>(&Cut::sweep),
         0,
         0,
         false,
         {"rows", "spiral"}},
        {"run-out", number, "MM", "the bit's radius and 1, or what the machine's travel leaves",
         "how far the bit's middle goes beyond the stock's edge", command_face, MemberOf<Cut>(&Cut::run_out), 0, 200},
        {"spoilboard", flag, "", "", "levels this area of the board that the machine cuts on: --stock is the area, and the bit stays in it",
         command_face, MemberOf<Cut>(&Cut::spoilboard)},
    };
}

}  // namespace burin
