// Beam programs: the text known word by word, and what the reader takes from it. Where no source is named the checks follow the
// program's own contract; that M4 scales power and M3 does not is common practice, no source.
#include <random>
#include <string>

#include "burin/base/error.hpp"
#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Move feed(double x, double y, double f, int power, double z = 0) {
    Move move;
    move.to = {x, y, z};
    move.feed = static_cast<float>(f);
    move.kind = MoveKind::feed;
    move.power = static_cast<std::uint16_t>(power);
    return move;
}
Move rapid(double x, double y, double z = 0) {
    Move move;
    move.to = {x, y, z};
    return move;
}
ProgramStyle beam_style() {
    ProgramStyle style;
    style.tool = ToolKind::beam;
    return style;
}
std::string text_of(const std::vector<Move>& moves, const ProgramStyle& style, const std::vector<Event>& events = {}) {
    Toolpath path;
    path.track.moves = moves;
    path.track.events = events;
    return write_program(path, style).text;
}
ReadProgram read_beam(const std::string& text) { return read_program(text, ToolKind::beam); }

}  // namespace

TEST_CASE("two rows become the text known on paper") {
    // The program's own contract: S is modal, S0 stands before a rapid, no Z.
    ProgramStyle style = beam_style();
    style.header = {"Beam room"};
    const std::vector<Move> rows{rapid(10, 5),         feed(12.5, 5, 1200, 0), feed(20, 5, 1200, 800),    feed(20.5, 5, 1200, 800),
                                 feed(22, 5, 1200, 0), rapid(22, 5.1),         feed(20, 5.1, 900, 65535), rapid(0, 0)};
    CHECK(text_of(rows, style) ==
          "(Beam room)\nG21 G90 G17 G94 G54\nM5 S0\nM4 S0\nG0 X10 Y5\nG1 X12.5 F1200\nX20 S800\nX20.5\nX22 S0\nG0 Y5.1\n"
          "G1 X20 F900 S65535\nS0\nG0 X0 Y0\nM5 S0\nM2\n");
    style.scaled = false;
    style.air = true;
    CHECK(text_of({rapid(1, 1), feed(2, 1, 600, 5)}, style) ==
          "(Beam room)\nG21 G90 G17 G94 G54\nM5 S0\nM8\nM3 S0\nG0 X1 Y1\nG1 X2 F600 S5\nS0\nM5 S0\nM9\nM2\n");
}

TEST_CASE("the beam is dark and off while the machine waits, and on again after it") {
    // The program's own contract.
    const std::vector<Move> moves{rapid(1, 1), feed(2, 1, 600, 5), feed(3, 1, 600, 5), feed(4, 1, 600, 5)};
    const std::vector<Event> events{{2, EventKind::dwell, 0.5, 0}, {3, EventKind::pause, 0, 0}};
    CHECK(text_of(moves, beam_style(), events) ==
          "G21 G90 G17 G94 G54\nM5 S0\nM4 S0\nG0 X1 Y1\nG1 X2 F600 S5\nM5 S0\nG4 P0.5\nM4 S0\nX3 S5\nM5 S0\nM0\nM4 S0\nG0 X3 Y1\n"
          "G1 X4 F600 S5\nS0\nM5 S0\nM2\n");
    const std::vector<Event> own{
        {2, EventKind::beam_off, 0, 0}, {2, EventKind::air_on, 0, 0}, {2, EventKind::dwell, 2, 0}, {2, EventKind::beam_on, 0, 0}};
    CHECK(text_of({rapid(1, 1), feed(2, 1, 600, 5), feed(3, 1, 600, 5)}, beam_style(), own) ==
          "G21 G90 G17 G94 G54\nM5 S0\nM4 S0\nG0 X1 Y1\nG1 X2 F600 S5\nM5 S0\nM8\nG4 P2\nM3 S0\nX3 S5\nS0\nM5 S0\nM9\nM2\n");
}

