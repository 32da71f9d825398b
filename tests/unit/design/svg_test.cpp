// What an SVG paints, against areas and places known on paper.
#include "burin/design/svg.hpp"

#include <cmath>
#include <numbers>
#include <random>

#include "burin/base/error.hpp"
#include "check.hpp"

namespace {

using namespace burin;

constexpr double pi = std::numbers::pi;

/// A page of 100 × 100 mm whose user unit is a millimetre.
std::string page(const std::string& inside, const std::string& more = "") {
    return "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" width=\"100mm\" height=\"100mm\" "
           "viewBox=\"0 0 100 100\" " +
           more + ">" + inside + "</svg>";
}

Drawing drawn(const std::string& inside, const SvgWishes& wishes = {}) { return read_svg(page(inside), "lamp.svg", wishes); }
double area(const std::string& inside) { return drawn(inside).region.area(); }

}  // namespace

TEST_CASE("Basic shapes of an SVG cover what geometry says") {
    // Source: areas from memory of school geometry; chords of 0.002 mm cost a little.
    CHECK(area("<rect x='10' y='20' width='30' height='40'/>") == Approx(1200).epsilon(1e-9));
    CHECK(area("<rect x='10' y='20' width='30' height='40' rx='5'/>") == Approx(1200 - (4 - pi) * 25).epsilon(1e-4));
    CHECK(area("<rect x='10' y='20' width='30' height='40' rx='99' ry='5'/>") == Approx(30 * 30 + pi * 15 * 5).epsilon(1e-4));
    CHECK(area("<circle cx='50' cy='50' r='20'/>") == Approx(pi * 400).epsilon(3e-4));
    CHECK(area("<ellipse cx='50' cy='50' rx='30' ry='10'/>") == Approx(pi * 300).epsilon(3e-4));
    CHECK(area("<polygon points='10,10 50,10 10,40'/>") == Approx(600).epsilon(1e-9));
    CHECK(area("<polyline points='10 10 50 10 10 40'/>") == Approx(600).epsilon(1e-9));
    CHECK(area("<line x1='10' y1='10' x2='50' y2='40' stroke='black' stroke-width='2'/>") == Approx(100).epsilon(1e-5));
}

namespace {

/// The sentence of what refuses these bytes; empty: nothing does.
std::string complaint(const std::string& bytes) {
    try {
        (void)read_svg(bytes, "lamp.svg", {});
    } catch (const Error& error) {
        return error.what();
    }
    return {};
}

std::string repeated(const std::string& text, int times) {
    std::string out;
    for (int k = 0; k < times; ++k) out += text;
    return out;
}

}  // namespace

TEST_CASE("An arc of a path is the one that the standard's notes reckon") {
    // SVG 2, B.2.4: half an ellipse between points 2 rx apart; radii that are too small are scaled up until they reach.
    CHECK(area("<path d='M30 50A20 10 0 0 1 70 50Z'/>") == Approx(pi * 100).epsilon(1e-3));
    CHECK(area("<path d='M30 50A1 1 0 0 1 70 50Z'/>") == Approx(pi * 200).epsilon(1e-3));
    // A radius of 20 over a chord of 20 (60 degrees): the small segment, and the large one.
    const double segment = 200 * (pi / 3 - std::sin(pi / 3));
    CHECK(area("<path d='M40 50A20 20 0 0 1 60 50Z'/>") == Approx(segment).epsilon(2e-3));
    CHECK(area("<path d='M40 60a20,20 0 11 20,0z'/>") == Approx(400 * pi - segment).epsilon(1e-3));  // flags run together
}

TEST_CASE("Paths end where their data go wrong, and say so") {
    const Drawing drawing = drawn("<path d='M10 10H50V50H10Z M60 60 L oops'/>");
    CHECK(drawing.region.area() == Approx(1600));
    REQUIRE(drawing.warnings.size() == 1);
    CHECK(drawing.warnings[0].find("line 1") != std::string::npos);
}

TEST_CASE("Sizes, transforms and the order of painting") {
    // 96 px are an inch (CSS): a square of 48 px is 12.7 mm.
    CHECK(read_svg("<svg xmlns='http://www.w3.org/2000/svg' width='96' height='96'><rect width='48' height='48'/></svg>", "a.svg", {})
              .region.area() == Approx(12.7 * 12.7));
    SvgWishes wide;
    wide.width = 200;
    CHECK(drawn("<rect width='10' height='10'/>", wide).region.area() == Approx(400));
    // Upside down: the page's y runs down, ours up.
    CHECK(drawn("<rect width='10' height='10'/>").region.bounds().lo.y == Approx(90));
    CHECK(area("<g transform='translate(20 20)'><rect transform='rotate(45) scale(2)' width='10' height='5'/></g>") == Approx(200));
    CHECK(area("<rect width='40' height='40'/><rect x='10' y='10' width='20' height='20' fill='white'/>") == Approx(1200));
    CHECK(area("<rect x='10' y='10' width='20' height='20' fill='white'/><rect width='40' height='40'/>") == Approx(1600));
    CHECK(area("<rect width='10' height='10'/><rect x='20' width='10' height='10' style='fill:none'/>") == Approx(100));
}

