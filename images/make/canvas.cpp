#include "canvas.hpp"

#include <png.h>

#include <atomic>
#include <cstdio>
#include <stdexcept>
#include <thread>

namespace paint {

double chance(int i, int j, int seed) {
    std::uint32_t h = static_cast<std::uint32_t>(i) * 0x8da6b343u ^ static_cast<std::uint32_t>(j) * 0xd8163841u ^
                      static_cast<std::uint32_t>(seed) * 0xcb1ab31fu;
    h ^= h >> 15;
    h *= 0x2c1b3c6du;
    h ^= h >> 12;
    h *= 0x297a2d39u;
    h ^= h >> 15;
    return h / 4294967296.0;
}

double noise(V2 p, int seed) {
    const int i = static_cast<int>(std::floor(p.x)), j = static_cast<int>(std::floor(p.y));
    const double fx = p.x - i, fy = p.y - j;
    const double u = fx * fx * fx * (fx * (fx * 6 - 15) + 10), v = fy * fy * fy * (fy * (fy * 6 - 15) + 10);
    const double a = chance(i, j, seed), b = chance(i + 1, j, seed), c = chance(i, j + 1, seed), d = chance(i + 1, j + 1, seed);
    return 2 * (a + (b - a) * u + (c - a) * v + (a - b - c + d) * u * v) - 1;
}

double fractal(V2 p, int octaves, int seed) {
    double sum = 0, amount = 0.5;
    for (int k = 0; k < octaves; ++k) {
        sum += amount * noise(p, seed + k);
        p = {p.x * 1.6 - p.y * 1.2 + 3.7, p.x * 1.2 + p.y * 1.6 - 1.3};
        amount /= 2;
    }
    return sum;
}

Cell cell_at(V2 p, int seed) {
    const int ci = static_cast<int>(std::floor(p.x)), cj = static_cast<int>(std::floor(p.y));
    Cell best;
    double nearest = 1e9;
    const auto site = [&](int i, int j) { return V2{i + 0.1 + 0.8 * chance(i, j, seed), j + 0.1 + 0.8 * chance(i, j, seed + 77)}; };
    for (int j = cj - 1; j <= cj + 1; ++j)
        for (int i = ci - 1; i <= ci + 1; ++i) {
            const V2 s = site(i, j);
            const double d = length(s - p);
            if (d < nearest) {
                nearest = d;
                best.centre = s;
                best.i = i;
                best.j = j;
            }
        }
    best.border = 1e9;
    for (int j = best.j - 2; j <= best.j + 2; ++j)
        for (int i = best.i - 2; i <= best.i + 2; ++i) {
            if (i == best.i && j == best.j) continue;
            const V2 s = site(i, j), across = s - best.centre;
            const double apart = length(across);
            best.border = std::min(best.border, dot((s + best.centre) * 0.5 - p, across * (1 / apart)));
        }
    return best;
}

double tapered(V2 p, V2 a, V2 b, double ra, double rb) {
    const V2 ab = b - a;
    const double t = clamp01(dot(p - a, ab) / dot(ab, ab));
    return length(p - a - ab * t) - (ra + (rb - ra) * t);
}

double polygon(V2 p, std::span<const V2> corners) {
    double nearest = 1e18;
    bool inside = false;
    for (std::size_t k = 0, last = corners.size() - 1; k < corners.size(); last = k++) {
        const V2 a = corners[last], b = corners[k], ab = b - a;
        const double t = clamp01(dot(p - a, ab) / std::max(1e-12, dot(ab, ab)));
        nearest = std::min(nearest, length(p - a - ab * t));
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)) inside = !inside;
    }
    return inside ? -nearest : nearest;
}

std::vector<V2> smooth_curve(std::span<const V2> through, int parts) {
    std::vector<V2> curve;
    const int n = static_cast<int>(through.size());
    const auto at = [&](int k) { return through[static_cast<std::size_t>(std::clamp(k, 0, n - 1))]; };
    for (int k = 0; k + 1 < n; ++k)
        for (int s = 0; s < parts; ++s) {
            const double t = static_cast<double>(s) / parts;
            const V2 a = at(k - 1), b = at(k), c = at(k + 1), d = at(k + 2);
            curve.push_back((b * 2 + (c - a) * t + (a * 2 - b * 5 + c * 4 - d) * (t * t) + (b * 3 - a - c * 3 + d) * (t * t * t)) * 0.5);
        }
    curve.push_back(through.back());
    return curve;
}

void every_row(int rows, const std::function<void(int)>& work) {
    std::atomic<int> next{0};
    const auto labour = [&] {
        for (int j = next++; j < rows; j = next++) work(j);
    };
    std::vector<std::jthread> hands;
    for (unsigned t = 1; t < std::max(1u, std::thread::hardware_concurrency()); ++t) hands.emplace_back(labour);
    labour();
}

std::uint8_t coded(double light) {
    const double v = clamp01(light);
    const double c = v <= 0.0031308 ? v * 12.92 : 1.055 * std::pow(v, 1 / 2.4) - 0.055;
    return static_cast<std::uint8_t>(std::lround(c * 255));
}

namespace {

void write(const std::string& file, int width, int height, int type, int bits, std::span<const std::uint8_t> bytes) {
    std::FILE* out = std::fopen(file.c_str(), "wb");
    if (!out) throw std::runtime_error("Cannot write " + file);
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
    png_infop info = png_create_info_struct(png);
    if (setjmp(png_jmpbuf(png))) std::abort();
    png_init_io(png, out);
    png_set_compression_level(png, 9);
    png_set_filter(png, 0, bits == 1 ? PNG_FILTER_NONE : PNG_ALL_FILTERS);
    png_set_IHDR(png, info, static_cast<png_uint_32>(width), static_cast<png_uint_32>(height), bits, type, PNG_INTERLACE_NONE,
                 PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    if (bits == 8) png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
    png_write_info(png, info);
    const std::size_t stride = bytes.size() / static_cast<std::size_t>(height);
    for (int j = 0; j < height; ++j) png_write_row(png, bytes.data() + static_cast<std::size_t>(j) * stride);
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
    std::fclose(out);
}

}  // namespace

void write_grey8(const std::string& file, int width, int height, std::span<const std::uint8_t> samples) {
    write(file, width, height, PNG_COLOR_TYPE_GRAY, 8, samples);
}

void write_grey16(const std::string& file, int width, int height, std::span<const std::uint16_t> samples) {
    std::vector<std::uint8_t> bytes;
    bytes.reserve(samples.size() * 2);
    for (const auto s : samples) {
        bytes.push_back(static_cast<std::uint8_t>(s >> 8));
        bytes.push_back(static_cast<std::uint8_t>(s & 255));
    }
    write(file, width, height, PNG_COLOR_TYPE_GRAY, 16, bytes);
}

void write_rgb8(const std::string& file, int width, int height, std::span<const std::uint8_t> samples) {
    write(file, width, height, PNG_COLOR_TYPE_RGB, 8, samples);
}

}  // namespace paint
