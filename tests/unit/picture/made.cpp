#include "made.hpp"

#include <jpeglib.h>
#include <png.h>
#include <tiffio.h>
#include <webp/encode.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <random>
#include <stdexcept>

#include "check.hpp"

namespace made {

std::string refusal(const std::string& file, const burin::PictureLimits& limits) {
    try {
        (void)read(file, limits);
    } catch (const burin::Error& error) {
        CHECK(error.exit_status() == 3);
        return error.what();
    }
    FAIL("a picture that must be refused was read");
    return {};
}

void check_cut_off(const std::string& file, std::size_t step, const std::string& why) {
    for (std::size_t size = 1; size < file.size(); size += size < 64 || size + 64 > file.size() ? 1 : step) {
        CAPTURE(size, file.size());
        CHECK_THAT(refusal(file.substr(0, size)), ContainsSubstring(why));
    }
}

namespace {

[[noreturn]] void png_fails(png_structp, png_const_charp text) { throw std::runtime_error(text); }
void png_warns(png_structp, png_const_charp) {}
void png_writes(png_structp png, png_bytep bytes, std::size_t count) {
    static_cast<std::string*>(png_get_io_ptr(png))->append(reinterpret_cast<const char*>(bytes), count);
}
void png_flushes(png_structp) {}

/// Samples of 1, 2, 4 or 8 bits, the first in the highest bits, or 16 bits, high byte first; rows end on whole bytes.
std::vector<std::uint8_t> packed(const Samples& samples, std::size_t in_row, int bits) {
    std::vector<std::uint8_t> out;
    for (std::size_t at = 0; at < samples.size(); at += in_row) {
        unsigned held = 0;
        int filled = 0;
        for (std::size_t i = 0; i < in_row; ++i) {
            held = held << bits | samples[at + i];
            filled += bits;
            for (; filled >= 8; filled -= 8) out.push_back(static_cast<std::uint8_t>(held >> (filled - 8)));
        }
        if (filled > 0) out.push_back(static_cast<std::uint8_t>(held << (8 - filled)));
    }
    return out;
}

}  // namespace

std::string png(const Png& how, const Samples& samples) {
    std::string out;
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, png_fails, png_warns);
    png_infop info = png_create_info_struct(png);
    png_set_write_fn(png, &out, png_writes, png_flushes);
    png_set_IHDR(png, info, static_cast<png_uint_32>(how.width), static_cast<png_uint_32>(how.height), how.bits, how.colour_type,
                 how.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    if (how.srgb) png_set_sRGB(png, info, PNG_sRGB_INTENT_PERCEPTUAL);
    if (how.file_gamma) png_set_gAMA_fixed(png, info, static_cast<png_fixed_point>(std::lround(*how.file_gamma * 1e5)));
    if (how.per_metre_x) png_set_pHYs(png, info, how.per_metre_x, how.per_metre_y, PNG_RESOLUTION_METER);
    std::vector<png_color> colours;
    for (std::size_t k = 0; k + 2 < how.palette.size(); k += 3) colours.push_back({how.palette[k], how.palette[k + 1], how.palette[k + 2]});
    if (!colours.empty()) png_set_PLTE(png, info, colours.data(), static_cast<int>(colours.size()));
    png_color_16 clear{};
    if (how.clear_grey) clear.gray = *how.clear_grey;
    if (how.clear_rgb.size() == 3) {
        clear.red = how.clear_rgb[0];
        clear.green = how.clear_rgb[1];
        clear.blue = how.clear_rgb[2];
    }
    if (!how.palette_alpha.empty())
        png_set_tRNS(png, info, const_cast<png_bytep>(how.palette_alpha.data()), static_cast<int>(how.palette_alpha.size()), nullptr);
    else if (how.clear_grey || !how.clear_rgb.empty())
        png_set_tRNS(png, info, nullptr, 0, &clear);
#ifdef PNG_eXIf_SUPPORTED
    std::string exif = how.exif;
    if (!exif.empty()) png_set_eXIf_1(png, info, static_cast<png_uint_32>(exif.size()), reinterpret_cast<png_bytep>(exif.data()));
#endif
    png_write_info(png, info);
    const std::size_t in_row = samples.size() / static_cast<std::size_t>(how.height);
    std::vector<std::uint8_t> rows = packed(samples, in_row, how.bits);
    std::vector<png_bytep> starts;
    for (int y = 0; y < how.height; ++y)
        starts.push_back(rows.data() + static_cast<std::size_t>(y) * (rows.size() / static_cast<std::size_t>(how.height)));
    png_write_image(png, starts.data());
    png_write_end(png, info);
    png_destroy_write_struct(&png, &info);
    return out;
}

std::string jpeg(const Jpeg& how, const std::vector<std::uint8_t>& samples) {
    jpeg_compress_struct info{};
    jpeg_error_mgr errors{};
    info.err = jpeg_std_error(&errors);
    jpeg_create_compress(&info);
    unsigned char* memory = nullptr;
    unsigned long size = 0;
    jpeg_mem_dest(&info, &memory, &size);
    info.image_width = static_cast<JDIMENSION>(how.width);
    info.image_height = static_cast<JDIMENSION>(how.height);
    info.input_components = how.channels;
    info.in_color_space = how.channels == 1 ? JCS_GRAYSCALE : how.channels == 3 ? JCS_RGB : JCS_CMYK;
    jpeg_set_defaults(&info);
    jpeg_set_quality(&info, how.quality, TRUE);
    for (int c = 0; c < info.num_components; ++c) info.comp_info[c].h_samp_factor = info.comp_info[c].v_samp_factor = 1;
    if (how.progressive) jpeg_simple_progression(&info);
    if (how.channels == 4) info.write_Adobe_marker = how.adobe ? TRUE : FALSE;
    if (how.density_unit) {
        info.density_unit = static_cast<UINT8>(how.density_unit);
        info.X_density = static_cast<UINT16>(how.density_x);
        info.Y_density = static_cast<UINT16>(how.density_y);
    }
    jpeg_start_compress(&info, TRUE);
    if (!how.exif.empty()) {
        const std::string block = std::string("Exif\0\0", 6) + how.exif;
        jpeg_write_marker(&info, JPEG_APP0 + 1, reinterpret_cast<const JOCTET*>(block.data()), static_cast<unsigned>(block.size()));
    }
    const std::size_t row_bytes = static_cast<std::size_t>(how.width) * static_cast<std::size_t>(how.channels);
    for (int y = 0; y < how.height; ++y) {
        JSAMPROW row = const_cast<JSAMPROW>(samples.data() + static_cast<std::size_t>(y) * row_bytes);
        jpeg_write_scanlines(&info, &row, 1);
    }
    jpeg_finish_compress(&info);
    std::string out(reinterpret_cast<const char*>(memory), size);
    jpeg_destroy_compress(&info);
    std::free(memory);
    return out;
}

namespace {

struct TiffFile {
    std::string bytes;
    std::size_t at = 0;
};
TiffFile& of(thandle_t handle) { return *static_cast<TiffFile*>(handle); }
tmsize_t tiff_reads(thandle_t handle, void* out, tmsize_t count) {
    TiffFile& f = of(handle);
    const std::size_t n = f.at < f.bytes.size() ? std::min(static_cast<std::size_t>(count), f.bytes.size() - f.at) : 0;
    if (n > 0) std::memcpy(out, f.bytes.data() + f.at, n);
    f.at += n;
    return static_cast<tmsize_t>(n);
}
tmsize_t tiff_writes(thandle_t handle, void* in, tmsize_t count) {
    TiffFile& f = of(handle);
    const std::size_t n = static_cast<std::size_t>(count);
    if (f.bytes.size() < f.at + n) f.bytes.resize(f.at + n);
    std::memcpy(f.bytes.data() + f.at, in, n);
    f.at += n;
    return count;
}
toff_t tiff_seeks(thandle_t handle, toff_t offset, int from) {
    TiffFile& f = of(handle);
    f.at = static_cast<std::size_t>(offset) + (from == SEEK_CUR ? f.at : from == SEEK_END ? f.bytes.size() : 0);
    return f.at;
}
int tiff_closes(thandle_t) { return 0; }
toff_t tiff_sizes(thandle_t handle) { return of(handle).bytes.size(); }

/// The samples of one strip or tile as libtiff wants them: 16 bits in the order of this machine.
std::vector<std::uint8_t> block_of(const Tiff& how, const Samples& samples, int left, int top, int width, int height, int plane) {
    const int first = how.planes ? plane : 0, count = how.planes ? 1 : how.per_pixel;
    Samples block;
    for (int y = top; y < top + height; ++y)
        for (int x = left; x < left + width; ++x)
            for (int c = first; c < first + count; ++c) {
                const bool inside = x < how.width && y < how.height;
                const auto at = static_cast<std::size_t>((y * how.width + x) * how.per_pixel + c);
                block.push_back(inside ? samples[at] : std::uint16_t{0});
            }
    if (how.bits < 16) return packed(block, static_cast<std::size_t>(width * count), how.bits);
    std::vector<std::uint8_t> out(block.size() * 2);
    std::memcpy(out.data(), block.data(), out.size());
    return out;
}

void write_page(TIFF* tiff, const Tiff& how, const Samples& samples) {
    TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, static_cast<std::uint32_t>(how.width));
    TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, static_cast<std::uint32_t>(how.height));
    TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, how.bits);
    TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, how.per_pixel);
    TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC, how.photometric);
    TIFFSetField(tiff, TIFFTAG_COMPRESSION, how.compression);
    TIFFSetField(tiff, TIFFTAG_ORIENTATION, how.orientation);
    TIFFSetField(tiff, TIFFTAG_SAMPLEFORMAT, how.sample_format);
    TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, how.planes ? PLANARCONFIG_SEPARATE : PLANARCONFIG_CONTIG);
    if (!how.extra.empty()) TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, static_cast<int>(how.extra.size()), how.extra.data());
    if (how.resolution_x > 0) {
        TIFFSetField(tiff, TIFFTAG_XRESOLUTION, static_cast<double>(how.resolution_x));
        TIFFSetField(tiff, TIFFTAG_YRESOLUTION, static_cast<double>(how.resolution_y));
        TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, how.unit);
    }
    if (!how.palette.empty()) {
        const std::size_t n = how.palette.size() / 3;
        TIFFSetField(tiff, TIFFTAG_COLORMAP, how.palette.data(), how.palette.data() + n, how.palette.data() + 2 * n);
    }
    const bool tiled = how.tile_width > 0;
    if (tiled) {
        TIFFSetField(tiff, TIFFTAG_TILEWIDTH, static_cast<std::uint32_t>(how.tile_width));
        TIFFSetField(tiff, TIFFTAG_TILELENGTH, static_cast<std::uint32_t>(how.tile_height));
    } else {
        TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, static_cast<std::uint32_t>(how.rows_per_strip));
    }
    const int across = tiled ? how.tile_width : how.width, down = tiled ? how.tile_height : how.rows_per_strip;
    std::uint32_t index = 0;
    for (int plane = 0; plane < (how.planes ? how.per_pixel : 1); ++plane)
        for (int top = 0; top < how.height; top += down)
            for (int left = 0; left < how.width; left += across) {
                const int height = tiled ? down : std::min(down, how.height - top);
                auto block = block_of(how, samples, left, top, across, height, plane);
                const auto size = static_cast<tmsize_t>(block.size());
                if (tiled)
                    TIFFWriteEncodedTile(tiff, index++, block.data(), size);
                else
                    TIFFWriteEncodedStrip(tiff, index++, block.data(), size);
            }
    TIFFWriteDirectory(tiff);
}

}  // namespace

