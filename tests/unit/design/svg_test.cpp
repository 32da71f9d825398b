// What an SVG paints, against areas and places known on paper.
#include "burin/design/svg.hpp"

#include <cmath>
#include <numbers>

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
