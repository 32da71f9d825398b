#pragma once
// Cells under the lines of a beam; inside the room only.
#include <algorithm>
#include <cmath>
#include <span>

#include "beam_lines.hpp"
#include "beam_way.hpp"
#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"

namespace burin::proving {

/// Calls see(leg, row, first, end) for the columns of each row of cells of which the centres lie within r of a leg that burns; of one row
/// in running order, of several on several threads. Cost: cells under the lines.
template <class T, class See>
void over_covered(const Grid<T>& cells, std::span<const BeamWay> ways, double r, const Crew& crew, const See& see) {
    constexpr int band = 64;
    over_rows(crew, cells.height(), band, [&](int first, int end) {
        const double low = cells.centre(0, first).y, high = cells.centre(0, end - 1).y, side = cells.cell();
        const auto column = [&](double x) {
            return std::clamp((x - cells.origin().x) / side - 0.5, -1.0, static_cast<double>(cells.width()));
        };
        for (const BeamWay& way : ways) {
            if (way.asked->border) continue;
            way.over_legs(low - r, high + r, [&](const BeamLeg& leg) {
                const double bottom = std::min(leg.from.y, leg.to.y) - r, top = std::max(leg.from.y, leg.to.y) + r;
                if (top < low || bottom > high) return;
                const int from = std::max(first, static_cast<int>(std::floor((std::max(bottom, low) - cells.origin().y) / side)) - 1);
                const int to = std::min(end - 1, static_cast<int>(std::floor((std::min(top, high) - cells.origin().y) / side)) + 1);
                for (int j = from; j <= to; ++j) {
                    const Across span = across(leg.from, leg.to, r, cells.centre(0, j).y);
                    if (span.first > span.last) continue;
                    const int i = std::max(0, static_cast<int>(std::ceil(column(span.first))));
                    const int last = std::min(cells.width() - 1, static_cast<int>(std::floor(column(span.last))));
                    if (i <= last) see(leg, j, i, last + 1);
                }
            });
        }
        crew.check();
    });
}

}  // namespace burin::proving
