/// FreeType gives outlines in font units, unhinted; HarfBuzz, with its own reading of the OpenType tables, turns characters into glyphs.
/// Curves become chords of equal steps of their parameter: a chord leaves its curve by at most h² |B''| / 8, where h is the step and
/// |B''| at most 2 |a - 2b + c| for quadratic and 6 max |a - 2b + c| for cubic pieces (the usual error of linear interpolation).
#include "font_face.hpp"

#include <fmt/format.h>
#include <hb-ot.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <utility>

#include FT_BBOX_H
#include FT_MULTIPLE_MASTERS_H
#include FT_OUTLINE_H
#include FT_TRUETYPE_TABLES_H

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr std::size_t largest_table = std::size_t{1} << 28;
constexpr std::size_t most_chords = 500'000;  // of one glyph; the most ornate ones have some thousands
// Lines of random length cross each other about (length / size)² / π times (Cauchy and Crofton's formula): an outline this long, in
// sizes of its box, is scribble, and would keep the union busy for hours.
constexpr double longest_outline = 400;

/// Through FreeType, so that what it unpacks (WOFF) is seen by HarfBuzz too.
hb_blob_t* table_of(hb_face_t*, hb_tag_t tag, void* user) {
    auto* const face = static_cast<FT_Face>(user);
    FT_ULong length = 0;
    if (FT_Load_Sfnt_Table(face, tag, 0, nullptr, &length) != 0 || length == 0 || length > largest_table) return nullptr;
    auto* const bytes = static_cast<FT_Byte*>(std::malloc(length));
    if (bytes == nullptr) return nullptr;
    if (FT_Load_Sfnt_Table(face, tag, 0, bytes, &length) != 0) {
        std::free(bytes);
        return nullptr;
    }
    return hb_blob_create(reinterpret_cast<const char*>(bytes), static_cast<unsigned>(length), HB_MEMORY_MODE_WRITABLE, bytes, std::free);
}

/// Builds loops out of FreeType's walk along an outline.
struct Pen {
    std::vector<Loop>* loops;
    double tolerance;
    std::size_t chords = 0;
    double length = 0;

    static Point of(const FT_Vector* v) { return {static_cast<double>(v->x), static_cast<double>(v->y)}; }
    static double bend(const Point& a, const Point& b, const Point& c) { return std::hypot(a.x - 2 * b.x + c.x, a.y - 2 * b.y + c.y); }
    /// Steps for a curve whose second derivative is at most `second`.
    [[nodiscard]] int steps(double second) const {
        constexpr double most = 4096;
        return static_cast<int>(std::clamp(std::ceil(std::sqrt(second / (8 * tolerance))), 1.0, most));
    }

    /// Not 0, which ends the walk, where it has become too much.
    int add(const Point& p) {
        Loop& loop = loops->back();
        length += distance(loop.back(), p);
        loop.push_back(p);
        return ++chords > most_chords ? 1 : 0;
    }

    static int move(const FT_Vector* to, void* user) {
        static_cast<Pen*>(user)->loops->push_back({of(to)});
        return 0;
    }
    static int line(const FT_Vector* to, void* user) { return static_cast<Pen*>(user)->add(of(to)); }
    static int conic(const FT_Vector* by, const FT_Vector* to, void* user) {
        auto& pen = *static_cast<Pen*>(user);
        const Point a = pen.loops->back().back(), b = of(by), c = of(to);
        const int n = pen.steps(2 * bend(a, b, c));
        for (int k = 1; k < n; ++k) {
            const double t = static_cast<double>(k) / n, u = 1 - t;
            pen.add({u * u * a.x + 2 * u * t * b.x + t * t * c.x, u * u * a.y + 2 * u * t * b.y + t * t * c.y});
        }
        return pen.add(c);
    }
    static int cubic(const FT_Vector* by, const FT_Vector* then, const FT_Vector* to, void* user) {
        auto& pen = *static_cast<Pen*>(user);
        const Point a = pen.loops->back().back(), b = of(by), c = of(then), d = of(to);
        const int n = pen.steps(6 * std::max(bend(a, b, c), bend(b, c, d)));
        for (int k = 1; k < n; ++k) {
            const double t = static_cast<double>(k) / n, u = 1 - t;
            const double p = u * u * u, q = 3 * u * u * t, r = 3 * u * t * t, s = t * t * t;
            pen.add({p * a.x + q * b.x + r * c.x + s * d.x, p * a.y + q * b.y + r * c.y + s * d.y});
        }
        return pen.add(d);
    }
};

}  // namespace

