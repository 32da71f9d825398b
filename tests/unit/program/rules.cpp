/// The rules of NISTIR 6556 one by one, lines that keep them and lines that break them, as `check` reads programs of any hand. Source: the
/// report's sections 3.2 to 3.8 (Kramer, Proctor, Messina 2000), from memory; what is no rule of the report is marked.
#include <string>
#include <vector>

#include "burin/program/rs274.hpp"
#include "check.hpp"

using namespace burin;

namespace {

/// Lines that follow a usual beginning: units, absolute, a feed, X0 Y0 Z5.
struct Rule {
    const char* what;
    std::vector<const char*> kept, broken;
};

ReadProgram read(const std::string& lines) {
    ReadLimits limits;
    limits.wide = true;
    limits.home = Point3{-10, -20, 30};
    return read_program("G21 G90 G17 G94 G54 F100\nG0 Z5\n" + lines + "\n", false, limits);
}

const std::vector<Rule> rules{
    {"3.3: a line number is a whole number from 0 to 99999, and stands first",
     {"N0 G0 X1", "N99999 G0 X1", "N5 G0 X1\nN5 G0 X2", "N7"},
     {"N100000 G0 X1", "N-1 G0 X1", "N1.5 G0 X1", "G0 X1 N5"}},
    {"3.3: spaces, tabs and case mean nothing outside comments", {"g0x +0. 12 34y 7", "G 0 X 1", "\tG0\tX1", "n 1 0 g0 x1"}, {"G0 X1 Y"}},
    {"3.3.2.1: a number has a sign, digits and one point, and no exponent",
     {"G0 X+1", "G0 X-.5", "G0 X1.", "G0 X007"},
     {"G0 X1E2", "G0 X.", "G0 X+-1", "G0 X1..2", "G0 X1,5"}},
    {"3.3.4: comments in parentheses, closed on their line, none inside another",
     {"(one)", "G0 (two) X1 (three)", "G0 X1 (MSG, the lamp is lit)"},
     {"G0 X1 (open", "G0 X1 )", "(a (b) c)"}},
    {"3.3.5: a letter once a line, but for G and M", {"G0 X1 Y2 Z6", "G1 F50 X1"}, {"G0 X1 X2", "G1 X1 F50 F60", "M3 S1 S2"}},
    {"3.4: one G word of each modal group",
     {"G90 G21 G17 G40 G49 G80 G54 G61", "G91 G0 X1"},
     {"G0 G1 X1", "G17 G18", "G90 G91", "G20 G21", "G93 G94", "G98 G99", "G54 G55", "G61 G64", "G4 P1 G53"}},
    {"3.4: at most four M words, one of each group", {"M3 M7 M0", "M5 M9"}, {"M3 M4", "M0 M1", "M2 M30", "M3 M7 M8 M0 M48", "M8 M9"}},
    {"3.5.1, 3.5.2: G0 and G1 name an axis; G1 has a feed", {"G0 X1", "G1 Z4", "G1 X1\nY2"}, {"G0", "G1", "F0\nG1 X1"}},
    {"3.5.3: an arc by its centre has equal radii, within 0.002 mm or 0.0002 in",
     {"G2 X2 Y0 I1 J0", "G3 X1 Y1 I1 J0", "G2 X2.0019 Y0 I1", "G18 G2 X2 Z5 I1 K0", "G19 G3 Y2 Z5 J1 K0"},
     {"G2 X2 Y0", "G2 X2.0021 Y0 I1", "G2 X2 Y2 I1 J0", "G18 G2 X2 Z5 J1", "G2 I0 J0 X0 Y0"}},
    {"3.5.3: an arc by its radius ends elsewhere, no farther than two radii",
     {"G2 X2 Y0 R1", "G3 X1 Y1 R-1", "G2 X1 Y0 R5"},
     {"G2 X0 Y0 R1", "G2 X3 Y0 R1", "G2 X2 R1 I1", "G2 X2 Y0 R0"}},
    {"3.5.4: a dwell has a time, not below 0", {"G4 P0", "G4 P1.5"}, {"G4", "G4 P-1", "G4 X1"}},
    {"3.5.5: coordinate data are set for a system by its number",
     {"G10 L20 P1 X0", "G10 L2 P1 X0", "G10 L2 P0 X3"},
     {"G10 L2 X0", "G10 P1 X0", "G10 L2 P2 X0"}},
    {"3.5.8: home by a place between; only where the machine homes", {"G28", "G28 X1 Y2", "G30", "G30 Z5"}, {"G28 X1 X2", "G28 G30"}},
    {"3.5.9: a probe has a way and a feed, the spindle stands, and what follows waits until its place is known again",
     {"G38.2 Z-5", "G38.3 X9", "G38.2 Z-5\nG0 Z9", "G38.2 Z-5\nG10 L20 P1 Z3\nG1 X5", "G38.2 Z-5\nG91 G0 Z1\nG90\nG38.2 Z-6\nG0 Z9\nX1"},
     {"G38.2", "G38.2 A1", "F0\nG38.2 Z-5", "M3 S1000\nG38.2 Z-5", "G38.2 Z-5\nZ-6", "G38.2 Z-5\nG0 X3", "G38.2 Z-5\nG0 Z-5.5",
      "G38.2 Z-5\nG91 G0 Z1\nX1", "G38.2 X9\nG0 Z9", "G38.2 X0 Y0 Z5"}},
    {"3.5.10: the bit's radius is not made up for by the reader", {"G40"}, {"G41 D1", "G42 D1"}},
    {"3.5.11: lengths of tools", {"G43 H1", "G49"}, {"G43 H1 G49", "H1"}},
    {"3.5.12: the machine's own places with G0 or G1 in force, on every line anew",
     {"G53 G0 X1", "G1 X1\nG53 X2"},
     {"G53 G2 X2 I1", "G80\nG53 X1"}},
    {"3.5.16: cycles have what they need: R and Z, a peck above 0, whole repeats, Z not above R",
     {"G81 X1 Z-1 R1", "G82 X1 Z-1 R1 P1", "G83 X1 Z-1 R1 Q0.5", "G85 X1 Z-1 R1", "G89 X1 Z-1 R1 P1", "G81 X1 Z-1 R1 L3\nX2\nG80",
      "G98 G81 X1 Z-1 R1\nG99 X2"},
     {"G81 X1 Z-1", "G81 X1 R1", "G83 X1 Z-1 R1", "G83 X1 Z-1 R1 Q0", "G83 X1 Z-1 R1 Q-1", "G81 X1 Z2 R1", "G81 X1 Z-1 R1 L0",
      "G81 X1 Z-1 R1 L1.5", "G84 X1 Z-1 R1", "G87 X1 Z-1 R1 I1 J1 K1", "G88 X1 Z-1 R1 P1"}},
    {"3.5.16.1: after G80 axes need a motion of their own", {"G80", "G80\nG0 X1"}, {"G80\nX1", "G80 X1"}},
    {"3.5.18: the zero moves by G92 and its kin",
     {"G92 X0", "G92 X1 Y1 Z1\nG92.1", "G92 X1\nG92.2\nG92.3"},
     {"G92", "G92 P1", "G92 X0 G28"}},
    {"3.6: stops, spindle, tools, coolant", {"M3 S1000", "M4 S10\nM5", "M7 M8\nM9", "T1 M6", "M0", "M1"}, {"M3.5", "M-3", "M98 P1", "M47"}},
    {"3.7: feed, speed and tool are not below 0", {"F0", "S0", "T0"}, {"F-1", "S-1", "T-1"}},
    {"3.2: what the reader does not reckon is told: parameters, expressions, other axes, skipped lines",
     {},
     {"G0 X#1", "#1=3", "G0 X[1+2]", "G0 A90", "G0 B1", "G0 C1", "/G0 X1", "O100", "G0 U1"}},
    {"no rule of the report: words met in the field",
     {"G90.1 G2 X2 Y0 I1 J0", "G91.1 G2 X2 Y0 I1 J0", "G61.1"},
     {"G5 X1", "G33 Z1 K1", "G12 X1"}}};

}  // namespace

TEST_CASE("lines that keep the standard's rules are followed, and lines that break them are told") {
    for (const Rule& rule : rules) {
        INFO(rule.what);
        for (const char* lines : rule.kept) {
            INFO(lines);
            const ReadProgram program = read(lines);
            for (const ProgramFault& fault : program.faults) FAIL_CHECK("line " << fault.line << " " << fault.what);
        }
        for (const char* lines : rule.broken) {
            INFO(lines);
            const ReadProgram program = read(lines);
            CHECK_FALSE(program.faults.empty());
            if (!program.faults.empty()) CHECK(program.faults.front().line >= 3);  // told at its own line
        }
    }
}
