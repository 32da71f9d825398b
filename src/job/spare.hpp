#pragma once
/// What a cut covers of the stock's top, and what it gives up for one that lies on it.
#include "pipeline.hpp"

namespace burin {

inline constexpr double usual_spare_margin = 1;  // mm

[[nodiscard]] inline SettledJob& settled_of(DesignedRelief& cut) { return cut.relief.job; }
[[nodiscard]] inline SettledJob& settled_of(DesignedFigure& cut) { return cut.figure.job; }
[[nodiscard]] inline SettledJob& settled_of(DesignedFace& cut) { return cut.face.job; }

/// What the cut takes of the stock top: facing nothing, for others are cut on its plane; a relief its rectangle, lines as wide as the bit
/// cuts them; slots beside lines and cut-outs nothing, since they go round things.
[[nodiscard]] Region cover_of(const DesignedCut& cut);
/// Leaves `kept` untouched: floors and reliefs end there, lines are interrupted. Throws Error (refused) where nothing is left, or where
/// a line is cut beside, which cannot be interrupted.
void spare(DesignedCut& cut, const Region& kept);

}  // namespace burin
