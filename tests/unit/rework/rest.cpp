// Programs made of a program, on ways that are known on paper.
#include "burin/rework/rest.hpp"

#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "burin/base/error.hpp"
#include "burin/rework/prove.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Machine router() {
    Machine machine;
    machine.name = "test";
    machine.travel = {200, 200, 60};
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 60};
    machine.planned_moves = 4;
    machine.most_feed = 1000;
    machine.spoilboard = 10;
    machine.spindle = Spindle{.least_rpm = 10000, .most_rpm = 10000, .power_w = 40, .spin_up_s = 3};
    return machine;
}

Machine burner() {
    Machine machine = router();
    machine.spindle.reset();
    machine.acceleration = {500, 500, 60};
    machine.laser = Laser{};
    return machine;
}

/// Two straight lines 30 mm long, 1 mm deep, entered by plunges of 1 mm.
const std::string two_lines =
    "(Bit flat:2)\nG21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\nG0 X5 Y5\nG0 Z0.5\nG1 Z-1 F100\nG1 X20 F600\nG1 X35\nG0 Z3\nG0 Y15\n"
    "G0 Z0.5\nG1 Z-1 F100\nG1 X20 F600\nG1 X5\nG0 Z3\nM5\nM2\n";

/// A helix down to -2, then a full circle: centre (20, 20), radius 8.
const std::string helix =
    "G21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\nG0 X28 Y20\nG0 Z0\nG3 X28 Y20 Z-1 I-8 J0 F600\nG3 X28 Y20 Z-2 I-8 J0\n"
    "G3 X28 Y20 I-8 J0\nG0 Z3\nM5\nM2\n";

std::vector<Move> feeds(const Track& track) {
    std::vector<Move> found;
    for (const Move& move : track.moves)
        if (move.kind != MoveKind::rapid) found.push_back(move);
    return found;
}

ProofProgram asked(const std::string& file, std::string_view text) { return {file, text, Bit::parse("flat:2"), 1000, 100, 1.0, 3, {}}; }

/// `done_lines` keeps what the task points into.
ReworkTask task_for(const OldProgram& old, const std::string& done_lines, const std::string& made) {
    ReworkTask task;
    task.machine = router();
    task.stock = make_stock(Outline::rectangle, 40, 40, 6, Anchor::lower_left);
    task.cell = 0.1;
    task.whole = {asked("old.nc", old.text)};
    if (!done_lines.empty()) task.done = {asked("old.nc", done_lines)};
    task.made = {asked("rest.nc", made)};
    return task;
}

}  // namespace

// Line 15 is the first half of the second line of the drawing. With four moves planned the moves of lines 11 to 15 count as not done but
// for the line before: arithmetic on the text above.
TEST_CASE("The last answered line is not the last one cut", "[resume]") {
    const OldProgram old = old_program("two.nc", two_lines, router(), ToolKind::spindle);
    CHECK(old.read.track.moves[done_by_line(old, 15, 4)].line == 12);
    CHECK(old.read.track.moves[done_by_line(old, 15, 0)].line == 16);
    // A dwell is waited for with an empty memory: nothing before it can be outstanding (NISTIR 6556, G4).
    CHECK(done_by_line(old, 6, 4) == 1);
    CHECK_THROWS_AS((void)done_by_line(old, 20, 4), Error);
    CHECK_THROWS_AS((void)done_by_line(old, 0, 4), Error);
}

