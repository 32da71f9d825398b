/// Edges in cells about as wide as an edge is long; each edge is held by all cells that its box touches.
#include "edge_cells.hpp"

#include <algorithm>
#include <cmath>

namespace burin {

EdgeCells::EdgeCells(const Region& region) {
    double length = 0;
    for (const Loop& loop : region.loops())
        for (std::size_t k = 0; k < loop.size(); ++k) {
            edges_.push_back({loop[k], loop[(k + 1) % loop.size()]});
            length += distance(edges_.back().a, edges_.back().b);
        }
    const Box box = region.bounds();
    const double area = std::max(box.width() * box.height(), 1e-6);
    // No more than about four cells an edge.
    side_ = std::max({length / static_cast<double>(std::max<std::size_t>(edges_.size(), 1)),
                      std::sqrt(area / (4 * static_cast<double>(edges_.size() + 16))), 1e-3});
    corner_ = box.lo;
    columns_ = static_cast<int>(box.width() / side_) + 1;
    rows_ = static_cast<int>(box.height() / side_) + 1;
    first_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
    const auto over = [&](const Edge& e, auto&& visit) {
        const auto column = [&](double x) { return std::clamp(static_cast<int>((x - corner_.x) / side_), 0, columns_ - 1); };
        const auto row = [&](double y) { return std::clamp(static_cast<int>((y - corner_.y) / side_), 0, rows_ - 1); };
        for (int j = row(std::min(e.a.y, e.b.y)); j <= row(std::max(e.a.y, e.b.y)); ++j)
            for (int i = column(std::min(e.a.x, e.b.x)); i <= column(std::max(e.a.x, e.b.x)); ++i)
                visit(static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i));
    };
    for (const Edge& e : edges_) over(e, [&](std::size_t cell) { ++first_[cell + 1]; });
    for (std::size_t k = 1; k < first_.size(); ++k) first_[k] += first_[k - 1];
    held_.resize(first_.back());
    std::vector<std::uint32_t> at(first_.begin(), first_.end() - 1);
    for (std::size_t k = 0; k < edges_.size(); ++k)
        over(edges_[k], [&](std::size_t cell) { held_[at[cell]++] = static_cast<std::uint32_t>(k); });
}

Point EdgeCells::leaves(const Point& from, const Point& way, double reach) const {
    const Point to{from.x + reach * way.x, from.y + reach * way.y};
    const auto column = [&](double x) { return std::clamp(static_cast<int>((x - corner_.x) / side_), 0, columns_ - 1); };
    const auto row = [&](double y) { return std::clamp(static_cast<int>((y - corner_.y) / side_), 0, rows_ - 1); };
    double nearest = reach;
    bool found = false;
    for (int j = row(std::min(from.y, to.y)); j <= row(std::max(from.y, to.y)); ++j)
        for (int i = column(std::min(from.x, to.x)); i <= column(std::max(from.x, to.x)); ++i) {
            const std::size_t cell = static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
            for (std::uint32_t k = first_[cell]; k < first_[cell + 1]; ++k) {
                const Edge& e = edges_[held_[k]];
                const Point d{e.b.x - e.a.x, e.b.y - e.a.y}, w{e.a.x - from.x, e.a.y - from.y};
                const double det = way.x * d.y - way.y * d.x;
                if (det == 0) continue;
                const double u = (w.x * d.y - w.y * d.x) / det, v = (w.x * way.y - w.y * way.x) / det;
                if (u > 1e-9 && u < nearest && v >= 0 && v <= 1) nearest = u, found = true;
            }
        }
    return found ? Point{from.x + nearest * way.x, from.y + nearest * way.y} : from;
}

}  // namespace burin
