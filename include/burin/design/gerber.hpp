#pragma once
/// Layers of circuit boards, after Ucamco's published "Gerber Layer Format Specification" (from memory).
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "burin/shape/region.hpp"

namespace burin {

struct GerberLayer {
    Region dark;                       ///< what the layer draws, mm, in its own coordinates
    std::string part;                  ///< of the board, as .FileFunction says it ("Copper,L1,Top"); empty: not said
    double line_width = 0;             ///< mm, of the widest disc that draws its lines; 0: it has only areas and flashes
    std::vector<std::string> remarks;  ///< for people: old commands that were passed over
};

/// What a file may ask for at most.
struct GerberLimits {
    std::size_t most_bytes = std::size_t{64} << 20;
    std::size_t most_corners = 20'000'000;  ///< of all lines together, repeats counted
    std::size_t most_nesting = 8;           ///< blocks within blocks
    std::size_t most_repeats = 100'000;     ///< of one step and repeat
    double chord = 0.002;                   ///< mm that a chord may leave its arc
};

/// Throws Error (input) with the line where the file is wrong or asks for more than the limits.
[[nodiscard]] GerberLayer read_gerber(std::string_view bytes, const GerberLimits& limits = {});

}  // namespace burin
