#pragma once
/// Programs that were bent onto a stock that is not flat, held against what the same programs leave of a flat one.
#include "burin/base/grid.hpp"
#include "burin/proof/proof.hpp"

namespace burin {

/// What is left of a stock whose top is uneven is what the unbent programs leave of a flat one, but for the top's own height: within
/// 0.02 mm, a cell sideways where walls are, and the tilt of the top under the widest bit, which stays upright. All grids are told from
/// their own tops, on the same cells but `top`, which is read as height_at does.
struct BentTask {
    const HeightMap* flat = nullptr;  ///< Proof::surface of the unbent programs
    const HeightMap* bent = nullptr;  ///< of the bent ones, beside the highest place of the top
    const HeightMap* top = nullptr;   ///< beside its highest place, nowhere above 0
    double bit_radius = 0;            ///< the largest, mm
    const ProofTask* task = nullptr;  ///< of the bent programs, to name the line where something is off
};
struct BentSeen {
    Check check;                       ///< "follows the measured top"
    double worst = 0, worst_tilt = 0;  ///< mm beyond what a cell sideways explains; mm under the bit at the steepest place that is cut
};
[[nodiscard]] BentSeen compare_bent(const BentTask& task, const Crew& crew);

}  // namespace burin
