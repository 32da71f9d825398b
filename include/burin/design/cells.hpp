#pragma once
/// A picture laid on the cells of a job.
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "burin/picture/picture.hpp"

namespace burin {

/// What is taken from a picture's pixels.
enum class Reading {
    coded,      ///< sample values 0 … 1, colour by BT.709's sum of the coded values
    light,      ///< luminance 0 … 1 in linear light
    lightness,  ///< L* / 100 of that luminance (ISO/CIE 11664-4), after the averaging
    opacity     ///< 1 everywhere where the picture has no transparency
};

/// The picture stretched over round(width / cell) × round(height / cell) cells (at least one) with the lower left corner
/// at (0, 0). Along each axis: fewer cells than pixels, each cell is the mean of what it covers of the pixels; more, linear
/// between pixel centres; as many, the pixels themselves, unchanged. Transparent pixels lend no colour to their
/// neighbours: means are weighted by opacity, and 0 where nothing is opaque.
/// Cost: one pass over the pixels; beside the result, a few million pixels' worth of memory at most.
[[nodiscard]] HeightMap on_cells(const Picture& picture, Reading reading, double width, double height, double cell, const Crew& crew);

/// L* / 100 of a luminance 0 … 1 (ISO/CIE 11664-4).
[[nodiscard]] double lightness(double luminance);

}  // namespace burin