// Line 10 runs from x 20 to 35. Done up to there, 3 mm are run once more: the bit comes down at x 17 on the line before, at z -1, and
// the moves that follow are those of the text.
TEST_CASE("A straight line is gone on with over ground that is cut", "[resume]") {
    const OldProgram old = old_program("two.nc", two_lines, router(), ToolKind::spindle);
    const std::size_t done = done_by_line(old, 9, 0);
    const Rest rest = rest_of(old, done, old.read.track.moves.size(), way_in_for(old, router(), 100));
    REQUIRE_FALSE(rest.empty);
    CHECK(rest.entry.x == Approx(17));
    CHECK(rest.entry.y == Approx(5));
    CHECK(rest.entry.z == Approx(-1));
    CHECK(rest.run_in == Approx(3));
    const ReadProgram made = read_program(rest.written.text);
    CHECK(plain_text_faults(made).empty());
    const std::vector<Move> now = feeds(made.track), then = feeds(old.read.track);
    REQUIRE(now.size() == 1 + 1 + 4);  // down, the end of line 9, lines 10, 14, 15, 16
    CHECK(static_cast<double>(now[0].feed) == Approx(100));
    CHECK(now[0].to == Point3{17, 5, -1});
    for (std::size_t k = 1; k < now.size(); ++k) {
        CHECK(now[k].to == then[k].to);
        CHECK(static_cast<double>(now[k].feed) == Approx(static_cast<double>(then[k].feed)));
        CHECK(now[k].running);
    }
    // Above z 0.5 it may hurry, below it goes at the plunge feed.
    double lowest_rapid = 9;
    for (const Move& move : made.track.moves)
        if (move.kind == MoveKind::rapid && move.to.y < 6) lowest_rapid = std::min(lowest_rapid, move.to.z);
    CHECK(lowest_rapid == Approx(0.5));
    const std::string before = done_text(old, done);
    const ReworkProof proof = prove_rework(task_for(old, before, rest.written.text), {});
    INFO((proof.broken.empty() ? std::string() : proof.broken.front()));
    CHECK(proof.holds);
    CHECK(proof.most_apart < 0.002);
}

// A quarter of the second turn (r 8) is 12.57 mm long; the place 3 mm before it lies 3 / 8 of a radian back, at z by the same share.
TEST_CASE("A helix is gone on with in the middle of a turn", "[resume]") {
    const OldProgram old = old_program("helix.nc", helix, router(), ToolKind::spindle);
    const std::size_t done = done_by_height(old, -2);
    CHECK(old.read.track.moves[done].line == 8);
    const Rest rest = rest_of(old, done, old.read.track.moves.size(), way_in_for(old, router(), 100));
    const double back = 3.0 / 8;
    CHECK(rest.entry.x == Approx(20 + 8 * std::cos(back)).margin(0.002));
    CHECK(rest.entry.y == Approx(20 - 8 * std::sin(back)).margin(0.002));
    CHECK(rest.entry.z == Approx(-1 + 1.0 * back / (2 * 3.14159265)).margin(0.002));
    const std::vector<Move> now = feeds(read_program(rest.written.text).track);
    REQUIRE(now.size() == 4);
    CHECK(now[1].to == Point3{28, 20, -1});
    CHECK(now[2].to == Point3{28, 20, -2});
    CHECK(now[3].kind == MoveKind::arc_ccw);
    const std::string before = done_text(old, done);
    ReworkTask task = task_for(old, before, rest.written.text);
    task.whole.front().most_at_once = task.done.front().most_at_once = task.made.front().most_at_once = 2;
    const ReworkProof proof = prove_rework(task, {});
    INFO((proof.broken.empty() ? std::string() : proof.broken.front()));
    CHECK(proof.holds);
}

TEST_CASE("Every line to stop at gives a program that is proved", "[resume]") {
    for (const std::string* text : {&two_lines, &helix}) {
        const OldProgram old = old_program("any.nc", *text, router(), ToolKind::spindle);
        for (std::uint32_t line = 1; line <= old.read.lines; ++line) {
            const std::size_t done = done_by_line(old, line, 1);
            const Rest rest = rest_of(old, done, old.read.track.moves.size(), way_in_for(old, router(), 100));
            if (rest.empty) continue;
            const std::string before = done_text(old, done);
            ReworkTask task = task_for(old, before, rest.written.text);
            task.cell = 0.2;
            const ReworkProof proof = prove_rework(task, {});
            INFO("line " << line << ": " << (proof.broken.empty() ? std::string() : proof.broken.front()));
            CHECK(proof.holds);
        }
    }
}

