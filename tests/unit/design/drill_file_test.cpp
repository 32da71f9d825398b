/// Drill files. Sources: the two conventions of zeros, the inch, and the statements of numerical-control drill files as makers of boards
/// publish them (from memory); places reckoned on paper.
#include "burin/design/drill_file.hpp"

#include <cmath>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/design/board_file.hpp"
#include "check.hpp"

using namespace burin;

namespace {

std::string fault(const std::string& text, const DrillHints& hints = {}) {
    try {
        (void)read_drill_file(text, hints);
    } catch (const Error& e) {
        return e.fault() == Fault::input ? e.what() : "another fault";
    }
    return "none";
}

DrilledHole only(const std::string& text, const DrillHints& hints = {}) {
    const DrillFile file = read_drill_file(text, hints);
    REQUIRE(file.holes.size() == 1);
    return file.holes.front();
}

void check_at(const Point& p, double x, double y) {
    CHECK(p.x == Approx(x).margin(1e-9));
    CHECK(p.y == Approx(y).margin(1e-9));
}

}  // namespace

TEST_CASE("Numbers with a point, and both conventions of zeros in both units", "[drill-file]") {
    check_at(only("M48\nMETRIC\nT1C0.8\n%\nT1\nX1.5Y-2.25\nM30\n").at, 1.5, -2.25);
    // 3 + 3 digits of a millimetre: the leading zeros are there and 0015 is 1.5; or the trailing ones are, and 1500 is 1.5.
    check_at(only("M48\nMETRIC,LZ\nT1C0.8\n%\nT1\nX0015Y01225\nM30\n").at, 1.5, 12.25);
    check_at(only("M48\nMETRIC,TZ\nT1C0.8\n%\nT1\nX1500Y12250\nM30\n").at, 1.5, 12.25);
    // 2 + 4 digits of an inch.
    check_at(only("M48\nINCH,LZ\nT1C0.0315\n%\nT1\nX01Y0025\nM30\n").at, 25.4, 0.25 * 25.4);
    check_at(only("M48\nINCH,TZ\nT1C0.0315\n%\nT1\nX10000Y2500\nM30\n").at, 25.4, 0.25 * 25.4);
    CHECK(only("M48\nINCH,TZ\nT1C0.0315\n%\nT1\nX10000Y2500\nM30\n").diameter == Approx(0.0315 * 25.4));
    // The file's own digits: 2 before, 2 after.
    check_at(only("M48\nMETRIC,TZ,00.00\nT1C1\n%\nT1\nX150Y25\nM30\n").at, 1.5, 0.25);
}

TEST_CASE("What a file leaves open is asked for, and taken from the hints", "[drill-file]") {
    CHECK_THAT(fault("M48\nT1C0.8\n%\nT1\nX1.0Y1.0\nM30\n"), ContainsSubstring("--drill-units"));
    CHECK_THAT(fault("M48\nMETRIC\nT1C0.8\n%\nT1\nX1500Y1500\nM30\n"), ContainsSubstring("--drill-zeros"));
    DrillHints hints;
    hints.inch = false;
    hints.leading_zeros_kept = false;
    check_at(only("M48\nT1C0.8\n%\nT1\nX1500Y150\nM30\n", hints).at, 1.5, 0.15);
    hints.whole_digits = 4, hints.fraction_digits = 2;
    check_at(only("M48\nT1C0.8\n%\nT1\nX1500Y150\nM30\n", hints).at, 15, 1.5);
}

TEST_CASE("Slots, routs, repeated holes, coordinates that stay", "[drill-file]") {
    const std::string head = "M48\nMETRIC\nT1C1.0\nT2C2.0\n%\nG90\nG05\nT1\n";
    const DrilledHole slot = only(head + "X1.0Y2.0G85X4.0Y2.0\nM30\n");
    check_at(slot.at, 1, 2);
    REQUIRE(slot.to);
    check_at(*slot.to, 4, 2);
    const DrillFile rows = read_drill_file(head + "X1.0Y1.0\nR2X2.0\nT2\nY5.0\nM30\n");
    REQUIRE(rows.holes.size() == 4);
    check_at(rows.holes[2].at, 5, 1);
    check_at(rows.holes[3].at, 5, 5);  // X stayed
    CHECK(rows.holes[3].diameter == 2);
    const DrillFile rout = read_drill_file(head + "G00X0.0Y0.0\nM15\nG01X3.0Y0.0\nX3.0Y2.0\nM16\nG05\nX9.0Y9.0\nM30\n");
    REQUIRE(rout.holes.size() == 3);
    check_at(*rout.holes[1].to, 3, 2);
    CHECK_FALSE(rout.holes[2].to);
    // Half a circle of radius 2 about (2, 0), counter-clockwise from (4, 0): as long as its chords, a hair less than 2 pi.
    const DrillFile round = read_drill_file(head + "G00X4.0Y0.0\nM15\nG03X0.0Y0.0A2.0\nM16\nM30\n");
    double length = 0;
    for (const DrilledHole& hole : round.holes) {
        length += distance(hole.at, *hole.to);
        CHECK(distance(*hole.to, {2, 0}) == Approx(2).margin(1e-9));
    }
    CHECK(length == Approx(2 * std::numbers::pi).epsilon(0.002));
}

