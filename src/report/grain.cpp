// Procedural grain: year rings of a trunk cut as a board or as a slice, fibres, granules, pebbles, brushed metal.
//
// All are functions of the place in the block, after solid texturing (Perlin 1985; Peachey 1985), over value noise and
// a cellular pattern (Worley 1996). Proportions by our own eye, no source. Cost: some 50 to 100 ns a place.

#include "grain.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace burin::grain {
namespace {

std::uint32_t mixed(std::int32_t i, std::int32_t j, std::uint32_t seed) {
    std::uint32_t h = static_cast<std::uint32_t>(i) * 0x9E3779B1u ^ static_cast<std::uint32_t>(j) * 0x85EBCA77u ^ seed * 0xC2B2AE3Du;
    h ^= h >> 15;
    h *= 0x2C1B3C6Du;
    h ^= h >> 13;
    return h;
}
float chance(std::int32_t i, std::int32_t j, std::uint32_t seed) {
    return static_cast<float>(mixed(i, j, seed) >> 8) * (1.0f / 16777216.0f);
}

/// Largest whole number not above x; std::floor is a call into the library on the oldest processors.
std::int32_t whole_below(float x) {
    const auto i = static_cast<std::int32_t>(x);
    return i - (x < static_cast<float>(i));
}

/// Value noise −1 … 1.
float noise(float x, float y, std::uint32_t seed) {
    const std::int32_t i = whole_below(x), j = whole_below(y);
    float u = x - static_cast<float>(i), v = y - static_cast<float>(j);
    u = u * u * (3 - 2 * u);
    v = v * v * (3 - 2 * v);
    const float a = chance(i, j, seed), b = chance(i + 1, j, seed), c = chance(i, j + 1, seed), d = chance(i + 1, j + 1, seed);
    return 2 * (a + (b - a) * u + (c - a) * v + (a - b - c + d) * u * v) - 1;
}

float ease(float a, float b, float x) {
    const float t = std::clamp((x - a) / (b - a), 0.0f, 1.0f);
    return t * t * (3 - 2 * t);
}

/// Distance to the nearest and second nearest site of a jittered lattice, and the nearest one's own chance.
struct Nearest {
    float first = 9, second = 9, own = 0;
};
Nearest nearest_site(float x, float y, std::uint32_t seed) {
    const std::int32_t ci = whole_below(x), cj = whole_below(y);
    Nearest best;
    for (std::int32_t j = cj - 1; j <= cj + 1; ++j)
        for (std::int32_t i = ci - 1; i <= ci + 1; ++i) {
            const float dx = static_cast<float>(i) + chance(i, j, seed) - x, dy = static_cast<float>(j) + chance(i, j, seed + 1) - y;
            const float d = dx * dx + dy * dy;
            if (d < best.first) {
                best.second = best.first;
                best.first = d;
                best.own = chance(i, j, seed + 2);
            } else {
                best.second = std::min(best.second, d);
            }
        }
    best.first = std::sqrt(best.first);
    best.second = std::sqrt(best.second);
    return best;
}

/// Dark latewood at the end of each year: rises slowly, ends at once. `phase` counts years.
float latewood(float phase) {
    const float f = phase - static_cast<float>(whole_below(phase));
    return ease(0.25f, 0.93f, f) * (1 - ease(0.955f, 1.0f, f));
}

Light darker(const Light& c, float amount) {
    // Dark wood loses blue first, then green.
    return {c[0] * (1 - 0.42f * amount), c[1] * (1 - 0.56f * amount), c[2] * (1 - 0.70f * amount)};
}
Light scaled(const Light& c, float k) { return {c[0] * k, c[1] * k, c[2] * k}; }

/// `u` along the trunk, `v` across from its heart, z in depth.
Light board(const Light& base, float u, float v, float z) {
    const float bend = 2.4f * noise(u / 70, v / 40, 1) + 0.7f * noise(u / 24, v / 12, 2);
    const float deep = z - 34 - 0.075f * u + 3.5f * noise(u / 95, 0.5f, 3);
    const float r = std::sqrt((v + bend) * (v + bend) + deep * deep);
    const float phase = r / 2.9f + 0.55f * noise(r / 14, 0.3f, 4);
    const float strength = 0.55f + 0.45f * chance(whole_below(phase), 7, 5);
    const float fibre = noise(u / 7, v / 0.16f + z * 3, 6) * 0.6f + noise(u / 16, v / 0.42f + z * 2, 7) * 0.4f;
    const float tint = 0.36f * strength * latewood(phase) + 0.11f * fibre + 0.08f * noise(u / 60, v / 9, 8) + 0.05f;
    return darker(base, std::max(0.0f, tint));
}

/// A slice across the trunk, heart at the origin.
Light slice(const Light& base, float x, float y, float z, float size) {
    const float angle = std::atan2(y, x), round = std::sqrt(x * x + y * y);
    const float uneven = 1 + 0.045f * noise(2.2f + 1.1f * std::cos(angle), 1.1f * std::sin(angle) - 4, 11) + 0.02f * std::cos(angle - 0.7f);
    const float r = round * uneven + 0.25f * noise(x / 3, y / 3, 12);
    const float phase = r / (1.7f + 0.5f * noise(r / 9, 0.7f, 13) * 0.3f);
    const float strength = 0.4f + 0.6f * chance(whole_below(phase), 3, 14);
    const float ray = noise(angle * 70, r / 9, 15) * 0.6f + noise(angle * 190, r / 4, 16) * 0.4f;
    const Nearest pore = nearest_site(x * 3.2f, y * 3.2f + z * 0.8f, 17);
    const float heart = 1 - ease(0.20f * size, 0.42f * size, r + 1.5f * noise(x / 8, y / 8, 18));
    const float open = pore.first < 0.16f ? 0.5f : 0.0f;
    const float tint = 0.40f * strength * latewood(phase) + 0.07f * ray + 0.20f * heart + 0.16f * open + 0.05f;
    return darker(base, std::clamp(tint, 0.0f, 1.0f));
}

Light fibres(const Light& base, float x, float y, float z) {
    const float turn = 2.5f * noise(x / 2.2f, y / 2.2f + z, 21), c = std::cos(turn), s = std::sin(turn);
    const float hair = noise((x * c + y * s) / 1.1f, (y * c - x * s) / 0.13f, 22);
    const float tint = 0.10f * hair + 0.10f * noise(x / 0.45f, y / 0.45f, 23) + 0.05f * noise(x / 12, y / 12, 24);
    return scaled(base, 1 - tint);
}

Light granules(const Light& base, float x, float y, float z) {
    const Nearest n = nearest_site(x / 1.9f + 0.3f * noise(x / 0.8f, y / 0.8f, 31), y / 1.5f + 0.25f * z, 32);
    const float joint = 1 - ease(0.02f, 0.16f, n.second - n.first);
    const float speck = noise(x / 0.35f, y / 0.35f + z, 33);
    return darker(base, std::clamp(0.28f * n.own + 0.45f * joint + 0.16f * std::max(0.0f, speck), 0.0f, 1.0f));
}

Light pebbles(const Light& base, float x, float y, float z) {
    const float wx = x + 0.4f * noise(x / 1.7f, y / 1.7f, 41), wy = y + 0.4f * noise(x / 1.7f, y / 1.7f, 42);
    const Nearest n = nearest_site(wx / 0.95f, wy / 0.8f + 0.3f * z, 43);
    const float crease = 1 - ease(0.0f, 0.22f, n.second - n.first);
    const float cloud = noise(x / 16, y / 11, 44) * 0.6f + noise(x / 4.5f, y / 4.5f, 45) * 0.4f;
    return scaled(base, 1 + 0.09f * cloud - 0.14f * crease + 0.07f * (n.own - 0.5f));
}

Light plain(const Light& base, float x, float y) {
    const float brushed = noise(x / 26, y / 0.11f, 51) * 0.6f + noise(x / 9, y / 0.3f, 52) * 0.4f;
    return scaled(base, 1 + 0.035f * brushed);
}

}  // namespace

