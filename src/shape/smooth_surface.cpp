/// Thin plate splines: f(p) = a + b x + c y + Σ w φ(|p − p_k|) with φ(r) = r² ln r, Σ w = Σ w x = Σ w y = 0 (Duchon 1977; Wahba 1990).
/// The system is symmetric but not definite: solved by LU with pivots. Leaving a point out changes the surface there by w_k ÷ (A⁻¹)_kk
/// (Rippa 1999), so all of them cost one inverse. Places are told from the middle of the points in units of their extent, for the
/// system's numbers to be alike in size.
#include "burin/shape/smooth_surface.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "burin/base/error.hpp"
#include "burin/shape/hull.hpp"

namespace burin {
namespace {

constexpr std::size_t most_points = 1000;
constexpr double apart = 0.001, on_line = 1e-3;

double bending(double squared) { return squared > 0 ? 0.5 * squared * std::log(squared) : 0; }

double turn(const Point& a, const Point& b, const Point& c) { return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x); }

Point nearest_on(const Point& a, const Point& b, const Point& p) {
    const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
    const double share = length > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length, 0.0, 1.0) : 0;
    return {a.x + dx * share, a.y + dy * share};
}

void check_points(const std::vector<Point3>& points) {
    if (points.size() < 3)
        throw Error(Fault::input, fmt::format("Only {} points were measured, and a surface wants at least 3, better 9.", points.size()));
    if (points.size() > most_points)
        throw Error(Fault::input, fmt::format("{} points were measured, and a surface is laid through {} at most: leave some out.",
                                              points.size(), most_points));
    std::vector<std::size_t> order(points.size());
    for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
    std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) { return points[a].x < points[b].x; });
    for (std::size_t k = 0; k < order.size(); ++k)
        for (std::size_t n = k + 1; n < order.size() && points[order[n]].x - points[order[k]].x < apart; ++n)
            if (distance(flat(points[order[k]]), flat(points[order[n]])) < apart)
                throw Error(Fault::input, fmt::format("Points {} and {} were measured at the same place, X {:.3f} Y {:.3f}: leave one out.",
                                                      std::min(order[k], order[n]) + 1, std::max(order[k], order[n]) + 1,
                                                      points[order[k]].x, points[order[k]].y));
}

/// A square matrix that is put in the place of its inverse (Gauss and Jordan, pivots of the whole column).
class Matrix {
public:
    explicit Matrix(std::size_t size) : size_(size), values_(size * size) {}
    double& operator()(std::size_t i, std::size_t j) { return values_[i * size_ + j]; }
    /// False: it has none.
    bool invert() {
        std::vector<std::size_t> swapped(size_);
        for (std::size_t k = 0; k < size_; ++k) {
            std::size_t pivot = k;
            for (std::size_t i = k + 1; i < size_; ++i)
                if (std::abs((*this)(i, k)) > std::abs((*this)(pivot, k))) pivot = i;
            if (std::abs((*this)(pivot, k)) < 1e-13) return false;
            swapped[k] = pivot;
            if (pivot != k) std::swap_ranges(row(k), row(k) + size_, row(pivot));
            eliminate(k);
        }
        for (std::size_t k = size_; k-- > 0;)
            if (swapped[k] != k)
                for (std::size_t i = 0; i < size_; ++i) std::swap((*this)(i, k), (*this)(i, swapped[k]));
        return true;
    }

private:
    double* row(std::size_t i) { return values_.data() + i * size_; }
    void eliminate(std::size_t k) {
        double* const own = row(k);
        const double by = 1 / own[k];
        own[k] = 1;
        for (std::size_t j = 0; j < size_; ++j) own[j] *= by;
        for (std::size_t i = 0; i < size_; ++i) {
            if (i == k) continue;
            double* const other = row(i);
            const double share = std::exchange(other[k], 0.0);
            for (std::size_t j = 0; j < size_; ++j) other[j] -= share * own[j];
        }
    }
    std::size_t size_;
    std::vector<double> values_;
};

}  // namespace

