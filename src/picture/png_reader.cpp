// PNG through libpng: every colour type, 1 to 16 bits, interlaced or not, transparency, gAMA, sRGB, pHYs and eXIf.
// Source: PNG (ISO/IEC 15948, W3C Recommendation). Cost: the inflating, plus one pass over each row.

#include <png.h>

#include <bit>
#include <cstring>
#include <memory>

#include "png_guard.hpp"
#include "readers.hpp"

namespace burin::readers {
namespace {

struct Reading : PngGuard {
    png_structp png = nullptr;
    png_infop info = nullptr, after = nullptr;
    std::span<const std::byte> left;
    bool ended = false;

    Reading() = default;
    Reading(const Reading&) = delete;
    Reading& operator=(const Reading&) = delete;
    ~Reading() { png_destroy_read_struct(&png, &info, &after); }
};

void on_read(png_structp png, png_bytep out, std::size_t count) {
    auto& reading = *static_cast<Reading*>(png_get_io_ptr(png));
    if (reading.left.size() < count) {
        reading.ended = true;
        png_error(png, "the file ends");
    }
    std::memcpy(out, reading.left.data(), count);
    reading.left = reading.left.subspan(count);
}

struct Header {
    std::uint32_t width, height;
    int bits, colour_type;
    bool interlaced;
};

std::uint32_t number_at(std::span<const std::byte> bytes, std::size_t at) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i) value = value << 8 | std::to_integer<std::uint32_t>(bytes[at + i]);
    return value;
}

/// The header chunk, read by ourselves so that size and plausibility are settled before the library starts.
Header header_of(const Source& source) {
    const auto& bytes = source.bytes;
    constexpr std::size_t end_of_header = 8 + 8 + 13 + 4;
    if (bytes.size() < end_of_header) refuse_as_truncated(source);
    if (std::memcmp(bytes.data() + 12, "IHDR", 4) != 0) refuse_as_damaged(source, "the header does not come first");
    const Header header{number_at(bytes, 16), number_at(bytes, 20), std::to_integer<int>(bytes[24]), std::to_integer<int>(bytes[25]),
                        bytes[28] != std::byte{0}};
    check_size(source, header.width, header.height);
    return header;
}

/// Steps over the chunks: a file that was cut off is known at once, without inflating all that is left of it.
void check_complete(const Source& source) {
    const auto& bytes = source.bytes;
    for (std::size_t at = 8;;) {
        constexpr std::size_t around = 12;  // length, name, CRC
        if (bytes.size() - at < around) refuse_as_truncated(source);
        const std::size_t length = number_at(bytes, at);
        if (std::memcmp(bytes.data() + at + 4, "IEND", 4) == 0) return;
        if (length > PNG_UINT_31_MAX) return;  // nonsense, which the library will name
        if (bytes.size() - at - around < length) refuse_as_truncated(source);
        at += around + length;
    }
}

/// Deflate makes at most 1032 bytes out of one (RFC 1951: 258 bytes from two bits); a header that promises more than that
/// is refused before memory is taken for it.
void check_plausible(const Source& source, const Header& header) {
    const double channels = header.colour_type == PNG_COLOR_TYPE_RGB          ? 3
                            : header.colour_type == PNG_COLOR_TYPE_RGB_ALPHA  ? 4
                            : header.colour_type == PNG_COLOR_TYPE_GRAY_ALPHA ? 2
                                                                              : 1;
    const double raw_bytes = channels * header.bits / 8.0 * header.width * header.height;
    if (raw_bytes > 1032.0 * static_cast<double>(source.bytes.size())) refuse_as_truncated(source);
}

[[noreturn]] void refuse_reading(const Source& source, const Reading& reading) {
    if (reading.ended) refuse_as_truncated(source);
    refuse_as_damaged(source, reading.message);
}

/// Everything to 8 or 16 bits of grey or colour, with alpha where anything is transparent.
void unify(Reading& reading, const Header& header) {
    if (header.colour_type == PNG_COLOR_TYPE_PALETTE) png_set_palette_to_rgb(reading.png);
    if (header.colour_type == PNG_COLOR_TYPE_GRAY && header.bits < 8) png_set_expand_gray_1_2_4_to_8(reading.png);
    if (png_get_valid(reading.png, reading.info, PNG_INFO_tRNS)) png_set_tRNS_to_alpha(reading.png);
    if (header.bits == 16 && std::endian::native == std::endian::little) png_set_swap(reading.png);
    png_set_interlace_handling(reading.png);
    png_read_update_info(reading.png, reading.info);
}

void put_row(Picture& picture, int y, const std::byte* row, bool sixteen) {
    if (sixteen)
        put_pixels(picture, 0, y, picture.width, reinterpret_cast<const std::uint16_t*>(row));
    else
        put_pixels(picture, 0, y, picture.width, reinterpret_cast<const std::uint8_t*>(row));
}

