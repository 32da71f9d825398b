// What is written is read back as it was: random tracks, and the reader's two ways of reading held against each other.
#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "check.hpp"

using namespace burin;

namespace {

/// A toolpath as strategies make them: rapids of Z alone or X and Y alone, cuts, arcs and helices.
Toolpath random_path(std::mt19937& chance, std::size_t count) {
    std::uniform_real_distribution<double> unit(0, 1);
    Toolpath path;
    Track& track = path.track;
    Point3 at{0, 0, 3};
    const auto add = [&](MoveKind kind, const Point3& to, double feed) {
        Move move;
        move.to = at = to;
        move.kind = kind;
        move.feed = static_cast<float>(kind == MoveKind::rapid ? 0 : feed);
        track.moves.push_back(move);
    };
    add(MoveKind::rapid, {unit(chance) * 50, unit(chance) * 50, 3}, 0);
    while (track.moves.size() < count) {
        const double kind = unit(chance), feed = 50 + std::floor(unit(chance) * 8) * 100;
        if (kind < 0.1) {
            add(MoveKind::rapid, {at.x, at.y, 3}, 0);
            add(MoveKind::rapid, {unit(chance) * 200 - 20, unit(chance) * 150 - 20, at.z}, 0);
            add(MoveKind::feed, {at.x, at.y, -unit(chance) * 3}, feed);
        } else if (kind < 0.25) {
            const double a = unit(chance) * 6.28, r = 0.5 + 20 * unit(chance) * unit(chance), turn = 0.05 + 6.1 * unit(chance);
            const Point centre{at.x - r * std::cos(a), at.y - r * std::sin(a)};
            const bool left = unit(chance) < 0.5;
            const double b = a + (left ? turn : -turn);
            track.arcs.push_back({centre});
            add(left ? MoveKind::arc_ccw : MoveKind::arc_cw,
                {centre.x + r * std::cos(b), centre.y + r * std::sin(b), unit(chance) < 0.7 ? at.z : at.z - 0.1 * unit(chance)}, feed);
            track.moves.back().arc = static_cast<std::uint32_t>(track.arcs.size() - 1);
        } else if (kind < 0.27) {
            track.events.push_back({track.moves.size(), EventKind::dwell, std::floor(unit(chance) * 1000) / 1000, 0});
        } else {
            const double step = std::pow(10.0, -1.5 + 2.5 * unit(chance));
            add(MoveKind::feed,
                {at.x + step * (unit(chance) - 0.5), unit(chance) < 0.3 ? at.y : at.y + step * (unit(chance) - 0.5),
                 unit(chance) < 0.5 ? at.z : -unit(chance) * 3},
                feed);
        }
    }
    return path;
}

}  // namespace

TEST_CASE("tracks come back from their text within its rounding") {
    // Burin's own contract: half a thousandth of a millimetre in x and y, up to one in z, upwards; inches ten-thousandths.
    for (unsigned seed = 1; seed <= 20; ++seed) {
        std::mt19937 chance(seed);
        const Toolpath path = random_path(chance, 2000);
        for (const bool inch : {false, true}) {
            ProgramStyle style;
            style.inch = inch;
            style.lift = seed % 3 == 0 ? 7.5 : 0;
            style.header = {"round trip"};
            const WrittenProgram program = write_program(path, style);
            const ReadProgram read = read_program(program.text);
            INFO("seed " << seed << (inch ? ", inches" : ", millimetres"));
            REQUIRE(read.faults.empty());
            CHECK(plain_text_faults(read).empty());
            CHECK(read.lines == program.lines);
            CHECK(read.longest_line <= 70);
            const double side = inch ? 0.00128 : 0.000501, up = inch ? 0.00255 : 0.001001;
            std::size_t at = 1;  // after Z up
            Point3 written = read.track.moves.at(0).to;
            std::size_t off = 0;
            for (const Move& asked : path.track.moves) {
                const auto close = [&](const Point3& p) {
                    const double dz = p.z - style.lift - asked.to.z;
                    return std::abs(p.x - asked.to.x) <= side && std::abs(p.y - asked.to.y) <= side && dz >= -1.1e-6 && dz <= up;
                };
                const auto like = [](const Move& a, const Move& b) {  // a speck of an arc is a straight line
                    return a.kind == b.kind || (a.kind != MoveKind::rapid && b.kind == MoveKind::feed);
                };
                if (at < read.track.moves.size() && close(read.track.moves[at].to) && like(asked, read.track.moves[at])) {
                    const Move& move = read.track.moves[at++];
                    written = move.to;
                    if (asked.kind != MoveKind::rapid && !(move.feed <= asked.feed * (1 + 2e-6) && move.feed > asked.feed - 1.01)) ++off;
                    if (move.kind >= MoveKind::arc_cw &&
                        distance(read.track.arcs.at(move.arc).centre, path.track.arcs.at(asked.arc).centre) > (inch ? 0.0085 : 0.003))
                        ++off;
                } else if (!close(written)) {
                    ++off;  // neither written nor dropped for being no motion
                }
            }
            CHECK(off == 0);
            CHECK(at + 1 >= read.track.moves.size());  // nothing but a retreat is left
            CHECK(std::count_if(read.track.events.begin(), read.track.events.end(), [](const Event& e) {
                      return e.kind == EventKind::dwell;
                  }) == 1 + std::count_if(path.track.events.begin(), path.track.events.end(), [](const Event& e) {
                            return e.kind == EventKind::dwell;
                        }));
        }
    }
}

