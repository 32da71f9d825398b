// Lettering beside fontTools' reading of the same fonts. Source of every expected value: lettering.py.
#include "burin/design/lettering.hpp"

#include <cstdint>
#include <filesystem>
#include <fstream>
#include <locale>
#include <string>

#include "burin/base/files.hpp"
#include "check.hpp"

namespace {

using namespace burin;

Drawing lettered(const std::string& bytes, const std::string& text, double cap_height) {
    LetteringWishes wishes;
    wishes.text = text;
    wishes.cap_height = cap_height;
    return lettering(bytes, 0, "font", wishes);
}

}  // namespace

TEST_CASE("Sizes, advances and areas are those of the font's tables") {
    std::ifstream expected(std::filesystem::path(BURIN_REFERENCE) / "expected.txt");
    expected.imbue(std::locale::classic());
    std::string path, known, bytes;
    double cap = 0, advance = 0, left = 0, right = 0, area = 0;
    unsigned code = 0;
    int seen = 0;
    constexpr double high = 20;
    while (expected >> path >> code >> cap >> advance >> left >> right >> area) {
        CAPTURE(path, code);
        if (path != known) bytes = read_text(path, "font"), known = path;
        const std::string letter(1, static_cast<char>(code));
        const double unit = high / cap;
        const Drawing one = lettered(bytes, letter, high);
        CHECK(one.width == Approx((right - left) * unit).margin(0.005));  // the tolerance of chords on both sides
        CHECK(one.region.area() == Approx(area * unit * unit).epsilon(0.001));
        // Two of a kind, a blank between: no pair of these kerns.
        const double pair = lettered(bytes, letter + " " + letter, high).width - one.width;
        const double blank = lettered(bytes, "H H", high).width - lettered(bytes, "HH", high).width;
        CHECK(pair - blank == Approx(advance * unit).margin(0.005));
        if (code == 'H') CHECK(one.height == Approx(high).margin(0.005));
        ++seen;
    }
    CHECK(seen == 4 * 20);
}

TEST_CASE("Fonts of both kinds of curves are set by their tables") {
    // The shapes and tables are those that lettering.py builds; capitals of 6.8 mm make a unit a hundredth of a mm.
    for (const std::string name : {"made.ttf", "made.otf"}) {
        CAPTURE(name);
        const std::string bytes = read_text(std::filesystem::path(BURIN_REFERENCE) / name, "font");
        const auto made = [&](const std::string& text) { return lettered(bytes, text, 6.8); };
        CHECK(made("H").height == Approx(7.0).margin(1e-4));                  // OS/2 says 680, H is 700 high
        CHECK(made("AV").width == Approx(14 - 1.2).margin(1e-4));             // kerned
        CHECK(made("VA").width == Approx(14).margin(1e-4));                   // not kerned
        CHECK(made("fi").region.figures().size() == 1);                       // joined
        CHECK(made("fi").region.area() == Approx(7 + 7 + 1.5).margin(1e-4));  // two bars of 1 x 7, 1.5 x 1 between
        CHECK(made("f i").region.figures().size() == 2);
        CHECK(made("+").region.area() == Approx(5 + 5 - 1).margin(1e-4));  // what overlaps counts once
        // o is two bows in squares of 2.5 mm. Below the quadratic one lie 5/6 of its square; below the cubic one, with handles of 0.6
        // of the side, 0.764 (both: the integral of y dx over the Bernstein polynomials).
        const double bow = 2.5 * 2.5 * (name == "made.ttf" ? 5.0 / 6 : 0.764);
        CHECK(made("o").region.area() == Approx(2 * bow).epsilon(0.001));
    }
}
