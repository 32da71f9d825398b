// Lettering in the DejaVu fonts that ./bootstrap installs. Expected values: FreeType called straight from here (advances, areas), the
// formulas beside the checks, and what the fonts have by their own tables.
#include <ft2build.h>
#include FT_FREETYPE_H

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>
#include <string>
#include <utility>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/design/lettering.hpp"
#include "burin/workshop/fonts.hpp"
#include "check.hpp"

namespace {

using namespace burin;

const std::string& font_bytes(const std::string& family) {
    static std::map<std::string, std::string> known;
    auto [at, fresh] = known.try_emplace(family);
    if (fresh) at->second = read_text(find_font(family).path, "font");
    return at->second;
}

LetteringWishes wishes(const std::string& text, double cap_height = 10) {
    LetteringWishes w;
    w.text = text;
    w.cap_height = cap_height;
    return w;
}

Drawing letter(const LetteringWishes& w, const std::string& family = "DejaVu Sans") { return lettering(font_bytes(family), 0, family, w); }
Drawing letter(const std::string& text, const std::string& family = "DejaVu Sans") { return letter(wishes(text), family); }

Error refusal(const LetteringWishes& w, const std::string& family = "DejaVu Sans") {
    try {
        (void)letter(w, family);
    } catch (const Error& error) {
        return error;
    }
    FAIL("lettered: " << w.text);
    return {Fault::stopped, ""};
}

/// FreeType itself, in font units.
class Straight {
public:
    explicit Straight(const std::string& family) {
        const std::string& bytes = font_bytes(family);
        REQUIRE(FT_Init_FreeType(&library_) == 0);
        REQUIRE(FT_New_Memory_Face(library_, reinterpret_cast<const FT_Byte*>(bytes.data()), static_cast<FT_Long>(bytes.size()), 0,
                                   &face_) == 0);
    }
    ~Straight() { FT_Done_Face(face_), FT_Done_FreeType(library_); }
    Straight(const Straight&) = delete;
    Straight& operator=(const Straight&) = delete;
    FT_Glyph_Metrics of(FT_ULong c) {
        REQUIRE(FT_Load_Char(face_, c, FT_LOAD_NO_SCALE) == 0);
        return face_->glyph->metrics;
    }
    double mm(FT_Pos units, double cap_height = 10) {
        const FT_Glyph_Metrics h = of('H');
        return static_cast<double>(units) * cap_height / static_cast<double>(h.height);
    }

private:
    FT_Library library_ = nullptr;
    FT_Face face_ = nullptr;
};

/// Its figures from left to right by the middle of their boxes.
std::vector<Box> boxes(const Drawing& drawing) {
    std::vector<Box> all;
    for (const Figure& figure : drawing.region.figures()) {
        Box box{figure.outer.front(), figure.outer.front()};
        for (const Point& p : figure.outer)
            box = {{std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)}, {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)}};
        all.push_back(box);
    }
    std::sort(all.begin(), all.end(), [](const Box& a, const Box& b) { return a.centre().x < b.centre().x; });
    return all;
}

}  // namespace

TEST_CASE("Capitals are as high as asked for, at the lower left corner") {
    for (const double high : {0.5, 10.0, 120.0}) {
        const Drawing h = letter(wishes("H", high));
        CHECK(h.height == Approx(high).margin(1e-5));
        const Box box = h.region.bounds();
        CHECK(std::abs(box.lo.x) + std::abs(box.lo.y) < 1e-5);
        CHECK(box.hi.x == Approx(h.width).margin(1e-5));
        CHECK(box.hi.y == Approx(h.height).margin(1e-5));
        CHECK_FALSE(h.arc_centre);
    }
}

TEST_CASE("Letters stand at their advances, as FreeType gives them") {
    Straight font("DejaVu Sans");
    // H and I do not kern: ink from the left side of H to the right side of the last.
    FT_Pos pen = 0;
    for (const char c : std::string("HIHI")) pen += font.of(static_cast<FT_ULong>(c)).horiAdvance;
    const FT_Glyph_Metrics h = font.of('H');
    CHECK(letter("HIHIH").width == Approx(font.mm(pen + h.width)).margin(1e-4));
    LetteringWishes spaced = wishes("HIHIH");
    spaced.spacing = 1.5;
    CHECK(letter(spaced).width == Approx(font.mm(pen + h.width) + 4 * 1.5).margin(1e-4));
    // A blank is as wide as the font says.
    CHECK(letter("H H").width == Approx(font.mm(h.horiAdvance + font.of(' ').horiAdvance + h.width)).margin(1e-4));
}