SmoothSurface::SmoothSurface(std::vector<Point3> points) : points_(std::move(points)) {
    check_points(points_);
    std::vector<Point> plan;
    for (const Point3& p : points_) plan.push_back(flat(p));
    hull_ = convex_hull(plan);
    Box box{plan.front(), plan.front()};
    lowest_ = highest_ = points_.front().z;
    for (const Point3& p : points_) {
        box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
        box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
        lowest_ = std::min(lowest_, p.z), highest_ = std::max(highest_, p.z);
    }
    middle_ = box.centre();
    scale_ = std::max(box.width(), box.height()) / 2;
    double area = 0;
    for (std::size_t k = 1; k + 1 < hull_.size(); ++k) area += turn(hull_[0], hull_[k], hull_[k + 1]) / 2;
    if (hull_.size() < 3 || area < on_line * scale_ * scale_)
        throw Error(Fault::input,
                    "All points lie on one line, so how the stock is tilted across it is not known. Measure beside the line too.");

    const std::size_t count = points_.size(), size = count + 3;
    Matrix system(size);
    const auto place = [&](std::size_t k) { return Point{(plan[k].x - middle_.x) / scale_, (plan[k].y - middle_.y) / scale_}; };
    for (std::size_t i = 0; i < count; ++i) {
        const Point a = place(i);
        for (std::size_t j = 0; j < count; ++j) {
            const Point b = place(j);
            system(i, j) = bending((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y));
        }
        const std::array<double, 3> plane{1, a.x, a.y};
        for (std::size_t j = 0; j < 3; ++j) system(i, count + j) = system(count + j, i) = plane[j];
    }
    if (!system.invert())
        throw Error(Fault::input, "No surface could be laid through the points: some lie too close to each other. Leave those out.");
    std::vector<double> solved(size);
    for (std::size_t i = 0; i < size; ++i)
        for (std::size_t k = 0; k < count; ++k) solved[i] += system(i, k) * points_[k].z;
    weights_.assign(solved.begin(), solved.begin() + static_cast<std::ptrdiff_t>(count));
    level_ = solved[count], slope_x_ = solved[count + 1], slope_y_ = solved[count + 2];
    surprises_.assign(count, 0.0);
    for (std::size_t k = 0; k < count; ++k) {
        // Three points leave nothing over: without one of them there is no surface.
        const double own = system(k, k);
        if (count > 3 && std::abs(own) > 1e-9) surprises_[k] = weights_[k] / own;
    }
}

bool SmoothSurface::measured(const Point& p) const {
    for (std::size_t k = 0; k < hull_.size(); ++k)
        if (turn(hull_[k], hull_[(k + 1) % hull_.size()], p) < -1e-9 * scale_ * scale_) return false;
    return true;
}

Point SmoothSurface::nearest_measured(const Point& p) const {
    if (measured(p)) return p;
    Point best = hull_.front();
    double least = 1e300;
    for (std::size_t k = 0; k < hull_.size(); ++k) {
        const Point q = nearest_on(hull_[k], hull_[(k + 1) % hull_.size()], p);
        if (const double d = distance(p, q); d < least) least = d, best = q;
    }
    return best;
}

double SmoothSurface::at(const Point& p) const {
    const Point q = nearest_measured(p);
    const double x = (q.x - middle_.x) / scale_, y = (q.y - middle_.y) / scale_;
    double z = level_ + slope_x_ * x + slope_y_ * y;
    for (std::size_t k = 0; k < points_.size(); ++k) {
        const double dx = x - (points_[k].x - middle_.x) / scale_, dy = y - (points_[k].y - middle_.y) / scale_;
        z += weights_[k] * bending(dx * dx + dy * dy);
    }
    return z;
}

HeightMap sampled(const SmoothSurface& surface, const Box& box, double cell, const Crew& crew) {
    const auto count = [&](double length) { return std::max(1, static_cast<int>(std::ceil(length / cell - 1e-9))); };
    HeightMap map(count(box.width()), count(box.height()), cell, box.lo);
    in_parallel(crew, map.height(), [&](int j) {
        for (int i = 0; i < map.width(); ++i) map(i, j) = static_cast<float>(surface.at(map.centre(i, j)));
    });
    return map;
}

double height_at(const HeightMap& map, const Point& p) {
    const double x = std::clamp((p.x - map.origin().x) / map.cell() - 0.5, 0.0, static_cast<double>(map.width() - 1));
    const double y = std::clamp((p.y - map.origin().y) / map.cell() - 0.5, 0.0, static_cast<double>(map.height() - 1));
    const int i = std::min(static_cast<int>(x), std::max(0, map.width() - 2)),
              j = std::min(static_cast<int>(y), std::max(0, map.height() - 2));
    const int right = std::min(i + 1, map.width() - 1), up = std::min(j + 1, map.height() - 1);
    const double u = x - i, v = y - j;
    const double low = map(i, j) + (static_cast<double>(map(right, j)) - map(i, j)) * u;
    const double high = map(i, up) + (static_cast<double>(map(right, up)) - map(i, up)) * u;
    return low + (high - low) * v;
}

}  // namespace burin
