#pragma once
// A program's way in straight legs, cut into pieces, and what the stock has to say of each; inside the room only.
#include <cstdint>
#include <limits>
#include <vector>

#include "burin/proof/proof.hpp"
#include "sweep.hpp"

namespace burin::proving {

/// Sideways slack of promise 1 and 2: one cell, but never more than this, mm.
constexpr double most_slack = 0.1 + 1e-9;

/// How a leg is held against the stock.
enum class LegKind : std::uint8_t { air, rapid, vertical, cut };

/// One straight move, or a chord of one along an arc. Programs have a million of them: what else is known of a leg stands in
/// LegState.
struct Leg {
    Point3 to;
    float feed = 0;          ///< mm/min; 0 for a rapid
    std::uint32_t line = 0;  ///< of the text
};
struct LegState {
    LegKind kind : 2 = LegKind::air;
    bool rapid : 1 = false;
    bool running : 1 = false;  ///< the spindle turns
    operator LegKind() const { return kind; }
};

/// One program, read and made ready to be replayed.
///
/// Pieces are numbered through the program. A leg in the air or away from the stock has none, a rapid or a vertical leg one, a cutting leg
/// as many as keep each within `window` of way.
///
/// The window of promise 3 is half a bit's diameter of way, but at least 1.5 times the allowance: what a stretch of way
/// shorter than the allowance took would be no wider than the allowance in that direction, and pass for a skimmed wall.
/// For heights, pieces are gathered into strides of at least half a window, and each stride is looked at together with
/// the one before it: whatever way of half a bit's diameter one picks, however the moves are cut, it is seen whole.
struct Way {
    const ProofProgram* asked = nullptr;
    ReadProgram read;  ///< its track keeps start and events only, and these count legs instead of moves
    double time_s = 0;
    std::vector<PassFigures> passes;
    Profile bit, shank, collet;
    Dip dip{0.0};
    double window = 0;

    std::vector<Leg> legs;
    std::vector<LegState> kinds;             ///< by leg
    std::vector<std::uint32_t> first_piece;  ///< by leg, and one past the end
    /// Where the axis runs in `run` legs that follow each other; legs in the air left out: nothing but those, an empty range.
    struct Span {
        float low = std::numeric_limits<float>::max(), high = std::numeric_limits<float>::lowest();
    };
    static constexpr std::size_t run = 32;
    std::vector<Span> spans;
    std::vector<std::uint32_t> strides;  ///< by piece; 0: none; strides that follow each other differ by 1
    std::vector<double> volumes;         ///< by piece, mm³
    std::vector<float> most;             ///< by piece: greatest height taken (rapids: touched), mm

    [[nodiscard]] const Point3& from(std::size_t leg) const { return leg == 0 ? read.track.start : legs[leg - 1].to; }
    /// Where the axis of a leg runs; in the air: an empty range.
    [[nodiscard]] Span span(std::size_t leg) const;
    [[nodiscard]] std::uint32_t line_of(std::uint32_t piece) const { return legs[leg_of(piece)].line; }
    /// Stock that a leg took, mm³.
    [[nodiscard]] double volume_of(std::size_t leg) const;
    /// The leg that a piece belongs to.
    [[nodiscard]] std::size_t leg_of(std::uint32_t piece) const;
    /// Ends of the n-th piece of a leg.
    [[nodiscard]] Point3 start_of(std::size_t leg, std::uint32_t n) const;
    [[nodiscard]] Point3 end_of(std::size_t leg, std::uint32_t n) const { return start_of(leg, n + 1); }
};

/// Reads the text, reckons its time and cuts its way into pieces. `cell`: of the model of the stock; cells on the bit's rim count
/// as cut, to be on the safe side, unless the cells are too large for the slack that makes up for it.
[[nodiscard]] Way way_of(const ProofProgram& program, const ProofTask& task, double cell);

}  // namespace burin::proving
