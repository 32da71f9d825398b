// Which reader for which bytes, told by the signature each kind of file starts with, never by the file's name.
//
// Sources: PNG (ISO/IEC 15948) 5.2; JPEG (ITU-T T.81) B.1.1.3; TIFF 6.0 section 2 and BigTIFF; RIFF container of WebP
// (RFC 9649). The kinds that are only named so that the sentence helps: their own specifications, from memory.

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <new>
#include <stdexcept>
#include <string_view>

#include "burin/picture/picture.hpp"
#include "readers.hpp"

namespace burin {
namespace readers {
namespace {

using std::string_view_literals::operator""sv;

std::string_view text_of(std::span<const std::byte> bytes) { return {reinterpret_cast<const char*>(bytes.data()), bytes.size()}; }

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + ('a' - 'A')) : c; }

/// The first kilobytes in lower case, without a byte order mark and leading blanks: enough to know markup by.
std::string beginning(std::string_view text) {
    if (text.starts_with("\xEF\xBB\xBF"sv)) text.remove_prefix(3);
    const auto start = text.find_first_not_of(" \t\r\n");
    if (start == std::string_view::npos) return {};
    std::string out(text.substr(start, 4096));
    std::transform(out.begin(), out.end(), out.begin(), lower);
    return out;
}

/// ISO base media files name their kind in the brand after "ftyp".
std::string brand_kind(std::string_view text) {
    if (text.size() < 12 || text.substr(4, 4) != "ftyp"sv) return {};
    const std::string_view brand = text.substr(8, 4);
    if (brand.starts_with("he"sv) || brand == "mif1"sv || brand == "msf1"sv) return "a HEIC picture";
    if (brand == "avif"sv || brand == "avis"sv) return "an AVIF picture";
    if (brand == "crx "sv) return "a camera's raw file";
    return "a film";
}

bool is_plain_text(std::string_view text) {
    const auto part = text.substr(0, 4096);
    return std::all_of(part.begin(), part.end(), [](char c) {
        const auto u = static_cast<unsigned char>(c);
        return u >= 0x20 || c == '\n' || c == '\r' || c == '\t' || c == '\f';
    });
}

std::string markup_kind(std::string_view text) {
    const std::string start = beginning(text);
    const std::string_view view = start;
    const bool markup = view.starts_with("<"sv);
    if (markup && view.find("<svg"sv) != std::string_view::npos) return "an SVG drawing";
    if (view.starts_with("<!doctype html"sv) || view.starts_with("<html"sv)) return "a web page";
    if (view.starts_with("<?xml"sv)) return "an XML document";
    return {};
}

bool is_portable_anymap(std::string_view text) {
    return text.size() > 2 && text[0] == 'P' && text[1] >= '1' && text[1] <= '7' &&
           (text[2] == '\n' || text[2] == ' ' || text[2] == '\r' || text[2] == '\t' || text[2] == '#');
}

struct Signature {
    std::string_view start;
    std::string_view kind;
};

constexpr std::array signatures{
    Signature{"%PDF"sv, "a PDF document"},
    Signature{"GIF87a"sv, "a GIF picture"},
    Signature{"GIF89a"sv, "a GIF picture"},
    Signature{"8BPS"sv, "a layered PSD picture"},
    Signature{"%!"sv, "a PostScript document"},
    Signature{"\x00\x00\x01\x00"sv, "an icon file"},
    Signature{"\xFF\x0A"sv, "a JPEG XL picture"},
    Signature{"\x00\x00\x00\x0CJXL "sv, "a JPEG XL picture"},
    Signature{"\x00\x00\x00\x0CjP  "sv, "a JPEG 2000 picture"},
    Signature{"\xFF\x4F\xFF\x51"sv, "a JPEG 2000 picture"},
    Signature{"\x76\x2F\x31\x01"sv, "an OpenEXR picture"},
    Signature{"#?RADIANCE"sv, "an HDR picture"},
    Signature{"qoif"sv, "a QOI picture"},
    Signature{"DDS "sv, "a DDS texture"},
    Signature{"PK\x03\x04"sv, "a ZIP archive or an office document"},
    Signature{"\x1F\x8B"sv, "a gzip archive"},
    Signature{"7z\xBC\xAF\x27\x1C"sv, "a 7z archive"},
    Signature{"\x7F"
              "ELF"sv,
              "a program"},
};

}  // namespace

