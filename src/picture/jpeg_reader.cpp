// JPEG through libjpeg: baseline and progressive, grey, YCbCr, RGB, CMYK and YCCK, EXIF orientation, density.
// Source: ITU-T T.81; JFIF (ITU-T T.871); the Adobe marker of ITU-T T.872 6.5.3. Cost: the decoding, plus one pass over
// each row.
//
// libjpeg fills what is missing of a picture with grey and says so in a warning: here the warnings that tell of missing or
// broken data are errors. It reports by longjmp; only `Reading::ok` sets the mark, around single calls into the library,
// so that no frame that is jumped over owns anything.

#include <fmt/format.h>
#include <jerror.h>
#include <jpeglib.h>

#include <csetjmp>
#include <cstddef>
#include <cstdio>  // jpeglib.h needs it
#include <cstring>
#include <memory>
#include <vector>

#include "readers.hpp"

namespace burin::readers {
namespace {

struct Reading {
    jpeg_decompress_struct info{};
    jpeg_error_mgr errors{};
    jpeg_progress_mgr progress{};
    bool created = false;
    int code = 0;         ///< the library's number of the error or warning that ended the reading
    int stray_bytes = 0;  ///< between the picture's data and the end marker
    char message[JMSG_LENGTH_MAX] = "";
    std::jmp_buf back;

    Reading() = default;
    Reading(const Reading&) = delete;
    Reading& operator=(const Reading&) = delete;
    ~Reading() {
        if (created) jpeg_destroy_decompress(&info);
    }
    /// Runs one step that owns nothing; false if libjpeg gave up in it.
    template <class Step>
    [[nodiscard, gnu::noinline]] bool ok(Step step) {
        if (setjmp(back)) return false;
        step();
        return true;
    }
};

[[noreturn]] void give_up(j_common_ptr info) {
    auto& reading = *static_cast<Reading*>(info->client_data);
    reading.code = info->err->msg_code;
    info->err->format_message(info, reading.message);
    std::longjmp(reading.back, 1);
}

/// Level −1 is a warning. Not all of them mean damage: a newer revision of JFIF, an unknown colour transform number, and
/// the few stray bytes that many cameras leave before the end marker are no loss.
void on_message(j_common_ptr info, int level) {
    if (level >= 0) return;
    const int code = info->err->msg_code;
    if (code == JWRN_JFIF_MAJOR || code == JWRN_ADOBE_XFORM) return;
    constexpr int end_marker = 0xD9, most_stray = 64;
    if (code == JWRN_EXTRANEOUS_DATA && info->err->msg_parm.i[1] == end_marker && info->err->msg_parm.i[0] <= most_stray) {
        static_cast<Reading*>(info->client_data)->stray_bytes = info->err->msg_parm.i[0];
        return;
    }
    give_up(info);
}

void on_output(j_common_ptr) {}

/// A progressive file of a few kilobytes can ask for thousands of passes over a large picture; honest ones have ten or so.
void on_progress(j_common_ptr info) {
    constexpr int most_scans = 200;
    if (info->is_decompressor && reinterpret_cast<j_decompress_ptr>(info)->input_scan_number > most_scans) {
        info->err->msg_code = JWRN_BOGUS_PROGRESSION;
        give_up(info);
    }
}

[[noreturn]] void refuse_reading(const Source& source, const Reading& reading) {
    switch (reading.code) {
        case JERR_OUT_OF_MEMORY:
            throw std::bad_alloc();
        case JERR_EMPTY_IMAGE:
            refuse_as_zero_sized(source);
        case JERR_INPUT_EOF:
        case JERR_INPUT_EMPTY:
        case JWRN_JPEG_EOF:
            refuse_as_truncated(source);
        case JERR_BAD_PRECISION:
        case JERR_SOF_UNSUPPORTED:
        case JERR_ARITH_NOTIMPL:
        case JERR_CONVERSION_NOTIMPL:
        case JERR_CCIR601_NOTIMPL:
        case JERR_FRACT_SAMPLE_NOTIMPL:
            refuse(source, fmt::format("is of a kind of JPEG that is not read ({}). Save it again as an ordinary JPEG or as PNG.",
                                       reading.message));
        default:
            refuse_as_damaged(source, reading.message);
    }
}

/// Whether an end marker follows the start of the coded data. Within those a byte 0xFF is never followed by 0xD9, so a file
/// that was cut off is known at once, without decoding all that is left of it. Segments before them, which may hold a whole
/// picture as thumbnail, are stepped over.
bool has_end(std::span<const std::byte> bytes) {
    constexpr std::byte mark{0xFF}, start_of_scan{0xDA}, end_of_image{0xD9};
    std::size_t at = 2;
    while (at + 4 <= bytes.size() && bytes[at] == mark && bytes[at + 1] != start_of_scan)
        at += bytes[at + 1] == mark ? 1
                                    : 2 + (std::to_integer<std::size_t>(bytes[at + 2]) << 8 | std::to_integer<std::size_t>(bytes[at + 3]));
    if (at >= bytes.size()) return false;
    for (auto left = bytes.subspan(at); left.size() >= 2;) {
        const void* const found = std::memchr(left.data(), 0xFF, left.size() - 1);
        if (!found) return false;
        left = left.subspan(static_cast<std::size_t>(static_cast<const std::byte*>(found) - left.data()) + 1);
        if (left.front() == end_of_image) return true;
    }
    return false;
}

/// Every block of 8 × 8 samples costs at least one bit, and at least one of the channels has half as many of them as the
/// picture has room for: a header that promises more than the file can hold is refused before memory is taken for it.
/// (Arithmetic coding has no such bound.)
void check_plausible(const Source& source, const jpeg_decompress_struct& info) {
    const double least_bytes = static_cast<double>(info.image_width) * info.image_height / 64 / 8 / 2;
    if (!info.arith_code && least_bytes > static_cast<double>(source.bytes.size())) refuse_as_truncated(source);
}

/// Light left by four inks of 0 … 255, laid over each other: (1 − c)(1 − k) for red and so on. `bare` holds 255 where there
/// is no ink.
void uninked(const std::uint8_t* bare, std::uint16_t* rgb, int width) {
    for (int x = 0; x < width; ++x)
        for (int c = 0; c < 3; ++c) {
            const unsigned light = bare[4 * x + c] * unsigned{bare[4 * x + 3]};  // of 255 · 255
            rgb[3 * x + c] = static_cast<std::uint16_t>((light * 257U + 127U) / 255U);
        }
}

void invert(std::uint8_t* row, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) row[i] = static_cast<std::uint8_t>(255 - row[i]);
}

void read_rows(const Source& source, Reading& reading, Picture& picture) {
    const std::size_t row_bytes =
        static_cast<std::size_t>(reading.info.output_width) * static_cast<std::size_t>(reading.info.output_components);
    const bool inks = reading.info.out_color_space == JCS_CMYK;
    // Files with the Adobe marker hold 255 − ink, the others hold ink.
    const bool stored_bare = reading.info.saw_Adobe_marker;
    std::vector<std::uint8_t> row(row_bytes);
    std::vector<std::uint16_t> rgb(inks ? 3 * static_cast<std::size_t>(picture.width) : 0);
    for (int y = 0; y < picture.height; ++y) {
        std::uint8_t* const start = row.data();
        if (!reading.ok([&] {
                JSAMPROW rows[] = {start};
                jpeg_read_scanlines(&reading.info, rows, 1);
            }))
            refuse_reading(source, reading);
        grow(picture, y + 1);
        if (!inks) {
            put_pixels(picture, 0, y, picture.width, start);
            continue;
        }
        if (!stored_bare) invert(start, row_bytes);
        uninked(start, rgb.data(), picture.width);
        put_pixels(picture, 0, y, picture.width, rgb.data());
    }
}

std::span<const std::byte> marker_starting(const jpeg_decompress_struct& info, int marker, std::string_view mark) {
    for (auto* m = info.marker_list; m; m = m->next) {
        const std::span<const std::byte> block{reinterpret_cast<const std::byte*>(m->data), m->data_length};
        if (m->marker == marker && block.size() >= mark.size() &&
            std::string_view{reinterpret_cast<const char*>(m->data), mark.size()} == mark)
            return block;
    }
    return {};
}

void set_physical_size(Picture& picture, const jpeg_decompress_struct& info, const Exif& exif) {
    const double unit_mm = info.density_unit == 1 ? 25.4 : 10.0;
    if (info.saw_JFIF_marker && (info.density_unit == 1 || info.density_unit == 2))
        set_size(picture, info.X_density / unit_mm, info.Y_density / unit_mm);
    else if (exif.pixels_per_mm_x && exif.pixels_per_mm_y)
        set_size(picture, *exif.pixels_per_mm_x, *exif.pixels_per_mm_y);
}

}  // namespace

