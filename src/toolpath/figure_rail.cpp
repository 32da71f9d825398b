// Lines with their lengths, and an index of their pieces in square buckets.
//
// Pieces longer than a bucket are cut, so that each lies in four buckets at most; the nearest is looked for in rings of buckets
// round the place until no farther ring can hold a nearer one. Cost: the pieces of a few buckets for each question.
#include "figure_rail.hpp"

#include <cmath>
#include <limits>

namespace burin {
namespace {

constexpr double least_side = 0.5;  // mm
constexpr double most_buckets = 2e6;

Point foot_on(const Point& a, const Point& b, const Point& p, double& share) {
    const double x = b.x - a.x, y = b.y - a.y, length2 = x * x + y * y;
    share = length2 > 0 ? std::clamp(((p.x - a.x) * x + (p.y - a.y) * y) / length2, 0.0, 1.0) : 0;
    return {a.x + share * x, a.y + share * y};
}

}  // namespace

Rail::Rail(const std::vector<Point3>& points, bool closed) : closed_(closed) {
    const auto put = [&](const Point3& p) {
        const double step = points_.empty() ? 0 : distance(flat(points_.back()), flat(p));
        if (!points_.empty() && step < 1e-7) return;
        lengths_.push_back(points_.empty() ? 0 : lengths_.back() + step);
        points_.push_back(p);
    };
    for (const Point3& p : points) put(p);
    if (closed_ && !points.empty()) put(points.front());
    if (points_.empty()) points_.push_back({}), lengths_.push_back(0);
    if (points_.size() == 1) closed_ = false;
}

Point3 Rail::at(double s) const {
    if (closed_) s -= std::floor(s / length()) * length();
    const std::size_t k = std::min(corner_after(s), points_.size() - 1);
    if (k == 0) return points_.front();
    const Point3 &a = points_[k - 1], &b = points_[k];
    const double t = std::clamp((s - lengths_[k - 1]) / (lengths_[k] - lengths_[k - 1]), 0.0, 1.0);
    return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t, a.z + (b.z - a.z) * t};
}

Rail::Foot Rail::nearest(const Point& p) const {
    Foot best{0, distance(p, flat(points_.front()))};
    for (std::size_t k = 1; k < points_.size(); ++k) {
        double share = 0;
        const double away = distance(p, foot_on(flat(points_[k - 1]), flat(points_[k]), p, share));
        if (away < best.away) best = {lengths_[k - 1] + share * (lengths_[k] - lengths_[k - 1]), away};
    }
    return best;
}

Rail::Foot Rail::nearest_corner(const Point& p) const {
    Foot best{0, distance(p, flat(points_.front()))};
    for (std::size_t k = 1; k < points_.size(); ++k)
        if (const double away = distance(p, flat(points_[k])); away < best.away) best = {lengths_[k], away};
    return best;
}

LineIndex::LineIndex(const std::vector<Polyline>& lines) {
    std::size_t count = 0;
    bool any = false;
    for (const Polyline& line : lines)
        for (const Point& p : line.points) {
            if (!any) box_ = {p, p}, any = true;
            box_.lo = {std::min(box_.lo.x, p.x), std::min(box_.lo.y, p.y)};
            box_.hi = {std::max(box_.hi.x, p.x), std::max(box_.hi.y, p.y)};
            ++count;
        }
    if (!any) return;
    const double area = std::max(box_.width(), 1.0) * std::max(box_.height(), 1.0);
    side_ = std::max({least_side, std::sqrt(area / most_buckets), std::sqrt(area / static_cast<double>(count)) / 2});
    for (std::size_t k = 0; k < lines.size(); ++k) {
        const auto& points = lines[k].points;
        const auto add = [&](const Point& a, const Point& b) {
            const int parts = std::max(1, static_cast<int>(std::ceil(distance(a, b) / side_)));
            for (int n = 0; n < parts; ++n) {
                const double t = static_cast<double>(n) / parts, u = static_cast<double>(n + 1) / parts;
                pieces_.push_back({{a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t},
                                   {a.x + (b.x - a.x) * u, a.y + (b.y - a.y) * u},
                                   a,
                                   b,
                                   static_cast<std::uint32_t>(k)});
            }
        };
        for (std::size_t n = 1; n < points.size(); ++n) add(points[n - 1], points[n]);
        if (lines[k].closed && points.size() > 1) add(points.back(), points.front());
        if (points.size() == 1) add(points.front(), points.front());
    }
    build();
}

int LineIndex::column(double x) const { return static_cast<int>(std::clamp(std::floor((x - box_.lo.x) / side_), -1e8, 1e8)); }
int LineIndex::row(double y) const { return static_cast<int>(std::clamp(std::floor((y - box_.lo.y) / side_), -1e8, 1e8)); }

void LineIndex::build() {
    columns_ = std::max(1, column(box_.hi.x) + 1), rows_ = std::max(1, row(box_.hi.y) + 1);
    const auto each = [&](const auto& act) {
        for (std::size_t k = 0; k < pieces_.size(); ++k) {
            const Piece& s = pieces_[k];
            for (int j = row(std::min(s.a.y, s.b.y)); j <= row(std::max(s.a.y, s.b.y)); ++j)
                for (int i = column(std::min(s.a.x, s.b.x)); i <= column(std::max(s.a.x, s.b.x)); ++i)
                    act(static_cast<std::size_t>(std::min(j, rows_ - 1)) * static_cast<std::size_t>(columns_) +
                            static_cast<std::size_t>(std::min(i, columns_ - 1)),
                        static_cast<std::uint32_t>(k));
        }
    };
    first_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
    each([&](std::size_t bucket, std::uint32_t) { ++first_[bucket + 1]; });
    for (std::size_t k = 1; k < first_.size(); ++k) first_[k] += first_[k - 1];
    items_.resize(first_.back());
    std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
    each([&](std::size_t bucket, std::uint32_t k) { items_[next[bucket]++] = k; });
}

