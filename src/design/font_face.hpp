#pragma once
/// One font, opened from its bytes: FreeType draws its glyphs, HarfBuzz chooses and places them. Everything in font units.
#include <ft2build.h>
#include FT_FREETYPE_H
#include <hb.h>

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

#include "burin/base/point.hpp"
#include "burin/shape/region.hpp"
#include "lettering_text.hpp"

namespace burin {

/// A glyph and where its origin lies, from the origin of its letter.
struct PlacedGlyph {
    std::uint32_t id = 0;
    Point at;
};

/// What stands or is turned together: a letter with its marks, a ligature.
struct Letter {
    std::vector<PlacedGlyph> glyphs;
    double advance = 0;
    std::size_t place = 0;  ///< of its first character in the line
    hb_script_t script = HB_SCRIPT_COMMON;
};

/// Curves of a glyph as chords.
struct GlyphLoops {
    std::vector<Loop> loops;
    FillRule rule = FillRule::nonzero;
};

class FontFace {
public:
    /// `bytes` must outlive the face. Throws Error (input) for what is no outline font of the OpenType family.
    FontFace(std::string_view bytes, int face, std::string name);

    [[nodiscard]] const std::string& name() const { return name_; }
    /// Height of capitals: the font's own word for it where that agrees with its 'H' to a quarter, else that letter measured, else
    /// seven tenths of the em.
    [[nodiscard]] double cap_height() const { return cap_height_; }
    [[nodiscard]] double em() const { return face_->units_per_EM; }
    [[nodiscard]] bool has(char32_t c) const;
    /// Letters of one run, from left to right. Glyph 0 stands for what the font lacks.
    [[nodiscard]] std::vector<Letter> shape(const std::u32string& line, const TextRun& run, bool ligatures) const;
    /// Of no size (lo above hi) where nothing is drawn.
    [[nodiscard]] Box ink(std::uint32_t glyph) const;
    /// Chords that leave the curves by at most `tolerance` font units. Throws Error (input) for outlines that are broken or no letter's.
    [[nodiscard]] GlyphLoops loops(std::uint32_t glyph, double tolerance) const;

private:
    template <auto Done>
    struct Closed {
        template <typename T>
        void operator()(T* value) const {
            Done(value);
        }
    };
    void open(std::string_view bytes, int face);
    void choose_instance(int face);
    [[nodiscard]] double measured_cap_height() const;
    [[nodiscard]] const FT_Outline& outline(std::uint32_t glyph) const;

    std::string name_;
    double cap_height_ = 0;
    std::unique_ptr<std::remove_pointer_t<FT_Library>, Closed<&FT_Done_FreeType>> library_;
    std::unique_ptr<std::remove_pointer_t<FT_Face>, Closed<&FT_Done_Face>> face_;
    std::unique_ptr<hb_font_t, Closed<&hb_font_destroy>> font_;
};

}  // namespace burin
