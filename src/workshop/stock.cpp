// Where the stock lies in work coordinates: its anchor point is (0, 0), its top is z = 0.
#include "burin/workshop/stock.hpp"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr std::array<std::string_view, 9> anchor_names{"lower-left",   "lower-centre", "lower-right",  "centre-left", "centre",
                                                       "centre-right", "upper-left",   "upper-centre", "upper-right"};

}  // namespace

Stock make_stock(Outline outline, double width, double height, double thickness, Anchor zero) {
    for (const double size : {width, height, thickness})
        if (!(size > 0) || !std::isfinite(size))
            throw Error(Fault::usage, fmt::format("A stock of {} x {} x {} mm cannot be: width, height and thickness must be above 0.",
                                                  width, height, thickness));
    const int column = static_cast<int>(zero) % 3, row = static_cast<int>(zero) / 3;
    const Point lo{-width * column / 2, -height * row / 2};
    Stock stock;
    stock.outline = outline;
    stock.bounds = {lo, {lo.x + width, lo.y + height}};
    stock.thickness = thickness;
    stock.zero = zero;
    return stock;
}

Stock make_stock(const TracedPiece& piece, Anchor zero) {
    const Box box = piece.outer().bounds();
    Stock stock = make_stock(Outline::traced, box.width(), box.height(), piece.thickness(), zero);
    stock.piece = std::make_shared<const TracedPiece>(shifted(piece, {stock.bounds.lo.x - box.lo.x, stock.bounds.lo.y - box.lo.y}));
    return stock;
}

Loop outline_of(const Stock& stock, int corners) {
    const Box& box = stock.bounds;
    if (stock.outline == Outline::rectangle) return corners_of(box);
    if (stock.piece) return stock.piece->wood().figures().front().outer;
    Loop outline;
    for (int k = 0; k < corners; ++k) {
        const double angle = 2 * std::numbers::pi * k / corners;
        outline.push_back({box.centre().x + box.width() / 2 * std::cos(angle), box.centre().y + box.height() / 2 * std::sin(angle)});
    }
    return outline;
}

bool Stock::holds(const Point& p, double slack) const {
    if (outline == Outline::rectangle) return bounds.holds(p, slack);
    if (piece) return piece->holds(p, slack);
    const double a = bounds.width() / 2 + slack, b = bounds.height() / 2 + slack;
    return std::hypot((p.x - bounds.centre().x) / a, (p.y - bounds.centre().y) / b) <= 1;
}

Point to_anchor(const Point& size, Anchor anchor) {
    const int column = static_cast<int>(anchor) % 3 - 1, row = static_cast<int>(anchor) / 3 - 1;
    return {size.x / 2 * column, size.y / 2 * row};
}

std::string to_string(Anchor anchor) { return std::string(anchor_names[static_cast<std::size_t>(anchor)]); }

std::optional<Anchor> anchor_named(std::string_view name) {
    for (std::size_t i = 0; i < anchor_names.size(); ++i)
        if (anchor_names[i] == name) return static_cast<Anchor>(i);
    return {};
}

}  // namespace burin
