#pragma once
// The promises of a beam, one check each; inside the room only.
#include <vector>

#include "beam_way.hpp"
#include "burin/base/crew.hpp"
#include "promises.hpp"

namespace burin::proving {

/// A task with what was left to be chosen.
struct BeamRules {
    const BeamTask& task;
    const Laser& laser;
    double spot = 0;
    const Crew& crew;
};

// ---- the whole job ----
/// `worst`: see BeamProof::worst_tone.
[[nodiscard]] Check check_tones(const BeamRules& rules, const std::vector<BeamWay>& ways, double& worst);
[[nodiscard]] Check check_outside(const BeamRules& rules, const std::vector<BeamWay>& ways);
[[nodiscard]] Check check_left_out(const BeamRules& rules, const std::vector<BeamWay>& ways);
/// Three checks of a board's coating; fills Proof::nets.
[[nodiscard]] std::vector<Check> check_coating(const BeamRules& rules, const std::vector<BeamWay>& ways, Proof& proof);

// ---- one program ----
[[nodiscard]] Check check_dark(const BeamWay& way);
[[nodiscard]] Check check_standing_beam(const BeamWay& way);
[[nodiscard]] Check check_steady(const BeamRules& rules, const BeamWay& way);
[[nodiscard]] Check check_scale(const BeamRules& rules, const BeamWay& way);
/// Fills `pace`.
[[nodiscard]] Check check_pace(const BeamRules& rules, const BeamWay& way, BeamPace& pace);
/// Fills lo, hi, inside_travel.
[[nodiscard]] Check check_beam_inside(const BeamRules& rules, const BeamWay& way, ProgramFigures& figures);

/// The lit beam against what stands on the table; only of stock with keep-outs.
[[nodiscard]] Check check_beam_keep_outs(const BeamRules& rules, const BeamWay& way);

/// "x 1.00 y 2.00"
[[nodiscard]] std::string at_xy(const Point& p);

}  // namespace burin::proving
