// Programs against a reader that no one here wrote: the npm packages gcode-parser and gcode-toolpath, run by programs.cjs.
#include <fmt/format.h>

#include <cctype>
#include <charconv>
#include <cmath>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>
#include <string>
#include <vector>

#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "check.hpp"

using namespace burin;

namespace {

const std::filesystem::path folder = BURIN_REFERENCE;

void save(const std::string& name, const std::string& text) { std::ofstream(folder / name, std::ios::binary) << text; }

struct Theirs {
    std::string motion;
    Point3 to;
    Point centre;
};
/// What the other reader made of a file, and how many words it counted.
std::vector<Theirs> their_moves(const std::string& name, std::size_t& words) {
    std::ifstream file(folder / (name + ".read"));
    REQUIRE(file.good());
    std::vector<Theirs> moves;
    const auto number = [](const std::string& text) {
        double value = NAN;
        std::from_chars(text.data(), text.data() + text.size(), value);
        return value;
    };
    for (std::string line; std::getline(file, line);) {
        std::istringstream parts(line);
        std::vector<std::string> part;
        for (std::string p; parts >> p;) part.push_back(p);
        if (part.size() == 2 && part[0] == "words") words = static_cast<std::size_t>(number(part[1]));
        if (part.size() < 4) continue;
        moves.push_back({part[0], {number(part[1]), number(part[2]), number(part[3])}, {}});
        if (part.size() == 6) moves.back().centre = {number(part[4]), number(part[5])};
    }
    return moves;
}

/// Letters outside comments: each begins a word. The other reader does not count N, the number of the line.
std::size_t words_of(const std::string& text) {
    std::size_t words = 0;
    bool comment = false;
    for (const char c : text) {
        comment = c == '(' || (comment && c != ')');
        words += !comment && std::isalpha(static_cast<unsigned char>(c)) != 0 && c != 'N' && c != 'n';
    }
    return words;
}

void compare(const std::string& name, const std::string& text, bool centres) {
    INFO(name);
    const ReadProgram ours = read_program(text);
    for (const ProgramFault& fault : ours.faults) FAIL_CHECK("line " << fault.line << " " << fault.what);
    std::size_t words = 0;
    const std::vector<Theirs> theirs = their_moves(name, words);
    CHECK(words == words_of(text));
    REQUIRE(ours.track.moves.size() == theirs.size());
    std::size_t apart = 0;
    for (std::size_t i = 0; i < theirs.size(); ++i) {
        const Move& move = ours.track.moves[i];
        const bool arc = move.kind >= MoveKind::arc_cw;
        if (theirs[i].motion != fmt::format("G{}", static_cast<int>(move.kind)) || !(distance(theirs[i].to, move.to) < 1e-9) ||
            (arc && centres && !(distance(theirs[i].centre, ours.track.arcs.at(move.arc).centre) < 1e-9))) {
            if (++apart < 5) {
                UNSCOPED_INFO("move " << i << " of line " << move.line << ": " << theirs[i].motion << " " << theirs[i].to.x << " "
                                      << theirs[i].to.y << " " << theirs[i].to.z << ", ours " << move.to.x << " " << move.to.y << " "
                                      << move.to.z);
            }
        }
    }
    CHECK(apart == 0);
}

/// A toolpath with all that strategies use: rapids, cuts, helices, arcs and whole circles, a dwell and a pause.
Toolpath random_path(unsigned seed) {
    std::mt19937 chance(seed);
    const auto unit = [&] { return static_cast<double>(chance()) / 4294967296.0; };
    Toolpath path;
    Point3 at{0, 0, 3};
    const auto add = [&](MoveKind kind, const Point3& to) {
        Move move;
        move.to = at = to;
        move.kind = kind;
        move.feed = kind == MoveKind::rapid ? 0.0F : static_cast<float>(50 + std::floor(unit() * 500));
        path.track.moves.push_back(move);
    };
    for (int stretch = 0; stretch < 60; ++stretch) {
        add(MoveKind::rapid, {unit() * 200, unit() * 150, at.z});
        add(MoveKind::feed, {at.x, at.y, -unit() * 2});
        for (int k = 0; k < 30; ++k) {
            if (unit() < 0.2) {
                const double a = unit() * 6.28, r = 0.3 + 15 * unit(), turn = unit() < 0.1 ? 0 : 0.05 + 6 * unit();
                const Point centre{at.x - r * std::cos(a), at.y - r * std::sin(a)};
                const bool left = unit() < 0.5;
                path.track.arcs.push_back({centre});
                const double b = a + (left ? turn : -turn);
                add(left ? MoveKind::arc_ccw : MoveKind::arc_cw,
                    turn == 0 ? at
                              : Point3{centre.x + r * std::cos(b), centre.y + r * std::sin(b), unit() < 0.5 ? at.z : at.z - 0.2 * unit()});
                path.track.moves.back().arc = static_cast<std::uint32_t>(path.track.arcs.size() - 1);
            } else {
                add(MoveKind::feed, {at.x + unit() - 0.5, unit() < 0.3 ? at.y : at.y + unit() - 0.5, unit() < 0.5 ? at.z : -2 * unit()});
            }
        }
        add(MoveKind::rapid, {at.x, at.y, 3});
        if (stretch % 10 == 0)
            path.track.events.push_back({path.track.moves.size(), stretch % 20 == 0 ? EventKind::dwell : EventKind::pause, 0.5, 0});
    }
    return path;
}

}  // namespace

