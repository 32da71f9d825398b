// Pieces of lines in square buckets: a counting sort by the buckets that each runs through.
#include "segments.hpp"

namespace burin::proving {
namespace {

constexpr double most_buckets = 4e6;

double side_of(const Point& a, const Point& b, const Point& p) { return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x); }

}  // namespace

Nearest between(const Segment& s, const Segment& t) {
    // Two pieces that cross have each other's ends on different sides; else one of the four ends is nearest.
    const double a = side_of(s.a, s.b, t.a), b = side_of(s.a, s.b, t.b);
    if (a * b < 0 && side_of(t.a, t.b, s.a) * side_of(t.a, t.b, s.b) < 0) {
        const double share = a / (a - b);
        return {0, {t.a.x + share * (t.b.x - t.a.x), t.a.y + share * (t.b.y - t.a.y)}};
    }
    Nearest nearest{distance_to(s, t.a), t.a};
    if (const double d = distance_to(s, t.b); d < nearest.distance) nearest = {d, t.b};
    for (const Point& p : {s.a, s.b}) {
        const double share = nearest_share(t, p);
        const Point q{t.a.x + share * (t.b.x - t.a.x), t.a.y + share * (t.b.y - t.a.y)};
        if (const double d = distance(p, q); d < nearest.distance) nearest = {d, q};
    }
    return nearest;
}

std::vector<Segment> segments_of(const std::vector<Loop>& loops) {
    std::size_t count = 0;
    for (const Loop& loop : loops) count += loop.size();
    std::vector<Segment> segments;
    segments.reserve(count);
    for (const Loop& loop : loops)
        for (std::size_t k = 0; k < loop.size(); ++k)
            segments.push_back({loop[k], loop[k + 1 < loop.size() ? k + 1 : 0], 0, 0, static_cast<std::uint32_t>(segments.size())});
    return segments;
}

SegmentIndex::SegmentIndex(std::vector<Segment> segments, double bucket) : segments_(std::move(segments)), bucket_(bucket) {
    if (segments_.empty()) return;
    Point lo = segments_[0].a, hi = lo;
    for (const Segment& s : segments_)
        for (const Point& p : {s.a, s.b}) {
            lo = {std::min(lo.x, p.x), std::min(lo.y, p.y)};
            hi = {std::max(hi.x, p.x), std::max(hi.y, p.y)};
        }
    lo_ = lo;
    bucket_ = std::max(bucket_, std::sqrt((hi.x - lo.x) * (hi.y - lo.y) / most_buckets));
    bucket_ = std::max({bucket_, (hi.x - lo.x) / 1e5, (hi.y - lo.y) / 1e5});
    columns_ = column(hi.x) + 1, rows_ = row(hi.y) + 1;
    first_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
    // Row by row of buckets: the columns between which the piece crosses that row.
    const auto walk = [&](const Segment& s, const auto& visit) {
        const Segment up = s.a.y <= s.b.y ? s : Segment{s.b, s.a, 0, 0, 0};
        const int j0 = row(up.a.y), j1 = row(up.b.y);
        const double rise = up.b.y - up.a.y;
        for (int j = j0; j <= j1; ++j) {
            const double from = lo_.y + j * bucket_, to = from + bucket_;
            const auto x_at = [&](double y) {
                return rise > 0 ? up.a.x + std::clamp((y - up.a.y) / rise, 0.0, 1.0) * (up.b.x - up.a.x) : up.a.x;
            };
            double x0 = x_at(from), x1 = rise > 0 ? x_at(to) : up.b.x;
            if (x0 > x1) std::swap(x0, x1);
            const int i1 = std::min(columns_ - 1, column(x1 + 1e-9));
            for (int i = std::max(0, column(x0 - 1e-9)); i <= i1; ++i)
                visit(static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i));
        }
    };
    for (const Segment& s : segments_) walk(s, [&](std::size_t n) { ++first_[n + 1]; });
    for (std::size_t n = 1; n < first_.size(); ++n) first_[n] += first_[n - 1];
    items_.resize(first_.back());
    std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
    for (std::size_t k = 0; k < segments_.size(); ++k)
        walk(segments_[k], [&](std::size_t n) { items_[next[n]++] = static_cast<std::uint32_t>(k); });
}

}  // namespace burin::proving
