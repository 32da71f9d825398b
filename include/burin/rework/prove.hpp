#pragma once
/// The proof of programs that were made of a program: what was done and they together must do what the whole program does.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/proof/beam.hpp"
#include "burin/proof/proof.hpp"

namespace burin {

/// Programs in running order; each list goes on where the one before it ends. Their limits are those of the task that asked.
struct ReworkTask {
    Machine machine;
    Stock stock;
    double cell = 0.05;
    std::vector<ProofProgram> earlier;  ///< what ran before, whole
    std::vector<ProofProgram> whole;    ///< the old program, one for each bit
    std::vector<ProofProgram> done;     ///< of it what is surely done
    std::vector<ProofProgram> made;     ///< the new ones
};

struct ReworkProof {
    bool holds = false;
    Proof proof;            ///< of the new programs only; its surface is what everything leaves
    HeightMap left;         ///< the stock as what was done leaves it; a beam's: empty
    double most_apart = 0;  ///< mm between the two surfaces, and where; a beam's: share of the greatest light
    Point apart_at;
    std::vector<std::string> broken;   ///< why not, a sentence each
    std::vector<std::string> remarks;  ///< what the old program itself does beyond what is reckoned
    BeamProof beam;                    ///< of a beam: of the new programs, its light what everything gives
    Grid<float> light_left;            ///< of a beam: the light that what was done gives
};

/// Runs the old program on the stock, then what was done with the new programs, and compares: the surfaces are one within 0.01 mm, no more
/// is taken at once, by section or by a plunge, nor plunged faster, than the old program does or its limits allow, and the new texts keep
/// all other promises by themselves. A check "the same piece as the whole program" stands first. What the old programs break is theirs, but
/// where a new one breaks it too the sentence says so. Cost: three proofs. Throws as prove does.
[[nodiscard]] ReworkProof prove_rework(const ReworkTask& task, const Crew& crew);
/// The same with a beam: the light on the stock is the same within 2 % of the greatest.
[[nodiscard]] ReworkProof prove_beam_rework(const ReworkTask& task, const Crew& crew);

}  // namespace burin
