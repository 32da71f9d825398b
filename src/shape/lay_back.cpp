/// Slopes limited by lowering: the lower envelope of cones standing on all cells, which is the erosion by a cone
/// (Serra 1982). Cones spread from cell to neighbour as vectors to their foot (Danielsson 1980), so that distances are
/// Euclidean and not those of a chessboard. Only cells that something changes at are visited, in rounds.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "burin/shape/filters.hpp"

namespace burin {
namespace {

struct Cones {
    const HeightMap feet;        ///< heights before anything was lowered
    Grid<std::int32_t> foot_of;  ///< index of the cell whose cone is lowest here
    HeightMap& lowest;
    double rise;  ///< per cell of distance

    /// Offers cell (i, j) the cone that stands on cell `foot`; whether it lies lower there.
    bool offer(int i, int j, std::int32_t foot) {
        const int w = feet.width();
        const int columns = foot % w - i, rows = foot / w - j;
        const double dx = columns, dy = rows;
        const auto height = static_cast<float>(feet.values()[static_cast<std::size_t>(foot)] + rise * std::sqrt(dx * dx + dy * dy));
        float& here = lowest(i, j);
        if (!(height < here)) return false;
        here = height;
        foot_of(i, j) = foot;
        return true;
    }
};

/// Whether a row has a cell that is steeper than allowed towards its neighbours to the right and in the row above it.
bool any_steep(const float* row, const float* next, int n, float side, float diagonal) {
    int steep = 0;
    for (int i = 0; i + 1 < n; ++i) {
        const float a = row[i];
        steep |= static_cast<int>(std::abs(a - row[i + 1]) > side) | static_cast<int>(std::abs(a - next[i]) > side) |
                 static_cast<int>(std::abs(a - next[i + 1]) > diagonal) | static_cast<int>(std::abs(row[i + 1] - next[i]) > diagonal);
    }
    steep |= static_cast<int>(std::abs(row[n - 1] - next[n - 1]) > side);
    return steep != 0;
}

}  // namespace

void lay_back(HeightMap& map, double steepest_deg, const Crew& crew) {
    if (!(steepest_deg > 0)) throw Error(Fault::usage, "The steepest slope must be more than 0 degrees.");
    if (steepest_deg >= 90) return;
    const int w = map.width(), h = map.height();
    const double rise = std::tan(steepest_deg * std::numbers::pi / 180) * map.cell();
    std::vector<std::int32_t> changed, next;
    const auto side = static_cast<float>(rise), diagonal = static_cast<float>(rise * std::numbers::sqrt2);
    for (int j = 0; j < h; ++j) {
        const bool above = any_steep(map.row(j), map.row(std::min(j + 1, h - 1)), w, side, diagonal);
        const bool below = j > 0 && any_steep(map.row(j - 1), map.row(j), w, side, diagonal);
        if (!above && !below) continue;
        for (int i = 0; i < w; ++i) changed.push_back(j * w + i);
    }
    if (changed.empty()) return;
    crew.check();
    Cones cones{map, map.like(std::int32_t{0}), map, rise};
    for (std::size_t k = 0; k < map.size(); ++k) cones.foot_of.values()[k] = static_cast<std::int32_t>(k);
    std::vector<std::uint8_t> listed(map.size());
    while (!changed.empty()) {
        crew.check();
        for (const auto cell : changed) {
            const auto at = static_cast<std::size_t>(cell);
            listed[at] = 0;
            const std::int32_t foot = cones.foot_of.values()[at];
            const int i = cell % w, j = cell / w;
            for (int y = std::max(j - 1, 0); y <= std::min(j + 1, h - 1); ++y)
                for (int x = std::max(i - 1, 0); x <= std::min(i + 1, w - 1); ++x) {
                    const std::int32_t k = y * w + x;
                    if (k == cell || !cones.offer(x, y, foot) || listed[static_cast<std::size_t>(k)]) continue;
                    listed[static_cast<std::size_t>(k)] = 1;
                    next.push_back(k);
                }
        }
        changed.swap(next);
        next.clear();
    }
}

}  // namespace burin
