#pragma once
/// What is painted, in the order of painting, and the ink that comes of it.
#include <memory>
#include <vector>

#include "burin/design/trace.hpp"
#include "burin/shape/line_parts.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// How paint counts on white paper.
enum class Tone { none, dark, light };

class SvgCanvas {
public:
    /// The page, for telling what may lie on what; pieces may run over it.
    explicit SvgCanvas(const Box& page);
    void add(std::vector<Loop> loops, Tone tone);  ///< mm; loops that wind a positive number of times round what is painted
    void add(MiddleLine line);                     ///< a dark stroke to be followed
    [[nodiscard]] bool empty() const { return pieces_.empty() && lines_.empty(); }

    /// What is dark in the end.
    [[nodiscard]] Region ink() const;
    /// What of the lines no light paint covers that came after them.
    [[nodiscard]] std::vector<MiddleLine> lines() const;

private:
    static constexpr int cells = 128;
    /// What of one tone lies in a cell, near enough: boxes with their layers.
    struct Entry {
        Box box;
        int layer;
    };
    struct Cell {
        std::vector<Entry> dark, light;
    };
    struct Piece {
        std::vector<Loop> loops;
        int layer;
    };
    struct Line {
        MiddleLine line;
        std::size_t before;  ///< light pieces painted so far
    };
    struct Span {
        int i0, i1, j0, j1;
    };
    [[nodiscard]] Span span_of(const Box& box) const;

    Box page_;
    std::vector<Cell> grid_;
    std::vector<Piece> pieces_;
    std::vector<std::vector<Loop>> light_over_lines_;
    std::vector<Line> lines_;
};

[[nodiscard]] Box bounds_of(const std::vector<Loop>& loops);

/// As for lines with values.
[[nodiscard]] std::vector<MiddleLine> line_parts(const MiddleLine& line, const Region& region, bool within);

}  // namespace burin
