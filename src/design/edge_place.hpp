#pragma once
/// Where an edge passes between two pixels. See contour.hpp for the sources.
#include <cstdint>

#include "burin/base/grid.hpp"

namespace burin {

struct EdgePlace {
    double shift = 0.5;     ///< pixels from the centre of the first pixel towards the second's
    std::uint8_t mark = 0;  ///< CrossingMark, but for on_column
};

/// Between pixels (i, j) and (i + 1, j), one of which is ink. Pixels outside the field are paper (0).
[[nodiscard]] EdgePlace place_in_row(const Grid<float>& field, float level, int i, int j);
/// Between pixels (i, j) and (i, j + 1).
[[nodiscard]] EdgePlace place_in_column(const Grid<float>& field, float level, int i, int j);
/// Mean of pixels (i, j) … (i + 1, j + 1).
[[nodiscard]] float mean_of_four(const Grid<float>& field, int i, int j);

}  // namespace burin
