#pragma once
/// Light on a height map: a soft key light with cast shadows, and the sky from all sides.
#include <vector>

#include "burin/base/crew.hpp"

namespace burin::light {

/// Rows from the top (row 0 is farthest from the viewer), square pixels of `pixel` mm, heights mm.
struct Relief {
    int width = 0, height = 0;
    double pixel = 1;
    std::vector<float> heights;
};

/// What falls on every pixel, as a share of what falls on an open level surface, and the surface's normal.
struct Lit {
    std::vector<float> key, sky;
    std::vector<float> normal_x, normal_y;  ///< of unit normals; x to the right, y up the picture
};

/// Direction towards the middle of the key light, unit vector.
struct Direction {
    float x, y, z;
};
[[nodiscard]] Direction towards_key();

/// Every light is a distant lamp: cosine law, shadows by one sweep over the map in its direction (each row takes over
/// the horizon of the row before, lowered by the light's slope; a height field needs no more). 5 lamps make the key
/// light soft, 20 the sky. Cost: 25 sweeps; the same bytes on any number of threads.
[[nodiscard]] Lit light_up(const Relief& relief, const Crew& crew);

}  // namespace burin::light
