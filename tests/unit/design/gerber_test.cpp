/// Gerber layers. Sources: areas from plane geometry; commands after Ucamco's "Gerber Layer Format Specification" (from memory).
#include "burin/design/gerber.hpp"

#include <numbers>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

constexpr double pi = std::numbers::pi;
const std::string head = "%FSLAX26Y26*%\n%MOMM*%\n";

Region drawn(const std::string& text) { return read_gerber(head + text + "M02*\n").dark; }
std::string fault(const std::string& text) {
    try {
        (void)read_gerber(text);
    } catch (const Error& e) {
        return e.fault() == Fault::input ? e.what() : "another fault";
    }
    return "none";
}
bool near(double a, double b, double share = 0.005) { return std::abs(a - b) <= share * std::abs(b); }

}  // namespace

TEST_CASE("gerber: standard apertures have the areas of plane geometry", "[gerber]") {
    CHECK(near(drawn("%ADD10C,2X1*%D10*X0Y0D03*").area(), pi * (1 - 0.25)));
    CHECK(near(drawn("%ADD10R,2X1*%D10*X0Y0D03*").area(), 2));
    CHECK(near(drawn("%ADD10O,3X1*%D10*X0Y0D03*").area(), 2 + pi / 4));
    CHECK(near(drawn("%ADD10P,2X6*%D10*X0Y0D03*").area(), 1.5 * std::sqrt(3.0)));
}

TEST_CASE("gerber: lines, arcs of both modes, regions with cut-ins", "[gerber]") {
    CHECK(near(drawn("%ADD10C,1*%D10*X0Y0D02*G01*X5000000D01*").area(), 5 + pi / 4));
    // A rectangle of 1 × 2 drawn 3 along x: plane geometry.
    CHECK(near(drawn("%ADD10R,1X2*%D10*X0Y0D02*G01*X3000000D01*").area(), 8));
    CHECK(near(drawn("%ADD10C,0.2*%D10*G75*X1000000Y0D02*G03*X1000000Y0I-1000000J0D01*").area(), pi * (1.21 - 0.81)));
    CHECK(near(drawn("G36*G01*X0Y0D02*X1000000D01*G74*G03*X0Y1000000I1000000J0D01*G01*X0Y0D01*G37*").area(), pi / 4));
    // A square of 4 with a square of 2 cut in from its left side.
    CHECK(near(drawn("G36*G01*X0Y0D02*X4000000D01*Y4000000D01*X0D01*Y1000000D01*X1000000D01*Y3000000D01*X3000000D01*Y1000000D01*"
                     "X0D01*Y0D01*G37*")
                   .area(),
               12));
}

TEST_CASE("gerber: polarity in order, step and repeat, blocks, transforms", "[gerber]") {
    CHECK(near(drawn("%ADD10R,4X4*%%ADD11R,2X2*%D10*X0Y0D03*%LPC*%D11*X0Y0D03*%LPD*%").area(), 12));
    CHECK(near(drawn("%ADD10R,1X1*%D10*%SRX3Y2I2J2*%X0Y0D03*%SR*%").area(), 6));
    CHECK(near(drawn("%ADD10R,1X1*%%ABD20*%D10*X0Y0D03*X2000000D03*%AB*%D20*X0Y0D03*X9000000D03*").area(), 4));
    const Region turned = drawn("%ADD10R,4X1*%D10*%LR90*%%LS2*%X0Y0D03*");
    CHECK(near(turned.bounds().height(), 8));
    CHECK(near(turned.area(), 16));
}

TEST_CASE("gerber: macros draw, take away and reckon", "[gerber]") {
    CHECK(near(drawn("%AMRING*0 a ring*$3=$1x0.5*1,1,$1,0,0*1,0,$3,0,0*%%ADD10RING,2*%D10*X0Y0D03*").area(), pi * 0.75));
    CHECK(near(drawn("%AMT*4,1,3,0,0,2,0,0,2,0,0,0*%%ADD10T*%D10*X0Y0D03*").area(), 2));
    CHECK(near(drawn("%AML*20,1,1,0,0,3,0,90*21,1,1,1,0,-5,0*%%ADD10L*%D10*X0Y0D03*").area(), 4));
    CHECK(drawn("%AMH*7,0,0,4,2,0.5,0*%%ADD10H*%D10*X0Y0D03*").figures().size() == 4);
}

TEST_CASE("gerber: inches, trailing zeros left out, the part of the board", "[gerber]") {
    const GerberLayer layer = read_gerber("%FSTAX23Y23*%%MOIN*%%TF.FileFunction,Copper,L1,Top*%%ADD10C,0.1*%D10*X01Y00D03*M02*");
    CHECK(layer.part == "Copper,L1,Top");
    CHECK(near(layer.dark.bounds().centre().x, 25.4));
    CHECK(near(layer.dark.bounds().width(), 2.54));
}

TEST_CASE("gerber: what is wrong is told with its line", "[gerber]") {
    const auto told = [](const std::string& text, const char* what) {
        const std::string sentence = fault(text);
        INFO(sentence);
        return sentence.find(what) != std::string::npos;
    };
    CHECK(told(head + "D11*\nM02*", "line 3: the aperture D11"));
    CHECK(told(head + "%ADD10C,1*%\n", "the end of the file"));
    CHECK(told(head + "%MOIN*%\nM02*", "line 3: the unit changes"));
    CHECK(told(head + "%ZZ1*%M02*", "line 3: the command 'ZZ1'"));
    CHECK(told(head + "%AMD*\n1,1,1/$1,0,0*%\n%ADD10D,0*%\nM02*", "divides by zero"));
    CHECK(told("%FSLIX26Y26*%M02*", "incremental"));
    CHECK(told(head + "%ADD10C,1*%D10*%SRX999999Y999999I1J1*%M02*", "at most"));
    GerberLimits few;
    few.most_corners = 10;
    CHECK_THROWS_AS(read_gerber(head + "%ADD10C,1*%D10*X0Y0D03*M02*", few), Error);
}
