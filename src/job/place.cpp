/// Laying a design on the stock. A grid is never resampled where that can be helped: quarter turns and placing move whole
/// cells, so that a sharp step of the picture stays one. Cost: linear in the cells.
#include "place.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <vector>

#include "burin/base/error.hpp"
#include "settle_parts.hpp"

namespace burin {
namespace {

HeightMap centred(int width, int height, double cell) { return {width, height, cell, {-width * cell / 2, -height * cell / 2}}; }

HeightMap mirrored(const HeightMap& design) {
    HeightMap out = design;
    for (int j = 0; j < out.height(); ++j) std::reverse(out.row(j), out.row(j) + out.width());
    return out;
}

HeightMap quarter_turned(const HeightMap& design, int quarters) {
    const int w = design.width(), h = design.height();
    const bool odd = quarters % 2 != 0;
    HeightMap out = centred(odd ? h : w, odd ? w : h, design.cell());
    for (int j = 0; j < out.height(); ++j)
        for (int i = 0; i < out.width(); ++i) {
            switch (quarters) {
                case 0:
                    out(i, j) = design(i, j);
                    break;
                case 1:
                    out(i, j) = design(j, h - 1 - i);
                    break;  // (x, y) comes from (y, −x)
                case 2:
                    out(i, j) = design(w - 1 - i, h - 1 - j);
                    break;
                default:
                    out(i, j) = design(w - 1 - j, i);
                    break;
            }
        }
    return out;
}

/// Between the four cells round (x, y), given in cells from the lower left cell's centre.
float between(const HeightMap& design, double x, double y) {
    const double cx = std::clamp(x, 0.0, design.width() - 1.0), cy = std::clamp(y, 0.0, design.height() - 1.0);
    const int i = std::min(static_cast<int>(cx), std::max(0, design.width() - 2)),
              j = std::min(static_cast<int>(cy), std::max(0, design.height() - 2));
    const int i1 = std::min(i + 1, design.width() - 1), j1 = std::min(j + 1, design.height() - 1);
    const double u = cx - i, v = cy - j;
    const double low = design(i, j) * (1 - u) + design(i1, j) * u, high = design(i, j1) * (1 - u) + design(i1, j1) * u;
    return static_cast<float>(low * (1 - v) + high * v);
}

HeightMap freely_turned(const HeightMap& design, double degrees, const Crew& crew) {
    const double a = degrees * std::numbers::pi / 180, c = std::cos(a), s = std::sin(a), cell = design.cell();
    const double w = design.width(), h = design.height();
    const auto cells = [](double length) { return static_cast<int>(std::ceil(length - 1e-6)); };
    HeightMap out = centred(cells(w * std::abs(c) + h * std::abs(s)), cells(w * std::abs(s) + h * std::abs(c)), cell);
    over_rows(crew, out.height(), 32, [&](int from, int to) {
        for (int j = from; j < to; ++j)
            for (int i = 0; i < out.width(); ++i) {
                const Point p = out.centre(i, j);
                // Back by the same angle, in cells from the design's lower left corner.
                const double x = (p.x * c + p.y * s) / cell + w / 2, y = (p.y * c - p.x * s) / cell + h / 2;
                out(i, j) = x >= 0 && y >= 0 && x <= w && y <= h ? between(design, x - 0.5, y - 0.5) : 0.0F;
            }
    });
    return out;
}

}  // namespace

HeightMap turned(const HeightMap& design, double degrees, bool mirror, const Crew& crew) {
    const HeightMap facing = mirror ? mirrored(design) : design;
    if (std::remainder(degrees, 90) != 0) return freely_turned(facing, degrees, crew);
    const int quarters = static_cast<int>(std::lround(degrees / 90)) % 4;
    return quarter_turned(facing, (quarters + 4) % 4);
}

std::vector<Point> copies_of(const SettledJob& job) {
    const Point step{(job.size.x + job.gap.x) / job.columns, (job.size.y + job.gap.y) / job.rows};
    std::vector<Point> places;
    for (int j = 0; j < job.rows; ++j)
        for (int i = 0; i < job.columns; ++i)
            places.push_back({job.at.x + (i - (job.columns - 1) / 2.0) * step.x, job.at.y + (j - (job.rows - 1) / 2.0) * step.y});
    return places;
}

HeightMap tiled(const HeightMap& item, int rows, int columns, const Point& gap) {
    const auto cells = [&](double length) { return static_cast<int>(std::lround(length / item.cell())); };
    const int across = item.width() + cells(gap.x), up = item.height() + cells(gap.y);
    HeightMap out = centred(across * columns - cells(gap.x), up * rows - cells(gap.y), item.cell());
    for (int r = 0; r < rows; ++r)
        for (int c = 0; c < columns; ++c)
            for (int j = 0; j < item.height(); ++j) std::copy_n(item.row(j), item.width(), out.row(r * up + j) + c * across);
    return out;
}

Grid<float> shifted(const Grid<float>& cells, const Point& by) {
    Grid<float> out(cells.width(), cells.height(), cells.cell(), {cells.origin().x + by.x, cells.origin().y + by.y});
    std::copy(cells.values().begin(), cells.values().end(), out.values().begin());
    return out;
}

namespace {

MiddleLine placed_line(const MiddleLine& line, const Drawing& drawing, const SettledJob& job, const Point& at) {
    MiddleLine out = line;
    const Facing facing(job.rotate_deg, job.mirror);
    for (Point& p : out.line.points) {
        const Point turned = facing({p.x - drawing.width / 2, p.y - drawing.height / 2});
        p = {at.x + turned.x, at.y + turned.y};
    }
    return out;
}

}  // namespace

Placed placed_on_stock(const Drawing& drawing, const SettledJob& job) {
    const double turn = job.rotate_deg * std::numbers::pi / 180;
    const auto turned_about_middle = [&](const Region& region) {
        return moved(moved(region, 0, false, {-drawing.width / 2, -drawing.height / 2}), turn, job.mirror, {});
    };
    const Region item = turned_about_middle(drawing.region);
    const Region field = turned_about_middle(rectangle({{0, 0}, {drawing.width, drawing.height}}));
    Placed placed;
    std::vector<Loop> loops, fields;
    for (const Point& at : copies_of(job)) {
        const std::vector<Loop> copy = moved(item, 0, false, at).loops(), ground = moved(field, 0, false, at).loops();
        loops.insert(loops.end(), copy.begin(), copy.end());
        fields.insert(fields.end(), ground.begin(), ground.end());
        for (const MiddleLine& line : drawing.lines) placed.lines.push_back(placed_line(line, drawing, job, at));
    }
    placed.traced = Region(loops, FillRule::nonzero);
    placed.field = Region(fields, FillRule::nonzero);
    placed.box = {{job.at.x - job.size.x / 2, job.at.y - job.size.y / 2}, {job.at.x + job.size.x / 2, job.at.y + job.size.y / 2}};
    return placed;
}

Box design_box(const HeightMap& design, const Point& at) {
    const Point half{design.width() * design.cell() / 2, design.height() * design.cell() / 2};
    return {{at.x - half.x, at.y - half.y}, {at.x + half.x, at.y + half.y}};
}

HeightMap on_stock(const HeightMap& design, const Point& at, const Stock& stock) {
    const double cell = design.cell();
    const Box box = design_box(design, at);
    const auto beside = [&](double length) { return std::max(0, static_cast<int>(std::ceil(length / cell - 1e-6))); };
    const int left = beside(box.lo.x - stock.bounds.lo.x), below = beside(box.lo.y - stock.bounds.lo.y);
    const int right = beside(stock.bounds.hi.x - box.hi.x), above = beside(stock.bounds.hi.y - box.hi.y);
    HeightMap out(left + design.width() + right, below + design.height() + above, cell, {box.lo.x - left * cell, box.lo.y - below * cell});
    for (int j = 0; j < design.height(); ++j) std::copy_n(design.row(j), design.width(), out.row(below + j) + left);
    return out;
}

HeightMap cut_out(const HeightMap& heights, const Box& box, double margin) {
    const double cell = heights.cell();
    const auto down = [&](double length) { return static_cast<int>(std::floor(length / cell + 1e-6)); };
    const auto up = [&](double length) { return static_cast<int>(std::ceil(length / cell - 1e-6)); };
    const int i0 = std::max(0, down(box.lo.x - margin - heights.origin().x)),
              j0 = std::max(0, down(box.lo.y - margin - heights.origin().y));
    const int i1 = std::min(heights.width(), up(box.hi.x + margin - heights.origin().x)),
              j1 = std::min(heights.height(), up(box.hi.y + margin - heights.origin().y));
    HeightMap out(i1 - i0, j1 - j0, cell, {heights.origin().x + i0 * cell, heights.origin().y + j0 * cell});
    for (int j = j0; j < j1; ++j) std::copy(heights.row(j) + i0, heights.row(j) + i1, out.row(j - j0));
    return out;
}

StockCells cells_of(const HeightMap& heights) { return {heights.width(), heights.height(), heights.cell(), heights.origin()}; }

HeightMap laid_back(const HeightMap& piece, const StockCells& cells) {
    HeightMap out(cells.width, cells.height, cells.cell, cells.origin);
    const auto left = std::lround((piece.origin().x - cells.origin.x) / cells.cell),
               below = std::lround((piece.origin().y - cells.origin.y) / cells.cell);
    for (int j = 0; j < piece.height(); ++j) std::copy_n(piece.row(j), piece.width(), out.row(j + static_cast<int>(below)) + left);
    return out;
}

namespace {

/// Sums of `weight` over every rectangle that starts at the lower left: entry (i, j) holds those of cells below i and j.
template <class Sum>
class Sums {
public:
    template <class Weight>
    Sums(int width, int height, const Weight& weight)
        : stride_(static_cast<std::size_t>(width) + 1), sums_(stride_ * (static_cast<std::size_t>(height) + 1)) {
        for (int j = 0; j < height; ++j) {
            Sum row = 0;
            for (int i = 0; i < width; ++i) {
                row += weight(i, j);
                at(i + 1, j + 1) = at(i + 1, j) + row;
            }
        }
    }
    /// Over the cells i0 … i1 − 1, j0 … j1 − 1.
    [[nodiscard]] Sum over(int i0, int j0, int i1, int j1) const { return at(i1, j1) - at(i0, j1) - at(i1, j0) + at(i0, j0); }

private:
    [[nodiscard]] std::size_t index(int i, int j) const { return static_cast<std::size_t>(j) * stride_ + static_cast<std::size_t>(i); }
    Sum& at(int i, int j) { return sums_[index(i, j)]; }
    [[nodiscard]] Sum at(int i, int j) const { return sums_[index(i, j)]; }
    std::size_t stride_;
    std::vector<Sum> sums_;
};

}  // namespace

Box demanding_piece(const HeightMap& heights, const Box& box, double width, double height) {
    const HeightMap piece = cut_out(heights, box, 0);
    const double cell = piece.cell();
    const int w = std::clamp(static_cast<int>(std::lround(width / cell)), 1, piece.width());
    const int h = std::clamp(static_cast<int>(std::lround(height / cell)), 1, piece.height());
    const Sums<double> sums(piece.width(), piece.height(), [&](int i, int j) {
        const double here = piece(i, j);
        const double across = i > 0 ? std::abs(here - piece(i - 1, j)) : 0, along = j > 0 ? std::abs(here - piece(i, j - 1)) : 0;
        return across + along - here * 1e-3;
    });
    const int step = std::max(1, std::min(w, h) / 16);
    int best_i = 0, best_j = 0;
    double most = -1;
    for (int j = 0; j + h <= piece.height(); j += step)
        for (int i = 0; i + w <= piece.width(); i += step)
            if (const double sum = sums.over(i, j, i + w, j + h); sum > most) most = sum, best_i = i, best_j = j;
    const Point lo{piece.origin().x + best_i * cell, piece.origin().y + best_j * cell};
    return {lo, {lo.x + w * cell, lo.y + h * cell}};
}

std::optional<Point> touch_spot(const HeightMap& surface, const Stock& stock, const Box& design, double clear) {
    const double cell = surface.cell();
    const Sums<std::int32_t> cut(surface.width(), surface.height(),
                                 [&](int i, int j) { return surface(i, j) < -0.005F || !stock.holds(surface.centre(i, j)) ? 1 : 0; });
    const int step = std::max(1, static_cast<int>(std::lround(0.5 / cell)));
    for (const bool outside : {true, false}) {
        for (const double room : {5.0, 4.0, 3.0, 2.5, 2.0, 1.5, 1.0}) {
            if (room < clear) continue;
            const int half = std::max(1, static_cast<int>(std::ceil(room / cell)));
            std::optional<Point> nearest;
            for (int j = half; j + half <= surface.height(); j += step)
                for (int i = half; i + half <= surface.width(); i += step) {
                    if (cut.over(i - half, j - half, i + half, j + half) > 0) continue;
                    const Point p{surface.origin().x + i * cell, surface.origin().y + j * cell};
                    if (outside && design.holds(p, room)) continue;
                    if (!nearest || distance(p, {}) < distance(*nearest, {}) - 1e-9) nearest = p;
                }
            if (nearest) return nearest;
        }
    }
    return {};
}

}  // namespace burin
