#pragma once
/// From a picture to the darkness that the finished piece shall show.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/picture/picture.hpp"

namespace burin {

struct TonesWishes {
    double width = 0, height = 0;  ///< mm of the whole picture on the stock
    double cell = 0.1;             ///< mm; taken so that whole cells make up the width
    double black = 1, white = 99;  ///< percentiles of luminance taken as darkest and bare
    double gamma = 1;              ///< of the light: below 1 lightens the middle tones, above 1 darkens them
    bool invert = false;           ///< light and dark swapped: where cutting makes lighter
};

struct Tones {
    Grid<float> darkness;  ///< 0 bare … 1 darkest, the picture's rectangle with its lower left corner at (0, 0); transparent: 0
    std::vector<std::string> notes, warnings;
};

/// Darkness is 1 − Y, Y the luminance in linear light (IEC 61966-2-1, ITU-R BT.709) stretched between two percentiles, and so the share
/// of the surface to be covered where the bare surface stands for white and the covered one for black (Murray–Davies 1936): light adds up
/// over an area, so the greys between keep their place between the two. Means over areas when shrinking.
/// Throws Error (refused): all of it has one tone, or is transparent.
[[nodiscard]] Tones make_tones(const Picture& picture, const TonesWishes& wishes, const Crew& crew);

}  // namespace burin
