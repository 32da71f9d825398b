#pragma once
/// Points and boxes in millimetres. x to the right, y away from the operator, z up.
#include <algorithm>
#include <cmath>

namespace burin {

struct Point {
    double x = 0, y = 0;
    friend bool operator==(const Point&, const Point&) = default;
};
struct Point3 {
    double x = 0, y = 0, z = 0;
    friend bool operator==(const Point3&, const Point3&) = default;
};

inline double distance(const Point& a, const Point& b) { return std::hypot(b.x - a.x, b.y - a.y); }
inline double distance(const Point3& a, const Point3& b) {
    return std::sqrt((b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y) + (b.z - a.z) * (b.z - a.z));
}
inline Point flat(const Point3& p) { return {p.x, p.y}; }

/// A rectangle with sides along the axes; lo is the lower left corner.
struct Box {
    Point lo, hi;
    [[nodiscard]] double width() const { return hi.x - lo.x; }
    [[nodiscard]] double height() const { return hi.y - lo.y; }
    [[nodiscard]] Point centre() const { return {(lo.x + hi.x) / 2, (lo.y + hi.y) / 2}; }
    [[nodiscard]] bool holds(const Point& p, double slack = 0) const {
        return p.x >= lo.x - slack && p.x <= hi.x + slack && p.y >= lo.y - slack && p.y <= hi.y + slack;
    }
    friend bool operator==(const Box&, const Box&) = default;
};
/// The box round two.
inline Box joined(const Box& a, const Box& b) {
    return {{std::min(a.lo.x, b.lo.x), std::min(a.lo.y, b.lo.y)}, {std::max(a.hi.x, b.hi.x), std::max(a.hi.y, b.hi.y)}};
}

}  // namespace burin
