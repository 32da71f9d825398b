// What weighted Voronoi cells hold of a raster whose cells have one value each, exactly.
//
// A quadtree over the raster is walked down with the sites that can be nearest to some place of a square: those that lie behind
// the bisector with the site nearest to the square's middle, everywhere in it, drop out (plane geometry). Where one is left, the
// square's sums are its; a single cell with several is cut by their bisectors.
// Cost: the cells' borders, some 5 µs a site. Tiles of 16 × 16 cells are done side by side; their sums are gathered in the tiles' order.
#include "stipple_cells.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

namespace burin::dots {
namespace {

constexpr int tile_level = 4, tile = 1 << tile_level;

/// Sites in square buckets as large as the tiles.
class Buckets {
public:
    Buckets(const std::vector<Point>& sites, int width, int height)
        : sites_(sites), columns_((width + tile - 1) / tile), rows_((height + tile - 1) / tile) {
        first_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
        for (const Point& p : sites) ++first_[bucket(p) + 1];
        std::partial_sum(first_.begin(), first_.end(), first_.begin());
        items_.resize(sites.size());
        std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
        for (std::size_t k = 0; k < sites.size(); ++k) items_[next[bucket(sites[k])]++] = static_cast<std::uint32_t>(k);
    }
    [[nodiscard]] int columns() const { return columns_; }
    [[nodiscard]] int rows() const { return rows_; }

    /// All sites that may be nearest to some place of the tile.
    void near(int i, int j, std::vector<std::uint32_t>& found) const {
        const Point middle{(i + 0.5) * tile, (j + 0.5) * tile};
        const double half = tile * 0.5 * std::sqrt(2.0);
        // Squared distances, but for the bound: nearest + 2 half.
        double nearest = std::numeric_limits<double>::max(), bound = nearest;
        const auto away = [&](std::uint32_t s) {
            const double x = sites_[s].x - middle.x, y = sites_[s].y - middle.y;
            return x * x + y * y;
        };
        const auto bound_of = [&](double d2) { return (std::sqrt(d2) + 2 * half) * (std::sqrt(d2) + 2 * half); };
        found.clear();
        // Rings of buckets; the ring r lies at least r − ½ tiles from the middle.
        const auto beyond = [&](int ring) { return ring > 0 && (ring - 0.5) * tile * (ring - 0.5) * tile > bound; };
        for (int ring = 0; ring <= std::max(columns_, rows_) && !beyond(ring); ++ring)
            for (int b = std::max(0, j - ring); b <= std::min(rows_ - 1, j + ring); ++b) {
                const bool whole = b == j - ring || b == j + ring;
                for (int a = i - ring; a <= i + ring; a += whole || ring == 0 ? 1 : 2 * ring) {
                    if (a < 0 || a >= columns_) continue;
                    const std::size_t n = static_cast<std::size_t>(b) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(a);
                    for (std::uint32_t k = first_[n]; k < first_[n + 1]; ++k) {
                        const double d2 = away(items_[k]);
                        if (d2 < nearest) nearest = d2, bound = bound_of(d2);
                        if (d2 <= bound) found.push_back(items_[k]);
                    }
                }
            }
        std::erase_if(found, [&](std::uint32_t s) { return away(s) > bound; });
    }

private:
    [[nodiscard]] std::size_t bucket(const Point& p) const {
        const int i = std::clamp(static_cast<int>(p.x / tile), 0, columns_ - 1), j = std::clamp(static_cast<int>(p.y / tile), 0, rows_ - 1);
        return static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
    }
    const std::vector<Point>& sites_;
    int columns_, rows_;
    std::vector<std::uint32_t> first_, items_;
};

/// A convex piece of a cell: a square that lines cut corners off.
class Piece {
public:
    Piece(double x, double y) : corners_{{{x, y}, {x + 1, y}, {x + 1, y + 1}, {x, y + 1}}} {}
    /// Keeps the places where a·x + b·y + c ≤ 0.
    void keep(double a, double b, double c) {
        std::array<Point, most> kept;
        std::size_t n = 0;
        for (std::size_t k = 0; k < count_; ++k) {
            const Point &p = corners_[k], &q = corners_[k + 1 < count_ ? k + 1 : 0];
            const double fp = a * p.x + b * p.y + c, fq = a * q.x + b * q.y + c;
            if (fp <= 0 && n < most) kept[n++] = p;
            if ((fp < 0 && fq > 0) || (fp > 0 && fq < 0)) {
                const double t = fp / (fp - fq);
                if (n < most) kept[n++] = {p.x + t * (q.x - p.x), p.y + t * (q.y - p.y)};
            }
        }
        corners_ = kept, count_ = n;
    }
    [[nodiscard]] bool gone() const { return count_ < 3; }
    /// Area and its moments.
    [[nodiscard]] Mass mass() const {
        Mass m;
        if (gone()) return m;
        const Point& o = corners_[0];
        for (std::size_t k = 1; k + 1 < count_; ++k) {
            const Point &p = corners_[k], &q = corners_[k + 1];
            const double area = ((p.x - o.x) * (q.y - o.y) - (p.y - o.y) * (q.x - o.x)) / 2;
            m.add({area, area * (o.x + p.x + q.x) / 3, area * (o.y + p.y + q.y) / 3});
        }
        return m;
    }

private:
    static constexpr std::size_t most = 32;
    std::array<Point, most> corners_;
    std::size_t count_ = 4;
};

/// One tile: sums of the sites that have a part in it.
class Tile {
public:
    Tile(const Pyramid& raster, const std::vector<Point>& sites) : raster_(raster), sites_(sites) {}