TEST_CASE("A damaged rest is named", "[resume]") {
    const OldProgram old = old_program("two.nc", two_lines, router(), ToolKind::spindle);
    const std::size_t done = done_by_line(old, 9, 0);
    const std::string before = done_text(old, done);
    std::string made = rest_of(old, done, old.read.track.moves.size(), way_in_for(old, router(), 100)).written.text;
    const auto broken = [&](const std::string& from, const std::string& to) {
        std::string text = made;
        REQUIRE(text.find(from) != std::string::npos);
        text.replace(text.find(from), from.size(), to);
        const ReworkProof proof = prove_rework(task_for(old, before, text), {});
        CHECK_FALSE(proof.holds);
        return proof.broken.empty() ? std::string() : proof.broken.front();
    };
    CHECK(broken("\nX35\n", "\nX33\n").find("Near x") == 0);  // a piece is left standing
    CHECK(broken("Y15\n", "Y13\n").find("Near x") == 0);      // the second line lies elsewhere
    CHECK(broken("M3 S10000\nG4 P3\n", "M3 S10000\n").find("dwell") != std::string::npos);
    CHECK(broken("M3 S10000\n", "").find("spindle is off") != std::string::npos);
}

TEST_CASE("What a resumed program must not guess is refused", "[resume]") {
    const auto refused = [](const std::string& text) {
        try {
            (void)old_program("x.nc", text, router(), ToolKind::spindle);
        } catch (const Error& error) {
            return error.fault() == Fault::refused ? std::string(error.what()) : std::string();
        }
        return std::string();
    };
    CHECK(refused("G21 G90 G55\nG0 Z3\nM3 S1\nG1 X5 F100\n").find("G55") != std::string::npos);
    CHECK(refused("G21 G90\nG0 Z3\nM4 S100\nG1 X5 F100\n").find("backwards") != std::string::npos);
    CHECK(refused("G21 G90\nG0 Z3\nG92 X0\nG1 X5 F100\n").find("line 3") != std::string::npos);
}

// Inches, incremental steps, an R arc, a speed alone on a line, a slanted rapid and a pause: all are read, and said plainly anew.
TEST_CASE("Programs of other hands are gone on with too", "[resume]") {
    const std::string text =
        "G20 G90 G17 G94 G54\nM3 S8000\nG4 P2\nG0 X0.2 Y0.2 Z0.2\nG1 Z-0.04 F4\nG91 G1 X0.5 F20\nS9000\nG1 X0.5\nG2 X0.1 Y-0.1 R0.1\nG90 "
        "G0 "
        "X0.2 Y0.6 Z0.2\nM0\nG1 Z-0.04 F4\nG1 X1 F20\nG0 Z0.2\nM5\nM2\n";
    const OldProgram old = old_program("inch.nc", text, router(), ToolKind::spindle);
    const Rest rest = rest_of(old, done_by_line(old, 6, 0), old.read.track.moves.size(), way_in_for(old, router(), 100));
    const ReadProgram made = read_program(rest.written.text);
    CHECK(plain_text_faults(made).empty());
    CHECK(made.inch);
    std::vector<double> speeds;
    int pauses = 0;
    for (const Event& event : made.track.events) {
        if (event.kind == EventKind::spindle_on) speeds.push_back(event.value);
        pauses += event.kind == EventKind::pause ? 1 : 0;
    }
    CHECK(pauses == 1);
    CHECK(speeds == std::vector<double>{9000, 9000});
    const std::string before = done_text(old, done_by_line(old, 6, 0));
    ReworkTask task = task_for(old, before, rest.written.text);
    for (auto* list : {&task.whole, &task.done, &task.made}) list->front().plunge = 110;
    const ReworkProof proof = prove_rework(task, {});
    // The old program's slanted rapids are its own affair; the new one has none.
    INFO((proof.broken.empty() ? std::string() : proof.broken.front()));
    CHECK(proof.holds);
}

