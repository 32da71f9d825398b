#pragma once
/// A rectangle of square cells that knows where it lies.
#include <cstddef>
#include <span>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/base/pages.hpp"
#include "burin/base/point.hpp"

namespace burin {

/// width × height cells of side `cell` mm. Row 0 lies at the lowest y, column 0 at the lowest x; `origin` is the
/// outer corner of cell (0, 0), so that the centre of cell (i, j) is origin + (i + ½, j + ½)·cell.
template <class T>
class Grid {
public:
    Grid() = default;
    /// Throws Error (refused) unless width and height are positive and the cell is larger than 0.
    Grid(int width, int height, double cell, Point origin = {}, T fill = T{})
        : width_(width), height_(height), cell_(cell), origin_(origin) {
        if (width < 1 || height < 1 || !(cell > 0))
            throw Error(Fault::refused, "The grid would have no cells. Give the job a larger width or a smaller cell.");
        const std::size_t count = static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
        reserve_to_fill(values_, count);
        values_.assign(count, fill);
    }
    [[nodiscard]] int width() const { return width_; }
    [[nodiscard]] int height() const { return height_; }
    [[nodiscard]] double cell() const { return cell_; }
    [[nodiscard]] Point origin() const { return origin_; }
    [[nodiscard]] std::size_t size() const { return values_.size(); }
    [[nodiscard]] bool empty() const { return values_.empty(); }
    [[nodiscard]] Box bounds() const { return {origin_, {origin_.x + width_ * cell_, origin_.y + height_ * cell_}}; }
    [[nodiscard]] Point centre(int i, int j) const { return {origin_.x + (i + 0.5) * cell_, origin_.y + (j + 0.5) * cell_}; }
    [[nodiscard]] bool holds(int i, int j) const { return i >= 0 && j >= 0 && i < width_ && j < height_; }
    [[nodiscard]] T* row(int j) { return values_.data() + static_cast<std::size_t>(j) * static_cast<std::size_t>(width_); }
    [[nodiscard]] const T* row(int j) const { return values_.data() + static_cast<std::size_t>(j) * static_cast<std::size_t>(width_); }
    T& operator()(int i, int j) { return row(j)[i]; }
    const T& operator()(int i, int j) const { return row(j)[i]; }
    [[nodiscard]] std::span<T> values() { return values_; }
    [[nodiscard]] std::span<const T> values() const { return values_; }
    /// The same cells (size, side, place), another type or value.
    template <class U>
    [[nodiscard]] Grid<U> like(U fill) const {
        return Grid<U>(width_, height_, cell_, origin_, fill);
    }
    friend bool operator==(const Grid&, const Grid&) = default;

private:
    int width_ = 0, height_ = 0;
    double cell_ = 1;
    Point origin_;
    std::vector<T> values_;
};

/// Heights in mm over the stock; 0 is the stock top, negative is into it.
using HeightMap = Grid<float>;

}  // namespace burin