    std::vector<std::pair<std::uint32_t, Mass>> share(int i, int j, const std::vector<std::uint32_t>& near) {
        near_ = &near;
        sums_.assign(near.size(), {});
        stack_.resize(near.size());
        std::iota(stack_.begin(), stack_.end(), 0U);
        descend(tile_level, i, j, 0, near.size());
        std::vector<std::pair<std::uint32_t, Mass>> shares;
        for (std::size_t k = 0; k < near.size(); ++k)
            if (sums_[k].sum > 1e-12) shares.emplace_back(near[k], sums_[k]);
        return shares;
    }

private:
    [[nodiscard]] const Point& site(std::uint32_t k) const { return sites_[(*near_)[k]]; }

    /// The candidates lie in stack_[first … first + count).
    void descend(int level, int i, int j, std::size_t first, std::size_t count) {
        const Mass mass = raster_.mass(level, i, j);
        if (!(mass.sum > 0)) return;
        const double side = std::ldexp(1.0, level), half = side / 2;
        const Point middle{(i + 0.5) * side, (j + 0.5) * side};
        const std::size_t from = stack_.size();
        keep_near(middle, half, first, count);
        const std::size_t left = stack_.size() - from;
        if (left == 1) {
            sums_[stack_[from]].add(mass);
        } else if (level == 0) {
            cut(i, j, middle, from, left, mass.sum);
        } else {
            for (const int b : {0, 1})
                for (const int a : {0, 1}) descend(level - 1, 2 * i + a, 2 * j + b, from, left);
        }
        stack_.resize(from);
    }

    /// Puts those of the candidates on the stack that may be nearest somewhere in the square.
    void keep_near(const Point& middle, double half, std::size_t first, std::size_t count) {
        double least = std::numeric_limits<double>::max();
        Point nearest;
        std::uint32_t best = 0;
        for (std::size_t k = first; k < first + count; ++k) {
            const Point& s = site(stack_[k]);
            const double x = s.x - middle.x, y = s.y - middle.y, d = x * x + y * y;
            if (d < least) least = d, nearest = {x, y}, best = stack_[k];
        }
        for (std::size_t k = first; k < first + count; ++k) {
            const std::uint32_t n = stack_[k];
            const double x = site(n).x - middle.x, y = site(n).y - middle.y;
            // |p − nearest|² − |p − s|² at its largest in the square.
            const double reach = least - (x * x + y * y) + 2 * half * (std::abs(x - nearest.x) + std::abs(y - nearest.y));
            if (n == best || reach > 0) stack_.push_back(n);
        }
    }

