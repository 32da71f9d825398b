// The strict reader, rule by rule. NISTIR 6556 (Kramer, Proctor, Messina, 2000) where no other source is named.
#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "burin/program/rs274.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const std::string start = "G21 G90 G17 G94 G54\nG0 Z3\nF300\n";  // three lines

/// Reads `text` after the usual start; it must be without fault.
std::vector<Move> moves_of(const std::string& text) {
    const ReadProgram program = read_program(start + text);
    for (const ProgramFault& fault : program.faults) FAIL_CHECK("line " << fault.line << " " << fault.what << " in " << text);
    return {program.track.moves.begin() + 1, program.track.moves.end()};
}
Point3 end_of(const std::string& text) {
    const auto moves = moves_of(text);
    REQUIRE(!moves.empty());
    return moves.back().to;
}
/// Whether the last line of `text` is at fault, and only that.
bool fault_in(const std::string& text, const std::string& before = start) {
    const ReadProgram program = read_program(before + text);
    const auto last =
        static_cast<std::uint32_t>(std::count(before.begin(), before.end(), '\n') + std::count(text.begin(), text.end(), '\n')) +
        (text.empty() || text.back() == '\n' ? 0U : 1U);
    for (const ProgramFault& fault : program.faults)
        if (fault.line != last || fault.what.empty()) return false;
    return !program.faults.empty();
}

}  // namespace

TEST_CASE("straight moves, with case, spaces and comments that mean nothing") {
    for (const char* text : {"G1 X1.5 Y-2 Z.25", "g1x1.5y-2z.25", "N10 G01 X+1.5(to the right)Y-2.Z0.25",
                             "(first) g 1 x 1 . 5 y - 2 z 0.2 5", "\tG1.0\tX001.500 Y-2.000 Z+.25 ", "N99999G1X1.5Y-2Z.25M8"}) {
        const auto moves = moves_of(text);
        REQUIRE(moves.size() == 1);
        CHECK(moves[0].to == Point3{1.5, -2, 0.25});
        CHECK(moves[0].kind == MoveKind::feed);
        CHECK(moves[0].feed == 300);
        CHECK(moves[0].line == 4);
    }
    CHECK(moves_of("G0 X5\n\nX6\n(nothing)\nG1 Y1\nF200\nY2 F100\n").size() == 4);
    const auto moves = moves_of("G0 X5\nX6\nG1 Y1\nF200\nY2\nY3 F100\n");
    CHECK(moves.at(0).kind == MoveKind::rapid);
    CHECK(moves.at(0).feed == 0);
    CHECK(moves.at(1).to == Point3{6, 0, 3});
    CHECK(moves.at(2).feed == 300);
    CHECK(moves.at(3).feed == 200);
    CHECK(moves.at(3).line == 8);
    CHECK(moves.at(4).feed == 100);
    CHECK(read_program(start + "G1 X1\r\nX2\r\n").faults.empty());
}

TEST_CASE("relative positions and inches") {
    CHECK(end_of("G91\nG1 X1\nX1 Y2\nZ-1") == Point3{2, 2, 2});
    CHECK(end_of("G91 G1 X1\nX1\nG90 X1.25") == Point3{1.25, 0, 3});
    CHECK(end_of("G20\nF10\nG1 X1 Y-0.5") == Point3{25.4, -12.7, 3});
    CHECK(moves_of("G20\nF10\nG1 X1").at(0).feed == Approx(254));
    CHECK(moves_of("G20\nF10\nG1 X1\nG21\nF100\nX1").at(1).to == Point3{1, 0, 3});
    CHECK(moves_of("G20\nF10\nG1 X1\nG21\nF100\nX1").at(1).feed == 100);
    CHECK(read_program(start + "G20").inch);
    CHECK_FALSE(read_program(start).inch);
}

