#pragma once
/// Lines in space walked by their length in plan, and the nearest place on many lines; inside the room only.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"

namespace burin {

/// A polyline with its lengths in plan. Points on top of each other are taken once. Closed: one turn, back to the first point.
class Rail {
public:
    Rail(const std::vector<Point3>& points, bool closed);
    [[nodiscard]] double length() const { return lengths_.back(); }
    [[nodiscard]] const std::vector<Point3>& points() const { return points_; }
    /// At length s; closed: s wraps round, open: s is held at the ends.
    [[nodiscard]] Point3 at(double s) const;
    /// Length at which the line is nearest to p, and how far that is in plan. All segments are looked at.
    struct Foot {
        double s = 0, away = 0;
    };
    [[nodiscard]] Foot nearest(const Point& p) const;
    /// The same among corners only. Where a bit as wide as its slot comes down again it must be where it has been, to the last
    /// digit written; so it comes down at corners.
    [[nodiscard]] Foot nearest_corner(const Point& p) const;

    /// Calls see(point, s) at every corner after `from`, and at `to`, which may lie before `from`, or a turn further.
    template <class See>
    void walk(double from, double to, const See& see) const {
        const double turn = closed_ ? length() : 0;
        if (to >= from) {
            double base = 0;
            if (turn > 0)
                while (base + turn <= from) base += turn;
            for (;; base += turn) {
                for (auto k = corner_after(from - base); k < lengths_.size() && base + lengths_[k] < to - 1e-9; ++k)
                    see(points_[k], base + lengths_[k]);
                if (!(turn > 0) || base + turn >= to - 1e-9) break;
                from = base + turn;
            }
        } else {
            for (auto k = corner_after(from - 2e-9); k-- > 0 && lengths_[k] > to + 1e-9;)
                if (lengths_[k] < from - 1e-9) see(points_[k], lengths_[k]);
        }
        see(at(to), to);
    }

private:
    /// The first corner farther along than s.
    [[nodiscard]] std::size_t corner_after(double s) const {
        return static_cast<std::size_t>(std::upper_bound(lengths_.begin(), lengths_.end(), s + 1e-9) - lengths_.begin());
    }
    std::vector<Point3> points_;
    std::vector<double> lengths_;
    bool closed_;
};

/// A place on one of many lines.
struct OnLine {
    Point at;
    double away = 0;
    std::size_t line = 0;
    Point corner;  ///< of the line's own, the nearer end of the side that `at` lies on
};

/// Lines sorted into square buckets, to ask what is near.
class LineIndex {
public:
    explicit LineIndex(const std::vector<Polyline>& lines);
    [[nodiscard]] bool empty() const { return pieces_.empty(); }
    /// The nearest place within `reach` mm.
    [[nodiscard]] std::optional<OnLine> nearest(const Point& p, double reach) const;
    /// Whether the straight way from a to b crosses a line, its very ends left out of account.
    [[nodiscard]] bool crossed(const Point& a, const Point& b) const;
    /// Whether p lies inside closed lines, an odd number of times.
    [[nodiscard]] bool holds(const Point& p) const;
    /// Whether the straight way from a to b, both inside the lines or on them, stays inside (by a hair outside at most).
    [[nodiscard]] bool clear(const Point& a, const Point& b) const;

private:
    struct Piece {
        Point a, b;
        Point from, to;  ///< the whole side
        std::uint32_t line;
    };
    [[nodiscard]] int column(double x) const;
    [[nodiscard]] int row(double y) const;
    void build();
    std::vector<Piece> pieces_;
    std::vector<std::uint32_t> first_, items_;
    Box box_;
    double side_ = 1;
    int columns_ = 1, rows_ = 1;
};

/// The loops as closed lines.
[[nodiscard]] std::vector<Polyline> lines_of(const std::vector<Loop>& loops);
/// A line at one height.
[[nodiscard]] std::vector<Point3> at_height(const std::vector<Point>& points, double z);
/// Whether p lies inside the loop (even-odd).
[[nodiscard]] bool inside_loop(const Loop& loop, const Point& p);

}  // namespace burin