FontFace::FontFace(std::string_view bytes, int face, std::string name) : name_(std::move(name)) {
    FT_Library library = nullptr;
    if (FT_Init_FreeType(&library) != 0) throw Error(Fault::refused, "The font reader could not be started for want of memory.");
    library_.reset(library);
    open(bytes, face);
    const auto units = static_cast<unsigned>(face_->units_per_EM);
    const std::unique_ptr<hb_face_t, Closed<&hb_face_destroy>> tables(hb_face_create_for_tables(table_of, face_.get(), nullptr));
    hb_face_set_upem(tables.get(), units);
    hb_face_set_glyph_count(tables.get(), static_cast<unsigned>(std::max<FT_Long>(face_->num_glyphs, 0)));
    font_.reset(hb_font_create(tables.get()));
    hb_ot_font_set_funcs(font_.get());
    hb_font_set_scale(font_.get(), static_cast<int>(units), static_cast<int>(units));
    choose_instance(face);
    cap_height_ = measured_cap_height();
}

void FontFace::open(std::string_view bytes, int face) {
    FT_Face opened = nullptr;
    const auto fail = [&](std::string_view what) { return Error(Fault::input, fmt::format("The font '{}' {}", name_, what)); };
    if (face < 0 || bytes.size() > static_cast<std::size_t>(std::numeric_limits<FT_Long>::max())) throw fail("cannot be read.");
    const FT_Error error = FT_New_Memory_Face(library_.get(), reinterpret_cast<const FT_Byte*>(bytes.data()),
                                              static_cast<FT_Long>(bytes.size()), face, &opened);
    if (error != 0) {
        if ((face & 0xFFFF) > 0 && FT_New_Memory_Face(library_.get(), reinterpret_cast<const FT_Byte*>(bytes.data()),
                                                      static_cast<FT_Long>(bytes.size()), -1, &opened) == 0) {
            face_.reset(opened);
            throw fail(fmt::format("is asked for number {}, but the file holds {}.", (face & 0xFFFF) + 1, face_->num_faces));
        }
        throw fail("cannot be read: this is no font file, or a damaged one. Give another file, or a font by its family.");
    }
    face_.reset(opened);
    if (!FT_IS_SCALABLE(opened) || opened->units_per_EM == 0)
        throw fail("holds its letters as pictures, which have no outlines to cut. Take an outline font (TrueType or OpenType).");
    if (!FT_IS_SFNT(opened))
        throw fail("is of an older kind (Type 1 or similar). Take a TrueType or OpenType font, or one turned into it.");
}

void FontFace::choose_instance(int face) {
    if ((face >> 16) == 0 || !FT_HAS_MULTIPLE_MASTERS(face_.get())) return;
    FT_MM_Var* axes = nullptr;
    if (FT_Get_MM_Var(face_.get(), &axes) != 0) return;
    std::vector<FT_Fixed> fixed(axes->num_axis);
    const bool known = FT_Get_Var_Design_Coordinates(face_.get(), axes->num_axis, fixed.data()) == 0;
    FT_Done_MM_Var(library_.get(), axes);
    if (!known) return;
    std::vector<float> places;
    for (const FT_Fixed value : fixed) places.push_back(static_cast<float>(static_cast<double>(value) / 65536));
    hb_font_set_var_coords_design(font_.get(), places.data(), static_cast<unsigned>(places.size()));
}

double FontFace::measured_cap_height() const {
    double of_h = 0;
    if (const FT_UInt h = FT_Get_Char_Index(face_.get(), 'H'); h != 0)
        if (const Box box = ink(h); box.lo.y <= box.hi.y) of_h = box.hi.y;
    const auto* const os2 = static_cast<const TT_OS2*>(FT_Get_Sfnt_Table(face_.get(), FT_SFNT_OS2));
    const double said = os2 != nullptr && os2->version != 0xFFFFu && os2->version >= 2 ? os2->sCapHeight : 0.0;
    const double em = face_->units_per_EM;
    of_h = of_h > 0.05 * em && of_h < 3 * em ? of_h : 0;  // a picture, or nothing, in its place
    if (said > 0.05 * em && said < 3 * em && (of_h <= 0 || std::abs(said - of_h) <= of_h / 4)) return said;
    return of_h > 0 ? of_h : 0.7 * em;
}

bool FontFace::has(char32_t c) const {
    hb_codepoint_t glyph = 0;
    return hb_font_get_nominal_glyph(font_.get(), c, &glyph) != 0 && glyph != 0;
}