TEST_CASE("arcs by their centre") {
    // Plane geometry: a quarter of the circle about (0, 0) from (10, 0) to (0, 10), and the other three quarters.
    const auto arc_of = [](const std::string& text) {
        const ReadProgram program = read_program(start + "G0 X10\n" + text);
        for (const ProgramFault& fault : program.faults) FAIL_CHECK("line " << fault.line << " " << fault.what << " in " << text);
        REQUIRE(program.track.moves.size() == 3);
        const Move move = program.track.moves.back();
        REQUIRE(move.arc < program.track.arcs.size());
        return std::pair(move, program.track.arcs[move.arc].centre);
    };
    for (const char* text : {"G3 X0 Y10 I-10", "G3 X0 Y10 I-10 J0", "G91.1 G3 X0 Y10 I-10 J0", "G90.1 G3 X0 Y10 I0 J0",
                             "G91 G3 X-10 Y10 I-10 J0", "G3 X0 Y10 R10"}) {
        const auto [move, centre] = arc_of(text);
        CHECK(move.kind == MoveKind::arc_ccw);
        CHECK(move.to.x == Approx(0).margin(1e-12));
        CHECK(move.to.y == Approx(10));
        CHECK(distance(centre, Point{0, 0}) < 1e-9);
        CHECK(move.feed == 300);
    }
    CHECK(arc_of("G2 X0 Y10 I-10").first.kind == MoveKind::arc_cw);
    CHECK(arc_of("G2 X10 I-1").first.to == Point3{10, 0, 3});  // all the way round
    CHECK(arc_of("G2 X10 Z1 I-1").first.to == Point3{10, 0, 1});
    // R: above 0 the shorter way, below 0 the longer. From (10, 0) to (0, 10) with radius 10 the other centre is (10, 10).
    CHECK(distance(arc_of("G2 X0 Y10 R-10").second, Point{0, 0}) < 1e-9);
    CHECK(distance(arc_of("G2 X0 Y10 R10").second, Point{10, 10}) < 1e-9);
    CHECK(distance(arc_of("G3 X0 Y10 R-10").second, Point{10, 10}) < 1e-9);
    CHECK(distance(arc_of("G3 X-10 Y0 R10").second, Point{0, 0}) < 1e-9);
    CHECK_FALSE(read_program(start + "G0 X10\nG3 X0 Y10 R10").not_plain.empty());
    CHECK(read_program(start + "G0 X10\nG3 X0 Y10 I-10").not_plain.empty());
}

TEST_CASE("the two radii of an arc may differ by 0.002 mm or 0.0002 in") {
    const std::string before = start + "G0 X10\n";
    CHECK(read_program(before + "G3 X0 Y10.0019 I-10 J0").faults.empty());
    CHECK(fault_in("G3 X0 Y10.0021 I-10 J0", before));
    CHECK(fault_in("G2 X0 Y9.9979 I-10 J0", before));
    const std::string inches = start + "G20\nF10\nG0 X1\n";
    CHECK(read_program(inches + "G3 X0 Y1.00019 I-1 J0").faults.empty());
    CHECK(fault_in("G3 X0 Y1.00021 I-1 J0", inches));
}