std::string tiff(const Tiff& how, const Samples& samples) {
    TiffFile file;
    TIFF* const tiff = TIFFClientOpen("made", how.big_endian ? "wb" : "wl", &file, tiff_reads, tiff_writes, tiff_seeks, tiff_closes,
                                      tiff_sizes, nullptr, nullptr);
    for (int page = 0; page < how.pages; ++page) {
        const bool preview = page == 0 && how.preview_first;
        if (preview) TIFFSetField(tiff, TIFFTAG_SUBFILETYPE, FILETYPE_REDUCEDIMAGE);
        write_page(tiff, how, preview ? Samples(samples.size()) : samples);
    }
    TIFFClose(tiff);
    return file.bytes;
}

namespace {

std::string taken(std::uint8_t* memory, std::size_t size) {
    std::string out(reinterpret_cast<const char*>(memory), size);
    WebPFree(memory);
    return out;
}

std::string little(std::uint32_t value, int count) {
    std::string out;
    for (int k = 0; k < count; ++k) out += static_cast<char>(value >> (8 * k) & 255U);
    return out;
}

}  // namespace

std::string webp(int width, int height, int channels, const std::vector<std::uint8_t>& samples) {
    std::uint8_t* memory = nullptr;
    const std::size_t size = channels == 3 ? WebPEncodeLosslessRGB(samples.data(), width, height, width * 3, &memory)
                                           : WebPEncodeLosslessRGBA(samples.data(), width, height, width * 4, &memory);
    return taken(memory, size);
}