    void cut(int i, int j, const Point& middle, std::size_t from, std::size_t count, double value) {
        Mass left{1, 0, 0};  // of the cell, about its middle: what no other site takes is the last one's
        for (std::size_t k = from; k < from + count; ++k) {
            const bool last = k + 1 == from + count;
            Piece piece(-0.5, -0.5);  // about the cell's middle, where numbers are small
            const double x = site(stack_[k]).x - middle.x, y = site(stack_[k]).y - middle.y;
            for (std::size_t m = from; !last && m < from + count && !piece.gone(); ++m) {
                if (m == k) continue;
                const double u = site(stack_[m]).x - middle.x, v = site(stack_[m]).y - middle.y;
                if (u == x && v == y) {  // two sites in one place: the first has it all
                    if (m < k) piece.keep(0, 0, 1);
                    continue;
                }
                piece.keep(2 * (u - x), 2 * (v - y), (x * x + y * y) - (u * u + v * v));
            }
            const Mass m = last ? left : piece.mass();
            left.add({-m.sum, -m.x, -m.y});
            sums_[stack_[k]].add({value * m.sum, value * (m.x + m.sum * (i + 0.5)), value * (m.y + m.sum * (j + 0.5))});
        }
    }

    const Pyramid& raster_;
    const std::vector<Point>& sites_;
    const std::vector<std::uint32_t>* near_ = nullptr;
    std::vector<Mass> sums_;
    std::vector<std::uint32_t> stack_;
};

}  // namespace

Pyramid::Pyramid(Grid<float> values) : values_(std::move(values)) {
    int width = values_.width(), height = values_.height();
    while (width > 1 || height > 1 || sums_.size() < tile_level) {
        const int level = static_cast<int>(sums_.size());
        width = (width + 1) / 2, height = (height + 1) / 2;
        Level next{width, height, {}};
        next.squares.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
        std::size_t n = 0;
        for (int j = 0; j < height; ++j)
            for (int i = 0; i < width; ++i, ++n)
                for (const int b : {0, 1})
                    for (const int a : {0, 1}) next.squares[n].add(mass(level, 2 * i + a, 2 * j + b));
        sums_.push_back(std::move(next));
    }
}

Mass Pyramid::mass(int level, int i, int j) const {
    if (level == 0) {
        if (!values_.holds(i, j)) return {};
        const double value = static_cast<double>(values_(i, j));
        return {value, value * (i + 0.5), value * (j + 0.5)};
    }
    const Level& squares = sums_[static_cast<std::size_t>(level) - 1];
    if (i < 0 || j < 0 || i >= squares.width || j >= squares.height) return {};
    return squares.squares[static_cast<std::size_t>(j) * static_cast<std::size_t>(squares.width) + static_cast<std::size_t>(i)];
}

std::vector<Mass> cell_masses(const Pyramid& raster, const std::vector<Point>& sites, const Crew& crew) {
    const Buckets buckets(sites, raster.values().width(), raster.values().height());
    std::vector<std::vector<std::pair<std::uint32_t, Mass>>> parts(static_cast<std::size_t>(buckets.rows()));
    in_parallel(crew, buckets.rows(), [&](int j) {
        Tile one(raster, sites);
        std::vector<std::uint32_t> near;
        auto& part = parts[static_cast<std::size_t>(j)];
        for (int i = 0; i < buckets.columns(); ++i) {
            if (!(raster.mass(tile_level, i, j).sum > 0)) continue;
            buckets.near(i, j, near);
            const auto shares = one.share(i, j, near);
            part.insert(part.end(), shares.begin(), shares.end());
        }
    });
    std::vector<Mass> sums(sites.size());
    for (const auto& part : parts)
        for (const auto& [site, mass] : part) sums[site].add(mass);
    return sums;
}

}  // namespace burin::dots