TEST_CASE("focus steps lift the head first and last") {
    // Burin's promise: Z up before X and Y where there is a Z, and a retreat before the end.
    ProgramStyle style = beam_style();
    style.focus_steps = true;
    CHECK(text_of({rapid(1, 1, 3), rapid(1, 1, 0), feed(5, 1, 300, 900), feed(5, 1, 100, 0, -1), feed(1, 1, 300, 900, -1)}, style) ==
          "G21 G90 G17 G94 G54\nM5 S0\nG0 Z3\nM4 S0\nX1 Y1\nZ0\nG1 X5 F300 S900\nZ-1 F100 S0\nX1 F300 S900\nS0\nG0 Z3\nM5 S0\nM2\n");
}

TEST_CASE("what no beam program may hold is refused") {
    // The program's own contract.
    const auto refused = [](const std::vector<Move>& moves, const ProgramStyle& style, const std::vector<Event>& events = {}) {
        CHECK_THROWS_AS(text_of(moves, style, events), Error);
    };
    Move lit = rapid(5, 5);
    lit.power = 1;
    refused({rapid(1, 1), lit}, beam_style());
    refused({rapid(1, 1), feed(2, 1, 600, 5, -1)}, beam_style());
    refused({rapid(1, 1, 3), feed(2, 1, 600, 5, 3)}, ProgramStyle{});
    refused({rapid(1, 1)}, beam_style(), {{0, EventKind::spindle_on, 1000, 0}});
    refused({rapid(1, 1, 3)}, ProgramStyle{}, {{0, EventKind::beam_on, 1, 0}});
    const Toolpath none;
    const std::vector<ProgramPart> mixed{{&none, beam_style(), {}}, {&none, ProgramStyle{}, {}}};
    CHECK_THROWS_AS(join_programs(mixed), Error);
}

TEST_CASE("merged beams are dark between their parts") {
    // The program's own contract.
    Toolpath one, two;
    one.track.moves = {rapid(1, 1), feed(2, 1, 600, 5)};
    two.track.moves = {rapid(7, 1), feed(8, 1, 600, 9)};
    const WrittenProgram a = write_program(one, beam_style()), b = write_program(two, beam_style());
    const std::vector<MergePart> parts{{&a, 0, "left"}, {&b, 0, "right"}};
    CHECK(merge_programs(parts, beam_style()).text ==
          "G21 G90 G17 G94 G54\nM5 S0\nM4 S0\n(left)\nG0 X1 Y1\nG1 X2 F600 S5\nS0\n(right)\nG0 X7 Y1\nG1 X8 F600 S9\nS0\nM5 S0\nM2\n");
}

TEST_CASE("powers are read back as they are in force") {
    // RS-274/NGC (NISTIR 6556): S is modal and set before the motion of its line. What M3 and M4 mean: common practice, no source.
    const ReadProgram read = read_beam(
        "G21 G90 G17 G94 G54\nM5 S0\nM8\nM4 S0\nG0 X1 Y1\nG1 X2 F600 S5\nX3\nX4 S0\nX5 S1000\nG0 X6\nS0\nX7\nM3\ng1 x8 s2.4\nX9 S0.2\n"
        "G2 X9 Y1 I1 J0 S70000\nM5\nG1 X10\nM9\nM2\n");
    CHECK(read.faults.empty());
    std::vector<int> powers;
    for (const Move& move : read.track.moves) powers.push_back(move.power);
    CHECK(powers == std::vector<int>{0, 5, 5, 0, 1000, 1000, 0, 2, 1, 65535, 0});
    CHECK_FALSE(read.track.moves.back().running);
    CHECK(read.most_power == 70000);
    CHECK(read.most_power_at == 16);
    std::vector<EventKind> kinds;
    for (const Event& event : read.track.events) kinds.push_back(event.kind);
    CHECK(kinds == std::vector<EventKind>{EventKind::beam_off, EventKind::air_on, EventKind::beam_on, EventKind::beam_on,
                                          EventKind::beam_off, EventKind::air_off, EventKind::end});
    CHECK(read.track.events[2].value == 1);
    CHECK(read.track.events[3].value == 0);
    CHECK(read.lit_stops.empty());
    CHECK_FALSE(read_beam("G21\nM4\nG0 X1\n").faults.empty());
    CHECK(read_program("M3 S1000\nG0 X1\nM8\nM2\n").track.events.size() == 2);  // a spindle's text has neither power nor air
    CHECK(read_program("M3 S1000\nG0 X1\n").track.moves[0].power == 0);
}