std::string webp_lossy(int width, int height, const std::vector<std::uint8_t>& rgb, float quality) {
    std::uint8_t* memory = nullptr;
    const std::size_t size = WebPEncodeRGB(rgb.data(), width, height, width * 3, quality, &memory);
    return taken(memory, size);
}

std::string webp_with_exif(const std::string& simple, int width, int height, const std::string& exif) {
    constexpr std::uint32_t has_exif = 8;
    const auto chunk = [](const std::string& name, const std::string& content) {
        return name + little(static_cast<std::uint32_t>(content.size()), 4) + content + std::string(content.size() % 2, '\0');
    };
    const std::string head =
        little(has_exif, 4) + little(static_cast<std::uint32_t>(width - 1), 3) + little(static_cast<std::uint32_t>(height - 1), 3);
    const std::string body = "WEBP" + chunk("VP8X", head) + simple.substr(12) + chunk("EXIF", exif);
    return "RIFF" + little(static_cast<std::uint32_t>(body.size()), 4) + body;
}

std::string exif(int orientation, int per_inch, bool big_endian) {
    const auto number = [&](std::uint32_t value, int count) {
        std::string out = little(value, count);
        return big_endian ? std::string(out.rbegin(), out.rend()) : out;
    };
    const auto entry = [&](std::uint32_t tag, std::uint32_t type, const std::string& value) {
        return number(tag, 2) + number(type, 2) + number(1, 4) + value;
    };
    const std::string empty(2, '\0');
    const std::uint32_t fractions = 8 + 2 + 12 * 4 + 4;
    std::string out = (big_endian ? "MM" : "II") + number(42, 2) + number(8, 4) + number(4, 2);
    out += entry(0x0112, 3, number(static_cast<std::uint32_t>(orientation), 2) + empty);
    out += entry(0x011A, 5, number(fractions, 4));
    out += entry(0x011B, 5, number(fractions, 4));
    out += entry(0x0128, 3, number(2, 2) + empty);
    return out + number(0, 4) + number(static_cast<std::uint32_t>(per_inch), 4) + number(1, 4);
}

Samples noise(std::size_t count, int most, std::uint32_t seed) {
    std::mt19937 next(seed);
    Samples out(count);
    for (auto& v : out) v = static_cast<std::uint16_t>(next() % (static_cast<unsigned>(most) + 1U));
    return out;
}

std::vector<std::uint8_t> noise8(std::size_t count, std::uint32_t seed) {
    const Samples wide = noise(count, 255, seed);
    std::vector<std::uint8_t> out;
    for (const auto v : wide) out.push_back(static_cast<std::uint8_t>(v));
    return out;
}

}  // namespace made