TEST_CASE("Files that are not whole, or not understood, are refused with their line", "[drill-file]") {
    CHECK_THAT(fault("T1\nX1.0Y1.0\nM30\n"), ContainsSubstring("no header (M48)"));
    CHECK_THAT(fault("M48\nMETRIC\nT1C0.8\n%\nT1\nX1.0Y1.0\n"), ContainsSubstring("no end (M30)"));
    CHECK_THAT(fault("M48\nMETRIC\n%\nT7\nX1.0Y1.0\nM30\n"), ContainsSubstring("line 5: tool T7 is used, and no size"));
    CHECK_THAT(fault("M48\nMETRIC\nT1C0.8\n%\nX1.0Y1.0\nM30\n"), ContainsSubstring("line 5"));
    CHECK_THAT(fault("M48\nMETRIC\nT1C0.8\n%\nT1\nX1.0Y1.0\nWHAT\nM30\n"), ContainsSubstring("line 7"));
    CHECK_THAT(fault("M48\nMETRIC\nINCH\nM30\n"), ContainsSubstring("units change"));
    CHECK_THAT(fault("M48\nMETRIC\nICI,ON\nM30\n"), ContainsSubstring("relative"));
    CHECK_THAT(fault("M48\nMETRIC\nT1C0.8\n%\nT1\nX9000.0Y1.0\nM30\n"), ContainsSubstring("more than 5 m away"));
    CHECK_THAT(fault("M48\nMETRIC\nT1C0.8\n%\nT1\nX1.0Y1.0\nR99999X1.0\nM30\n"), ContainsSubstring("repeated"));
    CHECK_THAT(fault("M48\nMETRIC\nT1C-1\n%\nM30\n"), ContainsSubstring("diameter"));
    CHECK_THAT(fault(std::string(600, 'X')), ContainsSubstring("line 1"));
}

TEST_CASE("A board's edge runs along the middle of its lines, and what is cut out within lies in it as a hole", "[board-file]") {
    const std::string head = "%FSLAX26Y26*%\n%MOMM*%\n%ADD10C,0.5*%\nD10*\nG01*\n",
                      square = "X0Y0D02*\nX20000000D01*\nY10000000D01*\nX0D01*\nY0D01*\n";
    const auto edge = [&](const std::string& text) { return read_board_file(head + text + "M02*\n", "edge.gbr", {}, true).region; };
    const Region plain = edge(square);
    CHECK(plain.area() == Approx(200).epsilon(1e-4));
    const Region with_window = edge(square + "X5000000Y5000000D02*\nX8000000D01*\nY8000000D01*\nX5000000D01*\nY5000000D01*\n");
    CHECK(with_window.area() == Approx(200 - 9).epsilon(1e-3));
    REQUIRE(with_window.figures().size() == 1);
    CHECK(with_window.figures()[0].holes.size() == 1);
    try {
        (void)edge("X0Y0D02*\nX20000000D01*\nY10000000D01*\n");
        FAIL("an open line was taken for an edge");
    } catch (const Error& e) {
        CHECK(e.fault() == Fault::refused);
        CHECK_THAT(e.what(), ContainsSubstring("not closed"));
    }
    // Drawn as copper it is the lines themselves.
    CHECK(read_board_file(head + square + "M02*\n", "copper.gbr", {}, false).region.area() < 35);
    CHECK(board_file_kind("M48\nMETRIC\n", "x") == BoardFileKind::drill);
    CHECK(board_file_kind(head, "x") == BoardFileKind::gerber);
    CHECK(board_file_kind("\x89PNG\r\n", "x.png") == BoardFileKind::none);
    CHECK(board_file_kind("T1\nX1Y1\n", "holes.drl") == BoardFileKind::drill);
}
