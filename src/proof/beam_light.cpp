// Light of thin lines on a grid. Cost: length ÷ half a cell.
#include "beam_light.hpp"

#include <algorithm>
#include <cmath>

namespace burin::proving {
namespace {

constexpr int band = 32;  // rows

/// The share of rows first … last (in cells, from the grid's first centre) of one leg. Its pieces are the same whatever the rows.
void lay_leg(Grid<float>& cells, const BeamLeg& leg, int first, int last) {
    const double per_cell = 1 / cells.cell();
    const double ax = (leg.from.x - cells.origin().x) * per_cell - 0.5, ay = (leg.from.y - cells.origin().y) * per_cell - 0.5;
    const double bx = (leg.to.x - cells.origin().x) * per_cell - 0.5, by = (leg.to.y - cells.origin().y) * per_cell - 0.5;
    if (std::max(ay, by) <= first - 1 || std::min(ay, by) >= last + 1) return;
    if (std::max(ax, bx) <= -1 || std::min(ax, bx) >= cells.width()) return;
    const double length = std::hypot(bx - ax, by - ay);
    if (!(length > 0) || length > 1e7) return;
    const double count = std::ceil(2 * length);
    const float light = static_cast<float>(leg.joules_per_mm * length / count * per_cell);  // J/mm² that a piece gives to one cell
    const double dx = (bx - ax) / count, dy = (by - ay) / count;
    double k_first = 0, k_last = count - 1;
    if (dy != 0) {
        const double a = (first - 1 - ay) / dy, b = (last + 1 - ay) / dy;
        k_first = std::max(k_first, std::floor(std::min(a, b)) - 1);
        k_last = std::min(k_last, std::ceil(std::max(a, b)) + 1);
    }
    for (double k = k_first; k <= k_last; ++k) {
        const double x = ax + (k + 0.5) * dx, y = ay + (k + 0.5) * dy;
        const double left = std::floor(x), low = std::floor(y);
        if (left < -1 || left >= cells.width() || low < first - 1 || low > last) continue;
        const int i = static_cast<int>(left), j = static_cast<int>(low);
        const auto u = static_cast<float>(x - left), v = static_cast<float>(y - low);
        const auto put = [&](int row, float share) {
            if (row < first || row > last) return;
            float* at = cells.row(row);
            if (i >= 0) at[i] += share * (1 - u);
            if (i + 1 < cells.width()) at[i + 1] += share * u;
        };
        put(j, light * (1 - v));
        put(j + 1, light * v);
    }
}

}  // namespace

void lay_light(Grid<float>& cells, const std::vector<BeamWay>& ways, const Crew& crew) {
    over_rows(crew, cells.height(), band, [&](int first, int last) {
        const double low = cells.centre(0, first - 1).y, high = cells.centre(0, last).y;
        for (const BeamWay& way : ways)
            if (!way.asked->border) way.over_legs(low, high, [&](const BeamLeg& leg) { lay_leg(cells, leg, first, last - 1); });
        crew.check();
    });
}

}  // namespace burin::proving
