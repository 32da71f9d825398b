#pragma once
/// Finishing lines at any angle run along the rows of a frame that is turned against the job.
#include <cstdint>

#include "burin/base/grid.hpp"

namespace burin {

/// Turned by `angle` (radians, anticlockwise) about `centre`: what lies along the frame's x lies at that angle in the job.
struct Frame {
    double angle = 0;
    Point centre;
    [[nodiscard]] bool turned() const;
    [[nodiscard]] Point to_job(const Point& p) const;
    [[nodiscard]] Point from_job(const Point& p) const;
};

/// In a turned frame neighbours lie aslant to the walls, so that less height between them is a wall already.
inline constexpr double turned_wall = 2.5;

/// The map as it lies in the frame, cells of the same size, 0 beyond its edge and, unless
/// on the centre of a cell, up to a cell inside it; linear between cell centres, but a wall stays
/// one: between neighbours more than turned_wall cells apart in height there is no slope. A right angle moves cells onto cells.
[[nodiscard]] HeightMap into_frame(const HeightMap& map, const Frame& frame);

/// Cells of the job, on the grid of `like`, whose centre lies in a marked cell of the frame.
[[nodiscard]] Grid<std::uint8_t> out_of_frame(const Grid<std::uint8_t>& marks, const HeightMap& like, const Frame& frame);

/// Heights of the frame on the grid of `like`, linear between cell centres.
[[nodiscard]] HeightMap out_of_frame(const HeightMap& map, const HeightMap& like, const Frame& frame);

}  // namespace burin
