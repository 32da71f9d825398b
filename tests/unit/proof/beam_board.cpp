// Coatings of two pads, burnt off line by line as on paper, then damaged in one place: the proof must say what stays joined, what is
// burnt through, and where. Source of every check: plane geometry, and counting.
#include <cmath>

#include "beam.hpp"
#include "check.hpp"

using namespace burin;
using namespace burin::test;

namespace {

constexpr double r = 0.05;     // half the spot of laser_machine()
constexpr double step = 0.08;  // from row to row
const Region pads({{{11, 11}, {13, 11}, {13, 13}, {11, 13}}, {{14, 11}, {16, 11}, {16, 13}, {14, 13}}});

/// Lines of full power, each lit on its own: G0 to its beginning, G1 to its end, S0.
struct Lines : BeamText {
    std::uint32_t lit(double x0, double y0, double x1, double y1, int s = 1000) {
        add(fmt::format("G0 X{:.3f} Y{:.3f}", x0, y0));
        const std::uint32_t line = add(fmt::format("G1 X{:.3f} Y{:.3f} F600 S{}", x1, y1, s));
        add("S0");
        return line;
    }
    /// Rows over a rectangle, the spot's rim on its line.
    void rows(double x0, double y0, double x1, double y1) {
        const int count = static_cast<int>(std::ceil((y1 - y0 - 2 * r) / step));
        for (int k = 0; k <= count; ++k) {
            const double y = y0 + r + (y1 - y0 - 2 * r) * k / count;
            lit(x0 + r, y, x1 - r, y);
        }
    }
};

/// Everything from 10, 10 to 17, 14 but the pads: below, above, left, between, right.
struct Bared : Lines {
    std::uint32_t first = 0;    ///< a line that begins the first pass
    std::uint32_t between = 0;  ///< and the lines between the pads
    static constexpr double x0 = 10, x1 = 17, y0 = 10, y1 = 14;
    Bared() {
        first = static_cast<std::uint32_t>(lines.size() + 1);
        rows(x0, y0, x1, 11), rows(x0, 13, x1, y1);
        rows(x0, 11, 11, 13);
        between = static_cast<std::uint32_t>(lines.size() + 1);
        rows(13, 11, 14, 13);
        rows(16, 11, x1, 13);
    }
};

BeamProof proved(const BeamText& text, const Region& copper, bool mask = false, int times = 1,
                 const std::vector<std::uint32_t>& passes = {}) {
    BeamText whole = text;
    whole.end();
    const std::string all = whole.text();
    BeamTask task = beam_task(all);
    task.programs[0].pass_lines = passes;
    task.board = BeamBoard{{copper, 0, 2 * r, 0.02, {}, {}}, mask, times, 5.0 / 10};  // 5 W at 10 mm/s
    return prove_beam(task, Crew{});
}

}  // namespace

TEST_CASE("Coated pads are parted and whole") {
    const BeamProof proof = proved(Bared(), pads);
    CHECK(broken(proof) == kept);
    REQUIRE(proof.proof.nets);
    const NetFigures& nets = *proof.proof.nets;
    CHECK(nets.pieces == 2);
    CHECK(nets.shorts == 0);
    CHECK(nets.breaks == 0);
    CHECK(nets.lost < 0.005);
    REQUIRE(nets.gap);
    CHECK(*nets.gap == Approx(1).margin(0.045));  // to a cell on either side
}

TEST_CASE("Rows left out between two pads leave them joined") {
    Bared board;
    // Four rows that follow each other, three lines each: 0.4 mm of the gap stay coated.
    for (int k = 0; k < 12; ++k) board.drop(board.between + 15);
    const BeamProof proof = proved(board, pads);
    CHECK_FALSE(proof.proof.holds);
    const Check& check = check_named(proof, "no short");
    CHECK_THAT(check.detail, ContainsSubstring("The coating of two pieces that the artwork parts stays joined at X13."));
    CHECK(check.place.x == Approx(13.5).margin(0.2));
    CHECK(check.place.y == Approx(11.05 + 6.5 * 0.0792).margin(0.3));
    CHECK(proof.proof.nets->shorts == 2);  // with each other, and with the coating that should not be there
    CHECK(check_named(proof, "no break").ok);
    CHECK(check_named(proof, "tracks keep their width").ok);
}