TEST_CASE("power at a standstill is told with its line") {
    // The program's own contract.
    using Why = LitStop::Why;
    const ReadProgram read = read_beam("G21\nM4 S5\nG0 X1 S0\nS7\nS0\nG1 X2 F60 S9\nG4 P1\nM0\nS5\nM5\nS8\nM2\n");
    std::vector<std::pair<std::uint32_t, Why>> seen;
    for (const LitStop& stop : read.lit_stops) seen.push_back({stop.line, stop.why});
    CHECK(seen == std::vector<std::pair<std::uint32_t, Why>>{
                      {2, Why::switched_on}, {4, Why::set}, {7, Why::dwell}, {8, Why::pause}, {9, Why::set}});
    CHECK(read_beam("M4 S0\nG1 X1 F9 S3\nM2\n").lit_stops.at(0).why == Why::end);
}

TEST_CASE("a good beam program is plain text without any Z") {
    // Burin's promise of plain text.
    const std::vector<Move> rows{rapid(10, 5), feed(12.5, 5, 1200, 0), feed(20, 5, 1200, 800), rapid(3, 3)};
    const ReadProgram read = read_beam(text_of(rows, beam_style()));
    CHECK(plain_text_faults(read).empty());
    CHECK_FALSE(read.uses_z);
    const auto faults = plain_text_faults(read_beam("G21 G90 G17 G94 G54\nM4 S0\nG0 X1\nM2\n"));
    REQUIRE(faults.size() == 1);
    CHECK(faults[0].what.find("beam") != std::string::npos);
}

TEST_CASE("random rows come back with their powers, by both ways of reading") {
    // Burin's own contract; the slow way is taken where lines hold two spaces.
    std::mt19937 chance(1859);
    std::uniform_int_distribution<int> number(0, 5000);
    std::vector<Move> moves{rapid(1, 1)};
    for (int k = 0; k < 3000; ++k) {
        const double x = number(chance) / 100.0, y = number(chance) / 100.0;
        if (number(chance) < 500) {
            moves.push_back(rapid(x, y));
        } else {
            moves.push_back(feed(x, y, 100 * (1 + number(chance) % 50), number(chance) % 5 == 0 ? 0 : number(chance)));
        }
    }
    const std::string text = text_of(moves, beam_style());
    std::string slow;
    for (const char c : text) slow += c == '\n' ? std::string("  \n") : std::string(1, c);
    const ReadProgram quick = read_beam(text), other = read_beam(slow);
    CHECK(quick.faults.empty());
    CHECK(quick.lit_stops.empty());
    REQUIRE(quick.track.moves.size() == other.track.moves.size());
    std::size_t asked = 0;
    for (std::size_t k = 0; k < quick.track.moves.size(); ++k) {
        const Move &a = quick.track.moves[k], &b = other.track.moves[k];
        if (a.to == b.to && a.power == b.power && a.feed == b.feed && a.kind == b.kind && a.line == b.line) continue;
        FAIL("move " << k << " differs between the two ways of reading");
    }
    for (const Move& move : quick.track.moves) {  // moves that go nowhere were dropped
        while (asked < moves.size() && distance(moves[asked].to, move.to) > 1e-6) ++asked;
        REQUIRE(asked < moves.size());
        CHECK(move.power == moves[asked].power);
        ++asked;
    }
}
