// A photo of an ash slice on the workshop's bench, taken from above by the window: two pencil crosses on it, 100 mm apart.
#include "scene.hpp"

namespace paint {
namespace {

constexpr int width = 960, height = 760;
constexpr double pixels = 5.6;                   // to a millimetre
constexpr V2 middle{width / 2.0, height / 2.0};  // of the slice
constexpr V2 crosses[2]{{-52, 6}, {48, 6}};      // mm from there, y up

/// How far the log reaches at an angle, mm.
double reach(double angle) {
    return 61 + 4.2 * std::cos(2 * angle + 0.7) + 2.1 * std::cos(3 * angle - 0.4) + 0.9 * std::sin(5 * angle) +
           0.4 * std::sin(11 * angle + 1);
}

/// From the bark's edge, below 0 inside; near enough for a shape this round.
double edge(V2 p) { return length(p) - reach(std::atan2(p.y, p.x)); }

Colour bench(V2 p) {
    const double grain = fractal({p.x * 0.05, p.y * 0.9}, 4, 11);
    return Colour{0.30, 0.31, 0.33} * (1 + 0.10 * grain);
}

Colour bark(V2 p) {
    const double rough = fractal({p.x * 0.5, p.y * 0.5}, 4, 23);
    return Colour{0.075, 0.05, 0.034} * (1 + 0.5 * rough);
}

Colour wood(V2 p) {
    const V2 pith{4, -3};
    const double angle = std::atan2(p.y - pith.y, p.x - pith.x);
    const double age =
        length(p - pith) * (1 + 0.05 * std::cos(2 * angle + 0.7)) + 0.8 * noise({std::cos(angle) * 3, std::sin(angle) * 3}, 5);
    const double year = age / 2.6 - std::floor(age / 2.6);
    const double late = step(0.62, 0.97, year);
    Colour c = mix({0.60, 0.44, 0.27}, {0.40, 0.26, 0.14}, 0.75 * late);
    const double ray = fractal({angle * 22, age * 0.06}, 3, 37);
    c = c * (1 + 0.05 * ray + 0.04 * fractal(p * 1.7, 3, 41));
    double pencil = 1;
    for (const V2& at : crosses) {
        const V2 d = p - at;
        const double line =
            std::min(std::max(std::abs(d.x) - 3.5, std::abs(d.y) - 0.22), std::max(std::abs(d.y) - 3.5, std::abs(d.x) - 0.22));
        pencil = std::min(pencil, step(-0.12, 0.12, line));
    }
    return c * (0.35 + 0.65 * pencil);
}

Colour seen(V2 p) {
    const double out = edge(p);
    const double light = 1.06 - 0.0016 * p.x + 0.0012 * p.y;  // the window is on the left
    if (out < -4.3 + 0.5 * noise(p * 0.3, 7)) return wood(p) * light;
    if (out < 0) return bark(p) * light;
    const double shade = 1 - 0.42 * step(3.5, -1.5, edge({p.x - 3.2, p.y + 2.4}));
    return bench(p) * (light * shade);
}

}  // namespace

void paint_slice(const std::string& folder) {
    std::vector<std::uint8_t> samples(static_cast<std::size_t>(width) * height * 3);
    every_row(height, [&](int j) {
        for (int i = 0; i < width; ++i) {
            Colour sum{};
            for (int s = 0; s < 9; ++s) {
                const V2 at{i + (s % 3 + 0.5) / 3, j + (s / 3 + 0.5) / 3};
                const Colour c = seen({(at.x - middle.x) / pixels, (middle.y - at.y) / pixels});
                for (std::size_t k = 0; k < 3; ++k) sum[k] += c[k] / 9;
            }
            const double grain = 1 + 0.02 * (chance(i, j, 3) + chance(i, j, 4) - 1);
            for (std::size_t k = 0; k < 3; ++k)
                samples[(static_cast<std::size_t>(j) * width + static_cast<std::size_t>(i)) * 3 + k] = coded(sum[k] * grain);
        }
    });
    write_rgb8(folder + "/ash-photo.png", width, height, samples);
}

}  // namespace paint
