#pragma once
/// Colours of CSS.
#include <optional>
#include <string_view>

namespace burin {

struct SvgColour {
    double red = 0, green = 0, blue = 0;  ///< coded, 0 … 1
    double alpha = 1;
    [[nodiscard]] double luma() const { return 0.2126 * red + 0.7152 * green + 0.0722 * blue; }  ///< of coded values, weights of BT.709
};
/// Names, #rgb, #rgba, #rrggbb, #rrggbbaa, rgb(), rgba(), hsl(), hsla(), transparent (CSS Color 4). Nothing for what is none.
[[nodiscard]] std::optional<SvgColour> svg_colour(std::string_view text);

}  // namespace burin