void read_rows(const Source& source, Reading& reading, Picture& picture, bool interlaced, bool sixteen) {
    const std::size_t row_bytes = png_get_rowbytes(reading.png, reading.info);
    const std::size_t height = static_cast<std::size_t>(picture.height);
    const auto read_row = [&](std::byte* row) {
        if (!reading.ok([&] { png_read_row(reading.png, reinterpret_cast<png_bytep>(row), nullptr); })) refuse_reading(source, reading);
    };
    if (!interlaced) {
        const auto row = std::make_unique<std::byte[]>(row_bytes);
        for (int y = 0; y < picture.height; ++y) {
            read_row(row.get());
            grow(picture, y + 1);
            put_row(picture, y, row.get(), sixteen);
        }
        return;
    }
    // Each of the seven passes fills in more pixels, so that all rows must be at hand until the last is through.
    const auto rows = std::make_unique_for_overwrite<std::byte[]>(row_bytes * height);
    for (int pass = 0; pass < PNG_INTERLACE_ADAM7_PASSES; ++pass)
        for (std::size_t y = 0; y < height; ++y) read_row(rows.get() + y * row_bytes);
    grow(picture, picture.height);
    for (int y = 0; y < picture.height; ++y) put_row(picture, y, rows.get() + static_cast<std::size_t>(y) * row_bytes, sixteen);
}

/// sRGB wins over gAMA, as the standard asks (11.3.3.5); with neither, sRGB is what pictures nearly always are.
void set_transfer(Picture& picture, const Reading& reading) {
    int intent = 0;
    png_fixed_point file_gamma = 0;
    if (png_get_sRGB(reading.png, reading.info, &intent) == PNG_INFO_sRGB) return;
    if (png_get_valid(reading.png, reading.info, PNG_INFO_iCCP)) {
        png_charp name = nullptr;
        int compression = 0;
        png_bytep profile = nullptr;
        png_uint_32 length = 0;
        if (png_get_iCCP(reading.png, reading.info, &name, &compression, &profile, &length) == PNG_INFO_iCCP)
            note_profile(picture, {reinterpret_cast<const std::byte*>(profile), length});
    } else if (png_get_gAMA_fixed(reading.png, reading.info, &file_gamma) == PNG_INFO_gAMA && file_gamma > 0) {
        // gAMA holds the exponent from light to value, times 100,000.
        picture.transfer = {false, 1e5 / file_gamma};
    }
}

void set_physical_size(Picture& picture, const Reading& reading) {
    png_uint_32 x = 0, y = 0;
    int unit = 0;
    if (png_get_pHYs(reading.png, reading.info, &x, &y, &unit) == PNG_INFO_pHYs && unit == PNG_RESOLUTION_METER && x > 0 && y > 0)
        set_size(picture, x / 1000.0, y / 1000.0);
}

int orientation_of(const Reading& reading) {
#ifdef PNG_eXIf_SUPPORTED
    for (const png_infop info : {reading.info, reading.after}) {
        png_uint_32 length = 0;
        png_bytep block = nullptr;
        if (png_get_eXIf_1(reading.png, info, &length, &block) == PNG_INFO_eXIf)
            return read_exif({reinterpret_cast<const std::byte*>(block), length}).orientation;
    }
#endif
    return 1;
}

}  // namespace

Picture read_png(const Source& source) {
    const Header header = header_of(source);
    check_plausible(source, header);
    check_complete(source);
    Reading reading;
    reading.left = source.bytes;
    const bool started = reading.ok([&] {
        reading.png = png_create_read_struct(PNG_LIBPNG_VER_STRING, static_cast<PngGuard*>(&reading), on_png_error, on_png_warning);
        if (!reading.png) return;
        reading.info = png_create_info_struct(reading.png);
        reading.after = png_create_info_struct(reading.png);
    });
    if (!started || !reading.png || !reading.info || !reading.after) throw std::bad_alloc();
    const bool described = reading.ok([&] {
        png_set_read_fn(reading.png, &reading, on_read);
        png_set_user_limits(reading.png, PNG_UINT_31_MAX, PNG_UINT_31_MAX);  // ours are checked already
        png_read_info(reading.png, reading.info);
        unify(reading, header);
    });
    if (!described) refuse_reading(source, reading);

    const int samples = png_get_channels(reading.png, reading.info);
    const bool alpha = samples == 2 || samples == 4;
    Picture picture = blank("PNG", static_cast<int>(header.width), static_cast<int>(header.height), samples >= 3 ? 3 : 1, alpha);
    picture.source_bits = header.colour_type == PNG_COLOR_TYPE_PALETTE ? 8 : header.bits;
    read_rows(source, reading, picture, header.interlaced, header.bits == 16);
    if (!reading.ok([&] { png_read_end(reading.png, reading.after); })) refuse_reading(source, reading);
    set_transfer(picture, reading);
    set_physical_size(picture, reading);
    orient(picture, orientation_of(reading));
    return picture;
}

}  // namespace burin::readers