std::optional<OnLine> LineIndex::nearest(const Point& p, double reach) const {
    if (pieces_.empty()) return std::nullopt;
    std::optional<OnLine> best;
    double least = reach;
    const int ci = column(p.x), cj = row(p.y);
    // Rings that lie wholly outside the buckets are passed over at once.
    const int outside = std::max({0, -ci, ci - columns_ + 1, -cj, cj - rows_ + 1});
    const int last = std::max({std::abs(ci), std::abs(cj), std::abs(ci - columns_ + 1), std::abs(cj - rows_ + 1)});
    for (int ring = outside; ring <= last && (ring - 1) * side_ <= least; ++ring)
        for (int j = std::max(0, cj - ring); j <= std::min(rows_ - 1, cj + ring); ++j) {
            const bool whole = j == cj - ring || j == cj + ring;
            const int step = whole || ring == 0 ? 1 : 2 * ring, i0 = whole ? std::max(0, ci - ring) : ci - ring;
            for (int i = i0; i <= std::min(columns_ - 1, ci + ring); i += step) {
                if (i < 0) continue;
                const std::size_t n = static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
                for (std::uint32_t k = first_[n]; k < first_[n + 1]; ++k) {
                    const Piece& s = pieces_[items_[k]];
                    double share = 0;
                    const Point foot = foot_on(s.a, s.b, p, share);
                    if (const double away = distance(p, foot); away < least || (!best && away <= least))
                        least = away, best = OnLine{foot, away, s.line, distance(foot, s.from) <= distance(foot, s.to) ? s.from : s.to};
                }
            }
        }
    return best;
}

bool LineIndex::crossed(const Point& a, const Point& b) const {
    if (pieces_.empty()) return false;
    constexpr double ends = 2e-3;  // mm at either end that may touch
    const double length = distance(a, b);
    if (length <= 2 * ends) return false;
    const double ux = (b.x - a.x) / length, uy = (b.y - a.y) / length;
    const Point p{a.x + ux * ends, a.y + uy * ends};
    const double x = b.x - ux * ends - p.x, y = b.y - uy * ends - p.y;
    const int i0 = std::max(0, column(std::min(a.x, b.x))), i1 = std::min(columns_ - 1, column(std::max(a.x, b.x)));
    const int j0 = std::max(0, row(std::min(a.y, b.y))), j1 = std::min(rows_ - 1, row(std::max(a.y, b.y)));
    for (int j = j0; j <= j1; ++j)
        for (int i = i0; i <= i1; ++i) {
            const std::size_t n = static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
            for (std::uint32_t k = first_[n]; k < first_[n + 1]; ++k) {
                const Piece& s = pieces_[items_[k]];
                const double vx = s.b.x - s.a.x, vy = s.b.y - s.a.y, det = x * vy - y * vx;
                if (std::abs(det) < 1e-15) continue;
                const double wx = s.a.x - p.x, wy = s.a.y - p.y, t = (wx * vy - wy * vx) / det, u = (wx * y - wy * x) / det;
                if (t >= 0 && t <= 1 && u >= 0 && u <= 1) return true;
            }
        }
    return false;
}

bool LineIndex::holds(const Point& p) const {
    const int j = row(p.y);
    if (pieces_.empty() || j < 0 || j >= rows_) return false;
    bool in = false;
    for (int i = std::max(0, column(p.x)); i < columns_; ++i) {
        const std::size_t n = static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
        for (std::uint32_t k = first_[n]; k < first_[n + 1]; ++k) {
            const Piece& s = pieces_[items_[k]];
            if ((s.a.y > p.y) == (s.b.y > p.y)) continue;
            const double x = s.a.x + (s.b.x - s.a.x) * (p.y - s.a.y) / (s.b.y - s.a.y);
            // Counted in the bucket where it is crossed, for it lies in others too.
            if (x > p.x && std::min(column(x), columns_ - 1) == i) in = !in;
        }
    }
    return in;
}

bool LineIndex::clear(const Point& a, const Point& b) const {
    if (crossed(a, b)) return false;
    constexpr double hair = 0.003;  // mm
    const double length = distance(a, b);
    if (length <= hair) return true;
    const Point middle{(a.x + b.x) / 2, (a.y + b.y) / 2};
    return holds(middle) || nearest(middle, hair).has_value();
}

std::vector<Polyline> lines_of(const std::vector<Loop>& loops) {
    std::vector<Polyline> lines;
    for (const Loop& loop : loops) lines.push_back({loop, true});
    return lines;
}

std::vector<Point3> at_height(const std::vector<Point>& points, double z) {
    std::vector<Point3> raised;
    for (const Point& p : points) raised.push_back({p.x, p.y, z});
    return raised;
}

bool inside_loop(const Loop& loop, const Point& p) {
    bool in = false;
    for (std::size_t k = 0, n = loop.size() - 1; k < loop.size(); n = k++)
        if ((loop[k].y > p.y) != (loop[n].y > p.y) &&
            p.x < (loop[n].x - loop[k].x) * (p.y - loop[k].y) / (loop[n].y - loop[k].y) + loop[k].x)
            in = !in;
    return in;
}

}  // namespace burin
