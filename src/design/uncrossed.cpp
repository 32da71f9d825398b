// Open lines that do not cross themselves.
//
// Where the pieces from a to b and from c to d cross, those from a to c and from b to d together are shorter (triangle inequality), so
// turning round what lies between mends the crossing and shortens the line; it ends, for there are only so many orders (Croes 1958).
// Cost: pieces × those near them, in each round; one or two rounds after a tour that is short already.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>

#include "burin/design/one_line.hpp"

namespace burin {
namespace {

double side_of(const Point& a, const Point& b, const Point& p) { return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x); }

bool cross(const Point& a, const Point& b, const Point& c, const Point& d) {
    return side_of(a, b, c) * side_of(a, b, d) < 0 && side_of(c, d, a) * side_of(c, d, b) < 0;
}

/// Pieces (from point k to k + 1) by the square buckets that their boxes touch.
class Pieces {
public:
    explicit Pieces(const std::vector<Point>& line) : line_(line) {
        Point hi = lo_ = line.front();
        double length = 0;
        for (std::size_t k = 0; k < line.size(); ++k) {
            lo_ = {std::min(lo_.x, line[k].x), std::min(lo_.y, line[k].y)};
            hi = {std::max(hi.x, line[k].x), std::max(hi.y, line[k].y)};
            if (k > 0) length += distance(line[k - 1], line[k]);
        }
        side_ = std::max({length / static_cast<double>(line.size()), (hi.x - lo_.x) / 1000, (hi.y - lo_.y) / 1000, 1e-6});
        columns_ = index(hi.x - lo_.x) + 1, rows_ = index(hi.y - lo_.y) + 1;
        buckets_.resize(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_));
        for (std::size_t k = 0; k + 1 < line.size(); ++k)
            over(k, [&](std::vector<std::uint32_t>& bucket) { bucket.push_back(static_cast<std::uint32_t>(k)); });
    }
    /// Pairs that cross, k < m, in order.
    [[nodiscard]] std::vector<std::pair<std::size_t, std::size_t>> crossings() const {
        std::vector<std::pair<std::size_t, std::size_t>> found;
        for (const auto& bucket : buckets_)
            for (std::size_t a = 0; a < bucket.size(); ++a)
                for (std::size_t b = a + 1; b < bucket.size(); ++b) {
                    const std::size_t k = bucket[a], m = bucket[b];
                    if (m > k + 1 && cross(line_[k], line_[k + 1], line_[m], line_[m + 1])) found.emplace_back(k, m);
                }
        std::sort(found.begin(), found.end());
        found.erase(std::unique(found.begin(), found.end()), found.end());
        return found;
    }

private:
    [[nodiscard]] int index(double mm) const { return static_cast<int>(mm / side_); }
    template <class See>
    void over(std::size_t k, const See& see) {
        const Point &a = line_[k], &b = line_[k + 1];
        for (int j = index(std::min(a.y, b.y) - lo_.y); j <= index(std::max(a.y, b.y) - lo_.y); ++j)
            for (int i = index(std::min(a.x, b.x) - lo_.x); i <= index(std::max(a.x, b.x) - lo_.x); ++i)
                see(buckets_[static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i)]);
    }
    const std::vector<Point>& line_;
    Point lo_;
    double side_ = 1;
    int columns_ = 1, rows_ = 1;
    std::vector<std::vector<std::uint32_t>> buckets_;
};

}  // namespace

std::vector<Point> uncrossed(std::vector<Point> line, const Crew& crew) {
    if (line.size() < 4) return line;
    while (true) {
        crew.check();
        const auto found = Pieces(line).crossings();
        if (found.empty()) return line;
        for (const auto& [k, m] : found)  // an earlier turn may have mended it, or moved it
            if (cross(line[k], line[k + 1], line[m], line[m + 1]))
                std::reverse(line.begin() + static_cast<std::ptrdiff_t>(k) + 1, line.begin() + static_cast<std::ptrdiff_t>(m) + 1);
    }
}

}  // namespace burin
