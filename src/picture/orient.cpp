// Turns a picture upright. Every one of the eight orientations reads the stored picture by two fixed strides, one for a
// step to the right and one for a step down in the upright picture.
// Source: TIFF 6.0, tag 274 (EXIF uses the same values). Cost: one pass, in tiles of 32 × 32 pixels so that both the rows
// written and the columns read stay in the cache.

#include <algorithm>
#include <utility>

#include "readers.hpp"

namespace burin::readers {
namespace {

/// Pixel (x, y) of the upright picture is the stored pixel number first + x·right + y·down.
struct Strides {
    bool turned;  ///< width and height change places
    std::ptrdiff_t first, right, down;
};

Strides strides_for(int orientation, std::ptrdiff_t w, std::ptrdiff_t h) {
    switch (orientation) {
        case 2:
            return {false, w - 1, -1, w};
        case 3:
            return {false, w * h - 1, -1, -w};
        case 4:
            return {false, w * (h - 1), 1, -w};
        case 5:
            return {true, 0, w, 1};
        case 6:
            return {true, w * (h - 1), -w, 1};
        case 7:
            return {true, w * h - 1, -w, -1};
        case 8:
            return {true, w - 1, w, -1};
        default:
            return {false, 0, 1, w};
    }
}

template <int channels>
void gather(const std::uint16_t* in, std::uint16_t* out, std::ptrdiff_t width, std::ptrdiff_t height, const Strides& s) {
    constexpr std::ptrdiff_t tile = 32;
    for (std::ptrdiff_t top = 0; top < height; top += tile)
        for (std::ptrdiff_t left = 0; left < width; left += tile)
            for (std::ptrdiff_t y = top; y < std::min(height, top + tile); ++y) {
                const std::uint16_t* from = in + (s.first + left * s.right + y * s.down) * channels;
                std::uint16_t* to = out + (y * width + left) * channels;
                const std::ptrdiff_t count = std::min(width - left, tile);
                for (std::ptrdiff_t x = 0; x < count; ++x)
                    for (std::ptrdiff_t c = 0; c < channels; ++c) to[x * channels + c] = from[x * s.right * channels + c];
            }
}

void turn(std::vector<std::uint16_t>& samples, int channels, int width, int height, const Strides& s) {
    if (samples.empty()) return;
    std::vector<std::uint16_t> upright(samples.size());
    if (channels == 1)
        gather<1>(samples.data(), upright.data(), width, height, s);
    else
        gather<3>(samples.data(), upright.data(), width, height, s);
    samples.swap(upright);
}

}  // namespace

void orient(Picture& picture, int orientation) {
    if (orientation < 2 || orientation > 8) return;
    const Strides s = strides_for(orientation, picture.width, picture.height);
    if (s.turned) {
        std::swap(picture.width, picture.height);
        std::swap(picture.width_mm, picture.height_mm);
    }
    turn(picture.samples, picture.channels, picture.width, picture.height, s);
    turn(picture.alpha, 1, picture.width, picture.height, s);
}

}  // namespace burin::readers
