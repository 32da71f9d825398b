#pragma once
/// What every figure is cut from, wherever it came from: a traced picture, lettering, a shape, an SVG.
#include <optional>
#include <string>
#include <vector>

#include "burin/design/trace.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// Figures in millimetres. The field is the rectangle that width, height and placing speak of; its lower left corner lies at (0, 0).
struct Drawing {
    Region region;                    ///< what is filled
    std::vector<MiddleLine> lines;    ///< what is to be followed as it is (single-line letters, strokes of an SVG)
    double width = 0, height = 0;     ///< of the field, mm
    std::optional<Point> arc_centre;  ///< lettering on an arc: the centre of its circle
    std::vector<std::string> notes, warnings;
};

}  // namespace burin
