// Copper that is known on paper, isolated right and damaged in one place: the proof must say what is joined or broken, and where.
// Source of every check here: plane geometry, and counting.
#include "check.hpp"
#include "figures.hpp"

using namespace burin;
using namespace burin::test;

namespace {

constexpr double deep = -0.085;

/// Two pads of 3 mm joined by a track of 0.8 mm, and a pad of 3 mm by itself, cut by a flat bit of 0.4 mm round each.
struct TwoNets : FigureJob {
    static constexpr double half = 0.2;
    std::uint32_t right = 0;       ///< the lone pad's right side
    std::uint32_t over_track = 0;  ///< the line above the track
    TwoNets() {
        bit = Bit::parse("flat:0.4");
        const Region copper({{{5, 5}, {8, 5}, {8, 6.1}, {14, 6.1}, {14, 5}, {17, 5}, {17, 8}, {14, 8}, {14, 6.9}, {8, 6.9}, {8, 8}, {5, 8}},
                             rectangle(20, 5, 23, 8)});
        figure.traced = copper;
        figure.floor = deep;
        figure.board = BoardDesign{copper, 0.035, 0.4, 0.02, {}, {}};
        const double a = half;
        // The tip goes round at half its width, square at outer corners as well: more than is needed, and never on copper.
        const std::vector<Point> dumb_bell{{5 - a, 5 - a},    {8 + a, 5 - a},   {8 + a, 6.1 - a}, {14 - a, 6.1 - a},
                                           {14 - a, 5 - a},   {17 + a, 5 - a},  {17 + a, 8 + a},  {14 - a, 8 + a},
                                           {14 - a, 6.9 + a}, {8 + a, 6.9 + a}, {8 + a, 8 + a},   {5 - a, 8 + a}};
        const std::vector<Point> pad{{20 - a, 5 - a}, {23 + a, 5 - a}, {23 + a, 8 + a}, {20 - a, 8 + a}};
        over_track = round(dumb_bell, 9);
        right = round(pad, 2);
        text.end();
    }
    /// Returns the line that goes to corner `asked`.
    std::uint32_t round(const std::vector<Point>& loop, std::size_t asked) {
        Groove groove;
        groove.closed = true;
        for (const Point& p : loop) groove.tip.push_back({p.x, p.y, deep});
        figure.grooves.push_back(groove);
        start(loop[0].x, loop[0].y, deep);
        std::uint32_t line = 0;
        for (std::size_t k = 1; k <= loop.size(); ++k) {
            const std::uint32_t now = to(loop[k % loop.size()].x, loop[k % loop.size()].y);
            if (k == asked) line = now;
        }
        return line;
    }
};

}  // namespace

TEST_CASE("Two pieces of copper, parted and whole") {
    const Proof proof = TwoNets().prove_it();
    for (const Check& check : proof.checks) {
        INFO(check.name << ": " << check.detail);
        CHECK(check.ok);
    }
    REQUIRE(proof.nets);
    CHECK(proof.nets->pieces == 2);
    CHECK(proof.nets->shorts == 0);
    CHECK(proof.nets->breaks == 0);
    CHECK(proof.nets->lost <= 0.002);
    REQUIRE(proof.nets->track);
    CHECK(*proof.nets->track == Approx(0.8).margin(0.045));  // to a cell on either side
    CHECK(proof.nets->track_at.x > 8);
    CHECK(proof.nets->track_at.x < 14);
    REQUIRE(proof.nets->gap);
    CHECK(*proof.nets->gap == Approx(0.4).margin(0.045));
}

TEST_CASE("A side of a groove left out joins a pad with the copper round it") {
    TwoNets board;
    board.text.line(board.right) = "G0 Z3\nG0 X23.2 Y8.2\nG1 Z-0.085 F100";
    const Proof proof = board.prove_it();
    CHECK_FALSE(proof.holds);
    const Check& check = check_named(proof, "no short");
    CHECK_FALSE(check.ok);
    CHECK(check.place.x > 22);
    CHECK(check.place.x < 25);
    CHECK(check.place.y > 4.5);
    CHECK(check.place.y < 8.5);
    CHECK(check_named(proof, "no break").ok);
    CHECK(proof.nets->shorts == 1);
}

TEST_CASE("Two pieces that no groove parts are told as joined") {
    // One groove round both of two pads that lie side by side.
    FigureJob job;
    job.bit = Bit::parse("flat:0.4");
    const Region copper({rectangle(5, 5, 8, 8), rectangle(8.3, 5, 11.3, 8)});
    job.figure.traced = copper;
    job.figure.floor = deep;
    job.figure.board = BoardDesign{copper, 0.035, 0.4, 0.02, {}, {}};
    job.figure.grooves = {{{{4.8, 4.8, deep}, {11.5, 4.8, deep}, {11.5, 8.2, deep}, {4.8, 8.2, deep}}, true}};
    job.start(4.8, 4.8, deep);
    job.to(11.5, 4.8), job.to(11.5, 8.2), job.to(4.8, 8.2), job.to(4.8, 4.8);
    job.text.end();
    const Proof proof = job.prove_it();
    const Check& check = check_named(proof, "no short");
    CHECK_FALSE(check.ok);
    CHECK_THAT(check.detail, ContainsSubstring("Two pieces of copper that the artwork parts stay joined at X8."));
    CHECK(check.place.x == Approx(8.15).margin(0.2));
}

TEST_CASE("A groove shifted over the track breaks it, and one a little over it makes it thinner") {
    TwoNets board;
    // Across the track and back, in place of the straight line above it.
    board.text.line(board.over_track) = "G1 X11 Y7.1 F500\nG1 X11 Y5.9\nG1 X11 Y7.1\nG1 X8.2 Y7.1";
    const Proof proof = board.prove_it();
    const Check& check = check_named(proof, "no break");
    CHECK_FALSE(check.ok);
    CHECK(proof.nets->breaks == 1);
    CHECK(check.place.x == Approx(11).margin(0.3));
    CHECK(check.place.y == Approx(6.5).margin(0.5));
    CHECK_FALSE(check_named(proof, "tracks keep their width").ok);

    TwoNets thin;
    thin.text.line(thin.over_track - 1) = "G1 X13.8 Y7.05 F500";
    thin.text.line(thin.over_track) = "G1 X8.2 Y7.05 F500";
    const Proof less = thin.prove_it();
    CHECK(check_named(less, "no break").ok);
    CHECK_FALSE(check_named(less, "tracks keep their width").ok);
    CHECK(less.nets->lost == Approx(0.05).margin(0.0125));
}

TEST_CASE("A groove that does not get through the copper parts nothing") {
    TwoNets board;
    for (std::string& words : board.text.lines)
        if (words.starts_with("G1 Z-0.0850")) words = "G1 Z-0.0300 F100";
    CHECK_FALSE(check_named(board.prove_it(), "no short").ok);
}
