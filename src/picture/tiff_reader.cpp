// TIFF through libtiff, from memory: 1, 2, 4, 8 and 16 bits, strips and tiles, samples together or in planes, grey of both
// senses, palette, RGB, CMYK, transparency, resolution, orientation. Rare colour spaces (YCbCr outside JPEG, CIE L*a*b*) go
// through the library's own conversion to 8-bit RGB.
// Source: TIFF 6.0 and its supplement 1. Cost: the decoding, one strip or tile in memory at a time, plus one pass over it.

#include <fmt/format.h>
#include <tiffio.h>

#include <array>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <limits>
#include <memory>
#include <vector>

#include "readers.hpp"

namespace burin::readers {
namespace {

// Before libtiff 4.5 messages could be caught for the whole process only; there they are just kept off the screen.
#if TIFFLIB_VERSION >= 20221213
#define BURIN_TIFF_OPTIONS 1
#endif

/// The file in memory as libtiff sees it, and what the library said last.
struct Reading {
    std::span<const std::byte> bytes;
    std::uint64_t at = 0;
    std::array<char, 200> message{};  ///< the library's first complaint; of fixed size, for no exception may cross the library
    TIFF* tiff = nullptr;

    Reading() = default;
    Reading(const Reading&) = delete;
    Reading& operator=(const Reading&) = delete;
    ~Reading() {
        if (tiff) TIFFClose(tiff);
    }
};

Reading& of(thandle_t handle) { return *static_cast<Reading*>(handle); }

tmsize_t on_read(thandle_t handle, void* out, tmsize_t count) {
    Reading& r = of(handle);
    if (r.at >= r.bytes.size() || count <= 0) return 0;
    const std::size_t n = std::min(static_cast<std::size_t>(count), r.bytes.size() - static_cast<std::size_t>(r.at));
    std::memcpy(out, r.bytes.data() + r.at, n);
    r.at += n;
    return static_cast<tmsize_t>(n);
}
tmsize_t on_write(thandle_t, void*, tmsize_t) { return 0; }
toff_t on_seek(thandle_t handle, toff_t offset, int from) {
    Reading& r = of(handle);
    r.at = offset + (from == SEEK_CUR ? r.at : from == SEEK_END ? r.bytes.size() : 0);
    return r.at;
}
int on_close(thandle_t) { return 0; }
toff_t on_size(thandle_t handle) { return of(handle).bytes.size(); }
int on_map(thandle_t handle, void** base, toff_t* size) {
    // The library only reads from what it maps in a file opened for reading.
    *base = const_cast<std::byte*>(of(handle).bytes.data());
    *size = of(handle).bytes.size();
    return 1;
}
void on_unmap(thandle_t, void*, toff_t) {}

#ifdef BURIN_TIFF_OPTIONS
int on_error(TIFF*, void* user, const char*, const char* format, va_list values) {
    auto& message = static_cast<Reading*>(user)->message;
    if (message[0] == '\0') std::vsnprintf(message.data(), message.size(), format, values);
    return 1;
}
int on_warning(TIFF*, void*, const char*, const char*, va_list) { return 1; }
#endif

void open(Reading& reading) {
#ifdef BURIN_TIFF_OPTIONS
    const std::unique_ptr<TIFFOpenOptions, void (*)(TIFFOpenOptions*)> options(TIFFOpenOptionsAlloc(), TIFFOpenOptionsFree);
    if (!options) throw std::bad_alloc();
    TIFFOpenOptionsSetErrorHandlerExtR(options.get(), on_error, &reading);
    TIFFOpenOptionsSetWarningHandlerExtR(options.get(), on_warning, &reading);
    reading.tiff =
        TIFFClientOpenExt("picture", "r", &reading, on_read, on_write, on_seek, on_close, on_size, on_map, on_unmap, options.get());
#else
    TIFFSetErrorHandler(nullptr);
    TIFFSetWarningHandler(nullptr);
    reading.tiff = TIFFClientOpen("picture", "r", &reading, on_read, on_write, on_seek, on_close, on_size, on_map, on_unmap);
#endif
}

[[noreturn]] void refuse_reading(const Source& source, const Reading& reading) {
    std::string said = reading.message.data();
    if (said.starts_with("picture: ")) said.erase(0, 9);  // the name under which we opened it
    const bool short_of_data = said.find("Read error") != std::string::npos || said.find("Cannot read") != std::string::npos ||
                               said.find("Can not read") != std::string::npos || said.find("past end of file") != std::string::npos ||
                               said.find("Not enough data") != std::string::npos;
    if (short_of_data) refuse_as_truncated(source);
    refuse_as_damaged(source, said.empty() ? "its TIFF data make no sense" : said);
}

/// Cameras and scanners may put a small preview first.
void go_to_full_picture(const Source& source, TIFF* tiff) {
    for (std::uint32_t kind = 0; TIFFGetField(tiff, TIFFTAG_SUBFILETYPE, &kind) && (kind & FILETYPE_REDUCEDIMAGE);)
        if (!TIFFReadDirectory(tiff))
            refuse(source,
                   "holds nothing but a small preview, as a camera's raw file does. Export the picture itself as PNG, JPEG or TIFF.");
}

/// What the tags of that picture say.
struct Tags {
    std::uint32_t width = 0, height = 0;
    std::uint16_t bits = 1, per_pixel = 1, planar = PLANARCONFIG_CONTIG, photometric = PHOTOMETRIC_MINISBLACK;
    std::uint16_t format = SAMPLEFORMAT_UINT, compression = COMPRESSION_NONE, orientation = ORIENTATION_TOPLEFT;
    std::uint16_t colours = 1;      ///< samples of a pixel that are colour
    int alpha_at = -1;              ///< the sample that is alpha
    bool alpha_multiplied = false;  ///< colours are already multiplied by it
    std::array<const std::uint16_t*, 3> palette{};
};

std::uint16_t short_tag(TIFF* tiff, std::uint32_t tag, std::uint16_t otherwise) {
    std::uint16_t value = otherwise;
    return TIFFGetFieldDefaulted(tiff, tag, &value) ? value : otherwise;
}

Tags tags_of(const Source& source, Reading& reading) {
    TIFF* const tiff = reading.tiff;
    Tags t;
    TIFFGetField(tiff, TIFFTAG_IMAGEWIDTH, &t.width);
    TIFFGetField(tiff, TIFFTAG_IMAGELENGTH, &t.height);
    check_size(source, t.width, t.height);
    t.bits = short_tag(tiff, TIFFTAG_BITSPERSAMPLE, 1);
    t.per_pixel = short_tag(tiff, TIFFTAG_SAMPLESPERPIXEL, 1);
    t.planar = short_tag(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
    t.format = short_tag(tiff, TIFFTAG_SAMPLEFORMAT, SAMPLEFORMAT_UINT);
    t.compression = short_tag(tiff, TIFFTAG_COMPRESSION, COMPRESSION_NONE);
    t.orientation = short_tag(tiff, TIFFTAG_ORIENTATION, ORIENTATION_TOPLEFT);
    if (!TIFFGetField(tiff, TIFFTAG_PHOTOMETRIC, &t.photometric))
        t.photometric = t.per_pixel >= 3 ? PHOTOMETRIC_RGB : PHOTOMETRIC_MINISBLACK;
    if (t.per_pixel < 1) refuse_as_damaged(source, "its pixels have no samples");

    std::uint16_t extra_count = 0;
    std::uint16_t* extra = nullptr;
    TIFFGetFieldDefaulted(tiff, TIFFTAG_EXTRASAMPLES, &extra_count, &extra);
    t.colours = t.photometric == PHOTOMETRIC_RGB || t.photometric == PHOTOMETRIC_YCBCR ? 3 : t.photometric == PHOTOMETRIC_SEPARATED ? 4 : 1;
    for (int k = 0; k < extra_count && k + t.colours < t.per_pixel; ++k)
        if (t.alpha_at < 0 && (extra[k] == EXTRASAMPLE_ASSOCALPHA || extra[k] == EXTRASAMPLE_UNASSALPHA)) {
            t.alpha_at = t.colours + k;
            t.alpha_multiplied = extra[k] == EXTRASAMPLE_ASSOCALPHA;
        }
    return t;
}

/// The header's samples are checked once here; the code after it may rely on them.
void check_tags(const Source& source, const Tags& t) {
    constexpr auto advice = "Save it again with 8 or 16 bits a channel.";
    if (!TIFFIsCODECConfigured(t.compression))
        refuse(source, fmt::format("is a TIFF packed in a way that is not read here (compression {}). Save it again without compression.",
                                   t.compression));
    if (t.format != SAMPLEFORMAT_UINT && t.format != SAMPLEFORMAT_VOID)
        refuse(source, fmt::format("is a TIFF whose samples are {}, which is not read. {}",
                                   t.format == SAMPLEFORMAT_IEEEFP ? "floating-point numbers" : "signed or complex numbers", advice));
    if (t.bits != 1 && t.bits != 2 && t.bits != 4 && t.bits != 8 && t.bits != 16)
        refuse(source, fmt::format("is a TIFF with {} bits a sample, which is not read. {}", t.bits, advice));
    const bool known = t.photometric == PHOTOMETRIC_MINISBLACK || t.photometric == PHOTOMETRIC_MINISWHITE ||
                       t.photometric == PHOTOMETRIC_RGB || t.photometric == PHOTOMETRIC_SEPARATED || t.photometric == PHOTOMETRIC_PALETTE ||
                       t.photometric == PHOTOMETRIC_YCBCR;
    if (!known)
        refuse(source, fmt::format("is a TIFF in a colour space that is not read ({}). Save it again as grey or RGB.", t.photometric));
    if (t.per_pixel < t.colours)
        refuse_as_damaged(source, fmt::format("{} samples a pixel where its colours need {}", t.per_pixel, t.colours));
    if (t.per_pixel > 64)
        refuse(source, fmt::format("is a TIFF of {} channels, which is not read. Save it again as grey or RGB.", t.per_pixel));
    if (t.photometric == PHOTOMETRIC_PALETTE && (t.bits > 8 || !t.palette[0])) refuse_as_damaged(source, "its palette is missing");
}

/// A strip or tile: `across` × `down` pixels, some of which may lie outside the picture.
struct Blocks {
    bool tiled;
    std::uint32_t across, down;
    std::uint64_t bytes;      ///< of a block of one plane, decoded
    std::uint64_t row_bytes;  ///< of a row of a block of one plane
};

Blocks blocks_of(const Source& source, Reading& reading, const Tags& t) {
    TIFF* const tiff = reading.tiff;
    Blocks b{TIFFIsTiled(tiff) != 0, t.width, t.height, 0, 0};
    if (b.tiled) {
        TIFFGetField(tiff, TIFFTAG_TILEWIDTH, &b.across);
        TIFFGetField(tiff, TIFFTAG_TILELENGTH, &b.down);
        b.bytes = TIFFTileSize64(tiff);
        b.row_bytes = TIFFTileRowSize64(tiff);
    } else {
        std::uint32_t rows = t.height;
        TIFFGetFieldDefaulted(tiff, TIFFTAG_ROWSPERSTRIP, &rows);
        b.down = std::min(rows, t.height);
        b.bytes = TIFFVStripSize64(tiff, b.down);
        b.row_bytes = TIFFScanlineSize64(tiff);
    }
    if (b.across == 0 || b.down == 0 || b.bytes == 0 || b.row_bytes == 0) refuse_reading(source, reading);
    check_size(source, b.across, b.down);  // a tile can be larger than the picture
    const std::uint64_t in_plane = t.planar == PLANARCONFIG_SEPARATE ? 1 : t.per_pixel;
    if (b.row_bytes < (in_plane * t.bits * b.across + 7) / 8 || b.bytes < b.row_bytes * b.down)
        refuse_as_damaged(source, "the sizes of its parts contradict each other");
    return b;
}

/// Samples of 1, 2, 4 (the first in the highest bits), 8 or 16 bits, number first, first + step, …
void unpack(const std::byte* row, int bits, std::size_t first, std::size_t step, std::size_t count, std::uint16_t* out) {
    if (bits == 16) {
        for (std::size_t i = 0; i < count; ++i) std::memcpy(out + i, row + 2 * (first + i * step), 2);
    } else if (bits == 8) {
        for (std::size_t i = 0; i < count; ++i) out[i] = std::to_integer<std::uint16_t>(row[first + i * step]);
    } else {
        const std::size_t each = static_cast<std::size_t>(bits), mask = (std::size_t{1} << each) - 1;
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t bit = (first + i * step) * each;
            out[i] = static_cast<std::uint16_t>(std::to_integer<std::size_t>(row[bit / 8]) >> (8 - each - bit % 8) & mask);
        }
    }
}

/// To the full range of 16 bits: 65535 / (2^bits − 1) is whole for 1, 2, 4, 8 and 16.
void stretch(std::uint16_t* samples, std::size_t count, int bits) {
    const unsigned factor = 65535U / ((1U << bits) - 1U);
    for (std::size_t i = 0; i < count; ++i) samples[i] = static_cast<std::uint16_t>(samples[i] * factor);
}

void invert(std::uint16_t* samples, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) samples[i] = static_cast<std::uint16_t>(65535 - samples[i]);
}

void darken(std::uint16_t* colour, const std::uint16_t* black, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
        const std::uint64_t light = std::uint64_t{65535U - colour[i]} * (65535U - black[i]);
        colour[i] = static_cast<std::uint16_t>((light + 32767) / 65535);
    }
}

