// What every reader needs: sentences for pictures that cannot be read, and rows of samples put in their place.
// Cost: one pass over the samples of a row.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>

#include "readers.hpp"

namespace burin::readers {

void refuse(const Source& source, const std::string& what) {
    throw Error(Fault::input, fmt::format("The picture '{}' {}", source.name, what));
}

void refuse_as_truncated(const Source& source) {
    refuse(source, "ends too early: part of its data is missing. Copy, download or export it again.");
}

void refuse_as_damaged(const Source& source, const std::string& detail) {
    refuse(source, fmt::format("is damaged ({}). Copy, download or export it again.", detail));
}

void refuse_as_zero_sized(const Source& source) { refuse(source, "has no pixels: its width or height is zero. Export it again."); }

void check_size(const Source& source, double width, double height) {
    if (!(width >= 1 && height >= 1)) refuse_as_zero_sized(source);
    const double megapixels = width * height / 1e6;
    constexpr double longest_side = 2147483647;
    if (megapixels > source.limits.most_megapixels || width > longest_side || height > longest_side)
        refuse(source,
               fmt::format("says that it has {:.0f} × {:.0f} pixels, {:.{}f} megapixels; at most {:g} are read. Scale it down first, or "
                           "give a larger --megapixels.",
                           width, height, megapixels,
                           megapixels < 0.1   ? 4
                           : megapixels < 100 ? 1
                                              : 0,
                           source.limits.most_megapixels));
}

Picture blank(const std::string& kind, int width, int height, int channels, bool alpha) {
    Picture picture;
    picture.kind = kind;
    picture.width = width;
    picture.height = height;
    picture.channels = channels;
    const std::size_t pixels = static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
    picture.samples.reserve(pixels * static_cast<std::size_t>(channels));
    if (alpha) picture.alpha.reserve(pixels);
    return picture;
}

void grow(Picture& picture, int rows) {
    const std::size_t pixels = static_cast<std::size_t>(picture.width) * static_cast<std::size_t>(rows);
    picture.samples.resize(pixels * static_cast<std::size_t>(picture.channels));
    if (picture.alpha.capacity() > 0) picture.alpha.resize(pixels);
}

namespace {

template <class Sample>
constexpr std::uint16_t widened(Sample v) {
    if constexpr (sizeof(Sample) == 1)
        return static_cast<std::uint16_t>(v * 257);
    else
        return v;
}

template <class Sample>
void widen(const Sample* in, std::uint16_t* out, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) out[i] = widened(in[i]);
}

template <int channels, class Sample>
void split(const Sample* in, std::uint16_t* colours, std::uint16_t* alpha, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
        for (std::size_t c = 0; c < channels; ++c) colours[i * channels + c] = widened(in[i * (channels + 1) + c]);
        alpha[i] = widened(in[i * (channels + 1) + channels]);
    }
}

template <class Sample>
void put(Picture& picture, int x, int y, int count, const Sample* pixels) {
    const std::size_t first = static_cast<std::size_t>(y) * static_cast<std::size_t>(picture.width) + static_cast<std::size_t>(x);
    const std::size_t channels = static_cast<std::size_t>(picture.channels), n = static_cast<std::size_t>(count);
    std::uint16_t* const colours = picture.samples.data() + first * channels;
    if (picture.alpha.empty())
        widen(pixels, colours, n * channels);
    else if (channels == 1)
        split<1>(pixels, colours, picture.alpha.data() + first, n);
    else
        split<3>(pixels, colours, picture.alpha.data() + first, n);
}

}  // namespace

void put_pixels(Picture& picture, int x, int y, int count, const std::uint8_t* pixels) { put(picture, x, y, count, pixels); }
void put_pixels(Picture& picture, int x, int y, int count, const std::uint16_t* pixels) { put(picture, x, y, count, pixels); }

void set_size(Picture& picture, double pixels_per_mm_x, double pixels_per_mm_y) {
    const double width = picture.width / pixels_per_mm_x, height = picture.height / pixels_per_mm_y;
    if (!(std::isfinite(width) && std::isfinite(height) && width > 0 && height > 0)) return;
    picture.width_mm = width;
    picture.height_mm = height;
    const double stretch = pixels_per_mm_x / pixels_per_mm_y;
    if (stretch < 0.99 || stretch > 1.01)
        picture.notes.push_back(fmt::format(
            "The file says that its pixels are not square ({:.3g} wide for each 1 high); they are taken as square.", 1 / stretch));
}

void note_profile(Picture& picture, std::span<const std::byte> profile) {
    using std::string_view_literals::operator""sv;
    const std::string_view text{reinterpret_cast<const char*>(profile.data()), profile.size()};
    // The profile's description is ASCII in version 2 of ICC.1 and UTF-16 in version 4.
    if (text.empty() || text.find("sRGB"sv) != std::string_view::npos || text.find("s\0R\0G\0B"sv) != std::string_view::npos) return;
    picture.notes.emplace_back("The picture's colour profile is not used; its values are read as sRGB.");
}

}  // namespace burin::readers
