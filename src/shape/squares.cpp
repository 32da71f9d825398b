/// Segments sorted into squares: counted first, then put in place, so that all of it lies in two arrays.
#include "squares.hpp"

#include <cmath>
#include <numeric>

namespace burin {

Squares sorted_into_squares(const std::vector<LatticeSegment>& segments) {
    Squares squares;
    if (segments.empty()) return squares;
    LatticePoint lo = segments.front().a, hi = lo;
    for (const LatticeSegment& s : segments) {
        lo = {std::min(lo.x, s.left()), std::min(lo.y, s.low())};
        hi = {std::max(hi.x, s.right()), std::max(hi.y, s.high())};
    }
    const auto width = static_cast<double>(hi.x - lo.x), height = static_cast<double>(hi.y - lo.y);
    constexpr double most = 4096;  // columns or rows
    const double side = std::max({std::sqrt(width * height / static_cast<double>(segments.size())), width / most, height / most, 1.0});
    const auto step = static_cast<std::int64_t>(std::ceil(side));
    squares.lo = lo;
    squares.step = step;
    squares.columns = (hi.x - lo.x) / step + 1;
    squares.rows = (hi.y - lo.y) / step + 1;
    const auto visit = [&](const LatticeSegment& s, const auto& use) {
        const std::int64_t c0 = (s.left() - lo.x) / step, c1 = (s.right() - lo.x) / step;
        std::int64_t r0 = (s.low() - lo.y) / step, r1 = (s.high() - lo.y) / step;
        const bool slanted = c0 != c1 && r0 != r1;
        const double slope = slanted ? static_cast<double>(s.b.y - s.a.y) / static_cast<double>(s.b.x - s.a.x) : 0;
        for (std::int64_t c = c0; c <= c1; ++c) {
            if (slanted) {  // rows that the segment passes within this column, two steps more on both sides for the rounding
                const auto from = static_cast<double>(std::max(s.left(), lo.x + c * step) - s.a.x);
                const auto to = static_cast<double>(std::min(s.right(), lo.x + (c + 1) * step) - s.a.x);
                const double y = static_cast<double>(s.a.y - lo.y), y0 = y + from * slope, y1 = y + to * slope;
                r0 = std::clamp(static_cast<std::int64_t>(std::min(y0, y1) - 2) / step, std::int64_t{0}, squares.rows - 1);
                r1 = std::clamp(static_cast<std::int64_t>(std::max(y0, y1) + 2) / step, std::int64_t{0}, squares.rows - 1);
            }
            for (std::int64_t r = r0; r <= r1; ++r) use(static_cast<std::size_t>(r * squares.columns + c));
        }
    };
    squares.first.assign(static_cast<std::size_t>(squares.columns * squares.rows) + 1, 0);
    for (const LatticeSegment& s : segments) visit(s, [&](std::size_t k) { ++squares.first[k + 1]; });
    std::partial_sum(squares.first.begin(), squares.first.end(), squares.first.begin());
    squares.entries.resize(squares.first.back());
    std::vector<std::uint32_t> next(squares.first.begin(), squares.first.end() - 1);
    for (std::uint32_t s = 0; s < segments.size(); ++s) visit(segments[s], [&](std::size_t k) { squares.entries[next[k]++] = s; });
    return squares;
}

}  // namespace burin