Picture read_jpeg(const Source& source) {
    using std::string_view_literals::operator""sv;
    Reading reading;
    auto& info = reading.info;
    info.err = jpeg_std_error(&reading.errors);
    info.client_data = &reading;
    reading.errors.error_exit = give_up;
    reading.errors.emit_message = on_message;
    reading.errors.output_message = on_output;
    reading.progress.progress_monitor = on_progress;
    const bool described = reading.ok([&] {
        jpeg_create_decompress(&info);
        reading.created = true;
        info.progress = &reading.progress;
        jpeg_mem_src(&info, reinterpret_cast<const unsigned char*>(source.bytes.data()), static_cast<unsigned long>(source.bytes.size()));
        jpeg_save_markers(&info, JPEG_APP0 + 1, 0xFFFF);
        jpeg_save_markers(&info, JPEG_APP0 + 2, 0xFFFF);
        jpeg_read_header(&info, TRUE);
    });
    if (!described) refuse_reading(source, reading);
    check_size(source, info.image_width, info.image_height);
    check_plausible(source, info);
    if (!has_end(source.bytes)) refuse_as_truncated(source);
    if (info.num_components != 1 && info.num_components != 3 && info.num_components != 4)
        refuse(source, fmt::format("is a JPEG with {} channels, which is not read. Save it again as an ordinary JPEG or as PNG.",
                                   info.num_components));
    info.out_color_space = info.num_components == 1 ? JCS_GRAYSCALE : info.num_components == 4 ? JCS_CMYK : JCS_RGB;
    if (!reading.ok([&] { jpeg_start_decompress(&info); })) refuse_reading(source, reading);

    Picture picture =
        blank("JPEG", static_cast<int>(info.output_width), static_cast<int>(info.output_height), info.num_components == 1 ? 1 : 3, false);
    read_rows(source, reading, picture);

    // Finishing frees the markers, so they come first.
    const Exif exif = read_exif(marker_starting(info, JPEG_APP0 + 1, "Exif\0\0"sv));
    set_physical_size(picture, info, exif);
    if (info.num_components == 4)
        picture.notes.emplace_back(
            "The picture is made for printing (CMYK); its colours are reckoned from the inks without a colour profile.");
    else
        note_profile(picture, marker_starting(info, JPEG_APP0 + 2, "ICC_PROFILE\0"sv));
    if (!reading.ok([&] { jpeg_finish_decompress(&info); })) refuse_reading(source, reading);
    if (reading.stray_bytes > 0) picture.notes.emplace_back("A few stray bytes follow the picture's data; they were passed over.");
    orient(picture, exif.orientation);
    return picture;
}

}  // namespace burin::readers
