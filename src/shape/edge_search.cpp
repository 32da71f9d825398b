/// Questions about a region's line, answered from the segments sorted into squares.
///
/// The nearest point: squares are asked in rings round the place until the next ring lies farther than the nearest so far. Inside or
/// outside: the crossings of a ray to the right with the segments of the place's row of squares, each counted once.
#include <cmath>
#include <limits>

#include "burin/base/error.hpp"
#include "burin/shape/edge_distance.hpp"
#include "squares.hpp"

namespace burin {

struct EdgeSearch::Sorted {
    std::vector<LatticeSegment> segments;
    Squares squares;
    std::vector<std::uint32_t> row_first, row_entries;  ///< segments of each row of squares
};

EdgeSearch::EdgeSearch(const Region& region) {
    auto sorted = std::make_unique<Sorted>();
    for (const LatticeLoop& loop : RegionMaker::loops(region))
        for (std::size_t k = 0; k < loop.size(); ++k) sorted->segments.push_back({loop[k], loop[(k + 1) % loop.size()]});
    const Squares& squares = sorted->squares = sorted_into_squares(sorted->segments);
    sorted->row_first.assign(static_cast<std::size_t>(squares.rows) + 1, 0);
    const auto row = [&](std::int64_t y) { return static_cast<std::size_t>((y - squares.lo.y) / squares.step); };
    for (const LatticeSegment& s : sorted->segments)
        for (std::size_t r = row(s.low()); r <= row(s.high()); ++r) ++sorted->row_first[r + 1];
    for (std::size_t r = 0; r + 1 < sorted->row_first.size(); ++r) sorted->row_first[r + 1] += sorted->row_first[r];
    sorted->row_entries.resize(sorted->row_first.back());
    std::vector<std::uint32_t> next(sorted->row_first.begin(), sorted->row_first.end() - 1);
    for (std::uint32_t k = 0; k < sorted->segments.size(); ++k)
        for (std::size_t r = row(sorted->segments[k].low()); r <= row(sorted->segments[k].high()); ++r) sorted->row_entries[next[r]++] = k;
    sorted_ = std::move(sorted);
}

EdgeSearch::~EdgeSearch() = default;
EdgeSearch::EdgeSearch(EdgeSearch&&) noexcept = default;
EdgeSearch& EdgeSearch::operator=(EdgeSearch&&) noexcept = default;

EdgeSearch::Nearest EdgeSearch::nearest(const Point& p) const {
    const Squares& squares = sorted_->squares;
    if (sorted_->segments.empty()) throw Error(Fault::refused, "There is no line to be near to: the figure is empty.");
    const double step = static_cast<double>(squares.step) * Region::lattice;
    const Point lo = in_mm(squares.lo);
    const auto square_of = [&](double offset, std::int64_t count) {
        return static_cast<std::int64_t>(std::clamp(std::floor(offset / step), 0.0, static_cast<double>(count - 1)));
    };
    const std::int64_t c = square_of(p.x - lo.x, squares.columns), r = square_of(p.y - lo.y, squares.rows);
    Nearest best{{}, std::numeric_limits<double>::infinity()};
    const auto ask = [&](std::int64_t column, std::int64_t row) {
        const auto k = static_cast<std::size_t>(row * squares.columns + column);
        for (std::uint32_t e = squares.first[k]; e < squares.first[k + 1]; ++e) {
            const LatticeSegment& s = sorted_->segments[squares.entries[e]];
            const Point q = nearest_on(in_mm(s.a), in_mm(s.b), p);
            const double d = distance(p, q);
            if (d < best.distance || (d == best.distance && std::pair(q.x, q.y) < std::pair(best.at.x, best.at.y))) best = {q, d};
        }
    };
    const std::int64_t rings = std::max(squares.columns, squares.rows);
    for (std::int64_t ring = 0; ring <= rings && static_cast<double>(ring - 1) * step <= best.distance; ++ring) {
        const std::int64_t c0 = std::max<std::int64_t>(c - ring, 0), c1 = std::min(c + ring, squares.columns - 1);
        for (std::int64_t row = std::max<std::int64_t>(r - ring, 0); row <= std::min(r + ring, squares.rows - 1); ++row) {
            if (row == r - ring || row == r + ring) {
                for (std::int64_t column = c0; column <= c1; ++column) ask(column, row);
                continue;
            }
            if (c - ring >= 0) ask(c - ring, row);
            if (c + ring < squares.columns && ring > 0) ask(c + ring, row);
        }
    }
    return best;
}

bool EdgeSearch::holds(const Point& p) const {
    const Squares& squares = sorted_->squares;
    const double y = p.y / Region::lattice, x = p.x / Region::lattice;
    const double row = std::floor((y - static_cast<double>(squares.lo.y)) / static_cast<double>(squares.step));
    if (!(row >= 0 && row < static_cast<double>(squares.rows))) return false;
    const auto r = static_cast<std::size_t>(row);
    bool odd = false;
    for (std::uint32_t e = sorted_->row_first[r]; e < sorted_->row_first[r + 1]; ++e) {
        const LatticeSegment& s = sorted_->segments[sorted_->row_entries[e]];
        const auto ay = static_cast<double>(s.a.y), by = static_cast<double>(s.b.y);
        if ((ay > y) == (by > y)) continue;
        const auto ax = static_cast<double>(s.a.x), bx = static_cast<double>(s.b.x);
        if (x < ax + (y - ay) / (by - ay) * (bx - ax)) odd = !odd;
    }
    return odd;
}

}  // namespace burin
