// The alphabet of single lines: it is whole, its letters stand within their lines, and its notation says what it says (plane geometry).
#include "burin/design/alphabet.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

std::string utf8_of(char32_t c) {
    std::string out;
    if (c < 0x80) {
        out += static_cast<char>(c);
    } else if (c < 0x800) {
        out += static_cast<char>(0xC0 | (c >> 6));
        out += static_cast<char>(0x80 | (c & 0x3F));
    } else {
        out += static_cast<char>(0xE0 | (c >> 12));
        out += static_cast<char>(0x80 | ((c >> 6) & 0x3F));
        out += static_cast<char>(0x80 | (c & 0x3F));
    }
    return out;
}

Drawing lettered(const std::string& text, double high = 20) {
    LetteringWishes wishes;
    wishes.text = text;
    wishes.cap_height = high;
    return alphabet_lines(wishes);
}

double length_of(const std::vector<Point>& line) {
    double length = 0;
    for (std::size_t k = 1; k < line.size(); ++k) length += distance(line[k - 1], line[k]);
    return length;
}

/// Least distance from the corners of each line to the other line.
double apart(const std::vector<Point>& a, const std::vector<Point>& b) {
    const auto one_way = [](const std::vector<Point>& points, const std::vector<Point>& line) {
        double least = 1e9;
        for (const Point& p : points)
            for (std::size_t k = 1; k < line.size(); ++k) {
                const Point u{line[k].x - line[k - 1].x, line[k].y - line[k - 1].y};
                const double along = ((p.x - line[k - 1].x) * u.x + (p.y - line[k - 1].y) * u.y) / (u.x * u.x + u.y * u.y);
                const double t = std::clamp(along, 0.0, 1.0);
                least = std::min(least, std::hypot(p.x - line[k - 1].x - t * u.x, p.y - line[k - 1].y - t * u.y));
            }
        return least;
    };
    return std::min(one_way(a, b), one_way(b, a));
}

}  // namespace

TEST_CASE("Every printable character of Latin-1 has strokes, and none leaves its line") {
    for (char32_t c = 0x21; c <= 0xFF; ++c) {
        if ((c >= 0x7F && c <= 0xA0) || c == 0xAD) continue;
        CAPTURE(static_cast<unsigned>(c));
        REQUIRE(alphabet_has(c));
        const Drawing letter = lettered(utf8_of(c));
        CHECK_FALSE(letter.lines.empty());
        CHECK(letter.width <= 22);
        CHECK(letter.height <= 34);  // from below a cedilla to above a ring
        CHECK(letter.region.empty());
    }
    for (const char32_t c : std::u32string(U"ŒœŠšŽžŸČčŁłẞ–—‘’‚“”„…€‹›ĆćŃńŚśŹźĚěŘřŮů")) CHECK(alphabet_has(c));
}

TEST_CASE("Capitals are as high as asked, and marks stand above their letters") {
    CHECK(lettered("H", 7).height == Approx(7));
    CHECK(lettered("x", 20).height == Approx(13));
    for (const char* pair : {"AÀ", "EÉ", "OÔ", "UÜ", "NÑ", "aå", "ií", "eě"}) {
        CAPTURE(pair);
        const std::string text(pair);
        const double plain = lettered(text.substr(0, 1) == "i" ? "ı" : text.substr(0, 1)).height, with = lettered(text.substr(1)).height;
        CHECK(with > plain + 1.5);
    }
    CHECK(lettered("ç").height > lettered("c").height + 3);
}

