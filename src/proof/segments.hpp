#pragma once
// Straight pieces of lines in the plane, found again by where they lie; inside the room only.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"

namespace burin::proving {

/// A straight piece; `tag` is the caller's (a number to know it by), `a_more` and `b_more` a height or width at either end.
struct Segment {
    Point a, b;
    double a_more = 0, b_more = 0;
    std::uint32_t tag = 0;
};

/// The share 0 … 1 of the way from s.a to s.b at which s is nearest to p.
[[nodiscard]] inline double nearest_share(const Segment& s, const Point& p) {
    const double x = s.b.x - s.a.x, y = s.b.y - s.a.y, length2 = x * x + y * y;
    if (!(length2 > 0)) return 0;
    return std::clamp(((p.x - s.a.x) * x + (p.y - s.a.y) * y) / length2, 0.0, 1.0);
}
[[nodiscard]] inline double distance_to(const Segment& s, const Point& p) {
    const double t = nearest_share(s, p);
    const double x = s.a.x + t * (s.b.x - s.a.x) - p.x, y = s.a.y + t * (s.b.y - s.a.y) - p.y;
    return std::sqrt(x * x + y * y);
}
struct Nearest {
    double distance = 0;
    Point on_second;
};
/// Between two pieces; 0 where they cross.
[[nodiscard]] Nearest between(const Segment& s, const Segment& t);

/// Closed lines piece by piece.
[[nodiscard]] std::vector<Segment> segments_of(const std::vector<Loop>& loops);

/// Pieces sorted into square buckets. Built in O(pieces + buckets they run through).
class SegmentIndex {
public:
    /// `bucket` mm, enlarged where there would be more than some millions.
    SegmentIndex(std::vector<Segment> segments, double bucket);

    [[nodiscard]] const std::vector<Segment>& segments() const { return segments_; }

    /// Calls see(piece) for every piece that may come within `reach` of the box, some of them more than once, until it says false.
    template <class See>
    void near(const Point& lo, const Point& hi, double reach, const See& see) const {
        const int i0 = column(lo.x - reach), i1 = column(hi.x + reach), j0 = row(lo.y - reach), j1 = row(hi.y + reach);
        for (int j = std::max(0, j0); j <= std::min(rows_ - 1, j1); ++j)
            for (int i = std::max(0, i0); i <= std::min(columns_ - 1, i1); ++i) {
                const std::size_t n = static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
                for (std::uint32_t k = first_[n]; k < first_[n + 1]; ++k)
                    if (!see(segments_[items_[k]])) return;
            }
    }

private:
    [[nodiscard]] int column(double x) const { return static_cast<int>(std::clamp(std::floor((x - lo_.x) / bucket_), -1e6, 1e6)); }
    [[nodiscard]] int row(double y) const { return static_cast<int>(std::clamp(std::floor((y - lo_.y) / bucket_), -1e6, 1e6)); }

    std::vector<Segment> segments_;
    Point lo_;
    double bucket_ = 1;
    int columns_ = 0, rows_ = 0;
    std::vector<std::uint32_t> first_, items_;
};

}  // namespace burin::proving