TEST_CASE("end points and centres agree with the npm packages gcode-parser and gcode-toolpath") {
    struct Program {
        std::string name, text;
        bool centres = true;
    };
    std::vector<Program> programs{
        {"lines.nc", "G21 G90\nG0 Z5\nG0 X10 Y-10\nG1 Z-1.5 F100\nX20 F400\nY3.125\nX-1 Y-2 Z-3\nG0 Z5\nM5\nM2\n"},
        {"relative.nc", "G21 G91\nG0 Z5\nG0 X10 Y-10\nG1 Z-6 F100\nX2.5\nX2.5 Y1\nG90\nX0 Y0\nG91\nZ6\nM2\n"},
        {"inches.nc", "G20 G90\nG0 Z0.25\nG0 X1 Y0.5\nF10\nG1 Z-0.0625\nX2.125\nG21\nF250\nG1 X10 Y10\nG0 Z5\nM2\n"},
        {"arcs.nc",
         "G21 G90 G17\nG0 Z2\nG0 X10 Y0\nG1 Z-1 F200\nG3 X0 Y10 I-10 J0\nG2 X10 Y0 I0 J-10\nG2 X10 Y0 I-3 J4\nG3 X4 Y6 Z-2 I0 J6\nX10 Y12 "
         "I6 J0\nG0 Z5\nM2\n"},
        {"relative-arcs.nc", "G21 G91 G17\nG0 Z2\nG0 X10\nG1 Z-3 F200\nG3 X-10 Y10 I-10 J0\nG2 X10 Y-10 I0 J-10\nG0 Z6\nM2\n"},
        {"inch-arcs.nc", "G20 G90 G17\nG0 Z0.1\nG0 X1 Y0\nF8\nG1 Z-0.05\nG3 X0 Y1 I-1 J0\nG2 X0.5 Y0.5 I0 J-0.5\nG0 Z0.1\nM2\n"},
        {"radius.nc", "G21 G90 G17\nG0 Z2\nG0 X10 Y0\nG1 Z-1 F200\nG3 X0 Y10 R10\nG2 X5 Y5 R8\nG3 X6 Y6 R-4\nG0 Z5\nM2\n", false},
        {"comments.nc",
         "(lamp room)\nN10 G21 G90 (mm)\nN20 G0 Z5\nN30 g0 x1 y2(there)\nn40 g1 z-1 f100\n\nN50 X3 (and on) Y4\nG4 P0.5\nM3 "
         "S9000\nX5\nM5\nM2\n"}};
    for (unsigned seed = 1; seed <= 6; ++seed) {
        ProgramStyle style;
        style.inch = seed % 2 == 0;
        style.header = {fmt::format("random path, seed {}", seed)};
        style.plunge = seed % 3 == 0 ? 100 : 0;
        programs.push_back({fmt::format("written-{}.nc", seed), write_program(random_path(seed), style).text});
    }
    for (const Program& program : programs) {
        save(program.name, program.text);
        std::filesystem::remove(folder / (program.name + ".read"));
    }
    const std::string command = fmt::format("node \"{}/tests/reference/programs.cjs\" \"{}\"", BURIN_SOURCE, folder.string());
    REQUIRE(std::system(command.c_str()) == 0);
    for (const Program& program : programs) compare(program.name, program.text, program.centres);
}

