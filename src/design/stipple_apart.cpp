// Room between dots.
//
// Two discs that come too near are each moved half of what is missing, along the line between them, over and over (position based
// relaxation; common practice, no source). Neighbours are looked up in square buckets as wide as the farthest that two may have
// to lie apart. Cost: dots × neighbours × rounds, half a microsecond each; rounds end as soon as nothing moves.
#include "stipple_apart.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>

namespace burin::dots {
namespace {

constexpr double hair = 1e-3;  // mm of nearness that do not count while dots are moved

/// Dots by square buckets; each knows those in the buckets around it.
class Neighbours {
public:
    Neighbours(const std::vector<Dot>& dots, double side) : side_(side) {
        Point hi = lo_ = dots.front().at;
        for (const Dot& d : dots) {
            lo_ = {std::min(lo_.x, d.at.x), std::min(lo_.y, d.at.y)};
            hi = {std::max(hi.x, d.at.x), std::max(hi.y, d.at.y)};
        }
        side_ = std::max(side_, std::sqrt((hi.x - lo_.x) * (hi.y - lo_.y) / 4e6));
        columns_ = static_cast<int>((hi.x - lo_.x) / side_) + 1, rows_ = static_cast<int>((hi.y - lo_.y) / side_) + 1;
        first_.assign(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_) + 1, 0);
        for (const Dot& d : dots) ++first_[bucket(column(d.at), row(d.at)) + 1];
        std::partial_sum(first_.begin(), first_.end(), first_.begin());
        items_.resize(dots.size());
        std::vector<std::uint32_t> next(first_.begin(), first_.end() - 1);
        for (std::size_t k = 0; k < dots.size(); ++k)
            items_[next[bucket(column(dots[k].at), row(dots[k].at))]++] = static_cast<std::uint32_t>(k);
    }
    /// Calls see(k) for the dots after `own` that lay within a bucket's side of p when this was made.
    template <class See>
    void after(std::size_t own, const Point& p, const See& see) const {
        const int i = column(p), j = row(p);
        for (int b = std::max(0, j - 1); b <= std::min(rows_ - 1, j + 1); ++b)
            for (int a = std::max(0, i - 1); a <= std::min(columns_ - 1, i + 1); ++a)
                for (std::uint32_t k = first_[bucket(a, b)]; k < first_[bucket(a, b) + 1]; ++k)
                    if (items_[k] > own) see(static_cast<std::size_t>(items_[k]));
    }

private:
    [[nodiscard]] int column(const Point& p) const { return std::clamp(static_cast<int>((p.x - lo_.x) / side_), 0, columns_ - 1); }
    [[nodiscard]] int row(const Point& p) const { return std::clamp(static_cast<int>((p.y - lo_.y) / side_), 0, rows_ - 1); }
    [[nodiscard]] std::size_t bucket(int i, int j) const {
        return static_cast<std::size_t>(j) * static_cast<std::size_t>(columns_) + static_cast<std::size_t>(i);
    }
    double side_;
    Point lo_;
    int columns_ = 1, rows_ = 1;
    std::vector<std::uint32_t> first_, items_;
};

double widest_of(const std::vector<Dot>& dots) {
    double widest = 0;
    for (const Dot& d : dots) widest = std::max(widest, d.diameter);
    return widest;
}

/// Where a dot may be moved to: inside the picture, on ground that is not bare.
bool may_lie(const Grid<float>& coverage, const Point& p) {
    if (!coverage.bounds().holds(p)) return false;
    const double x = (p.x - coverage.origin().x) / coverage.cell(), y = (p.y - coverage.origin().y) / coverage.cell();
    const int i = std::min(static_cast<int>(x), coverage.width() - 1), j = std::min(static_cast<int>(y), coverage.height() - 1);
    return coverage(i, j) > 0;
}

}  // namespace

void push_apart(std::vector<Dot>& dots, const Grid<float>& coverage, double gap, int rounds, const Crew& crew) {
    if (dots.empty()) return;
    const double reach = std::max(widest_of(dots) + gap, hair);
    bool moved = true;
    for (int round = 0; moved && round < rounds; ++round) {
        crew.check();
        moved = false;
        const Neighbours near(dots, reach * 1.25);
        for (std::size_t k = 0; k < dots.size(); ++k)
            near.after(k, dots[k].at, [&](std::size_t other) {
                Dot &a = dots[k], &b = dots[other];
                const double x = b.at.x - a.at.x, y = b.at.y - a.at.y;
                const double want = (a.diameter + b.diameter) / 2 + gap, d2 = x * x + y * y;
                if (want <= hair || d2 >= (want - hair) * (want - hair)) return;
                const double d = std::sqrt(d2), push = (want - d) / 2 * 1.02;
                const double u = d > 1e-9 ? x / d : 1, v = d > 1e-9 ? y / d : 0;
                const Point back{a.at.x - u * push, a.at.y - v * push}, on{b.at.x + u * push, b.at.y + v * push};
                if (may_lie(coverage, back)) a.at = back, moved = true;
                if (may_lie(coverage, on)) b.at = on, moved = true;
            });
    }
}

int make_room(std::vector<Dot>& dots, double gap, double least) {
    if (dots.empty()) return 0;
    const Neighbours near(dots, std::max(widest_of(dots) + gap, hair));
    std::vector<bool> gone(dots.size(), false), touched(dots.size(), false);
    for (std::size_t k = 0; k < dots.size(); ++k)
        near.after(k, dots[k].at, [&](std::size_t other) {
            if (gone[k] || gone[other]) return;
            Dot &a = dots[k], &b = dots[other];
            double over = (a.diameter + b.diameter) / 2 + gap - distance(a.at, b.at);
            if (over <= 2 * hair) return;
            // The larger gives way until both are the same, then both.
            const std::size_t big = a.diameter >= b.diameter ? k : other, small = big == k ? other : k;
            for (const std::size_t n : {big, small}) {
                Dot& d = dots[n];
                const double even = n == big ? std::max(least, dots[small].diameter - over) : least;
                const double off = std::clamp(2 * over, 0.0, d.diameter - std::min(d.diameter, even));
                if (off > 0) d.diameter -= off, over -= off / 2, touched[n] = true;
            }
            if (over > 2 * hair) gone[std::max(k, other)] = true, touched[std::max(k, other)] = true;
        });
    std::size_t kept = 0;
    for (std::size_t k = 0; k < dots.size(); ++k)
        if (!gone[k]) dots[kept++] = dots[k];
    dots.resize(kept);
    return static_cast<int>(std::count(touched.begin(), touched.end(), true));
}

}  // namespace burin::dots