std::string other_kind(std::span<const std::byte> bytes) {
    const std::string_view text = text_of(bytes);
    for (const auto& [start, kind] : signatures)
        if (text.starts_with(start)) return std::string(kind);
    if (auto kind = brand_kind(text); !kind.empty()) return kind;
    if (text.starts_with("BM"sv) && text.size() >= 18 && text.substr(6, 4) == "\0\0\0\0"sv) return "a BMP picture";
    if (is_portable_anymap(text)) return "a portable anymap (PBM, PGM or PPM)";
    if (text.starts_with("RIFF"sv)) return "a sound or a film";
    if (auto kind = markup_kind(text); !kind.empty()) return kind;
    if (std::all_of(text.begin(), text.end(), [](char c) { return c == '\0'; })) return "nothing but zeros (a copy that went wrong?)";
    if (is_plain_text(text)) return "a text";
    return {};
}

}  // namespace readers

namespace {

/// Fully opaque says nothing, and costs two bytes a pixel.
void drop_opaque_alpha(Picture& picture) {
    const auto& alpha = picture.alpha;
    if (std::all_of(alpha.begin(), alpha.end(), [](std::uint16_t a) { return a == 65535; }))
        std::vector<std::uint16_t>().swap(picture.alpha);
}

bool is_unfinished_signature(std::string_view text) {
    using std::string_view_literals::operator""sv;
    constexpr std::array starts{"\x89PNG\r\n\x1A\n"sv, "\xFF\xD8\xFF"sv, "II*\0"sv, "MM\0*"sv, "RIFF"sv};
    return std::any_of(starts.begin(), starts.end(), [&](std::string_view s) { return s.starts_with(text); });
}

Picture read_by_kind(const readers::Source& source) {
    using std::string_view_literals::operator""sv;
    const std::string_view text{reinterpret_cast<const char*>(source.bytes.data()), source.bytes.size()};
    if (text.empty()) readers::refuse(source, "is empty: the file holds no bytes at all. Copy or export it again.");
    if (text.starts_with("\x89PNG\r\n\x1A\n"sv)) return readers::read_png(source);
    if (text.starts_with("\xFF\xD8\xFF"sv)) return readers::read_jpeg(source);
    if (text.starts_with("II*\0"sv) || text.starts_with("MM\0*"sv) || text.starts_with("II+\0"sv) || text.starts_with("MM\0+"sv))
        return readers::read_tiff(source);
    if (text.starts_with("RIFF"sv) && text.size() >= 12 && text.substr(8, 4) == "WEBP"sv) return readers::read_webp(source);
    if (is_unfinished_signature(text) || (text.starts_with("RIFF"sv) && text.size() < 12)) readers::refuse_as_truncated(source);
    if (text.starts_with("\x89PNG"sv) || text.starts_with("\x89\nPNG"sv))
        readers::refuse(source, "is a PNG picture that was changed on its way as if it were text. Copy it again, as binary data.");
    const std::string kind = readers::other_kind(source.bytes);
    if (kind.empty()) readers::refuse(source, "is not a picture of a kind that can be read. Give it as PNG, JPEG, TIFF or WebP.");
    readers::refuse(source, fmt::format("is {}. Export it as PNG, JPEG, TIFF or WebP.", kind));
}

}  // namespace

Picture read_picture(std::span<const std::byte> bytes, const std::string& name, const PictureLimits& limits) {
    const readers::Source source{bytes, name, limits};
    try {
        Picture picture = read_by_kind(source);
        drop_opaque_alpha(picture);
        return picture;
    } catch (const std::bad_alloc&) {
        readers::refuse(source, "does not fit into this computer's memory. Scale it down first.");
    } catch (const std::length_error&) {
        readers::refuse(source, "does not fit into this computer's memory. Scale it down first.");
    }
}

}  // namespace burin