TEST_CASE("what was read and is written again is the same text") {
    // Burin's own contract: rounding is done once. The spin-up of the first text is left to the style of the second.
    std::mt19937 chance(99);
    const Toolpath path = random_path(chance, 3000);
    const std::string first = write_program(path, {}).text;
    Toolpath again;
    again.track = read_program(first).track;
    std::erase_if(again.track.events, [](const Event& e) { return e.before <= 1 || e.kind == EventKind::spindle_off; });
    CHECK(write_program(again, {}).text == first);
}

TEST_CASE("the quick way and the long way read the same") {
    // The same words in another dress (lower case, comments, leading zeros) go through the rules one by one.
    std::mt19937 chance(5);
    const std::string text = write_program(random_path(chance, 5000), {}).text;
    std::string dressed;
    bool line_start = true;
    for (const char c : text) {
        if (line_start && c != '(') dressed += "N7 ";
        line_start = c == '\n';
        dressed += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        if (c == '-') dressed += '0';
    }
    const ReadProgram quick = read_program(text), slow = read_program(dressed);
    CHECK(slow.faults.empty());
    REQUIRE(quick.track.moves.size() == slow.track.moves.size());
    std::size_t different = 0;
    for (std::size_t i = 0; i < quick.track.moves.size(); ++i) {
        const Move &a = quick.track.moves[i], &b = slow.track.moves[i];
        different +=
            !(a.to == b.to && a.feed == b.feed && a.line == b.line && a.kind == b.kind && a.running == b.running && a.arc == b.arc);
    }
    CHECK(different == 0);
    CHECK(quick.track.events.size() == slow.track.events.size());
    CHECK(quick.uses_z == slow.uses_z);
    CHECK(quick.retreats_at_end == slow.retreats_at_end);
}

TEST_CASE("damaged texts are read to their end") {
    // Never throws on any bytes; fixed seeds.
    std::mt19937 chance(17);
    const std::string text = write_program(random_path(chance, 200), {}).text;
    const std::string bytes = "GXYZFIJRMNSTPE0123456789.-+()%;/ \n\r\t#[]@\x80\xff";
    std::size_t faulty = 0;
    for (int round = 0; round < 3000; ++round) {
        std::string damaged = text;
        for (int k = 0; k <= round % 7; ++k) {
            const std::size_t at = chance() % damaged.size();
            const char c = bytes[chance() % bytes.size()];
            if (chance() % 3 == 0) {
                damaged.erase(at, chance() % 5);
            } else if (chance() % 2 == 0) {
                damaged.insert(at, 1, c);
            } else {
                damaged[at] = c;
            }
            if (damaged.empty()) damaged.push_back(chance() % 2 == 0 ? '\n' : '\0');
        }
        const ReadProgram read = read_program(damaged);
        faulty += !plain_text_faults(read).empty();
        for (const Move& move : read.track.moves) {
            if (!(std::abs(move.to.x) <= 1e5 && std::abs(move.to.y) <= 1e5 && std::abs(move.to.z) <= 1e5))
                FAIL_CHECK("a move without measure in round " << round);
            if (move.kind >= MoveKind::arc_cw && move.arc >= read.track.arcs.size()) FAIL_CHECK("an arc without centre in round " << round);
        }
    }
    CHECK(faulty > 1000);
}