TEST_CASE("programs of other hands end each line where gcode-toolpath ends it: moving zeros, tools, other planes") {
    struct Program {
        std::string name, text;
        int plane = 17;  // from the first arc on, in which their ends are turned: (z, x, y) and (y, z, x)
    };
    const std::vector<Program> programs{
        {"moving-zero.nc", "G21 G90 G17\nG0 Z5\nG0 X10 Y5\nG92 X0 Y0\nG1 Z-1 F100\nG1 X5\nG92 Z0\nG1 Z-1\nX6 Y2\nG92.1\nG1 X0 Y0\nM2\n"},
        {"moving-zero-inches.nc", "G20 G90\nG0 Z0.2\nG92 X1 Y-1\nG0 X2 Y0\nG1 Z-0.05 F10\nG91\nG1 X0.5\nG92 X0\nG90\nG1 X0.25\nM2\n"},
        {"words.nc", "G21 G90\nG54\nG0 Z5\nG61\nG0 X1\nG64\nG40 G49 G80\nG4 P1\nT1 M6\nS100 M3\nG1 X3 F100\nM8\nM9\nG0 Z5\nM5\nM30\n"},
        {"plane-zx.nc", "G21 G90 G18\nF100\nG2 X10 Z0 I5 K0\nG3 X0 Z0 I-5 K0\nG2 X3 Y2 Z1 I2 K-1\nM2\n", 18},
        {"plane-yz.nc", "G21 G90 G19\nF100\nG3 Y10 Z0 J5 K0\nG2 Y4 Z6 J-6 K0\nM2\n", 19}};
    for (const Program& program : programs) {
        save(program.name, program.text);
        std::filesystem::remove(folder / (program.name + ".read"));
    }
    const std::string command = fmt::format("node \"{}/tests/reference/programs.cjs\" \"{}\"", BURIN_SOURCE, folder.string());
    REQUIRE(std::system(command.c_str()) == 0);
    for (const Program& program : programs) {
        INFO(program.name);
        ReadLimits limits;
        limits.wide = true;
        const ReadProgram ours = read_program(program.text, false, limits);
        for (const ProgramFault& fault : ours.faults) FAIL_CHECK("line " << fault.line << " " << fault.what);
        std::vector<Point3> ends;  // one for each line that moves: chords of an arc are one move there
        std::uint32_t line = 0;
        for (const Move& move : ours.track.moves) {
            if (move.line != line) ends.emplace_back();
            line = move.line;
            ends.back() = move.to;
        }
        std::size_t words = 0;
        const std::vector<Theirs> theirs = their_moves(program.name, words);
        CHECK(words == words_of(program.text));
        REQUIRE(ends.size() == theirs.size());
        for (std::size_t i = 0; i < ends.size(); ++i) {
            const Point3 p = ends[i];
            const Point3 turned = program.plane == 18 ? Point3{p.z, p.x, p.y} : program.plane == 19 ? Point3{p.y, p.z, p.x} : p;
            CAPTURE(i, turned.x, turned.y, turned.z, theirs[i].to.x, theirs[i].to.y, theirs[i].to.z);
            CHECK(distance(turned, theirs[i].to) < 1e-9);
        }
    }
}
