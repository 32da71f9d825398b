#pragma once
/// Pictures made on the spot, for the tests of this room.
#include <algorithm>
#include <cmath>
#include <cstdint>

#include "burin/base/crew.hpp"
#include "burin/design/heights.hpp"
#include "burin/picture/picture.hpp"

namespace pictures {

inline burin::Crew hands(int threads) {
    burin::Crew crew;
    crew.threads = threads;
    return crew;
}

inline std::uint16_t sample(double v) { return static_cast<std::uint16_t>(std::lround(std::clamp(v, 0.0, 1.0) * 65535)); }

/// value(x, y) in 0 … 1 at pixel centres, x and y in 0 … 1 from the left and from the bottom.
template <class Value>
burin::Picture grey(int width, int height, Value value, int bits = 8) {
    burin::Picture p;
    p.width = width;
    p.height = height;
    p.source_bits = bits;
    for (int row = 0; row < height; ++row)
        for (int i = 0; i < width; ++i) p.samples.push_back(sample(value((i + 0.5) / width, (height - row - 0.5) / height)));
    return p;
}

/// opaque(x, y): whether the pixel there is.
template <class Opaque>
void make_transparent(burin::Picture& p, Opaque opaque) {
    p.alpha.clear();
    for (int row = 0; row < p.height; ++row)
        for (int i = 0; i < p.width; ++i) p.alpha.push_back(opaque((i + 0.5) / p.width, (p.height - row - 0.5) / p.height) ? 65535 : 0);
}

/// Coded sRGB of a linear light (IEC 61966-2-1, inverse).
inline double coded(double light) { return light <= 0.0031308 ? 12.92 * light : 1.055 * std::pow(light, 1 / 2.4) - 0.055; }

/// Wishes for a picture over width × height mm.
inline burin::HeightsWishes wishes(burin::HeightsKind kind, double width, double height, double cell = 0.1) {
    burin::HeightsWishes w;
    w.kind = kind;
    w.width = width;
    w.height = height;
    w.cell = cell;
    return w;
}

}  // namespace pictures