void unmultiply(std::uint16_t* colour, const std::uint16_t* alpha, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i)
        if (alpha[i] > 0)
            colour[i] =
                static_cast<std::uint16_t>(std::min<std::uint64_t>(65535, (std::uint64_t{colour[i]} * 65535 + alpha[i] / 2) / alpha[i]));
}

/// Red, green and blue of each entry. Palettes hold 16 bits, but many writers fill in 8, at either end: white is white all
/// the same.
std::vector<std::uint16_t> palette_of(const Tags& t) {
    const std::size_t entries = std::size_t{1} << t.bits;
    std::vector<std::uint16_t> palette;
    unsigned any = 0;
    for (std::size_t k = 0; k < entries; ++k)
        for (const auto* colour : t.palette) {
            palette.push_back(colour[k]);
            any |= colour[k];
        }
    for (auto& v : palette) {
        if ((any & 0xFF00U) == 0) v = static_cast<std::uint16_t>(v * 257);
        if ((any & 0x00FFU) == 0) v = static_cast<std::uint16_t>((v >> 8) * 257);
    }
    return palette;
}

/// Runs of pixels of a block to pixels of the picture.
class RunMaker {
public:
    static constexpr std::size_t longest = 4096;  ///< pixels at once, so that a run of every channel stays in the cache

