#pragma once
/// Files of every kind, made with the libraries themselves from samples that the tests know.
#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "burin/picture/picture.hpp"

namespace made {

using Samples = std::vector<std::uint16_t>;

inline std::span<const std::byte> bytes_of(const std::string& file) {
    return {reinterpret_cast<const std::byte*>(file.data()), file.size()};
}
inline burin::Picture read(const std::string& file, const burin::PictureLimits& limits = {}) {
    return burin::read_picture(bytes_of(file), "lighthouse", limits);
}
/// What the reader says about a file that it must refuse with exit status 3; fails the test if it does not.
std::string refusal(const std::string& file, const burin::PictureLimits& limits = {});
/// Cuts the file off after one byte and then every `step` bytes, near both ends every byte; fails the test unless the reader
/// refuses each with a sentence that says `why`.
void check_cut_off(const std::string& file, std::size_t step, const std::string& why = "ends too early");

struct Png {
    int width = 1, height = 1, bits = 8, colour_type = 0;
    bool interlaced = false, srgb = false;
    std::optional<double> file_gamma{};
    std::uint32_t per_metre_x = 0, per_metre_y = 0;
    std::vector<std::uint8_t> palette{};  ///< red, green, blue
    std::vector<std::uint8_t> palette_alpha{};
    std::optional<std::uint16_t> clear_grey{};  ///< the value that is transparent
    std::vector<std::uint16_t> clear_rgb{};
    std::string exif{};
};
/// `samples` as they are stored: indices for a palette, alpha among them where the colour type has it.
std::string png(const Png& how, const Samples& samples);

struct Jpeg {
    int width = 8, height = 8, channels = 3;  ///< 1, 3 (RGB, stored as YCbCr) or 4 (inks)
    int quality = 100;
    bool progressive = false, adobe = true;
    int density_unit = 0, density_x = 1, density_y = 1;
    std::string exif{};
};
std::string jpeg(const Jpeg& how, const std::vector<std::uint8_t>& samples);

struct Tiff {
    int width = 1, height = 1, bits = 8, per_pixel = 1;
    int photometric = 1, compression = 1, orientation = 1, sample_format = 1;
    bool planes = false;
    int rows_per_strip = 3, tile_width = 0, tile_height = 0;
    std::vector<std::uint16_t> extra{};
    float resolution_x = 0, resolution_y = 0;
    int unit = 2;
    std::vector<std::uint16_t> palette{};  ///< all reds, all greens, all blues
    bool big_endian = false;
    int pages = 1;
    bool preview_first = false;  ///< the first page says that it is a reduced picture
};
std::string tiff(const Tiff& how, const Samples& samples);

/// 3 or 4 channels, without loss.
std::string webp(int width, int height, int channels, const std::vector<std::uint8_t>& samples);
/// With loss, quality 0 … 100.
std::string webp_lossy(int width, int height, const std::vector<std::uint8_t>& rgb, float quality);
/// The extended container around a simple WebP, with an EXIF chunk.
std::string webp_with_exif(const std::string& simple, int width, int height, const std::string& exif);

/// An EXIF block with that orientation and, if not 0, that resolution in pixels per inch.
std::string exif(int orientation, int per_inch = 0, bool big_endian = false);

/// Whole numbers 0 … most from a fixed seed.
Samples noise(std::size_t count, int most, std::uint32_t seed = 20);
std::vector<std::uint8_t> noise8(std::size_t count, std::uint32_t seed = 20);

}  // namespace made
