#pragma once
/// The museum's diorama: a lighthouse on its rock, 100 × 75 mm seen straight from the front, z towards the viewer, mm.
#include <functional>
#include <string>
#include <vector>

#include "canvas.hpp"

namespace paint {

constexpr double scene_width = 100, scene_height = 75;
constexpr double nothing = -1e9;

enum class Stuff {
    sky,
    cloud,
    beam,
    gull,
    hill,
    sea,
    rock,
    grass,
    tower,
    gallery,
    glass,
    dome,
    wall,
    roof,
    pane,
    door,
    path,
    hull,
    sail,
    spar,
    smoke,
    frame
};

/// What a straight look at (x, y) meets of one part.
struct Hit {
    double z = nothing;
    Stuff stuff = Stuff::sky;
};

/// A part looks nowhere but inside its box.
struct Part {
    V2 lo, hi;
    std::function<Hit(V2)> look;
};

[[nodiscard]] std::vector<Part> diorama();
/// Height of the sea's surface in z, waves included.
[[nodiscard]] double sea(V2 p);

/// Where the light stands.
constexpr V2 lamp{66, 59.6};

void paint_lighthouse(const std::string& folder);
void paint_drawings(const std::string& folder);
void paint_prints(const std::string& folder);
void paint_slice(const std::string& folder);
void write_board(const std::string& folder);

}  // namespace paint
