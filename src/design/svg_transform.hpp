#pragma once
/// Coordinate systems of an SVG.
#include <optional>
#include <string_view>

#include "burin/base/point.hpp"

namespace burin {

/// x' = a x + c y + e, y' = b x + d y + f.
struct Affine {
    double a = 1, b = 0, c = 0, d = 1, e = 0, f = 0;
    [[nodiscard]] Point operator()(const Point& p) const { return {a * p.x + c * p.y + e, b * p.x + d * p.y + f}; }
    [[nodiscard]] double determinant() const { return a * d - b * c; }
    [[nodiscard]] double longest() const;  ///< the larger singular value: most that a length grows
    friend bool operator==(const Affine&, const Affine&) = default;
};
/// First `inner`, then `outer`.
[[nodiscard]] Affine operator*(const Affine& outer, const Affine& inner);

/// A list of transforms (CSS Transforms 1; SVG's attribute grammar). Nothing where it is broken.
[[nodiscard]] std::optional<Affine> transform_list(std::string_view text);

struct ViewBox {
    double x = 0, y = 0, width = 0, height = 0;
};
[[nodiscard]] std::optional<ViewBox> view_box(std::string_view text);

/// From a viewBox into a viewport of this size at 0, 0, by preserveAspectRatio (SVG 2, 8.2 and 8.6).
[[nodiscard]] Affine view_box_transform(const ViewBox& box, double width, double height, std::string_view preserve);

}  // namespace burin
