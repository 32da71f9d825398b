#pragma once
/// What a test card told, to look at.
#include <string>

#include "burin/design/card.hpp"
#include "burin/design/card_photo.hpp"

namespace burin {

/// The curve with the patches that it comes from, as a drawing. `title`: plain text.
[[nodiscard]] std::string tone_svg(const CardReading& reading, const Card& card, const std::string& title);
/// The card straightened and evenly lit, its places outlined where they were looked for: 8-bit RGB as PNG.
[[nodiscard]] std::string card_png(const CardReading& reading, const Card& card);

}  // namespace burin
