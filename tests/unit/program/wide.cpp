/// What programs of other hands use. Cycles are NISTIR 6556's own examples (3.5.16, from memory); the rest is on paper.
#include "burin/program/rs274.hpp"
#include "check.hpp"

using namespace burin;

namespace {

ReadProgram wide(const std::string& text, std::optional<Point3> home = {}) {
    ReadLimits limits;
    limits.wide = true;
    limits.home = home;
    return read_program(text, false, limits);
}

std::vector<Point3> ends(const ReadProgram& program) {
    std::vector<Point3> points;
    for (const Move& move : program.track.moves) points.push_back(move.to);
    return points;
}

bool faulty(const ReadProgram& program, const std::string& what) {
    return std::any_of(program.faults.begin(), program.faults.end(),
                       [&](const ProgramFault& fault) { return fault.what.find(what) != std::string::npos; });
}

}  // namespace

TEST_CASE("a hole is drilled as the standard's examples say") {
    // From (1, 2, 3): G90 G81 G98 X4 Y5 Z1.5 R2.8 goes to (4, 5, 3), down to 2.8, drills to 1.5, back to 3.
    const ReadProgram first = wide("G21 G90 G0 X1 Y2 Z3\nF100\nG90 G81 G98 X4 Y5 Z1.5 R2.8\nG80\n");
    CHECK(first.faults.empty());
    CHECK(ends(first) == std::vector<Point3>{{1, 2, 3}, {4, 5, 3}, {4, 5, 2.8}, {4, 5, 1.5}, {4, 5, 3}});
    CHECK(first.track.moves[3].kind == MoveKind::feed);
    CHECK(first.track.moves[4].kind == MoveKind::rapid);
    // The same with increments, three times: from 3 up to 4.8, then three holes 0.6 below it.
    const ReadProgram thrice = wide("G21 G90 G0 X1 Y2 Z3\nF100\nG91 G81 G98 X4 Y5 Z-0.6 R1.8 L3\n");
    CHECK(thrice.faults.empty());
    const auto places = ends(thrice);
    REQUIRE(places.size() == 1 + 1 + 3 * 3);
    CHECK(places[1] == Point3{1, 2, 4.8});
    CHECK(places[2] == Point3{5, 7, 4.8});
    CHECK(places[3].z == Approx(4.2));
    CHECK(places.back().x == Approx(13));
    CHECK(places.back().z == Approx(4.8));
}

TEST_CASE("pecks come out, G99 stays low, other holes repeat the words") {
    const ReadProgram pecks = wide("G21 G90 G0 X0 Y0 Z5\nF50\nG99 G83 X1 Y1 Z-3 R1 Q2\nX2\nG80\nG0 Z5\n");
    CHECK(pecks.faults.empty());
    const auto places = ends(pecks);
    // Across at 5, down to 1, to −1, out to 1, back to −1 + 0.254, to −3, out to 1; then the next from there.
    REQUIRE(places.size() == 15);
    CHECK(places[3].z == -1);
    CHECK(places[4].z == 1);
    CHECK(places[5].z == Approx(-0.746));
    CHECK(places[6].z == -3);
    CHECK(places[7] == Point3{1, 1, 1});
    CHECK(places[8] == Point3{2, 1, 1});
    const ReadProgram dwells = wide("G21 G90 G0 X0 Y0 Z5\nF50\nG82 X1 Z-1 R1 P2\n");
    REQUIRE(dwells.track.events.size() == 1);
    CHECK(dwells.track.events[0].value == 2);
    CHECK(faulty(wide("G21 G90 G0 Z5\nF50\nG81 X1 Z2 R1\n"), "above its height R"));
    CHECK(faulty(wide("G21 G90 G0 Z5\nF50\nG83 X1 Z-2 R1\n"), "peck"));
    CHECK(faulty(wide("G21 G90 G0 Z5\nF50\nG81 X1 Y1\n"), "without R or Z"));
    CHECK(faulty(wide("G21 G90 G0 Z5\nF50\nG84 X1 Z-1 R1\n"), "taps"));
    CHECK(faulty(wide("G21 G90 G0 Z5\nF50\nG87 X1 Z-1 R1\n"), "from behind"));
    CHECK(faulty(wide("G21 G90 G0 Z5\nF50\nG88 X1 Z-1 R1\n"), "by hand"));
}