    explicit RunMaker(const Tags& t) : tags_(t), planes_((static_cast<std::size_t>(t.colours) + 3) * longest), pixels_(4 * longest) {
        if (t.palette[0]) palette_ = palette_of(t);
    }
    /// Pixels first … first + count − 1 of a row. `rows` holds the same row of each plane, or the one row in which the samples
    /// of a pixel lie together. The result holds until the next call.
    const std::uint16_t* made(const std::vector<const std::byte*>& rows, std::size_t first, std::size_t count, bool alpha) {
        for (std::size_t c = 0; c < tags_.colours; ++c) fetch(rows, c, first, count, plane(c));
        std::size_t channels = tags_.colours;
        if (tags_.photometric == PHOTOMETRIC_PALETTE) {
            look_up(count);
            channels = 3;
        } else {
            for (std::size_t c = 0; c < channels; ++c) stretch(plane(c), count, tags_.bits);
            if (tags_.photometric == PHOTOMETRIC_MINISWHITE) invert(plane(0), count);
            if (tags_.photometric == PHOTOMETRIC_SEPARATED) {
                channels = 3;
                for (std::size_t c = 0; c < channels; ++c) darken(plane(c), plane(3), count);
            }
        }
        const std::size_t stride = channels + (alpha ? 1 : 0);
        if (alpha) {
            std::uint16_t* const opacity = plane(static_cast<std::size_t>(tags_.colours) + 2);
            fetch(rows, static_cast<std::size_t>(tags_.alpha_at), first, count, opacity);
            stretch(opacity, count, tags_.bits);
            for (std::size_t c = 0; c < channels && tags_.alpha_multiplied; ++c) unmultiply(plane(c), opacity, count);
            weave(stride, channels, opacity, count);
        }
        for (std::size_t c = 0; c < channels; ++c) weave(stride, c, plane(c), count);
        return pixels_.data();
    }

private:
    std::uint16_t* plane(std::size_t c) { return planes_.data() + c * longest; }
    void fetch(const std::vector<const std::byte*>& rows, std::size_t sample, std::size_t first, std::size_t count,
               std::uint16_t* out) const {
        if (rows.size() > 1)
            unpack(rows[sample], tags_.bits, first, 1, count, out);
        else
            unpack(rows[0], tags_.bits, first * tags_.per_pixel + sample, tags_.per_pixel, count, out);
    }
    void look_up(std::size_t count) {
        for (std::size_t i = 0; i < count; ++i) {
            const std::size_t k = plane(0)[i];
            for (std::size_t c = 3; c-- > 0;) plane(c)[i] = palette_[3 * k + c];
        }
    }
    void weave(std::size_t stride, std::size_t at, const std::uint16_t* in, std::size_t count) {
        for (std::size_t i = 0; i < count; ++i) pixels_[i * stride + at] = in[i];
    }

