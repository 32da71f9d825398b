#pragma once
// The promise of a photo's tones; inside the room only.
#include "figure.hpp"

namespace burin::proving {

/// "the tones of the picture": fills proof.tone.
[[nodiscard]] Check check_tone(const FigureCase& c, Proof& proof);

}  // namespace burin::proving
