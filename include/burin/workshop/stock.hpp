#pragma once
/// The piece of material and where the work zero lies on it.
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/workshop/keep_out.hpp"
#include "burin/workshop/traced_piece.hpp"

namespace burin {

enum class Outline { rectangle, round, traced };
enum class Anchor { lower_left, lower_centre, lower_right, centre_left, centre, centre_right, upper_left, upper_centre, upper_right };

/// z = 0 is its top. `bounds` in work coordinates; round stock: the square round it, or where that is no square the
/// rectangle round an oval (an ellipse); a traced piece: the rectangle round it, bark and all.
struct Stock {
    Outline outline = Outline::rectangle;
    Box bounds;
    double thickness = 12;
    Anchor zero = Anchor::lower_left;
    bool assumed = false;                      ///< the user gave no stock: 5 mm round the design, 12 mm thick
    std::shared_ptr<const TracedPiece> piece;  ///< Outline::traced only: in work coordinates
    std::vector<KeepOut> keep_outs;            ///< what stands on it or beside it

    /// Round, and not as wide as high.
    [[nodiscard]] bool oval() const { return outline == Outline::round && bounds.width() != bounds.height(); }
    /// Whether p lies on the stock's top: what may be cut of it, so not on a traced piece's bark.
    [[nodiscard]] bool holds(const Point& p, double slack = 1e-9) const;
};

/// width × height (round: diameter twice; oval: both axes) with `zero` of it at (0, 0). Throws Error (usage) on sizes ≤ 0.
[[nodiscard]] Stock make_stock(Outline outline, double width, double height, double thickness, Anchor zero);
/// The piece, moved so that `zero` of the rectangle round it lies at (0, 0).
[[nodiscard]] Stock make_stock(const TracedPiece& piece, Anchor zero);
/// What of it may be cut, seen from above: its rectangle, its ellipse as so many corners on it, or the wood of a traced piece.
[[nodiscard]] Loop outline_of(const Stock& stock, int corners = 72);
/// From the middle of a rectangle to one of its anchors.
[[nodiscard]] Point to_anchor(const Point& size, Anchor anchor);
/// "lower-left", "centre", …
[[nodiscard]] std::string to_string(Anchor anchor);
/// The anchor of that name; empty: there is none.
[[nodiscard]] std::optional<Anchor> anchor_named(std::string_view name);

}  // namespace burin