TEST_CASE("Strokes can be lines to be followed") {
    SvgWishes follow;
    follow.follow_strokes = true;
    const Drawing drawing = drawn("<path d='M10 10H60V40' fill='none' stroke='black' stroke-width='3'/>", follow);
    CHECK(drawing.region.empty());
    REQUIRE(drawing.lines.size() == 1);
    CHECK(drawing.lines[0].line.points.size() == 3);
    CHECK(drawing.lines[0].width[0] == Approx(3));
}

TEST_CASE("What would blow up, come back to itself or reach outside is refused or named") {
    CHECK(complaint("").find("lamp.svg") != std::string::npos);
    CHECK_FALSE(complaint("<svg").empty());
    CHECK_FALSE(complaint("hello").empty());
    CHECK_FALSE(complaint(page("<rect width='10' height='10'/>").substr(0, 150)).empty());
    const std::string bomb =
        "<?xml version='1.0'?><!DOCTYPE svg [<!ENTITY a 'aaaaaaaaaa'><!ENTITY b '&a;&a;&a;&a;&a;'>]>" + page("<text>&b;</text>");
    CHECK_FALSE(complaint(bomb).empty());
    CHECK_FALSE(complaint("<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/hostname'>]>" + page("<text>&x;</text>")).empty());
    CHECK_FALSE(complaint(page("<g id='a'><use href='#a'/><rect width='5' height='5'/></g>")).empty());
    CHECK_FALSE(complaint(page("<rect width='nan' height='10'/><rect x='1e300' width='10' height='10'/>")).empty());
    CHECK_FALSE(complaint(page(repeated("<g>", 100'000) + "<rect width='5' height='5'/>" + repeated("</g>", 100'000))).empty());
    // Ten levels of ten uses: ten thousand million squares.
    std::string defs = "<g id='l0'><rect width='1' height='1'/></g>";
    for (int level = 1; level <= 10; ++level)
        defs += "<g id='l" + std::to_string(level) + "'>" + repeated("<use href='#l" + std::to_string(level - 1) + "'/>", 10) + "</g>";
    CHECK_FALSE(complaint(page("<defs>" + defs + "</defs><use href='#l10'/>")).empty());
    const Drawing outside = drawn("<image href='http://example.org/a.png' width='5' height='5'/><rect width='10' height='10'/>");
    CHECK(outside.region.area() == Approx(100));
    CHECK_FALSE(outside.warnings.empty());
}

TEST_CASE("A drawing cut off or damaged anywhere gives a drawing or a sentence") {
    const std::string whole = page(
        "<style>.a{fill:#123}</style><g class='a' transform='rotate(10)'><path d='M10 10c5 5 9 3 20 0s4-9 8 2z'/></g>"
        "<text x='5' y='50' font-size='8'>Lamp</text><use href='#q'/><circle id='q' r='7' cx='40' cy='60'/>");
    for (std::size_t k = 0; k < whole.size(); k += 3) (void)complaint(whole.substr(0, k));
    for (std::size_t k = 0; k < whole.size(); k += 2) {
        std::string damaged = whole;
        damaged[k] = static_cast<char>(damaged[k] ^ 0x15);
        (void)complaint(damaged);
    }
    SUCCEED("no crash");
}

TEST_CASE("Of shapes on each other the uppermost counts") {
    // Painter's order, point by point: dark where the last rectangle that covers the place is dark. The seed is fixed.
    std::mt19937 chance(1854);
    std::uniform_int_distribution<int> place(0, 90), size(2, 30), side(0, 1);
    struct Sheet {
        int x, y, width, height;
        bool dark;
    };
    std::vector<Sheet> sheets;
    std::string inside;
    for (int k = 0; k < 400; ++k) {
        const Sheet s{place(chance), place(chance), size(chance), size(chance), side(chance) == 1};
        sheets.push_back(s);
        inside += "<rect x='" + std::to_string(s.x) + "' y='" + std::to_string(s.y) + "' width='" + std::to_string(s.width) + "' height='" +
                  std::to_string(s.height) + "' fill='" + (s.dark ? "black" : "white") + "'/>";
    }
    const Drawing drawing = drawn(inside);
    int wrong = 0, inked = 0;
    for (int y = 0; y < 100; ++y)
        for (int x = 0; x < 100; ++x) {
            bool dark = false;
            for (const Sheet& s : sheets)
                if (x >= s.x && x < s.x + s.width && y >= s.y && y < s.y + s.height) dark = s.dark;
            inked += dark;
            wrong += drawing.region.holds({x + 0.5, 100 - (y + 0.5)}) != dark;
        }
    CHECK(wrong == 0);
    CHECK(drawing.region.area() == Approx(inked).epsilon(1e-6));
}