TEST_CASE("Kerning, ligatures and joined letters are the font's") {
    Straight font("DejaVu Sans");
    const FT_Glyph_Metrics a = font.of('A'), v = font.of('V');
    // Unkerned: V's ink ends at A's advance + V's bearing + width, from A's bearing on.
    const double unkerned = font.mm(a.horiAdvance + v.horiBearingX + v.width - a.horiBearingX);
    CHECK(letter("AV").width < unkerned - 0.3);
    // fi is one glyph in DejaVu Sans (its liga table): dot and stem of the i, joined or not, are fewer or other figures than in f + i.
    LetteringWishes single = wishes("fi");
    single.spacing = 1e-9;  // letters one by one
    CHECK(letter("fi").region != letter(single).region);
    // Arabic: four letters of the word for peace hang together in two pieces (lam-alef joins); apart they are four.
    CHECK(letter("سلام").region.figures().size() < letter("س ل ا م").region.figures().size());
}

TEST_CASE("Lines run from right to left where their script does") {
    // The first letter, shin, stands rightmost, and the last, final mem, leftmost: their widths differ (FreeType).
    Straight font("DejaVu Sans");
    const std::vector<Box> word = boxes(letter("שלום"));
    REQUIRE(word.size() == 4);
    CHECK(word.back().width() == Approx(font.mm(font.of(0x05E9).width)).margin(0.01));
    CHECK(word.front().width() == Approx(font.mm(font.of(0x05DD).width)).margin(0.01));
    // Mixed: in a line that begins in Latin, numbers and Latin keep their order, the Hebrew between them is turned (UAX 9).
    const std::vector<Box> mixed = boxes(letter("I שם H"));
    REQUIRE(mixed.size() == 4);
    CHECK(mixed[0].width() == Approx(font.mm(font.of('I').width)).margin(0.01));
    CHECK(mixed[2].width() == Approx(font.mm(font.of(0x05E9).width)).margin(0.01));
    CHECK(mixed[3].width() == Approx(font.mm(font.of('H').width)).margin(0.01));
}

TEST_CASE("What overlaps is united") {
    LetteringWishes tight = wishes("HH");
    tight.spacing = -8.5;
    const Drawing drawing = letter(tight);
    CHECK(drawing.region.figures().size() == 1);
    CHECK(drawing.region.area() < 2 * letter("H").region.area() - 1);
    CHECK(drawing.region.area() > letter("H").region.area() + 1);
}

TEST_CASE("Lines are aligned by their ink and stand at their pitch") {
    LetteringWishes w = wishes("HHHH\nI");
    w.line_pitch = 17;
    CHECK(letter(w).height == Approx(27).margin(1e-4));
    const auto middle_of_i = [&](Align align) {
        w.align = align;
        const Drawing drawing = letter(w);
        for (const Figure& figure : drawing.region.figures())
            if (figure.outer.front().y < 11) return std::pair(figure.outer.front().x, drawing.width);
        return std::pair(-1.0, 0.0);
    };
    const double wide = letter("I").width;
    CHECK(middle_of_i(Align::left).first == Approx(0).margin(1e-4));
    CHECK(middle_of_i(Align::centre).first == Approx((middle_of_i(Align::centre).second - wide) / 2).margin(1e-4));
    CHECK(middle_of_i(Align::right).first == Approx(middle_of_i(Align::right).second - wide).margin(1e-4));
    w.line_pitch = 0;
    CHECK(letter(w).height == Approx(26).margin(1e-4));  // 1.6 cap heights, as the header says
    CHECK(letter("HHHH\r\nI").region == letter("HHHH\nI").region);
}

TEST_CASE("The size follows the width that is wanted") {
    for (const double spacing : {0.0, 2.0}) {
        LetteringWishes w = wishes("HEH\nLIGHTHOUSE MUSEUM H");
        w.fit_width = 80;
        w.spacing = spacing;
        const Drawing drawing = letter(w);
        CHECK(drawing.width == Approx(80).margin(1e-3));
        CHECK_THAT(drawing.notes.front(), ContainsSubstring("fits its width"));
    }
    LetteringWishes none = wishes("HHHHHH");
    none.fit_width = 4;
    none.spacing = 1;
    CHECK(refusal(none).fault() == Fault::refused);
}

TEST_CASE("On an arc each letter is turned about the circle's centre") {
    // A single H: its feet stand at ± half its advance-to-ink, on the tangent at the top: the middle of the advance is above the centre
    // if the H's bearings are alike; ink is centred. Its corners lie at (± w/2, R) and (± w/2, R + 10).
    LetteringWishes w = wishes("H");
    w.arc_radius = 30;
    Drawing h = letter(w);
    REQUIRE(h.arc_centre);
    CHECK(h.arc_centre->x == Approx(h.width / 2).margin(0.01));
    CHECK(h.arc_centre->y == Approx(-30).margin(0.01));
    CHECK(h.height == Approx(10).margin(0.01));
    w.arc_below = true;
    h = letter(w);
    CHECK(h.arc_centre->y == Approx(30).margin(0.01));
    // n letters in a ring: every H's middle leans by advance / R against the next.
    Straight font("DejaVu Sans");
    const double step = font.mm(font.of('H').horiAdvance) / 60;
    for (const bool below : {false, true}) {
        LetteringWishes ring = wishes("HHHHH");
        ring.arc_radius = 60;
        ring.arc_below = below;
        const Drawing drawing = letter(ring);
        REQUIRE(drawing.region.figures().size() == 5);
        std::vector<double> angles;
        for (const Figure& figure : drawing.region.figures()) {
            Point sum;
            for (const Point& p : figure.outer) sum = {sum.x + p.x, sum.y + p.y};  // 12 corners, alike to both sides
            const auto n = static_cast<double>(figure.outer.size());
            const double x = sum.x / n - drawing.arc_centre->x, y = sum.y / n - drawing.arc_centre->y;
            angles.push_back(std::atan2(x, below ? -y : y));
            CHECK(std::hypot(x, y) == Approx(below ? 55 : 65).margin(0.2));
        }
        std::sort(angles.begin(), angles.end());
        for (std::size_t k = 0; k + 1 < angles.size(); ++k) CHECK(angles[k + 1] - angles[k] == Approx(step).margin(1e-4));
        CHECK(angles[2] == Approx(0).margin(1e-3));
    }
}

