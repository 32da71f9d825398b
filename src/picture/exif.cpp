// Orientation and resolution from an EXIF block: a TIFF header, then directory 0, whose entries of 12 bytes hold a tag, a
// type, a count and the value or its offset.
// Source: CIPA DC-008-2019 (Exif 2.32) 4.5–4.6; TIFF 6.0 section 2. Cost: one pass over the directory.

#include <cmath>

#include "readers.hpp"

namespace burin::readers {
namespace {

/// Whole numbers in the block's own byte order; nothing beyond its end.
struct Block {
    std::span<const std::byte> bytes;
    bool little = true;

    [[nodiscard]] std::optional<std::uint32_t> number(std::size_t at, std::size_t size) const {
        if (at > bytes.size() || bytes.size() - at < size) return std::nullopt;
        std::uint32_t value = 0;
        for (std::size_t i = 0; i < size; ++i) {
            const std::size_t k = little ? size - 1 - i : i;
            value = value << 8 | std::to_integer<std::uint32_t>(bytes[at + k]);
        }
        return value;
    }
    [[nodiscard]] std::optional<double> fraction(std::size_t at) const {
        const auto upper = number(at, 4), lower = number(at + 4, 4);
        if (!upper || !lower || *upper == 0 || *lower == 0) return std::nullopt;
        return static_cast<double>(*upper) / static_cast<double>(*lower);
    }
};

std::optional<Block> opened(std::span<const std::byte> block) {
    constexpr std::byte mark[] = {std::byte{'E'}, std::byte{'x'}, std::byte{'i'}, std::byte{'f'}, std::byte{0}, std::byte{0}};
    if (block.size() >= 6 && std::equal(std::begin(mark), std::end(mark), block.begin())) block = block.subspan(6);
    if (block.size() < 8 || block[0] != block[1]) return std::nullopt;
    if (block[0] != std::byte{'I'} && block[0] != std::byte{'M'}) return std::nullopt;
    const Block out{block, block[0] == std::byte{'I'}};
    if (out.number(2, 2) != 42U) return std::nullopt;
    return out;
}

}  // namespace

Exif read_exif(std::span<const std::byte> bytes) {
    Exif exif;
    const auto block = opened(bytes);
    if (!block) return exif;
    const std::size_t directory = block->number(4, 4).value_or(0);
    const std::size_t entries = block->number(directory, 2).value_or(0);
    std::uint32_t unit = 2;  // inches, unless the block says otherwise
    std::optional<double> x, y;
    for (std::size_t k = 0; k < entries; ++k) {
        const std::size_t at = directory + 2 + 12 * k;
        const auto tag = block->number(at, 2), type = block->number(at + 2, 2);
        if (!tag || !type) break;
        const std::size_t offset = block->number(at + 8, 4).value_or(0);
        constexpr std::uint32_t type_short = 3, type_rational = 5;
        if (*type == type_short && *tag == 0x0112) {
            const auto value = block->number(at + 8, 2).value_or(1);
            if (value >= 1 && value <= 8) exif.orientation = static_cast<int>(value);
        }
        if (*type == type_short && *tag == 0x0128) unit = block->number(at + 8, 2).value_or(2);
        if (*type == type_rational && *tag == 0x011A) x = block->fraction(offset);
        if (*type == type_rational && *tag == 0x011B) y = block->fraction(offset);
    }
    // "When the image resolution is unknown, 72 [dpi] is designated" (4.6.4, XResolution).
    const bool unknown = unit == 2 && x == 72.0 && y == 72.0;
    if (x && y && !unknown && (unit == 2 || unit == 3)) {
        const double unit_mm = unit == 2 ? 25.4 : 10.0;
        exif.pixels_per_mm_x = *x / unit_mm;
        exif.pixels_per_mm_y = *y / unit_mm;
    }
    return exif;
}

}  // namespace burin::readers