std::vector<Letter> FontFace::shape(const std::u32string& line, const TextRun& run, bool ligatures) const {
    const std::unique_ptr<hb_buffer_t, Closed<&hb_buffer_destroy>> buffer(hb_buffer_create());
    // What stands around decides how a letter joins; HarfBuzz looks five characters far.
    const std::size_t begin = run.begin - std::min<std::size_t>(run.begin, 5), end = std::min(run.end + 5, line.size());
    const std::vector<std::uint32_t> characters(line.begin() + static_cast<std::ptrdiff_t>(begin),
                                                line.begin() + static_cast<std::ptrdiff_t>(end));
    hb_buffer_add_utf32(buffer.get(), characters.data(), static_cast<int>(characters.size()), static_cast<unsigned>(run.begin - begin),
                        static_cast<int>(run.end - run.begin));
    hb_buffer_set_direction(buffer.get(), run.right_to_left ? HB_DIRECTION_RTL : HB_DIRECTION_LTR);
    hb_buffer_set_script(buffer.get(), run.script);  // and no language: HarfBuzz would guess it from the locale
    std::vector<hb_feature_t> features;
    if (!ligatures)
        for (const char* name : {"liga", "clig"})
            features.push_back({hb_tag_from_string(name, 4), 0, HB_FEATURE_GLOBAL_START, HB_FEATURE_GLOBAL_END});
    const char* const shapers[] = {"ot", nullptr};
    if (hb_shape_full(font_.get(), buffer.get(), features.data(), static_cast<unsigned>(features.size()), shapers) == 0)
        throw Error(Fault::input, fmt::format("The font '{}' could not set the text: its tables are damaged. Take another.", name_));
    unsigned count = 0;
    const hb_glyph_info_t* const info = hb_buffer_get_glyph_infos(buffer.get(), &count);
    const hb_glyph_position_t* const position = hb_buffer_get_glyph_positions(buffer.get(), &count);
    std::vector<Letter> letters;
    for (unsigned k = 0; k < count; ++k) {
        if (const std::size_t place = begin + info[k].cluster; letters.empty() || letters.back().place != place) {
            letters.emplace_back();
            letters.back().place = place;
            letters.back().script = run.script;
        }
        Letter& letter = letters.back();
        letter.glyphs.push_back({info[k].codepoint, {letter.advance + position[k].x_offset, static_cast<double>(position[k].y_offset)}});
        letter.advance += position[k].x_advance;
    }
    return letters;
}

const FT_Outline& FontFace::outline(std::uint32_t glyph) const {
    if (FT_Load_Glyph(face_.get(), glyph, FT_LOAD_NO_SCALE | FT_LOAD_IGNORE_TRANSFORM) != 0 ||
        face_->glyph->format != FT_GLYPH_FORMAT_OUTLINE)
        throw Error(Fault::input, fmt::format("The font '{}' is damaged: glyph {} cannot be drawn. Take another.", name_, glyph));
    return face_->glyph->outline;
}

Box FontFace::ink(std::uint32_t glyph) const {
    constexpr Box nothing{{1, 1}, {-1, -1}};
    FT_Outline shape = outline(glyph);
    FT_BBox box{};
    if (shape.n_points == 0 || FT_Outline_Get_BBox(&shape, &box) != 0 || box.xMin >= box.xMax || box.yMin >= box.yMax) return nothing;
    return {{static_cast<double>(box.xMin), static_cast<double>(box.yMin)}, {static_cast<double>(box.xMax), static_cast<double>(box.yMax)}};
}

GlyphLoops FontFace::loops(std::uint32_t glyph, double tolerance) const {
    FT_Outline shape = outline(glyph);
    GlyphLoops result;
    if ((shape.flags & FT_OUTLINE_EVEN_ODD_FILL) != 0) result.rule = FillRule::even_odd;
    Pen pen{&result.loops, tolerance};
    const FT_Outline_Funcs walk{&Pen::move, &Pen::line, &Pen::conic, &Pen::cubic, 0, 0};
    const bool walked = shape.n_points == 0 || FT_Outline_Decompose(&shape, &walk, &pen) == 0;
    const Box box = ink(glyph);
    if (!walked || (box.lo.x <= box.hi.x && pen.length > longest_outline * std::hypot(box.width(), box.height())))
        throw Error(Fault::input, fmt::format("The font '{}' is damaged: the outline of glyph {} is broken. Take another.", name_, glyph));
    return result;
}

}  // namespace burin
