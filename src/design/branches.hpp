#pragma once
/// A medial axis as branches between its ends and junctions, and which of them are strokes.
#include <cstdint>
#include <vector>

#include "burin/shape/medial_axis.hpp"

namespace burin {

/// A run of the axis without junctions; its first and last node are ends or junctions, or the same node in a ring without any.
struct Branch {
    std::vector<std::uint32_t> path;  ///< into MedialAxis::nodes, at least two
    bool ring = false;                ///< closed, no junction on it; the first node is not repeated
};

struct Branches {
    std::vector<Branch> branches;
    std::vector<int> degree;          ///< of each node: branches that meet there, 1 for an end, 0 for none
    std::vector<std::uint8_t> bend;   ///< of each node: 1 where an outline's corner had its arm and two branches' ends are left, now one
    std::vector<std::uint32_t> dots;  ///< nodes that stand alone: the middles of dots
};

/// The axis less its spurs: arms into the corners of a stroke's ends, and those that end less than half a radius outside the
/// disc of the junction from which they come. Sources: pruning by how far an arm reaches beyond its junction's disc (Ogniewicz and
/// Kübler 1995, there by the line's length). Cost: a few passes over the axis.
[[nodiscard]] Branches strokes_of(const MedialAxis& axis);

}  // namespace burin
