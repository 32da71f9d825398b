#pragma once
// The text of a beam's program as what it burns; inside the room only.
#include <cstdint>
#include <vector>

#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "burin/proof/beam.hpp"

namespace burin::proving {

/// A straight piece of way with the beam lit; arcs go as chords within 0.0005 mm.
struct BeamLeg {
    Point from, to;
    float z = 0;              ///< the head's height at its end
    float joules_per_mm = 0;  ///< light
    std::uint32_t line = 0;
};

struct BeamWay {
    const BeamProgram* asked = nullptr;
    ReadProgram read;
    Timing timing;  ///< with speeds
    std::vector<BeamLeg> legs;

    [[nodiscard]] const Point3& from(std::size_t move) const { return move == 0 ? read.track.start : read.track.moves[move - 1].to; }
    [[nodiscard]] double length(std::size_t move) const;  ///< of its way, mm
    /// Whether power goes with speed during each move.
    std::vector<bool> scaled;
};

/// A feed move or arc that is lit.
[[nodiscard]] inline bool burns(const Move& move) { return move.power != 0 && move.kind != MoveKind::rapid; }

[[nodiscard]] BeamWay beam_way_of(const BeamProgram& program, const Machine& machine);

/// The move on the feed (lit or dark) that comes nearest to `p`, of all programs that burn; the first of several.
struct NearestMove {
    const BeamWay* way = nullptr;  ///< null: there is none
    std::uint32_t line = 0;
    double distance = 0;
};
[[nodiscard]] NearestMove nearest_move(const std::vector<BeamWay>& ways, const Point3& p);

/// Distance of p from the straight way a … b, mm.
[[nodiscard]] double distance_from(const Point3& p, const Point3& a, const Point3& b);

}  // namespace burin::proving
