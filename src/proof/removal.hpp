#pragma once
// Stock removal by all programs, band by band; inside the room only.
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/grid.hpp"
#include "way.hpp"

namespace burin::proving {

constexpr float far_below = -1e9F;  ///< height of cells that hold no stock

/// A place where more was taken at once than may be, or where what does not cut met stock.
struct Find {
    std::uint32_t piece = std::numeric_limits<std::uint32_t>::max();  ///< the last one of the window; greatest: nothing found
    float height = 0;
    Point place;
    [[nodiscard]] bool found() const { return piece != std::numeric_limits<std::uint32_t>::max(); }
    void take_earlier(const Find& other) {
        if (other.piece < piece) *this = other;
    }
};

/// What replaying one program showed, besides its pieces' volumes and heights.
struct Replay {
    float most_at_once = 0;  ///< height taken in a window, strips up to the allowance wide left out, mm
    Find too_much;           ///< the first window above what may be
    Find shank, collet;      ///< the first touches
};

/// Runs of columns first … last + 1 of row j whose centres lie on the stock, from left to right; of a traced piece with its bark, which
/// stands in a bit's way as wood does.
[[nodiscard]] std::vector<std::pair<int, int>> stock_columns(const HeightMap& map, const Stock& stock, int j);

/// What the ways leave of the stock (in running order) is put into `surface`, far_below where there is none; fills the ways'
/// `volumes` and `most`, and says what was seen. `may` is, by way, the height from which Replay::too_much counts.
/// Cost: cells under the ways, a few nanoseconds each; every band of rows is replayed by itself, with a margin for the strips.
[[nodiscard]] std::vector<Replay> remove_stock(HeightMap& surface, const ProofTask& task, std::vector<Way>& ways, double allowance,
                                               const std::vector<double>& may, const Crew& crew);

/// A piece of one of the ways.
struct Culprit {
    std::size_t way = 0;
    std::uint32_t piece = 0;
    float z = 0;  ///< height it cuts to
    Point place;  ///< the cell
};
/// The first cutting piece, in running order, that goes below `limit` somewhere (cells at far_below: no limit).
[[nodiscard]] std::optional<Culprit> first_below(const HeightMap& limit, const std::vector<Way>& ways, const Crew& crew);
/// The piece that leaves the surface at a point as it is: the lowest over it, the first of equals. Among `ways` from `first`.
[[nodiscard]] std::optional<Culprit> lowest_at(const Point& place, const std::vector<Way>& ways);
/// Among the pieces first … last of one way, the one that lowers the stock most at a point, when the earlier ways and pieces
/// have been there.
[[nodiscard]] std::uint32_t greatest_at(const Point& place, const std::vector<Way>& ways, std::size_t way, std::uint32_t first,
                                        std::uint32_t last);

}  // namespace burin::proving