TEST_CASE("a zero that moves takes what follows with it") {
    const ReadProgram moved = wide("G21 G90 G0 X10 Y10 Z3\nG92 X0 Y0\nG0 X5\nG92.1\nX5\nG10 L20 P1 X1\nX2\n");
    CHECK(moved.faults.empty());
    const auto places = ends(moved);
    CHECK(places[1] == Point3{15, 10, 3});
    CHECK(places[2] == Point3{5, 10, 3});
    CHECK(places[3] == Point3{6, 10, 3});
    CHECK(faulty(wide("G21 G90 G0 Z3\nG10 L2 P1 X5\n"), "homes"));
    // By the machine's own coordinates, where they are known: its zero lies at (-20, -30, 40), so its X25 is 5 from the work zero.
    const Point3 home{-20, -30, 40};
    const ReadProgram own = wide("G21 G90 G0 X10 Y10 Z3\nG10 L2 P1 X25 Z-42\nG0 X1 Y1 Z4\n", home);
    CHECK(own.faults.empty());
    CHECK(ends(own).back() == Point3{6, 1, 2});
    CHECK(faulty(wide("G21 G90 G0 Z3\nG10 L2 P2 X5\n", home), "another work zero"));
    CHECK(faulty(wide("G21 G90 G0 Z3\nG10 L20 P2 X5\n", home), "another work zero"));
    CHECK(faulty(wide("G21 G90 G10 L2 P1 X5\nG55\nG0 Z3\n", home), "changes the work zero"));
    // G92 goes on top of G10 and is taken back by itself: 5 from the zero of G10 the bit stands at 7, and its words count from there.
    const ReadProgram both = wide("G21 G90 G0 X7 Z3\nG10 L20 P1 X5\nG92 X0\nG0 X1\nG92.2\nX1\nG92.3\nX1\nG92.1\nX0\n");
    CHECK(both.faults.empty());
    const auto at = ends(both);
    CHECK((at[1].x == 8 && at[2].x == 3 && at[3].x == 8 && at[4].x == 2));
    CHECK(faulty(wide("G21 G90 G0 Z3\nG10 P1 X5\n", home), "L2 or L20"));
}

TEST_CASE("the machine's own places are followed where they are known, and never guessed") {
    const Point3 home{-20, -30, 40};
    const auto places = ends(wide("G21 G90 G0 X10 Y10 Z3\nG53 G0 Z-2\nG28 X0 Y0\n", home));
    CHECK(places[1] == Point3{10, 10, 38});
    CHECK(places[2] == Point3{0, 0, 38});
    CHECK(places[3] == home);
    CHECK(faulty(wide("G21 G90 G0 Z3\nG53 G0 Z0\n"), "homes"));
    CHECK(faulty(wide("G21 G90 G0 Z3\nG28\n"), "homes"));
    // G30's place is the machine's zero until another is stored (NISTIR 6556, parameters 5181 to 5183).
    CHECK(ends(wide("G21 G90 G0 X10 Y10 Z3\nG30\n", home)).back() == home);
    CHECK(faulty(wide("G21 G90 G0 Z3\nG30\n"), "homes"));
}