TEST_CASE("lines that break a rule are faults and move nothing") {
    for (const char* text :
         {// words and numbers
          "G1 X1 X2", "G1 X1 F100 F200", "G1 X", "G1 X1E3", "G1 X1e3", "G1 X--1", "G1 X1.2.3", "G1 X.", "G1 X+", "G1 1", "G1 X1 ?",
          "G1 X1 @", "XY1", "G1 Xnan", "G1 Xinf", "G1 X0x10", "X1 N5", "N100000 G1 X1", "N-1 G1 X1", "N1.5 G1 X1", "N", "G1 X1 N", "G-1 X1",
          "G1.05 X1", "M3.5", "M-3",
          // comments and other signs
          "G1 X1 (open", "G1 X1 )", "G1 (a (b) c) X1", "G1 X1 ; aside", "/G1 X1", "G1 X#5", "G1 X[1+2]", "#1=5", "G1 X1 \x01", "G1 X1 \x7f",
          "G1 X1 \xc3\xa9",
          // modal groups and M words
          "G0 G1 X1", "G17 G18", "G90 G91", "G20 G21", "G54 G55", "G61 G64", "G40 G41", "G90.1 G91.1", "G4 G10 P1", "M3 M5", "M3 M4",
          "M0 M2", "M7 M9", "M3 M7 M8 M0 M48", "M1 M3 M7 M8 M8",
          // words that nothing uses, words that are missing
          "P1", "G1 X1 P1", "G1 X1 I1", "G1 X1 R1", "K1", "G1 X1 A5", "D1", "H1", "L1", "Q1", "G0", "G1", "G1 F100", "G2 I1 J1", "G4",
          "G2 X1 Y1", "G2 X1 Y1 I1 J0 R1", "G2 X1 Y1 K1", "G2 X0 Y0 R1", "G2 X9 Y0 R1", "G90.1 G2 X1 Y1 I0.5", "G2 X0 Y0 I0 J0",
          "G2 Z1 I1 J1", "G80 X1",
          // values
          "F-1", "S-1", "G4 P-1", "G1 X1e400", "G1 X999999999999999999999999999999", "G1 X100001", "G2 X1 Y1 I500000.5 J-500000",
          // not followed
          "G28", "G28 X0 Y0", "G30", "G53 G0 X0", "G10 L2 P1 X0", "G92 X0", "G92.1", "G38.2 Z-1", "G38.5 Z-1", "G81 X1 Z-1 R1", "G41 D1",
          "G42", "G43 H1", "G93", "G98", "G95", "G5", "G33", "G100", "M6", "T1", "T1 M6", "M48", "M60", "M98 P1", "M99", "M62", "O1",
          "G18 G2 X1 Z1 I1 K1", "G18 G2 X1 I0.5"}) {
        INFO(text);
        CHECK(fault_in(text));
        CHECK(read_program(start + text).track.moves.size() == 1);
    }
    CHECK(fault_in("G1 X1", "G21\nG0 Z3\n"));  // no feed yet
    CHECK(fault_in("G2 X1 Y1 I0.5 J0.5", "G21\nG0 Z3\n"));
    CHECK(fault_in("G1 X1", "F300\nG0 Z3\nF0\n"));
    CHECK(fault_in("G1 X1", "F300\nG0 Z3\nG20\n"));  // an F of other units
    CHECK(fault_in("G20 F10", start));
    CHECK(fault_in("X1", "G21\nF300\n"));  // neither G0 nor G1 in force
    CHECK(fault_in("X1", start + "G80\n"));
    CHECK(fault_in("G55", start));  // the work zero changes on the way
    CHECK(fault_in("G0 X1", start + "M2\n"));
    CHECK(fault_in("G0 X1", start + "M30\n"));
}

TEST_CASE("what the rules allow is no fault") {
    for (const char* text : {"",
                             "\n\n",
                             "(alone)",
                             "()",
                             "M7 M8",
                             "M9",
                             "M3 S5000 M8",
                             "G17 G21 G40 G49 G54 G61 G80 G90 G91.1 G94",
                             "G64",
                             "G61.1",
                             "G18",
                             "G4 P0.5 G1 X1",
                             "G4 P0",
                             "S0",
                             "M0",
                             "M1",
                             "M2",
                             "M30",
                             "N0 M2",
                             "F0",
                             "G1 X1 Y1 Z1 F100 S1000 M3 M8 M0",
                             "G1 X1 (one) (two)",
                             "M2\n\n(after the end)\n",
                             "%"}) {
        INFO(text);
        const std::string before = std::string(text) == "%" ? "%\n" + start : start;
        const ReadProgram program = read_program(before + text);
        for (const ProgramFault& fault : program.faults) FAIL_CHECK("line " << fault.line << " " << fault.what);
    }
}