    const Tags& tags_;
    std::vector<std::uint16_t> palette_, planes_, pixels_;
};

void read_block(const Source& source, Reading& reading, const Blocks& b, std::uint32_t index, std::byte* out, std::uint64_t wanted) {
    const auto size = static_cast<tmsize_t>(wanted);
    const tmsize_t got =
        b.tiled ? TIFFReadEncodedTile(reading.tiff, index, out, size) : TIFFReadEncodedStrip(reading.tiff, index, out, size);
    // Some decoders complain of broken data and go on: a complaint is enough.
    if (got < size || reading.message[0] != '\0') refuse_reading(source, reading);
}

/// Whether all strips or tiles lie within the file, so that one that was cut off is known before anything is decoded.
void check_complete(const Source& source, TIFF* tiff) {
    const std::uint32_t count = TIFFIsTiled(tiff) ? TIFFNumberOfTiles(tiff) : TIFFNumberOfStrips(tiff);
    for (std::uint32_t k = 0; k < count; ++k) {
        int failed = 0;
        const std::uint64_t offset = TIFFGetStrileOffsetWithErr(tiff, k, &failed);
        if (failed) return;  // the reading of that part will say why
        const std::uint64_t bytes = TIFFGetStrileByteCountWithErr(tiff, k, &failed);
        if (failed) return;
        if (offset > source.bytes.size() || bytes > source.bytes.size() - offset) refuse_as_truncated(source);
    }
}

