// Two pictures in plain black: a lighthouse cut as for a print, in a ring, and a fish with a hole for a cord.
#include "scene.hpp"

namespace paint {
namespace {

/// What of a is not b.
double without(double a, double b) { return std::max(a, -b); }

double tower(V2 p) {
    const V2 q{std::abs(p.x - 50), p.y};
    const auto half = [](double y) { return 10.2 - (y - 24) * 0.105 + 0.006 * std::max(0.0, 34 - y) * std::max(0.0, 34 - y); };
    const double body = std::max({q.x - half(q.y), 25.4 - q.y, q.y - 63});
    double d = 1e9;
    for (const double y : {29.2, 42.0, 54.8}) d = std::min(d, std::max(body, std::abs(q.y - y) - 3.2));
    d = std::min(d, std::max(body, -body - 1.1));                    // its outline
    d = without(d, bar({p.x - 50, p.y}, {0, 42}, {1.3, 1.9}, 1.2));  // a window in the middle band
    // Gallery, lantern, dome.
    d = without(d, bar(q, {0, 63.6}, {10, 2.6}));
    d = std::min(d, bar(q, {0, 63.4}, {9.4, 1.2}, 0.3));
    d = std::min(d, std::min(bar(q, {0, 68}, {8.6, 0.5}, 0.3), bar(q, {8.2, 66}, {0.5, 2.4}, 0.2)));
    for (const double x : {0.0, 4.6}) d = std::min(d, bar(q, {x, 70}, {0.55, 6.6}, 0.2));
    d = std::min(d, bar(q, {0, 76.6}, {6.2, 0.8}, 0.3));
    d = std::min(d, std::max(disc(q, {0, 76}, 5.4), 76.6 - q.y));
    return std::min({d, disc(q, {0, 83.6}, 1.2), bar(q, {0, 82}, {0.5, 1.4})});
}

double rock(V2 p) {
    static const std::vector<V2> edge{{17, 14},   {19, 18.4}, {24, 19.2}, {26.6, 23.6}, {32, 22.8}, {35, 26.4}, {41, 24.6},
                                      {59, 24.8}, {63, 27.6}, {68, 24.4}, {72, 25},     {76, 19.6}, {81, 19.4}, {84, 14}};
    static const std::vector<std::vector<V2>> cracks{{{29, 24.6}, {32.4, 19.6}, {31, 15.4}},
                                                     {{43.5, 23}, {45.4, 19.8}, {50, 18.4}, {49.4, 15.6}},
                                                     {{66, 26.6}, {62, 21.6}, {64.4, 18.4}, {62.4, 15.4}},
                                                     {{74, 23.4}, {72.4, 20}, {75.4, 16.6}}};
    double d = polygon(p, edge);
    for (const auto& crack : cracks) {
        const std::vector<V2> line = smooth_curve(crack, 6);
        for (std::size_t k = 0; k + 1 < line.size(); ++k) {
            const auto half = [&](std::size_t n) { return 0.85 - 0.75 * static_cast<double>(n) / static_cast<double>(line.size() - 1); };
            d = without(d, tapered(p, line[k], line[k + 1], half(k), half(k + 1)));
        }
    }
    return d;
}

double waves(V2 p) {
    double d = 1e9;
    for (int k = 1; k < 4; ++k) {
        const double y = 15.4 - 3.5 * k, phase = 2 * 3.14159265358979 * (p.x - 50) / 13.5 + 1.9 * k;
        const double reach = 32.5 - 5.2 * k, end = step(0, 9, reach - std::abs(p.x - 50));
        const double swell = end * (0.55 + 0.45 * std::cos(phase + 0.5)) - 0.3 * (1 - end);
        d = std::min(d, std::max(0.8 * (std::abs(p.y - y - 0.9 * std::sin(phase)) - 0.3 - 0.75 * swell), std::abs(p.x - 50) - reach));
    }
    return d;
}

double beams(V2 p) {
    const V2 d = p - V2{50, 70};
    double nearest = 1e9;
    for (int k = -1; k <= 13; ++k) {
        const double a = 15.0 * k * 3.14159265358979 / 180;
        const V2 way{std::cos(a), std::sin(a)};
        const double along = dot(d, way), across = std::abs(way.x * d.y - way.y * d.x), first = k % 2 == 0 ? 14.0 : 17.5;
        nearest = std::min(nearest, std::max(across - 0.055 * (along - 8), first - along));
    }
    return nearest;
}

double gull(V2 p, V2 at, double size) {
    const V2 q{std::abs(p.x - at.x) / size, (p.y - at.y) / size};
    static const std::vector<V2> wing = smooth_curve(std::vector<V2>{{0, 0}, {2.2, 1.9}, {4.6, 1.2}, {7, -1.2}}, 8);
    double d = 1e9;
    for (std::size_t k = 0; k + 1 < wing.size(); ++k) {
        const double t = static_cast<double>(k) / static_cast<double>(wing.size());
        d = std::min(d, tapered(q, wing[k], wing[k + 1], 0.75 - 0.7 * t, 0.72 - 0.7 * t));
    }
    return d * size;
}

double lighthouse_print(V2 p) {
    const double from_middle = length(p - V2{50, 50});
    const double ring = std::abs(from_middle - 47.2) - 1.5, inside = from_middle - 43.4;
    const double low = std::min({tower(p), rock(p), waves(p)});
    // Light stays between one thing and the next, and round the gulls.
    const double clear = std::min(bar({std::abs(p.x - 50), p.y}, {0, 40}, {12.6, 28}), rock(p) - 1.6);
    const double birds = std::min(gull(p, {24, 47}, 0.95), gull(p, {77, 40.5}, 0.72));
    const double sky = std::max({without(beams(p), clear), 50 - p.y, inside});
    return std::min({ring, std::max(low, inside), without(sky, birds - 1.6), birds});
}

double fish(V2 p) {
    static const std::vector<V2> body = smooth_curve(
        std::vector<V2>{{3, 30},    {9, 38},    {22, 46.4}, {31, 51.5}, {43, 53},   {48, 47.6}, {60, 42.6}, {73, 35.6}, {80, 35},
                        {90, 45.4}, {97, 49},   {93, 39},   {91.4, 30}, {93, 21},   {97, 11.6}, {90, 15},   {80, 25},   {73, 24.6},
                        {60, 18.2}, {54, 12.6}, {46, 9},    {42, 14},   {22, 14.4}, {9, 21.8},  {3, 30}},
        10);
    double d = polygon(p, body);
    d = without(d, disc(p, {16.4, 33.4}, 2.6));  // the eye: a hole for the cord
    // Gill and three rows of scales go right through too.
    const auto bow = [&](V2 at, double r, double half, double most) {
        const V2 q = p - at;
        return std::max(std::abs(length(q) - r) - half * (1 - std::min(1.0, std::pow(std::atan2(q.y, q.x) / most, 2))),
                        std::abs(std::atan2(q.y, q.x)) * r - most * r);
    };
    d = without(d, bow({12, 30}, 17, 1.5, 0.62));
    for (int row = 0; row < 3; ++row)
        for (int k = 0; k < 3; ++k)
            if (row == 1 || k < 2) d = without(d, bow({33.0 + 10.5 * k + (row == 1 ? 0.0 : 5.2), 38.4 - 8.2 * row}, 6, 1.35, 0.72));
    return d;
}

void print(const std::string& file, int width, int height, double scale, double (*edge)(V2)) {
    std::vector<std::uint8_t> grey(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    every_row(height, [&](int j) {
        for (int i = 0; i < width; ++i) {
            const V2 p{(i + 0.5) * scale, (height - j - 0.5) * scale};
            grey[static_cast<std::size_t>(j) * static_cast<std::size_t>(width) + static_cast<std::size_t>(i)] =
                static_cast<std::uint8_t>(std::lround(255 * clamp01(0.5 + edge(p) / scale)));
        }
    });
    write_grey8(file, width, height, grey);
}

}  // namespace

void paint_prints(const std::string& folder) {
    print(folder + "/lighthouse-ink.png", 1400, 1400, 100.0 / 1400, lighthouse_print);
    print(folder + "/fish.png", 1400, 868, 100.0 / 1400, fish);
}

}  // namespace paint
