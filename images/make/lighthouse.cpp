// Puts the diorama together, lights it like a photograph, and writes the same view as a depth map.
//
// Every pixel looks straight in; the nearest part wins. Light: one low sun with cast shadows, sky light by how much of
// the sky a place sees (horizon angles in eight directions), the lamp. The depth map runs the same z through one rising
// curve that spends little depth on the air between the layers and more on the things themselves.
#include <numbers>

#include "scene.hpp"

namespace paint {
namespace {

struct View {
    int width = 0, height = 0;
    double cell = 0;
    std::vector<float> z;
    std::vector<Stuff> stuff;
    [[nodiscard]] std::size_t at(int i, int j) const {
        return static_cast<std::size_t>(j) * static_cast<std::size_t>(width) + static_cast<std::size_t>(i);
    }
    [[nodiscard]] V2 place(int i, int j) const { return {(i + 0.5) * cell, scene_height - (j + 0.5) * cell}; }
};

View look(int width, int height) {
    View view{width, height, scene_width / width, {}, {}};
    view.z.resize(static_cast<std::size_t>(width) * static_cast<std::size_t>(height));
    view.stuff.resize(view.z.size());
    const auto parts = diorama();
    every_row(height, [&](int j) {
        for (int i = 0; i < width; ++i) {
            const V2 p = view.place(i, j);
            Hit best;
            for (const auto& part : parts) {
                if (p.x < part.lo.x || p.x > part.hi.x || p.y < part.lo.y || p.y > part.hi.y) continue;
                const Hit hit = part.look(p);
                if (hit.z > best.z) best = hit;
            }
            view.z[view.at(i, j)] = static_cast<float>(best.z);
            view.stuff[view.at(i, j)] = best.stuff;
        }
    });
    return view;
}

/// One rising curve from z to height 0 … 1; the frame, which stands apart, keeps its own round shape.
double squeezed(double z, Stuff stuff) {
    if (stuff == Stuff::frame) return 1 - 0.19 * clamp01((30 - z) / 6);
    constexpr std::array<V2, 8> knots{{{-1, 0}, {0, 0.02}, {2.6, 0.16}, {6, 0.28}, {12, 0.35}, {17, 0.47}, {24, 0.82}, {31, 0.99}}};
    for (std::size_t k = 0; k + 1 < knots.size(); ++k)
        if (z < knots[k + 1].x)
            return knots[k].y + (knots[k + 1].y - knots[k].y) * clamp01((z - knots[k].x) / (knots[k + 1].x - knots[k].x));
    return 1;
}

Colour colour_of(Stuff stuff, V2 p, double z) {
    const double grain = fractal(p * 2.2, 4, 301), broad = fractal(p * 0.3, 3, 305);
    switch (stuff) {
        case Stuff::sky: {
            const double t = clamp01((p.y - 26) / 45);
            return mix(mix({0.93, 0.56, 0.30}, {0.55, 0.50, 0.52}, step(0, 0.42, t)), {0.10, 0.19, 0.36}, step(0.25, 1.0, t)) *
                   (0.92 + 0.1 * broad);
        }
        case Stuff::beam: {
            const double far = std::abs(p.x - lamp.x);
            return mix(colour_of(Stuff::sky, p, z), {1.0, 0.88, 0.55}, 0.70 * std::exp(-far / 26));
        }
        case Stuff::cloud:
            return mix({0.80, 0.60, 0.52}, {0.93, 0.86, 0.84}, clamp01(z / 2.4));
        case Stuff::gull:
            return z > 1e8 ? Colour{} : mix({0.86, 0.86, 0.85}, {0.50, 0.53, 0.57}, step(0.1, 0.5, grain));
        case Stuff::hill:
            return mix({0.20, 0.24, 0.30}, {0.30, 0.30, 0.31}, 0.5 + 0.5 * grain);
        case Stuff::sea: {
            const double near = clamp01((26 - p.y) / 22);
            const double crest = z - (3 + 21 * near), foam = step(0.55, 0.95, crest / (0.4 + 3.4 * near) + 0.35 * grain);
            return mix(mix({0.30, 0.30, 0.33}, {0.025, 0.12, 0.17}, step(0, 0.7, near)), {0.80, 0.86, 0.86}, 0.85 * foam);
        }
        case Stuff::rock:
            return mix({0.13, 0.105, 0.09}, {0.34, 0.285, 0.235}, clamp01(0.5 + 0.3 * grain + 0.5 * broad)) *
                   (p.y < 9 + 2 * broad ? 0.6 : 1.0);
        case Stuff::grass:
            return mix({0.09, 0.16, 0.045}, {0.26, 0.29, 0.09}, clamp01(0.5 + 0.8 * grain));
        case Stuff::tower: {
            const double y = 31 + (p.y - 31) * 28 / 25;
            const bool red = (y > 37.2 && y < 43.2) || (y > 49.2 && y < 54.6);
            return red ? Colour{0.50, 0.055, 0.04} * (0.95 + 0.2 * grain) : Colour{0.84, 0.81, 0.74} * (0.96 + 0.10 * grain);
        }
        case Stuff::gallery:
            return {0.10, 0.11, 0.12};
        case Stuff::glass: {
            const double glow = std::exp(-std::pow(length(p - lamp) / 1.9, 2.0));
            return mix({0.20, 0.20, 0.17}, {2.2, 1.6, 0.75}, glow);
        }
        case Stuff::dome:
            return Colour{0.42, 0.05, 0.035};
        case Stuff::wall:
            return Colour{0.82, 0.78, 0.69} * (0.93 + 0.22 * grain);
        case Stuff::roof:
            return mix({0.085, 0.09, 0.105}, {0.17, 0.165, 0.17}, clamp01(0.5 + grain));
        case Stuff::pane:
            return p.x < 60 ? Colour{0.85, 0.52, 0.17} : Colour{0.06, 0.07, 0.08};
        case Stuff::door:
            return {0.05, 0.14, 0.17};
        case Stuff::path:
            return Colour{0.46, 0.41, 0.34} * (0.9 + 0.3 * grain);
        case Stuff::hull:
            return {0.035, 0.06, 0.11};
        case Stuff::sail:
            return Colour{0.50, 0.16, 0.075} * (0.95 + 0.25 * grain);
        case Stuff::spar:
            return {0.42, 0.25, 0.11};
        case Stuff::smoke:
            return {0.7, 0.7, 0.7};
        case Stuff::frame:
            return mix({0.36, 0.25, 0.14}, {0.50, 0.37, 0.22}, clamp01(0.5 + 0.5 * fractal({p.x * 0.8, p.y * 0.8}, 3, 309)));
    }
    return {};
}

/// Share of the sky that a place sees, and whether the sun reaches it.
struct Light {
    double sky = 1, sun = 1;
};

Light light_at(const View& view, int i, int j, const std::array<double, 3>& to_sun) {
    const double z = view.z[view.at(i, j)];
    const auto height = [&](double x, double y) -> double {
        const int a = std::clamp(static_cast<int>(x), 0, view.width - 1), b = std::clamp(static_cast<int>(y), 0, view.height - 1);
        return view.z[view.at(a, b)];
    };
    Light light;
    double open = 0;
    for (int k = 0; k < 8; ++k) {
        const double angle = (k + 0.5 * chance(i, j, 401)) * std::numbers::pi / 4, cx = std::cos(angle), cy = std::sin(angle);
        double steepest = 0;
        for (double mm = 0.14; mm < 5; mm *= 1.55) {
            const double rise = (height(i + 0.5 + cx * mm / view.cell, j + 0.5 + cy * mm / view.cell) - z) * 0.5;
            steepest = std::max(steepest, rise / std::hypot(rise, mm));
        }
        open += 1 - steepest;
    }
    light.sky = open / 8;
    const double flat = std::hypot(to_sun[0], to_sun[1]);
    double shade = 0;
    for (double mm = 0.15; mm < 9; mm += 0.12 + mm * 0.02) {
        const double ray = z + 0.05 + mm / flat * to_sun[2];
        // Nothing throws a shadow longer than that of 6 mm: the air between the layers is only painted.
        const double over =
            std::min(height(i + 0.5 + to_sun[0] / flat * mm / view.cell, j + 0.5 - to_sun[1] / flat * mm / view.cell), z + 6) - ray;
        shade = std::max(shade, clamp01(over / (0.10 + 0.38 * mm)));
    }
    light.sun = 1 - shade;
    return light;
}

}  // namespace

void paint_lighthouse(const std::string& folder) {
    constexpr int fine = 2, width = 1600, height = 1200;
    const View view = look(width * fine, height * fine);

    std::vector<std::uint16_t> depth(static_cast<std::size_t>(width) * height);
    for (int j = 0; j < height; ++j)
        for (int i = 0; i < width; ++i) {
            double sum = 0;
            for (int b = 0; b < fine; ++b)
                for (int a = 0; a < fine; ++a)
                    sum += squeezed(view.z[view.at(i * fine + a, j * fine + b)], view.stuff[view.at(i * fine + a, j * fine + b)]);
            // Steps of 8/65535 (0.4 µm at 3 mm) halve the file.
            const auto level = std::lround(sum / (fine * fine) * 8191);
            depth[static_cast<std::size_t>(j) * width + static_cast<std::size_t>(i)] =
                static_cast<std::uint16_t>(std::min(65535L, level * 65535 / 8191));
        }
    write_grey16(folder + "/lighthouse-depth.png", width, height, depth);

    const std::array<double, 3> sun = [] {
        const double x = -0.62, y = 0.42, z = 0.66, l = std::sqrt(x * x + y * y + z * z);
        return std::array<double, 3>{x / l, y / l, z / l};
    }();
    constexpr int photo_width = 1200, photo_height = 900;
    std::vector<double> light(view.z.size() * 3);
    every_row(view.height, [&](int j) {
        for (int i = 0; i < view.width; ++i) {
            const std::size_t k = view.at(i, j);
            const V2 p = view.place(i, j);
            const double left = view.z[view.at(std::max(i - 1, 0), j)], right = view.z[view.at(std::min(i + 1, view.width - 1), j)];
            const double up = view.z[view.at(i, std::max(j - 1, 0))], down = view.z[view.at(i, std::min(j + 1, view.height - 1))];
            double nx = -std::clamp((right - left) / (2 * view.cell), -3.0, 3.0),
                   ny = -std::clamp((up - down) / (2 * view.cell), -3.0, 3.0);
            const Stuff stuff = view.stuff[k];
            const bool air = stuff == Stuff::sky || stuff == Stuff::beam;
            if (stuff == Stuff::sea) nx *= 0.8, ny = (ny + 1.2) * 0.55;
            const double l = std::sqrt(nx * nx + ny * ny + 1);
            const double facing = std::max(0.0, (nx * sun[0] + ny * sun[1] + sun[2]) / l);
            const Light seen = air ? Light{} : light_at(view, i, j, sun);
            const Colour base = colour_of(stuff, p, view.z[k]);
            const double sky = 0.42 * seen.sky * seen.sky * (0.75 + 0.25 * ny / l), warm = 1.25 * facing * seen.sun;
            Colour out{base[0] * (0.80 * sky + 1.08 * warm), base[1] * (0.92 * sky + 0.86 * warm), base[2] * (1.25 * sky + 0.62 * warm)};
            if (air) out = base * 0.85;
            if (stuff == Stuff::glass) out = mix(out, base, clamp01(base[0]));
            if (stuff == Stuff::pane && p.x < 60) out = base * 0.95;
            if (stuff == Stuff::sea) {
                const double glint = std::pow(std::max(0.0, (nx * sun[0] * 0.6 + ny * 0.75 + 0.62) / l), 24.0);
                out = mix(out, {0.95, 0.62, 0.36}, 0.55 * clamp01(glint) * seen.sun);
            }
            // Haze towards the back, a glow round the lamp.
            if (!air) out = mix(out, {0.58, 0.47, 0.42}, 0.42 * clamp01((9 - view.z[k]) / 9) * (stuff == Stuff::gull ? 0.3 : 1.0));
            const double glow = stuff == Stuff::frame ? 0 : 0.5 * std::exp(-length(p - lamp) / 3.2);
            for (std::size_t c = 0; c < 3; ++c) light[k * 3 + c] = out[c] + glow * std::array<double, 3>{1.0, 0.72, 0.36}[c];
        }
    });
    std::vector<std::uint8_t> photo(static_cast<std::size_t>(photo_width) * photo_height * 3);
    every_row(photo_height, [&](int j) {
        const double scale = static_cast<double>(view.width) / photo_width;
        for (int i = 0; i < photo_width; ++i) {
            const int a0 = static_cast<int>(i * scale), a1 = static_cast<int>((i + 1) * scale + 0.999), b0 = static_cast<int>(j * scale),
                      b1 = static_cast<int>((j + 1) * scale + 0.999);
            Colour sum{};
            double weight = 0;
            for (int b = b0; b < std::min(b1, view.height); ++b)
                for (int a = a0; a < std::min(a1, view.width); ++a) {
                    const double w = (std::min(a + 1.0, (i + 1) * scale) - std::max<double>(a, i * scale)) *
                                     (std::min(b + 1.0, (j + 1) * scale) - std::max<double>(b, j * scale));
                    for (std::size_t c = 0; c < 3; ++c) sum[c] += w * light[view.at(a, b) * 3 + c];
                    weight += w;
                }
            const V2 d{(i + 0.5) / photo_width - 0.5, (j + 0.5) / photo_height - 0.5};
            const double vignette = 1 - 0.55 * dot(d, d);
            for (std::size_t c = 0; c < 3; ++c) {
                // A film-like shoulder: x (1 + x/w²) / (1 + x) with white at 3 (Reinhard 2002).
                const double x = sum[c] / weight * vignette * 1.55;
                photo[(static_cast<std::size_t>(j) * photo_width + static_cast<std::size_t>(i)) * 3 + c] =
                    coded(x * (1 + x / 4.0) / (1 + x));
            }
        }
    });
    write_rgb8(folder + "/lighthouse.png", photo_width, photo_height, photo);
}

}  // namespace paint
