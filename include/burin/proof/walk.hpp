#pragma once
/// The proof of a program that only walks round what others cut: nothing turns, nothing burns beyond the pilot, nothing comes down.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/program/rs274.hpp"
#include "burin/proof/proof.hpp"
#include "burin/workshop/keep_out.hpp"
#include "burin/workshop/machine.hpp"

namespace burin {

struct WalkTask {
    std::string file;  ///< for sentences
    std::string_view text;
    Machine machine;
    ToolKind tool = ToolKind::spindle;
    double safe_z = 3;                     ///< least height of all moves, mm; a beam's head does not move in z
    double most_power = 0;                 ///< S of the pilot beam; 0: dark
    double grow = 0;                       ///< how far outside of what is cut the walk was asked to run, mm
    bool circle = false;                   ///< walked in arcs about one centre
    std::vector<KeepOut> keep_outs;        ///< of a spindle's walk: where its bit, 3.175 mm wide, must not go
    std::vector<std::string_view> worked;  ///< texts of the programs that cut or burn
    ReadLimits read;                       ///< how those are read
};

struct WalkProof {
    std::vector<Check> checks;  ///< "round all that is cut", "spindle off" or "beam dark" or "beam no stronger than its pilot", "above the
                                ///< safe height" (spindle), "inside the travel", "plain text for any controller", in this order; with
                                ///< keep-outs then "clear of keep-outs"
    ProgramFigures figures;
    double nearest = 0;   ///< least distance from the walk of anything cut, mm
    double farthest = 0;  ///< of the side of the walk that stays farthest away, mm
    [[nodiscard]] bool holds() const;
};

/// Reads all texts back and looks for itself at what is cut (below z = 0; a beam's: lit). Kept: nothing cut lies nearer to the walk's
/// outside than `grow` less 0.003 mm; every side of the walk comes within `grow` (4 % more at rounded corners) and 0.03 mm of something
/// cut; a circle is the smallest: what touches it leaves no half of it free. Cost: the moves, times the walk's corners.
[[nodiscard]] WalkProof prove_walk(const WalkTask& task);

}  // namespace burin
