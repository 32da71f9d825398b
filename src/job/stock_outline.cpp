#include "stock_outline.hpp"

#include <cmath>
#include <numbers>

namespace burin {

std::vector<Point> stock_outline(const Stock& stock) {
    const Box& box = stock.bounds;
    if (stock.outline == Outline::rectangle) return {box.lo, {box.hi.x, box.lo.y}, box.hi, {box.lo.x, box.hi.y}};
    constexpr int corners = 72;
    std::vector<Point> outline;
    for (int k = 0; k < corners; ++k) {
        const double angle = 2 * std::numbers::pi * k / corners;
        outline.push_back({box.centre().x + box.width() / 2 * std::cos(angle), box.centre().y + box.height() / 2 * std::sin(angle)});
    }
    return outline;
}

}  // namespace burin
