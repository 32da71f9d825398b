#pragma once
/// Fonts of this computer, found by family, or a font file by its path. Letters are made of one in design/lettering.hpp.
#include <filesystem>
#include <string>
#include <vector>

namespace burin {

/// Where a font lies. Its bytes are read by who needs them.
struct FontFile {
    std::filesystem::path path;
    int face = 0;               ///< which one of the file's fonts, as FreeType counts: lower 16 bits the face, upper ones the named
                                ///< instance of a variable font
    std::string family, style;  ///< as the font names itself; empty where a path was given

    /// For people: "DejaVu Serif Bold", or the file's name.
    [[nodiscard]] std::string name() const;
};

/// `wanted` is the path of a font file (with a '/' or a font's ending: .ttf, .otf, .ttc, .otc, .woff, .woff2, .pfb; "fonts.ttc:2" is the
/// second font of a collection) or a family, in any case, with words for its style after a colon: "DejaVu Serif",
/// "DejaVu Sans:bold condensed", "Serif:italic". Words: thin, extralight, light, book, regular, medium, semibold, bold, extrabold, black;
/// upright, italic, oblique (either slant does); condensed, semicondensed, extracondensed, normal, expanded; or the style's whole name as
/// the font has it. What is not said is taken as regular as the family has it. A font's full name ("DejaVu Sans Bold") does as well.
///
/// Only outline fonts are taken. serif, sans, sans-serif and monospace are what fontconfig makes of them (FONTCONFIG_FILE and the
/// system's settings count, the locale does not); any other family must be there itself.
/// Throws Error (input): no such family (with the nearest ones), family without such a style (with those it has), no fonts at all;
/// Error (usage): nothing asked for, a style word that is none. A path is not looked at: what is missing or no font is told by
/// reading it. May be called from any thread; calls wait for each other. Cost: some ms.
[[nodiscard]] FontFile find_font(const std::string& wanted);

/// Families that are installed and have outlines for all of `characters`, sorted; at most `most`.
[[nodiscard]] std::vector<std::string> families_with(const std::u32string& characters, std::size_t most = 5);

}  // namespace burin
