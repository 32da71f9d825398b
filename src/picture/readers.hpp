#pragma once
/// What the readers of the single kinds share. Each takes the bytes of one file and gives the picture, turned upright.
/// All throw Error (input).
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>

#include "burin/picture/picture.hpp"

namespace burin::readers {

/// The bytes of one file, what sentences call it, and how large it may be.
struct Source {
    std::span<const std::byte> bytes;
    const std::string& name;
    const PictureLimits& limits;
};

[[nodiscard]] Picture read_png(const Source& source);
[[nodiscard]] Picture read_jpeg(const Source& source);
[[nodiscard]] Picture read_tiff(const Source& source);
[[nodiscard]] Picture read_webp(const Source& source);

/// "The picture 'name' " + `what`, thrown as Error (input).
[[noreturn]] void refuse(const Source& source, const std::string& what);
[[noreturn]] void refuse_as_truncated(const Source& source);
/// `detail` is what the library of that kind says, put into brackets.
[[noreturn]] void refuse_as_damaged(const Source& source, const std::string& detail);
[[noreturn]] void refuse_as_zero_sized(const Source& source);
/// Refuses what has no pixels or more than the limit. To be called on the header's figures, before memory is taken.
void check_size(const Source& source, double width, double height);

/// A name for what the bytes are if they are no PNG, JPEG, TIFF or WebP, with its article ("a PDF document"); empty if
/// they look like nothing known.
[[nodiscard]] std::string other_kind(std::span<const std::byte> bytes);

/// An empty picture of that size whose memory is set aside but not yet touched: a file that ends early then costs nothing.
[[nodiscard]] Picture blank(const std::string& kind, int width, int height, int channels, bool alpha);
/// Makes the first `rows` rows of `blank`'s picture usable.
void grow(Picture& picture, int rows);
/// Puts `count` pixels into row y from column x on. Each has the picture's channels, then alpha if the picture has it;
/// 8-bit samples are widened by × 257.
void put_pixels(Picture& picture, int x, int y, int count, const std::uint8_t* pixels);
void put_pixels(Picture& picture, int x, int y, int count, const std::uint16_t* pixels);

/// Pixels a millimetre to physical size; figures that are not finite and positive are dropped.
void set_size(Picture& picture, double pixels_per_mm_x, double pixels_per_mm_y);
/// Notes that the colour profile (ICC.1) is not used, unless it is sRGB's.
void note_profile(Picture& picture, std::span<const std::byte> profile);

/// The part of an EXIF block (CIPA DC-008, a TIFF header and its first directory) that matters here.
struct Exif {
    int orientation = 1;                                     ///< 1 … 8
    std::optional<double> pixels_per_mm_x, pixels_per_mm_y;  ///< absent where unknown; 72 per inch means unknown
};
/// Never fails: what cannot be read is as if absent. `block` starts with the byte order mark "II" or "MM"; "Exif\0\0"
/// before it is stepped over.
[[nodiscard]] Exif read_exif(std::span<const std::byte> block);

/// Turns the picture upright. `orientation` as in TIFF 6.0 and EXIF, 1 … 8; any other value counts as 1.
void orient(Picture& picture, int orientation);

}  // namespace burin::readers
