// PNG through libpng, for speed rather than size: each sample less its left neighbour (filter Sub), deflate level 1.
// Source: PNG (ISO/IEC 15948, W3C Recommendation). Cost: the deflating.

#include <fmt/format.h>
#include <png.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <new>

#include "burin/picture/picture.hpp"
#include "png_guard.hpp"

namespace burin {
namespace {

struct Writing : PngGuard {
    png_structp png = nullptr;
    png_infop info = nullptr;
    std::string out;

    Writing() = default;
    Writing(const Writing&) = delete;
    Writing& operator=(const Writing&) = delete;
    ~Writing() { png_destroy_write_struct(&png, &info); }
};

/// An exception must not pass through the library's frames: a full memory is turned into the library's own error.
bool append(std::string& out, const png_byte* bytes, std::size_t count) noexcept {
    try {
        out.append(reinterpret_cast<const char*>(bytes), count);
        return true;
    } catch (...) {
        return false;
    }
}

void on_write(png_structp png, png_bytep bytes, std::size_t count) {
    if (!append(static_cast<Writing*>(png_get_io_ptr(png))->out, bytes, count)) png_error(png, "there is not enough memory for it");
}
void on_flush(png_structp) {}

bool is_ascii(const std::string& text) {
    return std::all_of(text.begin(), text.end(), [](char c) { return static_cast<unsigned char>(c) < 128; });
}

/// tEXt is Latin-1; anything beyond ASCII goes into iTXt, which is UTF-8. The library copies none of the strings until
/// png_set_text, so `texts` must outlive the result.
std::vector<png_text> chunks_of(const std::vector<PngText>& texts) {
    std::vector<png_text> chunks;
    for (const auto& [key, value] : texts) {
        png_text chunk{};
        const bool ascii = is_ascii(value);
        chunk.compression = ascii ? PNG_TEXT_COMPRESSION_NONE : PNG_ITXT_COMPRESSION_NONE;
        chunk.key = const_cast<png_charp>(key.c_str());
        chunk.text = const_cast<png_charp>(value.c_str());
        (ascii ? chunk.text_length : chunk.itxt_length) = value.size();
        chunks.push_back(chunk);
    }
    return chunks;
}

struct Layout {
    int width, height, bits, colour_type;
    double width_mm;
};

std::string written(const std::byte* rows, std::size_t row_bytes, const Layout& layout, const std::vector<PngText>& texts) {
    Writing writing;
    const auto chunks = chunks_of(texts);
    const double per_metre = layout.width_mm > 0 ? std::round(layout.width / layout.width_mm * 1000) : 0;
    const bool started = writing.ok([&] {
        writing.png = png_create_write_struct(PNG_LIBPNG_VER_STRING, static_cast<PngGuard*>(&writing), on_png_error, on_png_warning);
        if (writing.png) writing.info = png_create_info_struct(writing.png);
    });
    if (!started || !writing.png || !writing.info) throw std::bad_alloc();
    writing.out.reserve(row_bytes * static_cast<std::size_t>(layout.height) / 2 + 4096);
    const bool done = writing.ok([&] {
        const png_structp png = writing.png;
        const png_infop info = writing.info;
        png_set_write_fn(png, &writing, on_write, on_flush);
        png_set_compression_level(png, 1);
        png_set_compression_buffer_size(png, std::size_t{1} << 16);
        png_set_filter(png, PNG_FILTER_TYPE_BASE, PNG_FILTER_SUB);
        png_set_user_limits(png, PNG_UINT_31_MAX, PNG_UINT_31_MAX);
        png_set_IHDR(png, info, static_cast<png_uint_32>(layout.width), static_cast<png_uint_32>(layout.height), layout.bits,
                     layout.colour_type, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
        if (layout.colour_type == PNG_COLOR_TYPE_RGB) png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
        if (per_metre >= 1 && per_metre <= PNG_UINT_31_MAX)
            png_set_pHYs(png, info, static_cast<png_uint_32>(per_metre), static_cast<png_uint_32>(per_metre), PNG_RESOLUTION_METER);
        if (!chunks.empty()) png_set_text(png, info, chunks.data(), static_cast<int>(chunks.size()));
        png_write_info(png, info);
        if (layout.bits == 16 && std::endian::native == std::endian::little) png_set_swap(png);
        for (int y = 0; y < layout.height; ++y)
            png_write_row(png, reinterpret_cast<png_const_bytep>(rows + static_cast<std::size_t>(y) * row_bytes));
        png_write_end(png, nullptr);
    });
    if (!done) throw Error(Fault::output, fmt::format("A picture of the result could not be made: {}.", writing.message));
    return std::move(writing.out);
}

void check(std::size_t samples, int width, int height, std::size_t channels) {
    if (width < 1 || height < 1 || samples != static_cast<std::size_t>(width) * static_cast<std::size_t>(height) * channels)
        throw Error(Fault::output, "A picture of the result could not be made: its samples do not fill its width and height.");
}

}  // namespace

std::string write_png_rgb(std::span<const std::uint8_t> rgb, int width, int height, double width_mm, const std::vector<PngText>& texts) {
    check(rgb.size(), width, height, 3);
    return written(reinterpret_cast<const std::byte*>(rgb.data()), static_cast<std::size_t>(width) * 3,
                   {width, height, 8, PNG_COLOR_TYPE_RGB, width_mm}, texts);
}

std::string write_png_grey16(std::span<const std::uint16_t> grey, int width, int height, double width_mm,
                             const std::vector<PngText>& texts) {
    check(grey.size(), width, height, 1);
    return written(reinterpret_cast<const std::byte*>(grey.data()), static_cast<std::size_t>(width) * 2,
                   {width, height, 16, PNG_COLOR_TYPE_GRAY, width_mm}, texts);
}

}  // namespace burin