void read_blocks(const Source& source, Reading& reading, const Tags& t, Picture& picture, bool alpha) {
    const Blocks b = blocks_of(source, reading, t);
    const std::uint32_t planes = t.planar == PLANARCONFIG_SEPARATE ? t.per_pixel : 1;
    const std::uint32_t a_row = (t.width + b.across - 1) / b.across, bands = (t.height - 1) / b.down + 1;
    std::vector<std::unique_ptr<std::byte[]>> held(planes);
    for (std::uint32_t p = 0; p < planes; ++p) {
        const bool used = p < t.colours || static_cast<int>(p) == t.alpha_at;
        if (used) held[p] = std::make_unique_for_overwrite<std::byte[]>(b.bytes);
    }
    RunMaker maker(t);
    std::vector<const std::byte*> rows(planes);
    for (std::uint32_t band = 0; band < bands; ++band) {
        const std::uint32_t top = band * b.down, height = std::min(b.down, t.height - top);
        const std::uint64_t wanted = b.tiled ? b.bytes : b.row_bytes * height;
        for (std::uint32_t column = 0; column < a_row; ++column) {
            for (std::uint32_t p = 0; p < planes; ++p)
                if (held[p]) read_block(source, reading, b, (p * bands + band) * a_row + column, held[p].get(), wanted);
            if (column == 0) grow(picture, static_cast<int>(top + height));
            const std::uint32_t left = column * b.across, width = std::min(b.across, t.width - left);
            for (std::uint32_t y = 0; y < height; ++y) {
                for (std::uint32_t p = 0; p < planes; ++p) rows[p] = held[p] ? held[p].get() + y * b.row_bytes : nullptr;
                for (std::uint32_t x = 0; x < width; x += RunMaker::longest) {
                    const std::uint32_t count = std::min<std::uint32_t>(width - x, RunMaker::longest);
                    put_pixels(picture, static_cast<int>(left + x), static_cast<int>(top + y), static_cast<int>(count),
                               maker.made(rows, x, count, alpha));
                }
            }
        }
    }
}

/// The library's own conversion, for colour spaces that are rare enough. Its rows are asked for in the file's own order.
void read_converted(const Source& source, Reading& reading, Picture& picture) {
    std::array<char, 1024> why{};
    TIFFRGBAImage image{};
    if (!TIFFRGBAImageOK(reading.tiff, why.data()) || !TIFFRGBAImageBegin(&image, reading.tiff, 1, why.data()))
        refuse(source, fmt::format("is a TIFF in colours that are not read ({}). Save it again as grey or RGB.", why.data()));
    const std::unique_ptr<TIFFRGBAImage, void (*)(TIFFRGBAImage*)> end(&image, TIFFRGBAImageEnd);
    image.req_orientation = image.orientation;
    const std::size_t width = image.width, height = image.height;
    const auto raster = std::make_unique<std::uint32_t[]>(width * height);
    if (!TIFFRGBAImageGet(&image, raster.get(), image.width, image.height) || reading.message[0] != '\0') refuse_reading(source, reading);
    std::vector<std::uint8_t> row(width * 3);
    grow(picture, picture.height);
    for (std::size_t y = 0; y < height; ++y) {
        for (std::size_t x = 0; x < width; ++x) {
            const std::uint32_t pixel = raster[y * width + x];
            row[3 * x] = static_cast<std::uint8_t>(TIFFGetR(pixel));
            row[3 * x + 1] = static_cast<std::uint8_t>(TIFFGetG(pixel));
            row[3 * x + 2] = static_cast<std::uint8_t>(TIFFGetB(pixel));
        }
        put_pixels(picture, 0, static_cast<int>(y), picture.width, row.data());
    }
}

