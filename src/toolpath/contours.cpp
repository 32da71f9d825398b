// Marching squares over many values at once, linked by sorting the crossings; a sleeve algorithm for thinning.
#include "contours.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <opencv2/imgproc.hpp>

namespace burin {
namespace {

/// A step of a contour through one square, from the crossing of one of its edges to that of another. An edge may be
/// crossed by several values, so a crossing's key holds both.
struct Step {
    std::uint64_t from, to;
    Point start, end;
    std::uint32_t order;
};

struct Tracer {
    const HeightMap& field;
    double most;
    std::vector<Step> steps;

    std::uint64_t key(int i, int j, int vertical, std::size_t value) const {
        const auto cell = static_cast<std::uint64_t>(j) * static_cast<std::uint64_t>(field.width()) + static_cast<std::uint64_t>(i);
        return (cell * 2 + static_cast<std::uint64_t>(vertical)) << 16 | value;
    }
    double share(float a, float b, float value) const {
        const double t = static_cast<double>(value - a) / static_cast<double>(b - a);
        return b > a ? std::min(t, most) : std::max(t, 1 - most);
    }

    /// Edge 0 below, 1 right, 2 above, 3 left of square (i, j).
    std::uint64_t edge_key(int i, int j, int edge, std::size_t value) const {
        switch (edge) {
            case 0:
                return key(i, j, 0, value);
            case 1:
                return key(i + 1, j, 1, value);
            case 2:
                return key(i, j + 1, 0, value);
            default:
                return key(i, j, 1, value);
        }
    }
    Point edge_point(int i, int j, int edge, float value) const {
        const int i0 = edge == 1 ? i + 1 : i, j0 = edge == 2 ? j + 1 : j;
        const int i1 = edge == 0 || edge == 2 ? i + 1 : i0, j1 = edge == 1 || edge == 3 ? j + 1 : j0;
        const double t = share(field(i0, j0), field(i1, j1), value);
        const Point a = field.centre(i0, j0), b = field.centre(i1, j1);
        return {a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t};
    }
    void step(int i, int j, int from, int to, float value, std::size_t index) {
        steps.push_back({edge_key(i, j, from, index), edge_key(i, j, to, index), edge_point(i, j, from, value), edge_point(i, j, to, value),
                         static_cast<std::uint32_t>(steps.size())});
    }
    void square(int i, int j, float value, std::size_t index) {
        const float a = field(i, j), b = field(i + 1, j), c = field(i + 1, j + 1), d = field(i, j + 1);
        const int which = (a >= value) | (b >= value) << 1 | (c >= value) << 2 | (d >= value) << 3;
        switch (which) {  // larger values on the left
            case 1:
                return step(i, j, 0, 3, value, index);
            case 2:
                return step(i, j, 1, 0, value, index);
            case 3:
                return step(i, j, 1, 3, value, index);
            case 4:
                return step(i, j, 2, 1, value, index);
            case 6:
                return step(i, j, 2, 0, value, index);
            case 7:
                return step(i, j, 2, 3, value, index);
            case 8:
                return step(i, j, 3, 2, value, index);
            case 9:
                return step(i, j, 0, 2, value, index);
            case 11:
                return step(i, j, 1, 2, value, index);
            case 12:
                return step(i, j, 3, 1, value, index);
            case 13:
                return step(i, j, 0, 1, value, index);
            case 14:
                return step(i, j, 3, 0, value, index);
            case 5:
            case 10:
                return saddle(i, j, value, index, which == 5, (a + b + c + d) / 4 >= value);
            default:
                return;
        }
    }
    void saddle(int i, int j, float value, std::size_t index, bool rising, bool joined) {
        if (rising) {
            step(i, j, 0, joined ? 1 : 3, value, index);
            step(i, j, 2, joined ? 3 : 1, value, index);
        } else {
            step(i, j, 1, joined ? 2 : 0, value, index);
            step(i, j, 3, joined ? 0 : 2, value, index);
        }
    }
};

std::vector<Contour> linked(std::vector<Step> steps) {
    std::sort(steps.begin(), steps.end(), [](const Step& a, const Step& b) { return a.from < b.from; });
    const auto find = [&](std::uint64_t key) {
        const auto at = std::lower_bound(steps.begin(), steps.end(), key, [](const Step& s, std::uint64_t k) { return s.from < k; });
        return at != steps.end() && at->from == key ? static_cast<std::size_t>(at - steps.begin()) : steps.size();
    };
    std::vector<std::size_t> next(steps.size());
    std::vector<std::uint8_t> has_before(steps.size() + 1, 0), used(steps.size(), 0);
    for (std::size_t k = 0; k < steps.size(); ++k) has_before[next[k] = find(steps[k].to)] = 1;
    std::vector<std::size_t> place(steps.size());
    for (std::size_t k = 0; k < steps.size(); ++k) place[steps[k].order] = k;
    std::vector<Contour> found;
    for (const bool open : {true, false})
        for (const std::size_t first : place) {
            if (used[first] || (open && has_before[first])) continue;
            Contour c;
            c.ring = static_cast<int>(steps[first].from & 0xffff);
            c.closed = !open;
            std::size_t last = first;
            for (std::size_t k = first; k < steps.size() && !used[k]; k = next[k]) {
                used[k] = 1;
                c.points.push_back(steps[k].start);
                last = k;
            }
            if (open) c.points.push_back(steps[last].end);
            if (c.points.size() > 1) found.push_back(std::move(c));
        }
    return found;
}

}  // namespace

std::vector<Contour> contours_at(const HeightMap& field, std::span<const float> values, const Grid<std::uint8_t>* mask, double most) {
    Tracer tracer{field, most, {}};
    for (int j = 0; j + 1 < field.height(); ++j) {
        const float *low = field.row(j), *high = field.row(j + 1);
        const std::uint8_t *mask_low = mask ? mask->row(j) : nullptr, *mask_high = mask ? mask->row(j + 1) : nullptr;
        for (int i = 0; i + 1 < field.width(); ++i) {
            if (mask && !(mask_low[i] && mask_low[i + 1] && mask_high[i] && mask_high[i + 1])) continue;
            const float least = std::min(std::min(low[i], low[i + 1]), std::min(high[i], high[i + 1]));
            const float most = std::max(std::max(low[i], low[i + 1]), std::max(high[i], high[i + 1]));
            if (values.empty() || most < values.front() || least >= values.back()) continue;
            auto at = std::upper_bound(values.begin(), values.end(), least);
            for (; at != values.end() && *at <= most; ++at) tracer.square(i, j, *at, static_cast<std::size_t>(at - values.begin()));
        }
    }
    return linked(std::move(tracer.steps));
}

std::vector<Point> thinned(const std::vector<Point>& points, bool closed, double tolerance) {
    if (points.size() < 3) return points;
    std::vector<Point> line = points;
    if (closed) line.push_back(points.front());
    std::vector<Point> kept{line.front()};
    std::size_t anchor = 0;
    double low = -1e9, high = 1e9, base = 0, far = 0;
    bool fresh = true;
    for (std::size_t k = 1; k < line.size(); ++k) {
        const double dx = line[k].x - line[anchor].x, dy = line[k].y - line[anchor].y, d = std::hypot(dx, dy);
        if (fresh && d <= tolerance) continue;
        const double half = std::asin(std::min(1.0, tolerance / d)), direction = std::atan2(dy, dx);
        if (fresh) {
            base = direction, low = -half, high = half, far = d, fresh = false;
            continue;
        }
        const double turn = std::remainder(direction - base, 2 * std::numbers::pi);
        if (d >= far && turn >= low && turn <= high && std::abs(turn) < 1.5) {  // a way that turns back would stick out
            low = std::max(low, turn - half), high = std::min(high, turn + half), far = d;
            continue;
        }
        kept.push_back(line[k - 1]);
        anchor = k - 1;
        fresh = true;
        --k;
    }
    if (!closed) kept.push_back(line.back());
    return kept;
}

HeightMap distance_inside(const Grid<std::uint8_t>& mask) {
    HeightMap out = mask.like(0.F);
    const cv::Mat inside(mask.height(), mask.width(), CV_8U, const_cast<std::uint8_t*>(mask.values().data()));
    cv::Mat distances(mask.height(), mask.width(), CV_32F, out.values().data());
    cv::distanceTransform(inside, distances, cv::DIST_L2, cv::DIST_MASK_PRECISE, CV_32F);
    const auto cell = static_cast<float>(mask.cell());
    for (float& d : out.values()) d *= cell;
    return out;
}

Grid<std::uint8_t> grown(Grid<std::uint8_t> mask, double radius) {
    if (std::none_of(mask.values().begin(), mask.values().end(), [](auto v) { return v != 0; })) return mask;
    for (std::uint8_t& v : mask.values()) v = v == 0;
    cv::Mat distances;
    cv::distanceTransform(cv::Mat(mask.height(), mask.width(), CV_8U, mask.values().data()), distances, cv::DIST_L2, cv::DIST_MASK_PRECISE,
                          CV_32F);
    const auto most = static_cast<float>(radius / mask.cell());
    for (int j = 0; j < mask.height(); ++j)
        for (int i = 0; i < mask.width(); ++i) mask(i, j) = distances.at<float>(j, i) <= most ? 1 : 0;
    return mask;
}

double length_of(const std::vector<Point>& points, bool closed) {
    double sum = 0;
    for (std::size_t k = 1; k < points.size(); ++k) sum += distance(points[k - 1], points[k]);
    if (closed && points.size() > 1) sum += distance(points.back(), points.front());
    return sum;
}

}  // namespace burin
