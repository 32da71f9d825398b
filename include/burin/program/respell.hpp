#pragma once
/// A program's text with other moves in place of its own.
#include <string>
#include <string_view>
#include <vector>

#include "burin/program/rs274.hpp"

namespace burin {

struct RespellWishes {
    std::vector<std::string> header;  ///< comment lines that come first, cleaned and cut to fit
    std::vector<std::string> stale;   ///< how comments begin that would no longer be true: these lines are left out
    double plunge = 0;                ///< mm/min: the F of a move that goes down is lowered until it does so at no more; 0: no limit
};

/// Every line that moves something is replaced by the moves of `moves` that name it as theirs (none: the line goes); all other lines stay
/// as they are. X and Y are rounded to the nearest 0.001 mm (0.0001 in), Z upwards, F down to whole numbers (hundredths). `moves` has
/// straight moves only, sorted by their lines. `read` is what `text` means, without faults.
/// Throws Error (refused) with the line: one that moves and does something else besides; units or a distance mode that change.
[[nodiscard]] std::string respell(std::string_view text, const ReadProgram& read, const Track& moves, const RespellWishes& wishes);

}  // namespace burin