void set_physical_size(Picture& picture, TIFF* tiff) {
    float x = 0, y = 0;
    const std::uint16_t unit = short_tag(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_INCH);
    if (!TIFFGetField(tiff, TIFFTAG_XRESOLUTION, &x) || !TIFFGetField(tiff, TIFFTAG_YRESOLUTION, &y)) return;
    if (unit != RESUNIT_INCH && unit != RESUNIT_CENTIMETER) return;
    const double unit_mm = unit == RESUNIT_INCH ? 25.4 : 10.0;
    if (x > 0 && y > 0) set_size(picture, static_cast<double>(x) / unit_mm, static_cast<double>(y) / unit_mm);
}

void add_notes(Picture& picture, const Tags& t, TIFF* tiff) {
    if (t.photometric == PHOTOMETRIC_SEPARATED)
        picture.notes.emplace_back(
            "The picture is made for printing (CMYK); its colours are reckoned from the inks without a colour profile.");
    if (t.per_pixel > t.colours && t.alpha_at < 0)
        picture.notes.emplace_back("The picture has channels beyond its colours that are not said to be transparency; they are not used.");
    if (!TIFFLastDirectory(tiff)) picture.notes.emplace_back("The file holds several pictures; the first is used.");
    std::uint32_t length = 0;
    void* profile = nullptr;
    if (t.photometric != PHOTOMETRIC_SEPARATED && TIFFGetField(tiff, TIFFTAG_ICCPROFILE, &length, &profile))
        note_profile(picture, {static_cast<const std::byte*>(profile), length});
}

}  // namespace

Picture read_tiff(const Source& source) {
    Reading reading;
    reading.bytes = source.bytes;
    open(reading);
    if (!reading.tiff) refuse_reading(source, reading);
    go_to_full_picture(source, reading.tiff);
    Tags t = tags_of(source, reading);
    std::uint16_t *red = nullptr, *green = nullptr, *blue = nullptr;
    if (t.photometric == PHOTOMETRIC_PALETTE && TIFFGetField(reading.tiff, TIFFTAG_COLORMAP, &red, &green, &blue))
        t.palette = {red, green, blue};
    const bool lab = t.photometric == PHOTOMETRIC_CIELAB || t.photometric == PHOTOMETRIC_ICCLAB || t.photometric == PHOTOMETRIC_ITULAB;
    if (!lab) check_tags(source, t);
    reading.message.fill('\0');

    check_complete(source, reading.tiff);

    // The JPEG decoder inside the library turns YCbCr into RGB if asked to, which also undoes its subsampling.
    const bool jpeg = t.compression == COMPRESSION_JPEG && t.photometric == PHOTOMETRIC_YCBCR && t.planar == PLANARCONFIG_CONTIG;
    if (jpeg) TIFFSetField(reading.tiff, TIFFTAG_JPEGCOLORMODE, JPEGCOLORMODE_RGB);
    const bool convert = lab || (t.photometric == PHOTOMETRIC_YCBCR && !jpeg);
    const bool alpha = t.alpha_at >= 0 && !convert;
    const bool grey = t.photometric == PHOTOMETRIC_MINISBLACK || t.photometric == PHOTOMETRIC_MINISWHITE;
    Picture picture = blank("TIFF", static_cast<int>(t.width), static_cast<int>(t.height), grey ? 1 : 3, alpha);
    picture.source_bits = t.photometric == PHOTOMETRIC_PALETTE || convert ? 8 : t.bits;
    if (convert)
        read_converted(source, reading, picture);
    else
        read_blocks(source, reading, t, picture, alpha);
    set_physical_size(picture, reading.tiff);
    add_notes(picture, t, reading.tiff);
    orient(picture, t.orientation);
    return picture;
}

}  // namespace burin::readers
