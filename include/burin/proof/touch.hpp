#pragma once
/// The proof of a program that probes a plate and sets the work zero: its text is run on a machine of numbers, on plates that lie anywhere.
#include <string>
#include <string_view>
#include <vector>

#include "burin/proof/proof.hpp"
#include "burin/workshop/machine.hpp"

namespace burin {

enum class TouchKind {
    plate,   ///< lies on the stock's top: z alone is set
    corner,  ///< clasps a corner of the stock: x, y and z are set
    here     ///< nothing is probed: the bit stands at the zero point, on a slip of paper
};

/// What the program was asked to do. Lengths mm.
struct TouchTask {
    std::string file;  ///< for sentences
    std::string_view text;
    Machine machine;
    TouchKind kind = TouchKind::plate;
    double plate = 0;                          ///< thickness, above the stock's top; `here`: of the paper
    double wall = 0, width = 0;                ///< corner: outside of the stock's sides; its outer width, both ways
    int side_x = -1, side_y = -1;              ///< corner: −1 where its outer face looks left (towards the operator), +1 right (away)
    double bit_radius = 0;                     ///< corner
    double bit_tip = 0;                        ///< corner: height above the tip at which that radius is reached
    double probe_feed = 100, probe_slow = 25;  ///< mm/min, the most that may be
    double probe_travel = 20;                  ///< the farthest that a touch may be looked for from where the person put the bit
    double start_slack = 5;                    ///< corner: how far from the plate's middle the bit may stand when the program begins
};

struct TouchProof {
    /// "spindle off", "touches gently", "nothing touched, nothing set", "keeps clear of the plate", "zero comes out right", "inside the
    /// travel", "text that the controller takes", in this order.
    std::vector<Check> checks;
    ProgramFigures figures;      ///< time with every touch at the end of its way, the longest
    double zero_error = 0;       ///< mm: largest, of all plates, where the machine stops at once
    double zero_error_late = 0;  ///< likewise where it runs on by v²/(2a) after each touch
    int plates = 0;              ///< that were tried
    [[nodiscard]] bool holds() const;
};

/// Reads the text by a reader of its own, and runs it on plates and starts spread over all that the task allows, a fixed seed. Kept: zero
/// within 0.001 mm where the machine stops at once. Cost: plates times lines.
[[nodiscard]] TouchProof prove_touch(const TouchTask& task);

}  // namespace burin
