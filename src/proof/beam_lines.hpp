#pragma once
// Lines that a beam is to follow, and points along them, found by the squares they lie in; inside the room only.
#include <cstdint>
#include <unordered_map>
#include <vector>

#include "burin/proof/beam.hpp"

namespace burin::proving {

/// x where a row at height y crosses the places within r of a … b; none: first > last.
struct Across {
    double first = 1e300, last = -1e300;
    void add(double x) {
        first = x < first ? x : first;
        last = x > last ? x : last;
    }
};
[[nodiscard]] Across across(const Point& a, const Point& b, double r, double y);

/// The length of a … b that lies within r of p.
[[nodiscard]] double length_within(const Point& p, const Point& a, const Point& b, double r);

struct Stretch {
    Point from, to;
};
/// The region's lines and the others, piece by piece; a dot is a piece without length.
[[nodiscard]] std::vector<Stretch> stretches_of(const BeamFigure& figure);

/// Things in the plane by squares.
class Squares {
public:
    explicit Squares(double side) : side_(side) {}
    void put(const Point& p, std::size_t what) { squares_[key(cell(p.x), cell(p.y))].push_back(what); }
    /// In every square that comes within r of a … b (and perhaps in one more).
    void put(const Stretch& stretch, double r, std::size_t what) {
        over(stretch, r, [&](std::uint64_t square) { squares_[square].push_back(what); });
    }
    /// Calls act(what) for all that lies in squares within r of the stretch, r at most a side.
    template <class Act>
    void near(const Stretch& stretch, double r, const Act& act) const {
        over(stretch, r, [&](std::uint64_t square) {
            if (const auto at = squares_.find(square); at != squares_.end())
                for (const std::size_t what : at->second) act(what);
        });
    }
    [[nodiscard]] const std::vector<std::size_t>* at(const Point& p) const {
        const auto found = squares_.find(key(cell(p.x), cell(p.y)));
        return found == squares_.end() ? nullptr : &found->second;
    }

private:
    [[nodiscard]] std::int64_t cell(double v) const { return static_cast<std::int64_t>(std::floor(v / side_)); }
    static std::uint64_t key(std::int64_t x, std::int64_t y) {
        return (static_cast<std::uint64_t>(x) & 0xFFFFFFFFU) << 32 | (static_cast<std::uint64_t>(y) & 0xFFFFFFFFU);
    }
    template <class Act>
    void over(const Stretch& stretch, double r, const Act& act) const {
        const auto& [a, b] = stretch;
        for (std::int64_t y = cell(std::min(a.y, b.y) - r); y <= cell(std::max(a.y, b.y) + r); ++y) {
            const double low = static_cast<double>(y) * side_;
            Across span;
            for (const double edge : {low, low + side_}) {
                const Across other = across(a, b, r, edge);
                if (other.first <= other.last) span.add(other.first), span.add(other.last);
            }
            for (const Point& end : {a, b})
                if (end.y >= low - r && end.y <= low + side_ + r) span.add(end.x - r), span.add(end.x + r);
            if (span.first > span.last) continue;
            for (std::int64_t x = cell(span.first); x <= cell(span.last); ++x) act(key(x, y));
        }
    }
    double side_;
    std::unordered_map<std::uint64_t, std::vector<std::size_t>> squares_;
};

/// How far places are from such lines, where that is little.
class LineSearch {
public:
    LineSearch(const BeamFigure& figure, double reach);
    /// The distance of p from the nearest line, mm; `reach` where it is more.
    [[nodiscard]] double distance_of(const Point& p) const;

private:
    double reach_;
    std::vector<Stretch> stretches_;
    Squares squares_;
};

}  // namespace burin::proving
