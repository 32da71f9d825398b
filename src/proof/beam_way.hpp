#pragma once
// The text of a beam's program as what it burns; inside the room only.
#include <algorithm>
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
    /// How far each `run` legs after the other reach along y, so that rows of cells pass over those that lie elsewhere.
    struct Span {
        double low = 0, high = 0;
    };
    static constexpr std::size_t run = 256;
    std::vector<Span> spans;
    /// Calls act(leg) for all legs that come to y = low … high, and for some others, in their order.
    template <class Act>
    void over_legs(double low, double high, const Act& act) const {
        for (std::size_t n = 0; n < spans.size(); ++n) {
            if (spans[n].high < low || spans[n].low > high) continue;
            const std::size_t end = std::min(legs.size(), (n + 1) * run);
            for (std::size_t k = n * run; k < end; ++k) act(legs[k]);
        }
    }

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
