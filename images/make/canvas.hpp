#pragma once
/// What the painters of the demo pictures share: numbers that look random but are not, flat shapes, PNG files.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <functional>
#include <span>
#include <string>
#include <vector>

namespace paint {

struct V2 {
    double x = 0, y = 0;
};
inline V2 operator+(V2 a, V2 b) { return {a.x + b.x, a.y + b.y}; }
inline V2 operator-(V2 a, V2 b) { return {a.x - b.x, a.y - b.y}; }
inline V2 operator*(V2 a, double k) { return {a.x * k, a.y * k}; }
inline double dot(V2 a, V2 b) { return a.x * b.x + a.y * b.y; }
inline double length(V2 a) { return std::hypot(a.x, a.y); }

using Colour = std::array<double, 3>;  ///< linear light, 0 … 1
inline Colour mix(const Colour& a, const Colour& b, double t) {
    return {a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t};
}
inline Colour operator*(const Colour& a, double k) { return {a[0] * k, a[1] * k, a[2] * k}; }

inline double clamp01(double v) { return std::clamp(v, 0.0, 1.0); }
inline double step(double a, double b, double v) {
    const double t = clamp01((v - a) / (b - a));
    return t * t * (3 - 2 * t);
}
/// Smooth minimum and maximum: a rounded crease of width k.
inline double smin(double a, double b, double k) {
    const double h = std::max(k - std::abs(a - b), 0.0) / k;
    return std::min(a, b) - h * h * k / 4;
}
inline double smax(double a, double b, double k) { return -smin(-a, -b, k); }

/// 0 … 1, the same everywhere (integer hash).
[[nodiscard]] double chance(int i, int j, int seed);
/// Smooth value noise −1 … 1.
[[nodiscard]] double noise(V2 p, int seed);
/// Sum of octaves of noise, about −1 … 1.
[[nodiscard]] double fractal(V2 p, int octaves, int seed);
/// Cellular pattern (Worley 1996): distance to the border of the own cell, the own cell's place and number.
struct Cell {
    double border = 0;
    V2 centre;
    int i = 0, j = 0;
};
[[nodiscard]] Cell cell_at(V2 p, int seed);

/// Signed distance to a segment whose half width goes from ra at a to rb at b.
[[nodiscard]] double tapered(V2 p, V2 a, V2 b, double ra, double rb);
[[nodiscard]] inline double disc(V2 p, V2 at, double r) { return length(p - at) - r; }
/// The same to a rectangle of that half size, its corners rounded.
[[nodiscard]] inline double bar(V2 p, V2 at, V2 half, double round = 0) {
    const double x = std::abs(p.x - at.x) - half.x + round, y = std::abs(p.y - at.y) - half.y + round;
    return std::hypot(std::max(x, 0.0), std::max(y, 0.0)) + std::min(std::max(x, y), 0.0) - round;
}
/// Signed distance to a polygon, negative inside.
[[nodiscard]] double polygon(V2 p, std::span<const V2> corners);
/// Points of a smooth curve through the given ones (Catmull–Rom), `parts` a span.
[[nodiscard]] std::vector<V2> smooth_curve(std::span<const V2> through, int parts);

/// Runs work on every row, on all cores.
void every_row(int rows, const std::function<void(int)>& work);

void write_grey8(const std::string& file, int width, int height, std::span<const std::uint8_t> samples);
void write_grey16(const std::string& file, int width, int height, std::span<const std::uint16_t> samples);
void write_rgb8(const std::string& file, int width, int height, std::span<const std::uint8_t> samples);
/// Linear light to an 8-bit sRGB sample (IEC 61966-2-1).
[[nodiscard]] std::uint8_t coded(double light);

}  // namespace paint
