#pragma once
/// Parts of lines within or outside a region.
#include <vector>

#include "burin/shape/region.hpp"

namespace burin {

/// A line with a value at each of its points, which changes evenly between them: a width, a height.
struct ValuedLine {
    Polyline line;
    std::vector<double> values;
};

/// The parts of a line that lie within the region, or outside of it; a closed line that is cut open ends where it began: its last part
/// goes on in its first.
[[nodiscard]] std::vector<ValuedLine> line_parts(const ValuedLine& line, const Region& region, bool within);

}  // namespace burin