TEST_CASE("A row that is too weak opens nothing, and one row left out is found") {
    Bared board;
    board.line(board.between + 16) = "G1 X13.950 F600 S400";
    CHECK_FALSE(check_named(proved(board, pads), "no short").ok);
    Bared one;
    for (int k = 0; k < 3; ++k) one.drop(one.between + 15);
    CHECK_FALSE(check_named(proved(one, pads), "no short").ok);
}

TEST_CASE("A coating that is to go twice is lit in each pass") {
    Bared board;
    const std::uint32_t second = static_cast<std::uint32_t>(board.lines.size() + 1), first = board.first;
    std::vector<std::string> again(board.lines.begin() + first - 1, board.lines.end());
    board.lines.insert(board.lines.end(), again.begin(), again.end());
    CHECK(broken(proved(board, pads, false, 2, {first, second})) == kept);
    CHECK_FALSE(check_named(proved(board, pads, false, 3, {first, second}), "no short").ok);
    CHECK_FALSE(check_named(proved(Bared(), pads, false, 2, {first}), "no short").ok);
    for (int k = 0; k < 12; ++k) board.drop(second + board.between - first + 15);  // of the second pass alone
    CHECK_FALSE(check_named(proved(board, pads, false, 2, {first, second}), "no short").ok);
    CHECK(check_named(proved(board, pads, false, 1, {first, second}), "no short").ok);
}

TEST_CASE("A line over a pad burns it through; one along its rim takes what it may not") {
    Bared across;
    across.lit(12, 10.9, 12, 13.1);
    const BeamProof proof = proved(across, pads);
    CHECK_THAT(check_named(proof, "no break").detail, ContainsSubstring("The coating of a piece is burnt through in 2 at X12.0"));
    CHECK(check_named(proof, "no short").ok);
    Bared along;
    along.lit(11, 11.02, 13, 11.02);  // 0.07 mm over the line
    const BeamProof thinner = proved(along, pads);
    CHECK_THAT(check_named(thinner, "tracks keep their width").detail, ContainsSubstring("loses 0.0"));
    CHECK(thinner.proof.nets->lost == Approx(0.07).margin(0.015));
    CHECK(check_named(thinner, "no break").ok);
}

TEST_CASE("Copper whose rim is not bared on one side hangs together with the coating round it") {
    Bared board;
    const BeamProof proof = proved(board, Region({{{11, 11}, {13, 11}, {13, 13}, {11, 13}}, {{14, 11}, {17.5, 11}, {17.5, 13}, {14, 13}}}));
    CHECK_THAT(check_named(proof, "no short").detail, ContainsSubstring("The coating of a piece is not parted from the coating round it"));
}

TEST_CASE("A mask is opened over its pads, and only there") {
    Lines open;
    open.rows(11, 11, 13, 13), open.rows(14, 11, 16, 13);
    const BeamProof proof = proved(open, pads, true);
    CHECK(broken(proof) == kept);
    CHECK(proof.proof.nets->pieces == 2);
    CHECK(*proof.proof.nets->gap == Approx(1).margin(0.045));
    Lines bridged = open;
    bridged.lit(12.5, 12, 14.5, 12);
    const BeamProof joined = proved(bridged, pads, true);
    CHECK_THAT(check_named(joined, "openings apart").detail, ContainsSubstring("Two openings that the artwork parts run into one at X13."));
    CHECK(joined.proof.nets->lost == Approx(0.5).margin(0.03));  // the middle of the bridge, as far as distances are looked at
    Lines one;
    one.rows(11, 11, 13, 13);
    CHECK_THAT(check_named(proved(one, pads, true), "openings whole").detail,
               ContainsSubstring("The coating is not taken off the opening at X14"));
}