TEST_CASE("text between two lines of % is the program") {
    CHECK(read_program("%\n" + start + "G1 X1\n%\n").faults.empty());
    CHECK(read_program("\n (x)\n % \n" + start + "M2\n%").faults.empty());
    CHECK_FALSE(read_program("%\n" + start).faults.empty());
    CHECK_FALSE(read_program(start + "%\n").faults.empty());
    CHECK_FALSE(read_program("%\n" + start + "%\nG0 X1\n").faults.empty());
    CHECK_FALSE(read_program("%\n" + start + "%\n%\n").faults.empty());
    CHECK_FALSE(read_program("%5\n" + start + "%\n").faults.empty());
    CHECK(read_program("%\n" + start + "%\nG0 X1\n").track.moves.size() == 1);
}

TEST_CASE("lines have at most 256 characters") {
    const std::string most = "G1 X1 (" + std::string(248, 'a') + ")";
    REQUIRE(most.size() == 256);
    CHECK(read_program(start + most + "\n").faults.empty());
    CHECK(read_program(start + most + "\r\n").faults.empty());
    CHECK(fault_in("G1 X1 (" + std::string(249, 'a') + ")"));
    CHECK(fault_in("G1 X" + std::string(260, '0') + "1"));
    ReadLimits limits;
    limits.most_line = 10;
    CHECK(read_program("G1 X1 F1000", false, limits).faults.size() == 1);
    CHECK(read_program(start + "G1 X1\nG1 X1.0002\nX1\n").longest_line == start.find('\n'));
    CHECK(read_program(start + "G1 X1\nG1 X1.0002 Y2.0000001 Z5.00001\nX1\n").longest_line_at == 5);
}

TEST_CASE("spindle, dwells, pauses and the end are events in place") {
    const ReadProgram program = read_program("G21\nG0 Z3\nM3 S8000\nG4 P1.5\nG0 X1\nG1 Z-1 F100 M0\nX2 M5\nG0 Z3\nM4\nX3\nM2\n");
    REQUIRE(program.faults.empty());
    const std::vector<std::pair<EventKind, std::size_t>> wanted{{EventKind::spindle_on, 1}, {EventKind::dwell, 1},
                                                                {EventKind::pause, 3},      {EventKind::spindle_off, 3},
                                                                {EventKind::spindle_on, 5}, {EventKind::end, 6}};
    REQUIRE(program.track.events.size() == wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        CHECK(program.track.events[i].kind == wanted[i].first);
        CHECK(program.track.events[i].before == wanted[i].second);
    }
    CHECK(program.track.events[0].value == 8000);
    CHECK(program.track.events[0].line == 3);
    CHECK(program.track.events[1].value == 1.5);
    CHECK(program.track.events[4].value == 8000);
    std::vector<bool> running;
    for (const Move& move : program.track.moves) running.push_back(move.running);
    CHECK(running == std::vector<bool>{false, true, true, false, false, true});
    CHECK(program.ended);
    CHECK(program.running_at_end);
    CHECK(read_program("G4 P250", true).track.events.at(0).value == 0.25);
    // S0 is a spindle that stands.
    const ReadProgram still = read_program("M3 S1000\nG0 X1\nS0\nX2\nS500\nX3\nM5\nM3\nX4\n");
    CHECK(still.faults.empty());
    CHECK(still.track.moves.at(0).running);
    CHECK_FALSE(still.track.moves.at(1).running);
    CHECK(still.track.moves.at(2).running);
    CHECK(still.track.moves.at(3).running);
    CHECK_FALSE(still.ended);
}

TEST_CASE("the last line may lack its end") {
    CHECK(read_program("").lines == 0);
    CHECK(read_program("\n").lines == 1);
    CHECK(read_program("G0 X1").lines == 1);
    CHECK(read_program("G0 X1").track.moves.size() == 1);
    CHECK(read_program("G0 Z1\nX5\nY7").track.moves.back().to == Point3{5, 7, 1});
    CHECK(read_program("G0 Z1\nX5\nY").faults.size() == 1);
}

