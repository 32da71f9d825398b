#pragma once
/// Plain shapes for borders and medallions: circle, ellipse, rectangles, polygon, star, line, ring.
#include <optional>
#include <string>
#include <string_view>

#include "burin/design/drawing.hpp"

namespace burin {

enum class ShapeKind { circle, ellipse, rectangle, rounded, polygon, star, line, ring };

/// Lengths mm; what is empty was not given.
struct ShapeWishes {
    ShapeKind kind = ShapeKind::circle;
    std::optional<double> diameter;       ///< circle, ring; of the circle through the tips: polygon, star
    std::optional<double> inner;          ///< diameter: of a ring's hole, of the circle through a star's inner corners
    std::optional<double> width, height;  ///< ellipse, rectangle, rounded
    std::optional<double> corner_radius;  ///< rounded
    std::optional<int> corners;           ///< polygon, star (its tips)
    std::optional<double> length;         ///< line, along x
    std::optional<double> thickness;      ///< line: of the bar; without: only the line to be followed
    double tolerance = 0.002;             ///< how far chords may leave their curves
};

/// The shape with the lower left corner of its box at (0, 0); polygons and stars stand on their middle, one tip up. `lines` hold its
/// contours, for strokes. Chords have their ends on the curve. A star without `inner` has the proportion of the pentagram (five tips)
/// or that whose edges go straight through to the next tip but one (more); four tips: half the diameter, three: a quarter.
/// Throws Error (usage): a dimension that is missing, does not belong to the shape, or contradicts another, by the name of its option.
[[nodiscard]] Drawing shape(const ShapeWishes& wishes);
/// By the name that options use; empty: none.
[[nodiscard]] std::optional<ShapeKind> shape_named(std::string_view name);
[[nodiscard]] std::string_view to_string(ShapeKind kind);

}  // namespace burin
