// The two flat pictures: a gull in ink with strokes that swell and taper like a pen's, and the museum's crest in two tones.
#include "scene.hpp"

namespace paint {
namespace {

/// A stroke of the pen: half width `half` in the middle, tapering towards both ends by the given shares.
struct Stroke {
    std::vector<V2> line;
    double half = 0.5, from = 0.25, to = 0.15;
};

double ink_distance(V2 p, const Stroke& stroke) {
    const auto n = static_cast<double>(stroke.line.size() - 1);
    const auto width = [&](double t) {
        const double swell = 0.75 + 0.35 * std::sin(t * 3.14159265358979);
        return stroke.half * swell * (stroke.from + (1 - stroke.from) * step(0, 0.30, t)) *
               (stroke.to + (1 - stroke.to) * step(1, 0.65, t));
    };
    double nearest = 1e9;
    for (std::size_t k = 0; k + 1 < stroke.line.size(); ++k)
        nearest = std::min(nearest, tapered(p, stroke.line[k], stroke.line[k + 1], width(static_cast<double>(k) / n),
                                            width(static_cast<double>(k + 1) / n)));
    return nearest;
}

struct Drawing {
    std::vector<Stroke> strokes;
    std::vector<std::vector<V2>> blots;  ///< filled shapes
    void pen(double half, const std::vector<V2>& through, double from = 0.25, double to = 0.15) {
        strokes.push_back({smooth_curve(through, 10), half, from, to});
    }
    void fill(const std::vector<V2>& through) { blots.push_back(smooth_curve(through, 8)); }
};

Drawing gull() {
    Drawing d;
    // Head and bill.
    d.pen(0.75, {{24.5, 78.5}, {18, 77.8}, {12.5, 75}, {10.2, 71.2}}, 0.6, 0.7);
    d.pen(0.65, {{10.2, 71.2}, {12.6, 72.2}, {17, 71.2}, {24.5, 71.8}}, 0.6, 0.4);
    d.pen(0.38, {{12.2, 73.6}, {18, 74.2}, {26, 74.6}, {28.5, 73.6}}, 0.3, 0.2);
    d.fill({{15.2, 72.4}, {17.2, 71.7}, {17.8, 73.0}, {15.8, 73.3}, {15.2, 72.4}});
    d.pen(0.30, {{20.2, 76.2}, {21.6, 76.4}, {22.6, 76.1}}, 0.4, 0.4);
    d.pen(0.95, {{24.5, 78.5}, {28, 83.6}, {34.5, 86.2}, {41.5, 83.6}, {45.6, 76.5}, {51, 69.4}, {60, 63.8}, {72, 57.2}, {86, 48.6}}, 0.5,
          0.25);
    d.fill({{30.6, 79.6}, {32.2, 80.8}, {34.0, 79.7}, {33.2, 77.9}, {31.4, 78.0}, {30.6, 79.6}});
    d.pen(0.34, {{28.9, 80.9}, {31.6, 82.3}, {35.2, 81.2}}, 0.3, 0.2);
    // Breast, belly, tail.
    d.pen(0.95, {{24.5, 71.8}, {28.2, 67.5}, {29.4, 61}, {27.4, 52}, {28.6, 43}, {34, 35.5}, {42, 31.4}, {47, 30.4}}, 0.4, 0.3);
    d.pen(0.85, {{53, 30.4}, {62, 32.2}, {72, 36.2}, {80, 38.8}, {89, 38.2}, {96, 36.4}}, 0.3, 0.3);
    d.pen(0.60, {{96, 36.4}, {93.6, 38.8}, {90, 40.6}}, 0.5, 0.3);
    d.pen(0.45, {{91.5, 37.6}, {86, 39.6}, {80.5, 41.0}}, 0.4, 0.2);
    // Wing with its rows of feathers.
    d.pen(0.95, {{44.5, 65.6}, {40.2, 58}, {40.0, 50.6}, {44.6, 44.6}, {54, 41.2}, {66, 41.0}, {78, 42.6}}, 0.25, 0.3);
    d.pen(0.55, {{47, 58.5}, {46.4, 53.2}, {50, 49.4}, {57, 48.0}}, 0.3, 0.2);
    d.pen(0.50, {{52.6, 60.4}, {52.4, 55.6}, {56.6, 52.4}, {64, 51.2}}, 0.3, 0.2);
    d.pen(0.50, {{60.4, 57.8}, {61.4, 54.2}, {66.4, 51.6}, {73, 50.6}}, 0.3, 0.2);
    d.pen(0.55, {{51, 47.6}, {60, 44.4}, {70, 44.2}, {80, 45.0}}, 0.3, 0.2);
    d.pen(0.50, {{58, 49.6}, {67, 46.9}, {76, 46.8}, {84, 47.0}}, 0.3, 0.2);
    // Dark wing tips.
    d.fill({{76, 43.2}, {84, 44.6}, {93, 45.6}, {99.4, 44.0}, {93, 42.4}, {84, 41.4}, {76, 43.2}});
    d.fill({{80, 46.4}, {88, 48.4}, {96.6, 48.9}, {90, 46.6}, {84, 45.6}, {80, 46.4}});
    // Shade under belly and throat.
    for (int k = 0; k < 11; ++k) {
        const double t = k / 10.0, x = 31 + 17 * t, y = 40.5 - 8 * t + 3.5 * (t - 0.5) * (t - 0.5);
        d.pen(0.30, {{x, y}, {x + 1.8, y + 1.9 + t}, {x + 3.9, y + 3.0 + 1.6 * t}}, 0.5, 0.1);
    }
    for (int k = 0; k < 7; ++k) {
        const double x = 56 + 4.1 * k, y = 32.2 + 0.95 * k;
        d.pen(0.28, {{x, y}, {x + 2.0, y + 2.0}, {x + 4.4, y + 3.2}}, 0.5, 0.1);
    }
    for (int k = 0; k < 5; ++k)
        d.pen(0.26, {{29.4 + 0.2 * k, 66.5 - 2.6 * k}, {31.4 + 0.2 * k, 65.8 - 2.6 * k}, {33.2, 66.0 - 2.6 * k}}, 0.5, 0.1);
    for (int k = 0; k < 4; ++k)
        d.pen(0.26, {{38 + 1.7 * k, 82.8 - 2.2 * k}, {38.6 + 1.7 * k, 80.6 - 2.2 * k}, {38.2 + 1.7 * k, 78.8 - 2.2 * k}}, 0.5, 0.1);
    // Legs and webbed feet.
    d.pen(0.85, {{47, 30.6}, {46.4, 25}, {45.4, 18.6}}, 0.8, 0.8);
    d.pen(0.85, {{53, 30.6}, {53.6, 25}, {55.0, 18.6}}, 0.8, 0.8);
    d.pen(0.55,
          {{45.4, 18.8}, {42.6, 17.4}, {38.8, 16.6}, {41.6, 15.9}, {43.0, 15.2}, {45.0, 15.9}, {47.8, 15.5}, {46.6, 17.4}, {45.4, 18.8}},
          0.8, 0.8);
    d.pen(0.55,
          {{55.0, 18.8}, {52.4, 17.4}, {49.4, 16.8}, {51.8, 15.9}, {53.2, 15.1}, {55.2, 15.8}, {58.0, 15.4}, {56.4, 17.4}, {55.0, 18.8}},
          0.8, 0.8);
    // The post it stands on, with a rope.
    d.pen(0.85, {{33.5, 14.6}, {38, 16.6}, {48.5, 17.4}, {59, 16.6}, {64, 14.6}, {59, 12.6}, {48.5, 11.9}, {38, 12.6}, {33.5, 14.6}}, 0.9,
          0.9);
    d.pen(0.90, {{33.5, 14.6}, {33.2, 9}, {32.6, 2.5}}, 0.8, 0.3);
    d.pen(0.90, {{64, 14.6}, {64.2, 9}, {65.0, 2.5}}, 0.8, 0.3);
    d.pen(0.75, {{32.6, 9.4}, {40, 7.2}, {48.5, 6.5}, {57, 7.2}, {65.2, 9.4}}, 0.7, 0.7);
    d.pen(0.75, {{32.4, 6.4}, {40, 4.2}, {48.5, 3.5}, {57, 4.2}, {65.4, 6.4}}, 0.7, 0.7);
    for (int k = 0; k < 14; ++k) {
        const double x = 34.5 + 2.25 * k, sag = 0.0105 * (x - 48.9) * (x - 48.9);
        d.pen(0.40, {{x - 0.7, 3.9 + sag}, {x + 0.25, 5.0 + sag}, {x + 0.6, 6.1 + sag}}, 0.6, 0.5);
    }
    d.pen(0.32, {{42, 15.2}, {48, 14.4}, {54, 14.6}}, 0.3, 0.2);
    d.pen(0.32, {{39, 14.0}, {44, 13.3}, {50, 13.2}}, 0.3, 0.2);
    // Water.
    d.pen(0.45, {{2, 12}, {8, 13.0}, {14, 11.9}, {20, 12.8}, {27, 12.0}}, 0.2, 0.1);
    d.pen(0.40, {{6, 8.4}, {13, 9.2}, {19, 8.2}, {25, 8.8}}, 0.2, 0.1);
    d.pen(0.35, {{3, 5.0}, {9, 5.7}, {15, 4.8}}, 0.2, 0.1);
    d.pen(0.45, {{70, 12}, {77, 13.0}, {84, 11.9}, {91, 12.8}, {98, 12.0}}, 0.2, 0.1);
    d.pen(0.40, {{72, 8.2}, {79, 9.0}, {86, 8.1}, {92, 8.6}}, 0.2, 0.1);
    d.pen(0.35, {{80, 4.8}, {87, 5.5}, {94, 4.7}}, 0.2, 0.1);
    // Two more on the wing, far off.
    d.pen(0.55, {{66, 82}, {70, 85.4}, {73.4, 82.6}, {77.2, 86.0}, {82, 83.6}}, 0.15, 0.1);
    d.pen(0.42, {{82, 74}, {84.8, 76.4}, {87.2, 74.5}, {90.0, 76.8}, {93.2, 75.2}}, 0.15, 0.1);
    return d;
}

void paint_gull(const std::string& file) {
    constexpr int size = 1400;
    const Drawing drawing = gull();
    std::vector<std::uint8_t> grey(static_cast<std::size_t>(size) * size);
    every_row(size, [&](int j) {
        for (int i = 0; i < size; ++i) {
            const V2 at{(i + 0.5) * 100.0 / size, (size - j - 0.5) * 92.0 / size};
            // The hand is never quite steady, the paper never quite smooth.
            const V2 p{at.x + 0.16 * fractal(at * 0.35, 2, 501), at.y + 0.16 * fractal(at * 0.35, 2, 505)};
            double d = 1e9;
            for (const auto& stroke : drawing.strokes) {
                // Far strokes cannot matter: their first point and length bound them.
                const V2 a = stroke.line.front();
                if (std::abs(a.x - p.x) > 75 || std::abs(a.y - p.y) > 60) continue;
                d = std::min(d, ink_distance(p, stroke));
                if (d < -0.2) break;
            }
            for (const auto& blot : drawing.blots) d = std::min(d, polygon(p, blot) - 0.25);
            d += 0.055 * fractal(at * 3.2, 2, 509);
            const double ink = clamp01(0.5 - d / (100.0 / size) * 0.8);
            const double paper = 0.955 + 0.012 * fractal(at * 0.06, 2, 513), dark = 0.10;
            grey[static_cast<std::size_t>(j) * size + static_cast<std::size_t>(i)] =
                static_cast<std::uint8_t>(std::lround(255 * (paper + (dark - paper) * ink)));
        }
    });
    write_grey8(file, size, size, grey);
}

double shield(V2 p) {
    static const std::vector<V2> right = smooth_curve(std::vector<V2>{{93, 108}, {93.4, 80}, {91.5, 55}, {82, 31}, {66, 14}, {50, 4}}, 14);
    static const std::vector<V2> outline = [] {
        std::vector<V2> all{{50, 104}};
        const auto top = smooth_curve(std::vector<V2>{{50, 104}, {62, 108.5}, {78, 106}, {93, 108}}, 10);
        all = top;
        all.insert(all.end(), right.begin() + 1, right.end());
        const std::size_t n = all.size();
        for (std::size_t k = n - 1; k-- > 1;) all.push_back({100 - all[k].x, all[k].y});
        return all;
    }();
    return polygon(p, outline);
}

double lantern(V2 p) {
    const V2 q{std::abs(p.x - 50), p.y + 1.2};
    double d = std::abs(disc(q, {0, 99.6}, 2.6)) - 0.85;
    const auto half_width = [&](double y0, double w0, double y1, double w1) {
        const std::vector<V2> half{{0, y0}, {w0, y0}, {w1, y1}, {0, y1}};
        return polygon(q, half);
    };
    d = std::min(d, half_width(92.6, 9.4, 98.6, 3.0));
    d = std::min(d, bar(q, {0, 91.6}, {10.8, 1.25}, 0.5));
    d = std::min(d, bar(q, {0, 68.4}, {10.8, 1.6}, 0.5));
    d = std::min(d, half_width(64.2, 8.4, 67.4, 9.6));
    d = std::min(d, bar(q, {9.0, 80}, {0.95, 11.4}));
    // Flame: a drop with a dark heart.
    const double lean = q.y < 78 ? 1.0 : std::max(0.02, 1 - std::pow((q.y - 78) / 11.5, 1.25));
    const double drop = q.y < 78 ? disc(q, {0, 78}, 5.1) : (q.x - 5.1 * lean) * 0.85;
    const double flame = q.y > 89.4 ? 10.0 : drop;
    const double heart =
        q.y < 75.6 ? disc(q, {0, 75.6}, 1.9) : std::max((q.x - 1.9 * std::max(0.0, 1 - (q.y - 75.6) / 6.0)) * 0.9, q.y - 81.6);
    d = std::min(d, std::max(flame, -heart));
    return std::min(d, bar(q, {0, 71.6}, {2.6, 1.9}, 0.3));
}

double rays(V2 p) {
    const V2 d = p - V2{50, 79};
    double nearest = 1e9;
    for (const double degrees : {-28.0, -14.0, 0.0, 14.0, 28.0}) {
        const double a = degrees * 3.14159265358979 / 180;
        const V2 way{std::cos(a), std::sin(a)}, q{std::abs(d.x), d.y};
        const double along = dot(q, way), across = std::abs(-way.y * q.x + way.x * q.y);
        const double last = std::abs(degrees) < 5 ? 35.5 : std::abs(degrees) < 20 ? 32.5 : 29.5;
        nearest = std::min(nearest, std::max({across - (0.35 + 0.045 * (along - 14)), 15.5 - along, along - last}));
    }
    return nearest;
}

double anchor(V2 p) {
    const V2 q{std::abs(p.x - 50), p.y};
    double d = std::abs(disc(q, {0, 51.2}, 3.5)) - 1.15;
    d = std::min(d, tapered(q, {0, 47.2}, {0, 17}, 1.75, 2.25));
    d = std::min(d, tapered(q, {0, 43.6}, {11.2, 43.6}, 1.55, 1.15));
    d = std::min(d, disc(q, {11.8, 43.6}, 2.0));
    // Arms: an arc that thins towards the flukes.
    const V2 hub{0, 37};
    const double angle = std::atan2(q.x, hub.y - q.y), r = length(q - hub);
    if (angle < 1.18) d = std::min(d, std::abs(r - 21) - (2.7 - 0.95 * angle));
    d = std::min(d, polygon(q, std::vector<V2>{{21.6, 36.4}, {14.4, 29.2}, {19.6, 28.6}, {24.2, 24.6}}));
    d = std::min(d, polygon(q, std::vector<V2>{{0, 12.2}, {3.0, 16.6}, {0, 20}}));
    return d;
}

void paint_crest(const std::string& file) {
    constexpr int width = 1200, height = 1344;
    std::vector<std::uint8_t> grey(static_cast<std::size_t>(width) * height);
    every_row(height, [&](int j) {
        for (int i = 0; i < width; ++i) {
            const V2 p{(i + 0.5) * 100.0 / width, (height - j - 0.5) * 100.0 / width};
            const double edge = shield(p);
            const double wave = 60.5 + 1.5 * std::cos((p.x - 50) * 2 * 3.14159265358979 / 14.2);
            // Dark: a band round the shield, the upper field but for lantern and rays, the anchor, one more wave.
            const double band = std::max(edge, -edge - 2.6);
            const double field = std::max({edge + 4.4, wave - p.y, -lantern(p), -rays(p)});
            const double second = std::max(edge + 4.4, std::abs(p.y - wave + 3.4) * 0.86 - 0.9);
            const double inner = std::max(anchor(p), edge + 4.4);
            const double d = std::min({band, field, std::max(second, 0.0 - anchor(p) + 1.2), inner});
            grey[static_cast<std::size_t>(j) * width + static_cast<std::size_t>(i)] =
                static_cast<std::uint8_t>(std::lround(255 * clamp01(0.5 + d / (100.0 / width))));
        }
    });
    write_grey8(file, width, height, grey);
}

}  // namespace

void paint_drawings(const std::string& folder) {
    paint_gull(folder + "/gull-ink.png");
    paint_crest(folder + "/crest.png");
}

}  // namespace paint