// Rows of a beam at 1200 mm/min under constant power: 20² ÷ (2 · 500) = 0.4 mm of run-up, half as much again and 0.2 mm: 0.8.
TEST_CASE("A beam stays dark until it is at speed, where it goes on", "[resume]") {
    const std::string text =
        "(Laser)\nG21 G90 G17 G94 G54\nM5 S0\nM3 S0\nG0 X5 Y10\nG1 X7 F1200\nG1 X15 S500\nG1 X25 S800\nG1 X27 S0\nG0 X5 Y11\nG1 X7\nG1 X25 "
        "S500\nG1 X27 S0\nM5 S0\nM2\n";
    const OldProgram old = old_program("rows.nc", text, burner(), ToolKind::beam);
    const std::size_t done = done_by_line(old, 7, 0);
    const WayIn way = way_in_for(old, burner(), 0);
    CHECK(way.run_in == Approx(0.8));
    const Rest rest = rest_of(old, done, old.read.track.moves.size(), way);
    CHECK(rest.entry.x == Approx(15 - 0.8));
    const ReadProgram made = read_program(rest.written.text, ToolKind::beam);
    const std::vector<Move> now = feeds(made.track);
    REQUIRE(now.size() == 6);
    CHECK(now[0].power == 0);
    CHECK(now[0].to.x == Approx(15));
    CHECK(now[1].power == 800);
    CHECK(made.lit_stops.empty());
    ReworkTask task;
    task.machine = burner();
    task.stock = make_stock(Outline::rectangle, 40, 40, 6, Anchor::lower_left);
    task.whole = {asked("rows.nc", text)};
    const std::string before = done_text(old, done);
    task.done = {asked("rows.nc", before)};
    task.made = {asked("rest.nc", rest.written.text)};
    const ReworkProof proof = prove_beam_rework(task, {});
    INFO((proof.broken.empty() ? std::string() : proof.broken.front()));
    CHECK(proof.holds);
    // The same lit from its first move on: burnt twice, and not at speed.
    std::string lit = rest.written.text;
    const std::size_t at = lit.find("X15 F1200");
    REQUIRE(at != std::string::npos);
    lit.insert(at + 9, " S500");
    task.made = {asked("rest.nc", lit)};
    CHECK_FALSE(prove_beam_rework(task, {}).holds);
}

TEST_CASE("A long program is cut at its retreats, or where it is", "[split]") {
    const OldProgram old = old_program("two.nc", two_lines, router(), ToolKind::spindle);
    // Either line takes 30 mm ÷ 10 mm/s and a plunge of 1.5 mm at 100 mm/min: the retreat after the first lies past half of it all.
    const double half = old.timing.total_s * 0.6;
    const std::vector<std::size_t> places = split_places(old, half);
    REQUIRE(places.size() == 1);
    CHECK(old.read.track.moves[places[0]].line == 11);
    CHECK_THROWS_AS((void)split_places(old, 0.01, 3), Error);
    for (const double seconds : {half, 4.0, 2.5}) {
        std::vector<std::size_t> ends = split_places(old, seconds);
        ends.push_back(old.read.track.moves.size());
        std::vector<std::string> texts;
        std::size_t begin = 0;
        for (const std::size_t end : ends) {
            const Rest part = rest_of(old, begin, end, way_in_for(old, router(), 100));
            if (!part.empty) texts.push_back(part.written.text);
            begin = end;
        }
        ReworkTask task = task_for(old, "", "");
        task.made.clear();
        for (const std::string& text : texts) task.made.push_back(asked("part.nc", text));
        const ReworkProof proof = prove_rework(task, {});
        INFO(seconds << ": " << (proof.broken.empty() ? std::string() : proof.broken.front()));
        CHECK(proof.holds);
        CHECK(proof.most_apart < 0.002);
    }
}
