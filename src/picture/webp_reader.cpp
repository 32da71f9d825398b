// WebP through libwebp: lossy and lossless, with transparency, EXIF orientation and colour profile note. Animations are
// refused. Source: RFC 9649. Cost: the decoding into 8-bit rows, plus one pass over them.

#include <fmt/format.h>
#include <webp/decode.h>

#include <cstring>
#include <memory>
#include <string_view>

#include "readers.hpp"

namespace burin::readers {
namespace {

std::size_t number_at(std::span<const std::byte> bytes, std::size_t at) {
    std::size_t value = 0;
    for (std::size_t i = 4; i-- > 0;) value = value << 8 | std::to_integer<std::size_t>(bytes[at + i]);
    return value;
}

/// The RIFF container's chunk of that name; empty if there is none.
std::span<const std::byte> chunk(std::span<const std::byte> bytes, std::string_view name) {
    for (std::size_t at = 12; at + 8 <= bytes.size();) {
        const std::size_t size = number_at(bytes, at + 4);
        if (size > bytes.size() - at - 8) return {};
        if (std::memcmp(bytes.data() + at, name.data(), 4) == 0) return bytes.subspan(at + 8, size);
        at += 8 + size + size % 2;
    }
    return {};
}

[[noreturn]] void refuse_status(const Source& source, VP8StatusCode status) {
    switch (status) {
        case VP8_STATUS_OUT_OF_MEMORY:
            throw std::bad_alloc();
        case VP8_STATUS_SUSPENDED:
        case VP8_STATUS_NOT_ENOUGH_DATA:
            refuse_as_truncated(source);
        case VP8_STATUS_UNSUPPORTED_FEATURE:
            refuse(source, "uses a feature of WebP that is not read. Save it again as PNG.");
        default:
            refuse_as_damaged(source, "its WebP data make no sense");
    }
}

}  // namespace

Picture read_webp(const Source& source) {
    const auto* const data = reinterpret_cast<const std::uint8_t*>(source.bytes.data());
    // The decoder forgives a missing tail of a lossy picture; the container's own length does not.
    if (number_at(source.bytes, 4) > source.bytes.size() - 8) refuse_as_truncated(source);
    WebPDecoderConfig config;
    if (!WebPInitDecoderConfig(&config)) refuse(source, "cannot be read: the WebP library installed here is of another version.");
    if (const auto status = WebPGetFeatures(data, source.bytes.size(), &config.input); status != VP8_STATUS_OK)
        refuse_status(source, status);
    check_size(source, config.input.width, config.input.height);
    if (config.input.has_animation) refuse(source, "is an animation. Save the one picture of it that is wanted.");

    const bool alpha = config.input.has_alpha != 0;
    const int width = config.input.width, height = config.input.height;
    const std::size_t row_bytes = static_cast<std::size_t>(width) * (alpha ? 4 : 3);
    const std::size_t all_bytes = row_bytes * static_cast<std::size_t>(height);
    const auto rows = std::make_unique_for_overwrite<std::uint8_t[]>(all_bytes);
    config.output.colorspace = alpha ? MODE_RGBA : MODE_RGB;
    config.output.is_external_memory = 1;
    config.output.u.RGBA = {rows.get(), static_cast<int>(row_bytes), all_bytes};
    const auto status = WebPDecode(data, source.bytes.size(), &config);
    WebPFreeDecBuffer(&config.output);
    if (status != VP8_STATUS_OK) refuse_status(source, status);

    Picture picture = blank("WebP", width, height, 3, alpha);
    grow(picture, height);
    for (int y = 0; y < height; ++y) put_pixels(picture, 0, y, width, rows.get() + static_cast<std::size_t>(y) * row_bytes);
    note_profile(picture, chunk(source.bytes, "ICCP"));
    const Exif exif = read_exif(chunk(source.bytes, "EXIF"));
    if (exif.pixels_per_mm_x && exif.pixels_per_mm_y) set_size(picture, *exif.pixels_per_mm_x, *exif.pixels_per_mm_y);
    orient(picture, exif.orientation);
    return picture;
}

}  // namespace burin::readers