TEST_CASE("The notation's curves are quarters of ellipses") {
    // Upright away from (0, 0), level into (3, 3): a quarter of a circle of radius 3 about (3, 0).
    const auto quarter = strokes_of("0,0 v3,3", 1e-5);
    REQUIRE(quarter.size() == 1);
    CHECK(length_of(quarter[0]) == Approx(3 * std::numbers::pi / 2).epsilon(1e-4));
    for (const Point& p : quarter[0]) CHECK(std::hypot(p.x - 3, p.y) == Approx(3));
    const auto level = strokes_of("0,0 h3,3", 1e-5);
    for (const Point& p : level[0]) CHECK(std::hypot(p.x, p.y - 3) == Approx(3));
    CHECK(strokes_of("0,0 1,1;2,2 3,3", 0.01).size() == 2);
    for (const char* wrong : {"0", "0,0", "v1,1 2,2", "0,0 1;2", "0,0 x,y", "0,0  1,1", "0,0 1,1;"})
        CHECK_THROWS_AS(strokes_of(wrong, 0.01), Error);
}

TEST_CASE("Lines, widths and arcs are set as asked") {
    LetteringWishes wishes;
    wishes.text = "HHHH";
    wishes.fit_width = 60;
    // Fitted by advances, so the ink lies a sidebearing of each end within.
    CHECK(alphabet_lines(wishes).width < 60);
    CHECK(alphabet_lines(wishes).width > 54);
    LetteringWishes arc;
    arc.text = "HIH";
    arc.cap_height = 5;
    arc.arc_radius = 30;
    const Drawing top = alphabet_lines(arc);
    REQUIRE(top.arc_centre);
    double nearest = 1e9, farthest = 0;
    for (const MiddleLine& line : top.lines)
        for (const Point& p : line.line.points) {
            const double r = distance(p, *top.arc_centre);
            nearest = std::min(nearest, r), farthest = std::max(farthest, r);
        }
    // Feet of upright strokes stand on the line or, at a letter's sides, a little outside it; 'H' is 3.25 mm wide.
    CHECK(nearest == Approx(30));
    CHECK(farthest == Approx(std::hypot(35, 3.25 / 2)));
    arc.arc_radius = 1.5;
    CHECK_THROWS_AS(alphabet_lines(arc), Error);
    CHECK(lettered("A\nA").height == Approx(20 + 32));
    CHECK(lettered("AV").width < lettered("AH").width);  // kerned
}

TEST_CASE("Letters side by side leave a gap between strokes of the nominal pen") {
    // Plane geometry: middle lines stand apart by more than the pen, a tenth of the capitals.
    for (const char* text : {"TT", "tt", "XX", "AA", "XY", "vw", "77", "44", "rt", "ft", "RA", "AV", "LT", "TA", "To", "Ya"}) {
        CAPTURE(text);
        const Drawing pair = lettered(text);
        const std::size_t first = lettered(std::string(text, 1)).lines.size();
        double nearest = 1e9;
        for (std::size_t i = 0; i < first; ++i)
            for (std::size_t j = first; j < pair.lines.size(); ++j)
                nearest = std::min(nearest, apart(pair.lines[i].line.points, pair.lines[j].line.points));
        CHECK(nearest > 2.2);
    }
}

TEST_CASE("Fitting minds the line that spacing makes the longest, and no letter reaches its circle's centre") {
    // Plane geometry.
    LetteringWishes wishes;
    wishes.text = "MM\niiiii";
    wishes.spacing = 5;
    wishes.fit_width = 40;
    // Five times 5.4 units and four gaps of 5 mm make 40 mm: a unit is 20/27 mm, and the ink four advances with their gaps.
    CHECK(alphabet_lines(wishes).width == Approx(4 * (5.4 * 20 / 27 + 5)));
    LetteringWishes arc;
    arc.text = "I";
    arc.arc_radius = 5;
    CHECK_NOTHROW(alphabet_lines(arc));
    arc.arc_below = true;
    CHECK_THROWS_AS(alphabet_lines(arc), Error);
}

TEST_CASE("What the alphabet lacks is named with a way out") {
    try {
        (void)lettered("Ж");
        FAIL("no error");
    } catch (const Error& error) {
        const std::string said = error.what();
        CHECK(error.fault() == Fault::refused);
        CHECK(said.find("U+0416") != std::string::npos);
        CHECK(said.find("--font") != std::string::npos);
    }
    CHECK_THROWS_AS(lettered("  "), Error);
    CHECK_THROWS_AS(lettered("a\tb"), Error);
}