TEST_CASE("over a known zero a probe comes back to where it began, and its longest way is kept and takes its time") {
    // 7 mm at 70 mm/min are 6 s. What is between 5 and -2 nobody knows; the lift is one move from where the probe began.
    const ReadProgram grid = wide("G21 G90 G0 X10 Y10\nG0 Z5\nG38.2 Z-2 F70\nG0 Z6\nG0 X20\n");
    CHECK(grid.faults.empty());
    CHECK(ends(grid) == std::vector<Point3>{{10, 10, 0}, {10, 10, 5}, {10, 10, 6}, {20, 10, 6}});
    REQUIRE(grid.probes.size() == 1);
    CHECK(grid.probes[0].from == Point3{10, 10, 5});
    CHECK(grid.probes[0].to == Point3{10, 10, -2});
    CHECK(grid.probes[0].line == 3);
    REQUIRE(grid.track.events.size() == 1);
    CHECK(grid.track.events[0].value == Approx(6));
    // It may have touched at 4.9: what goes to 3 in a rapid would run into what was touched, and so would a way aside.
    for (const char* line : {"G0 Z3", "G0 X3", "G0 X3 Z9", "G91 G0 Z-1"})
        CHECK(faulty(wide(std::string("G21 G90 G0 Z5\nG38.2 Z-2 F70\n") + line + "\n"), "moves on from where the probe touched"));
    CHECK(faulty(wide("G21 G90 G0 Z5\nM3 S900\nG38.2 Z-2 F70\n"), "while the spindle turns"));
}

TEST_CASE("a zero set where a probe touched begins the track: the words are right from there") {
    // A plate of 19 mm: at the touch the bit stands 19 above the zero, wherever the program began. Twice, slowly the second time.
    const ReadProgram plate =
        wide("G21 G90 G17 G94 G54\nM5\nG91\nG38.2 Z-20 F100\nG90\nG10 L20 P1 Z19\nG0 Z21\nG38.2 Z17 F25\nG92 Z19\nG0 Z29\nX4\nM5\nM2\n");
    CHECK(plate.faults.empty());
    CHECK(plate.track.start == Point3{0, 0, 19});
    CHECK(ends(plate) == std::vector<Point3>{{0, 0, 29}, {4, 0, 29}});
    CHECK(plate.probes.empty());  // nobody knows where those were
    // Two probes of an inside corner, each axis by itself.
    const ReadProgram corner =
        wide("G20 G90 G0 Z1\nG91\nG38.2 X2 F9\nG10 L20 P1 X-.0625\nG90 G0 X-1\nG91\nG38.2 Y2 F9\nG10 L20 P1 Y-.0625\nG90 G0 Y-1\n");
    CHECK(corner.faults.empty());
    CHECK(corner.track.start == Point3{-25.4, -1.5875, 25.4});
    CHECK(ends(corner) == std::vector<Point3>{{-25.4, -25.4, 25.4}});
    CHECK(faulty(wide("G21 G90 G0 Z3\nM3 S900\nG1 X5 F100\nM5\nG38.2 Z-9\nG10 L20 P1 Z0\n"), "after something was cut"));
    // What the words mean after it holds for the work zero in force, and cannot be taken back to what nobody knows.
    const std::string touch = "G21 G90 G0 Z5\nG38.2 Z-10 F100\n";
    CHECK(faulty(wide(touch + "G92 Z0\nG0 Z15\nG92.1\n"), "takes back"));
    CHECK(faulty(wide(touch + "G92.1\n"), "takes back"));
    CHECK(faulty(wide(touch + "G10 L20 P2 Z0\n"), "another work zero"));
    CHECK(faulty(wide(touch + "G10 L20 P1 Z0\nG55\n"), "changes the work zero"));
    CHECK(faulty(wide(touch + "G55\n"), "changes the work zero"));
    CHECK(faulty(wide(touch + "G10 L20 P1 Z0\nG0 Z5\nG10 L2 P1 X0\n", Point3{-9, -9, 9}), "after a probe"));
    // A G92 in force stays so under a zero that G10 sets: 3 mm of it are taken back.
    CHECK(ends(wide("G21 G90 G0 Z5\nG92 Z2\nG38.2 Z-10 F100\nG10 L20 P1 Z0\nG0 Z15\nG92.1\nG0 Z15\n")).back().z == 12);
    CHECK(faulty(wide("G21 G90 G0 Z5\nG53 G38.2 Z-5 F100\n", Point3{-9, -9, 9}), "both want the axes"));
}