Light linear(const std::array<double, 3>& srgb) {
    Light out{};
    for (std::size_t c = 0; c < 3; ++c)
        out[c] = static_cast<float>(srgb[c] <= 0.04045 ? srgb[c] / 12.92 : std::pow((srgb[c] + 0.055) / 1.055, 2.4));
    return out;
}

Block::Block(const Material& material, const Stock& stock)
    : grain_(material.grain),
      top_(linear(material.colour)),
      fresh_(linear(material.cut_colour)),
      along_y_(stock.bounds.height() > stock.bounds.width()),
      x0_(static_cast<float>(stock.bounds.centre().x)),
      y0_(static_cast<float>(stock.bounds.centre().y)),
      size_(static_cast<float>(std::min(stock.bounds.width(), stock.bounds.height()))),
      across_(0.13f * size_) {}

Light Block::at(float x, float y, float z, float cut) const {
    Light base{};
    for (std::size_t c = 0; c < 3; ++c) base[c] = top_[c] + (fresh_[c] - top_[c]) * cut;
    const float dx = x - x0_, dy = y - y0_;
    switch (grain_) {
        case Grain::straight:
            return along_y_ ? board(base, dy, dx - across_, z) : board(base, dx, dy - across_, z);
        case Grain::rings:
            return slice(base, dx + 0.06f * size_, dy - 0.04f * size_, z, size_);
        case Grain::fibres:
            return fibres(base, x, y, z);
        case Grain::speckle:
            return granules(base, x, y, z);
        case Grain::cells:
            return pebbles(base, x, y, z);
        case Grain::none:
            break;
    }
    return plain(base, x, y);
}

Light bark(float outside, float angle) {
    const float rough = noise(angle * 60, outside * 1.2f, 61) * 0.6f + noise(angle * 170, outside * 2.5f, 62) * 0.4f;
    const float k = 0.75f + 0.45f * rough;
    return {0.115f * k, 0.078f * k, 0.052f * k};
}

}  // namespace burin::grain