TEST_CASE("more than enough faults, and texts beyond the limits") {
    std::string text;
    for (int i = 0; i < 1000; ++i) text += "G1 Q\n";
    CHECK(read_program(text).faults.size() == 100);
    ReadLimits limits;
    limits.most_bytes = 10;
    const ReadProgram program = read_program(start, false, limits);
    REQUIRE(program.faults.size() == 1);
    CHECK(program.faults[0].line == 0);
    CHECK(program.track.moves.empty());
}

TEST_CASE("plain text that any controller takes: each thing that can be missing is named with its line") {
    // The promise on plain text, itself common practice, no source.
    const std::vector<std::string> whole{
        "(Lamp room)", "G21 G90 G17 G94 G54", "G0 Z3", "M3 S10000", "G4 P3", "X10 Y10", "G1 Z-1 F100", "X20 F300", "G0 Z3", "M5", "M2"};
    const auto text_of = [](const std::vector<std::string>& lines) {
        std::string text;
        for (const std::string& line : lines) text += line + "\n";
        return text;
    };
    const auto faults_of = [&](const std::vector<std::string>& lines) { return plain_text_faults(read_program(text_of(lines))); };
    CHECK(faults_of(whole).empty());
    const auto with = [&](std::size_t line, const std::string& words) {
        auto lines = whole;
        lines.at(line - 1) = words;
        return faults_of(lines);
    };
    struct Damage {
        std::size_t line;
        std::string words;
        std::uint32_t named;
        std::string word;
    };
    for (const Damage& damage : std::vector<Damage>{{2, "G90 G17 G94 G54", 3, "G21"},
                                                    {2, "G21 G17 G94 G54", 3, "G90"},
                                                    {2, "G21 G90 G94 G54", 3, "G17"},
                                                    {2, "G21 G90 G17 G54", 3, "G94"},
                                                    {2, "G21 G90 G17 G94", 3, "G54"},
                                                    {2, "G21 G90 G17 G94 G55", 2, "G54"},
                                                    {3, "G0 X0 Z3", 3, "Z"},
                                                    {3, "G0 Z-3", 3, "Z"},
                                                    {3, "G0 X0", 3, "Z"},
                                                    {7, "G28 Z0", 7, "G28"},
                                                    {7, "G30", 7, "G30"},
                                                    {7, "G53 G0 Z0", 7, "G53"},
                                                    {7, "G92 X0", 7, "G92"},
                                                    {7, "G10 L20 P1 Z0", 7, "G10"},
                                                    {7, "T1 M6", 7, "M6"},
                                                    {7, "G2 X12 Y12 R5 F100", 7, "R arc"},
                                                    {7, "(" + std::string(69, 'x') + ")", 7, "70"},
                                                    {7, "(\xc3\xa9)", 7, "ASCII"},
                                                    {9, "(no retreat)", 8, "rapid"},
                                                    {9, "G1 Z3", 9, "rapid"},
                                                    {9, "G0 Z-1", 9, "rapid"},
                                                    {9, "G0 X0", 9, "rapid"},
                                                    {10, "(no M5)", 11, "M5"},
                                                    {10, "M5\nG0 Z4", 10, "M5"},
                                                    {11, "", 11, "M2"}}) {
        INFO("line " << damage.line << " becomes " << damage.words);
        const auto faults = with(damage.line, damage.words);
        CHECK(std::any_of(faults.begin(), faults.end(),
                          [&](const ProgramFault& f) { return f.line == damage.named && f.what.find(damage.word) != std::string::npos; }));
    }
    // A beam has no Z to lift.
    CHECK(faults_of({"G21 G90 G17 G94 G54", "G0 X0 Y0", "M4 S0", "G1 X10 F1000 S500", "M5", "M2"}).empty());
}
