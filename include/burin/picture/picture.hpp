#pragma once
/// Pictures: samples, what they mean as light, how large they are.
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/grid.hpp"

namespace burin {

/// How sample values mean light.
struct Transfer {
    bool srgb = true;  ///< IEC 61966-2-1
    double gamma = 1;  ///< otherwise: light = value^gamma
};

/// width × height pixels from the top row down, 1 (grey) or 3 (red, green, blue) samples of 16 bits each; those of n bits
/// are widened by 65535/(2^n − 1), so 8-bit ones by × 257. `alpha` is empty (opaque everywhere) or holds one sample a pixel,
/// 65535 = opaque; colours are never multiplied by it.
struct Picture {
    int width = 0, height = 0, channels = 1;
    int source_bits = 8;  ///< a sample of the file: 1, 2, 4, 8 or 16; 8 for a palette
    std::vector<std::uint16_t> samples;
    std::vector<std::uint16_t> alpha;
    Transfer transfer;
    std::optional<double> width_mm, height_mm;  ///< physical size of the upright picture, where the file gives one
    std::string kind;                           ///< "PNG", "JPEG", "TIFF", "WebP"
    std::vector<std::string> notes;             ///< what a reader had to assume, for the report
};

struct PictureLimits {
    double most_megapixels = 120;  ///< of the header, refused before memory is taken
};

/// Reads PNG, JPEG, TIFF or WebP, told by the content. Orientation (EXIF, TIFF) is applied. Inks (CMYK) become red, green
/// and blue without a colour profile. Of several pictures in a TIFF the first that is no preview is taken. Throws Error
/// (input): empty, not a picture of a kind that is read (naming the kind where it is known), truncated, corrupt, zero-sized,
/// too large, an animation. `name` is for sentences only. Memory beyond the picture itself: a strip, a tile or a row (WebP
/// and interlaced PNG: the decoded file; turning: a second picture for a moment).
/// Sources: PNG (ISO/IEC 15948), JPEG (ITU-T T.81, T.871), TIFF 6.0, WebP (RFC 9649), EXIF (CIPA DC-008).
[[nodiscard]] Picture read_picture(std::span<const std::byte> bytes, const std::string& name, const PictureLimits& limits = {});

/// Sample values 0 … 1, row 0 at the bottom (a picture's top row lies at the highest y), cells of width_mm / width mm.
/// Colour: the BT.709 weighted sum of the coded values. Throws Error (refused) unless width_mm > 0, as the next two do.
[[nodiscard]] HeightMap coded_grey(const Picture& picture, double width_mm);
/// The same cells: luminance in linear light 0 … 1 (transfer curve undone, BT.709 weights).
[[nodiscard]] HeightMap luminance(const Picture& picture, double width_mm);
/// Opacity 0 … 1; an empty grid where the picture has no transparency.
[[nodiscard]] HeightMap opacity(const Picture& picture, double width_mm);
/// Whether any pixel's red, green and blue differ.
[[nodiscard]] bool has_colour(const Picture& picture);

/// One text chunk of a PNG: a key of 1 to 79 letters, a value in UTF-8.
struct PngText {
    std::string key, value;
};
/// 8-bit RGB or 16-bit grey to PNG bytes, written fast (compression level 1, Sub filter). Rows from the top.
/// `width_mm` > 0 writes pHYs; the RGB one says that it is sRGB. Throws Error (output) where the samples do not fill the size
/// or a key is empty.
[[nodiscard]] std::string write_png_rgb(std::span<const std::uint8_t> rgb, int width, int height, double width_mm,
                                        const std::vector<PngText>& texts);
[[nodiscard]] std::string write_png_grey16(std::span<const std::uint16_t> grey, int width, int height, double width_mm,
                                           const std::vector<PngText>& texts);

}  // namespace burin