TEST_CASE("Joined letters stay joined on an arc, and have the area that bending gives") {
    // Bending (x, y) to the radius R + y multiplies areas by (R + y) / R: at most by the highest ink, at least by the lowest.
    LetteringWishes w = wishes("سلام");
    const Drawing plain = letter(w);
    w.arc_radius = 40;
    const Drawing bent = letter(w);
    CHECK(bent.region.figures().size() == plain.region.figures().size());
    CHECK(bent.region.area() < plain.region.area() * (1 + plain.height / 40));
    CHECK(bent.region.area() > plain.region.area() * (1 - plain.height / 40));
}

TEST_CASE("Heaps of letters are refused at once") {
    LetteringWishes heap = wishes(std::string(10'000, 'H'));
    heap.spacing = -10.3;
    CHECK(refusal(heap).fault() == Fault::refused);
    LetteringWishes marks = wishes("e");
    for (int k = 0; k < 5000; ++k) marks.text += "\u0301";
    CHECK(refusal(marks).fault() == Fault::refused);
    LetteringWishes flat = wishes("H\nH");
    flat.line_pitch = 0.5;
    CHECK(refusal(flat).fault() == Fault::refused);
}

TEST_CASE("Text too long for its circle is refused with the numbers") {
    LetteringWishes w = wishes("THE LIGHTHOUSE MUSEUM AT THE END OF THE MOLE");
    w.arc_radius = 20;
    const Error error = refusal(w);
    CHECK(error.fault() == Fault::refused);
    CHECK_THAT(error.what(), ContainsSubstring("% of the circumference (125.7 mm)") && ContainsSubstring("radius"));
    w.text = "H\nH\nH";
    w.arc_radius = 12;
    CHECK_THAT(refusal(w).what(), ContainsSubstring("centre of its circle"));
}

TEST_CASE("What cannot be lettered is named") {
    const Error snowman = refusal(wishes("ab\nc\u05E9"), "DejaVu Serif");
    CHECK(snowman.fault() == Fault::refused);
    CHECK_THAT(snowman.what(), ContainsSubstring("'ש' (U+05E9), in line 2 at place 2") && ContainsSubstring("DejaVu Sans"));
    CHECK_THAT(refusal(wishes("a\tb")).what(), ContainsSubstring("tab (U+0009)"));
    CHECK_THAT(refusal(wishes(std::string("a\0b", 3))).what(), ContainsSubstring("null (U+0000)"));
    CHECK_THAT(refusal(wishes("a\xFF")).what(), ContainsSubstring("byte 2 is 0xFF"));
    for (const std::string bad : {"\xC0\x80", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xE2\x82", "\x80"})  // RFC 3629, ch. 3 and 10
        CHECK(refusal(wishes(bad)).fault() == Fault::usage);
    CHECK(refusal(wishes("")).fault() == Fault::usage);
    CHECK(refusal(wishes(" \n\u00A0\u200B ")).fault() == Fault::usage);
    CHECK(refusal(wishes(std::string(10'001, 'a'))).fault() == Fault::usage);
    CHECK(refusal(wishes("a", 0)).fault() == Fault::usage);
    CHECK(refusal(wishes("a", std::nan(""))).fault() == Fault::usage);
    CHECK(refusal(wishes("a", 1e9)).fault() == Fault::usage);
}

TEST_CASE("Bytes that are no font end in a sentence with the font's name") {
    const auto fails = [](const std::string& bytes) {
        try {
            (void)lettering(bytes, 0, "gift.ttf", wishes("Hamburg"));
        } catch (const Error& error) {
            CHECK_THAT(error.what(), ContainsSubstring("gift.ttf"));
            return error.fault();
        }
        return Fault::stopped;
    };
    CHECK(fails("") == Fault::input);
    CHECK(fails("no font at all") == Fault::input);
    // Cut off anywhere: a sentence or a result, never a crash.
    const std::string& whole = font_bytes("DejaVu Sans Mono");
    for (std::size_t k = 0; k <= 60; ++k) (void)fails(whole.substr(0, whole.size() * k / 60));
    for (std::size_t k = 0; k < 400; k += 7) (void)fails(whole.substr(0, k));
}