TEST_CASE("a probe away ends farther back at the most, and what would go towards the plate again is told") {
    const std::string both = "G21 G90 G0 Z15\nG38.2 Z-10 F100\nG91\nG38.4 Z5 F20\n";
    CHECK(wide(both + "G90 G0 Z20\nX3\n").faults.empty());
    CHECK(wide(both + "G90 G10 L20 P1 Z1\nG0 Z9\nX3\n").faults.empty());
    // It may have touched at 14.9 and stand at 19.9 now.
    for (const char* line : {"G0 Z-20", "G90 G0 Z0", "G90 G0 Z19", "G38.4 Z-2", "G38.2 Z2", "G38.2 X2", "G0 X1", "G90 G38.2 X1 Z-9"})
        CHECK(faulty(wide(both + line + "\n"), "moves on from where the probe touched"));
    // Cycles and arcs start from where nobody knows.
    const std::string touch = "G21 G90 G0 Z15\nG38.2 X10 Z5 F100\n";
    CHECK(faulty(wide(touch + "G81 X0 Y0 Z-1 R9\n"), "X and Z alone"));
    CHECK(faulty(wide(touch + "G18 G3 X-10 Z25 I0 K10\n"), "X and Z alone"));
    CHECK(faulty(wide(touch + "G2 X-10 Y0 I-5\n"), "X and Z alone"));
}

TEST_CASE("what is to be told of a line is told once, with how many others it holds for") {
    std::string text = "G21 G90 G17 F100\nG0 X10 Y0 Z5\n";
    for (int k = 0; k < 120; ++k) text += k % 2 == 0 ? "G3 X-10 Y0 R10\n" : "G3 X10 Y0 R10\n";
    const ReadProgram read = wide(text + "G43 H1\nG38.2 Z-1\nG10 L20 P1 Z0\nG0 Z5\n");
    CHECK(read.faults.empty());
    REQUIRE(read.not_plain.size() == 5);
    CHECK((read.not_plain[0].line == 3 && read.not_plain[0].more == 119));
    CHECK_THAT(read.not_plain[4].what, ContainsSubstring("is not checked"));
}

TEST_CASE("arcs of other planes are followed as chords on their circle") {
    // A half circle over the stock in the plane ZX: from (0, 0, 1) to (4, 0, 1) about (2, 0, 1), its top at z = 3. Seen from +Y, where Z
    // runs to the right and X up, that is counter-clockwise.
    const ReadProgram arc = wide("G21 G90 G0 X0 Y0 Z1\nG18 G3 X4 Z1 I2 K0 F100\n");
    CHECK(arc.faults.empty());
    double top = 0;
    for (const Point3& p : ends(arc)) {
        CHECK(std::hypot(p.x - 2, p.z - 1) == Approx(2).margin(1e-9));
        top = std::max(top, p.z);
    }
    CHECK(top == Approx(3).margin(1e-3));
    CHECK(ends(arc).back() == Point3{4, 0, 1});
    CHECK(faulty(wide("G21 G90 G0 X0 Z1\nG18 G3 X4 Z1 I1 K0 F100\n"), "radii differ"));
}

TEST_CASE("tools: named before the first cut, refused after it; lengths are told") {
    CHECK(wide("G21 G90\nT1 M6\nG43 H1\nG0 Z3\nG1 X5 F100\n").faults.empty());
    CHECK(faulty(wide("G21 G90\nG0 Z3\nG1 X5 F100\nT2 M6\n"), "change of tools"));
    // Our own programs have none of it: the strict reader refuses every one.
    for (const char* line : {"G81 X1 Y1 Z-1 R1", "G92 X0", "G10 L20 P1 X0", "T1", "M6", "G43 H1", "G28", "G53 G0 Z0"})
        CHECK_FALSE(read_program(std::string("G21 G90 G0 Z3\nF100\n") + line + "\n").faults.empty());
}
