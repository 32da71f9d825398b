#pragma once
/// Drawings of figures that are known on paper, with the exact coverage of each pixel.
#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>
#include <random>
#include <vector>

#include "burin/design/trace.hpp"
#include "pictures.hpp"

namespace drawings {

using burin::Loop;
using burin::Picture;
using burin::Point;

inline Loop polygon(double x, double y, std::vector<double> radii, double turn) {
    Loop loop;
    for (std::size_t k = 0; k < radii.size(); ++k) {
        const double a = turn + 2 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(radii.size());
        loop.push_back({x + radii[k] * std::cos(a), y + radii[k] * std::sin(a)});
    }
    return loop;
}
inline Loop disc(double x, double y, double r) { return polygon(x, y, std::vector<double>(1440, r), 0); }
inline Loop star(double x, double y, double r, double q, int tips, double turn) {
    std::vector<double> radii;
    for (int k = 0; k < tips; ++k) radii.push_back(r), radii.push_back(q);
    return polygon(x, y, radii, turn);
}
inline Loop box(double x, double y, double w, double h, double turn = 0) {
    Loop loop;
    for (const auto& [a, b] : {std::pair{-0.5, -0.5}, {0.5, -0.5}, {0.5, 0.5}, {-0.5, 0.5}})
        loop.push_back({x + a * w * std::cos(turn) - b * h * std::sin(turn), y + a * w * std::sin(turn) + b * h * std::cos(turn)});
    return loop;
}

/// How much of each pixel lies within an odd number of the loops (mm), rows from the top; 64 lines a pixel, exact along them.
inline std::vector<double> coverage(const std::vector<Loop>& loops, double h, double per_mm, int width, int height) {
    constexpr int lines = 64;
    std::vector<double> ink(static_cast<std::size_t>(width) * static_cast<std::size_t>(height), 0.0);
    std::vector<double> crossings;
    for (int row = 0; row < height; ++row)
        for (int line = 0; line < lines; ++line) {
            const double y = h - (row + (line + 0.5) / lines) / per_mm;
            crossings.clear();
            for (const Loop& loop : loops)
                for (std::size_t k = 0; k < loop.size(); ++k) {
                    const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
                    if ((a.y > y) != (b.y > y)) crossings.push_back((a.x + (y - a.y) / (b.y - a.y) * (b.x - a.x)) * per_mm);
                }
            std::sort(crossings.begin(), crossings.end());
            for (std::size_t k = 0; k + 1 < crossings.size(); k += 2) {
                const double from = std::clamp(crossings[k], 0.0, static_cast<double>(width)),
                             to = std::clamp(crossings[k + 1], 0.0, static_cast<double>(width));
                for (int i = static_cast<int>(from); i < std::min(static_cast<double>(width), std::ceil(to)); ++i)
                    ink[static_cast<std::size_t>(row) * static_cast<std::size_t>(width) + static_cast<std::size_t>(i)] +=
                        std::max(0.0, std::min(to, i + 1.0) - std::max(from, static_cast<double>(i))) / lines;
            }
        }
    return ink;
}

/// Black ink on white paper, 8 bits, over w × h mm.
inline Picture drawn(const std::vector<Loop>& loops, double w, double h, double per_mm) {
    Picture p;
    p.width = static_cast<int>(std::lround(w * per_mm));
    p.height = static_cast<int>(std::lround(h * per_mm));
    for (const double ink : coverage(loops, h, per_mm, p.width, p.height))
        p.samples.push_back(static_cast<std::uint16_t>(std::lround(255 * (1 - std::clamp(ink, 0.0, 1.0))) * 257));
    return p;
}

/// The same with each pixel black or white.
inline Picture hardened(Picture p) {
    for (std::uint16_t& v : p.samples) v = v < 32768 ? 0 : 65535;
    return p;
}

inline burin::TraceWishes over(double w, double h) {
    burin::TraceWishes wishes;
    wishes.width = w;
    wishes.height = h;
    return wishes;
}

inline double off_segment(const Point& p, const Point& a, const Point& b) {
    const double dx = b.x - a.x, dy = b.y - a.y, length = dx * dx + dy * dy;
    const double t = length > 0 ? std::clamp(((p.x - a.x) * dx + (p.y - a.y) * dy) / length, 0.0, 1.0) : 0.0;
    return std::hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
}

/// The farthest that places on the lines `of` lie from the lines `to`.
inline double farthest(const std::vector<Loop>& of, const std::vector<Loop>& to) {
    double most = 0;
    for (const Loop& loop : of)
        for (std::size_t k = 0; k < loop.size(); ++k) {
            const Point &a = loop[k], &b = loop[(k + 1) % loop.size()];
            const int steps = std::clamp(static_cast<int>(distance(a, b) / 0.1), 1, 200);
            for (int s = 0; s < steps; ++s) {
                const Point p{a.x + (b.x - a.x) * s / steps, a.y + (b.y - a.y) * s / steps};
                double least = 1e9;
                for (const Loop& line : to)
                    for (std::size_t q = 0; q < line.size(); ++q)
                        least = std::min(least, off_segment(p, line[q], line[(q + 1) % line.size()]));
                most = std::max(most, least);
            }
        }
    return most;
}

/// The farthest that a corner of `loops` lies from the nearest corner of the region.
inline double corners_off(const std::vector<Loop>& loops, const burin::Region& region) {
    double most = 0;
    for (const Loop& loop : loops)
        for (const Point& p : loop) {
            double least = 1e9;
            for (const Loop& line : region.loops())
                for (const Point& q : line) least = std::min(least, distance(p, q));
            most = std::max(most, least);
        }
    return most;
}

}  // namespace drawings
