/// Points that are sure, and corners. Sources: see outline.hpp.
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "contour.hpp"
#include "outline.hpp"

namespace burin {

std::vector<Point> sure_points(std::span<const Point> points, std::span<const std::uint8_t> marks, [[maybe_unused]] bool hard) {
    std::vector<Point> out;
    out.reserve(points.size());
    for (std::size_t k = 0; k < points.size(); ++k)
        if (!(marks[k] & askew)) out.push_back(points[k]);
    if (out.size() < 4) out.assign(points.begin(), points.end());
    return out;
}

double noise_of(std::span<const Point> points) {
    const std::size_t n = points.size();
    std::vector<double> off;
    for (std::size_t k = 1; k + 1 < n; ++k) {
        const Point &a = points[k - 1], &b = points[k + 1], &p = points[k];
        const double length = distance(a, b);
        if (length > 0) off.push_back(std::abs((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / length);
    }
    if (off.empty()) return 0;
    std::nth_element(off.begin(), off.begin() + static_cast<std::ptrdiff_t>(off.size() / 2), off.end());
    return 1.48 * off[off.size() / 2] / std::sqrt(1.5);
}

CorneredLine with_corners(std::vector<Point> points, [[maybe_unused]] const Slack& slack, [[maybe_unused]] bool hard) {
    CorneredLine line;
    line.corner.assign(points.size(), 0);
    line.points = std::move(points);
    return line;
}

}  // namespace burin
