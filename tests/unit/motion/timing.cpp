// Time of tracks: the worked values of the trade, then random tracks against the rules written down as they stand.
#include "burin/motion/timing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <random>
#include <string>

#include "burin/base/error.hpp"
#include "check.hpp"

using namespace burin;

namespace {

Machine plain_machine() {
    Machine machine;
    machine.travel = {240, 150, 60};
    machine.rapid = {2000, 2000, 800};
    machine.acceleration = {100, 100, 100};
    return machine;
}
Move feed_to(double x, double y, double z, double feed) {
    Move move;
    move.to = {x, y, z};
    move.feed = static_cast<float>(feed);
    move.kind = MoveKind::feed;
    return move;
}
Move rapid_to(double x, double y, double z) {
    Move move;
    move.to = {x, y, z};
    return move;
}
Track track_of(std::vector<Move> moves) {
    Track track;
    track.moves = std::move(moves);
    return track;
}

// ---- the rules, one after the other, as slow and plain as they are written ----
struct Piece {
    Point3 from, to;
    double v = 0, a = 0, l = 0;
    Point3 u;
    std::size_t move = 0;
    bool rest = false;
};
double along(const std::array<double, 3>& limit, const Point3& u) {
    double least = 1e300;
    if (u.x != 0) least = std::min(least, limit[0] / std::abs(u.x));
    if (u.y != 0) least = std::min(least, limit[1] / std::abs(u.y));
    if (u.z != 0) least = std::min(least, limit[2] / std::abs(u.z));
    return least;
}
std::vector<double> seconds_by_the_rules(const Track& track, const Machine& m) {
    std::vector<Piece> pieces;
    Point3 at = track.start;
    bool rest = true;
    for (std::size_t i = 0; i < track.moves.size(); ++i) {
        const Move& move = track.moves[i];
        for (const Event& event : track.events) rest = rest || event.before == i;
        std::vector<Point3> ends{move.to};
        if (move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw) ends = arc_points(at, move, track.arcs[move.arc], 0.0005);
        for (const Point3& end : ends) {
            Piece p;
            p.from = at, p.to = end, p.l = distance(at, end), p.move = i, p.rest = rest;
            if (p.l < 1e-9) continue;
            p.u = {(end.x - at.x) / p.l, (end.y - at.y) / p.l, (end.z - at.z) / p.l};
            p.v = along(m.rapid, p.u) / 60;
            if (move.kind != MoveKind::rapid) p.v = std::min(p.v, static_cast<double>(move.feed) / 60);
            p.a = along(m.acceleration, p.u);
            pieces.push_back(p);
            at = end;
            rest = false;
        }
    }
    const std::size_t n = pieces.size();
    std::vector<double> c(n + 1, 0);  // squared corner speed before each piece
    for (std::size_t i = 1; i < n; ++i) {
        if (pieces[i].rest) continue;
        const Point3 &u1 = pieces[i - 1].u, &u2 = pieces[i].u;
        const double slower = std::min(pieces[i - 1].v, pieces[i].v);
        const double cos_theta = -(u1.x * u2.x + u1.y * u2.y + u1.z * u2.z), s = std::sqrt(std::max(0.0, (1 - cos_theta) / 2));
        Point3 w{u2.x - u1.x, u2.y - u1.y, u2.z - u1.z};
        const double length = distance(w, Point3{});
        if (length < 1e-6) {
            c[i] = slower * slower;
            continue;
        }
        w = {w.x / length, w.y / length, w.z / length};
        c[i] = std::min(slower * slower, along(m.acceleration, w) * m.corner_tolerance * s / (1 - s));
    }
    std::vector<double> v2(n + 1, 0);
    for (std::size_t i = 0; i < n; ++i) {
        v2[i] = c[i];
        double sum = 0;
        for (std::size_t k = 1; k <= static_cast<std::size_t>(m.planned_moves) && i + k <= n; ++k) {
            sum += 2 * pieces[i + k - 1].a * pieces[i + k - 1].l;
            const bool stops = k == static_cast<std::size_t>(m.planned_moves) || i + k == n;
            v2[i] = std::min(v2[i], (stops ? 0 : c[i + k]) + sum);
        }
    }
    for (std::size_t i = 0; i < n; ++i) v2[i + 1] = std::min(v2[i + 1], v2[i] + 2 * pieces[i].a * pieces[i].l);
    std::vector<double> seconds(track.moves.size(), 0);
    for (std::size_t i = 0; i < n; ++i) {
        const Piece& p = pieces[i];
        const double v0 = std::sqrt(v2[i]), v1 = std::sqrt(v2[i + 1]);
        double peak = p.v;
        const double up = (peak * peak - v0 * v0) / (2 * p.a), down = (peak * peak - v1 * v1) / (2 * p.a);
        double t = 0;
        if (up + down <= p.l) {
            t = (peak - v0) / p.a + (peak - v1) / p.a + (p.l - up - down) / peak;
        } else {
            peak = std::sqrt(p.a * p.l + (v0 * v0 + v1 * v1) / 2);
            t = (peak - v0) / p.a + (peak - v1) / p.a;
        }
        seconds[p.move] += t;
    }
    if (m.lines_per_s > 0)
        for (double& s : seconds) s = std::max(s, 1 / m.lines_per_s);
    return seconds;
}

Track random_track(std::mt19937& chance, std::size_t count) {
    std::uniform_real_distribution<double> unit(0, 1);
    Track track;
    Point3 at;
    double heading = 0;
    for (std::size_t i = 0; i < count; ++i) {
        const double kind = unit(chance);
        const double length = std::pow(10.0, -2.5 + 4 * unit(chance) * unit(chance));
        heading += unit(chance) < 0.1 ? 6.3 * unit(chance) : 0.2 * (unit(chance) - 0.5);
        if (unit(chance) < 0.02) heading += std::numbers::pi;  // straight back
        Point3 to{at.x + length * std::cos(heading), at.y + length * std::sin(heading),
                  at.z + (unit(chance) < 0.5 ? 0 : 0.3 * length * (unit(chance) - 0.5))};
        Move move = feed_to(to.x, to.y, to.z, 50 + 900 * unit(chance));
        if (kind < 0.05) move = rapid_to(to.x, to.y, at.z);
        if (kind > 0.95) move = rapid_to(at.x, at.y, at.z + length);
        if (kind > 0.90 && kind < 0.95) {  // an arc with its centre beside the middle of the chord
            move.kind = unit(chance) < 0.5 ? MoveKind::arc_cw : MoveKind::arc_ccw;
            const double side = 2 * (unit(chance) - 0.5);
            track.arcs.push_back({{(at.x + to.x) / 2 - side * (to.y - at.y), (at.y + to.y) / 2 + side * (to.x - at.x)}});
            move.arc = static_cast<std::uint32_t>(track.arcs.size() - 1);
        }
        if (kind > 0.895 && kind < 0.9) move.to = at;  // goes nowhere
        if (unit(chance) < 0.01) track.events.push_back({track.moves.size(), EventKind::dwell, unit(chance), 0});
        if (unit(chance) < 0.005) track.events.push_back({track.moves.size(), EventKind::spindle_off, 0, 0});
        at = move.to;
        track.moves.push_back(move);
    }
    track.events.push_back({track.moves.size(), EventKind::end, 0, 0});
    return track;
}

double total(const Track& track, const Machine& machine) { return reckon_time(track, machine).total_s; }

}  // namespace

TEST_CASE("one move from rest to rest") {
    // Kinematics, the trade's worked values: d ≥ v²/a: d/v + v/a, else 2 √(d/a).
    const Machine machine = plain_machine();
    CHECK(total(track_of({feed_to(100, 0, 0, 1200)}), machine) == Approx(5.2).epsilon(1e-12));
    CHECK(total(track_of({feed_to(1, 0, 0, 1200)}), machine) == Approx(0.2).epsilon(1e-12));
    CHECK(reckon_time(track_of({feed_to(100, 0, 0, 1200)}), machine).move_s.at(0) == Approx(5.2));
    CHECK(total(track_of({}), machine) == 0);
}

TEST_CASE("axis limits hold along slanted moves") {
    // Kinematics: along (3, 4)/5 with 2000 mm/min and 100 mm/s² in both axes, y is the slower: 2500 mm/min, 125 mm/s².
    Machine machine = plain_machine();
    const double v = 2500.0 / 60, a = 125;
    CHECK(total(track_of({rapid_to(60, 80, 0)}), machine) == Approx(100 / v + v / a).epsilon(1e-12));
    // Straight down the z axis: 800 mm/min, and its own acceleration.
    machine.acceleration[2] = 50;
    CHECK(total(track_of({feed_to(0, 0, -10, 5000)}), machine) == Approx(10 / (800.0 / 60) + 800.0 / 60 / 50).epsilon(1e-12));
}

TEST_CASE("a corner of 90 degrees") {
    // Circle tangent to both moves (common practice, no source): v = √(141.42 · 0.01 · 2.4142) = 1.848 mm/s.
    // Two moves of 20 mm at 20 mm/s: each 2 mm up or down to rest, and from 20 down to 1.848 or up again at the corner.
    const double c = std::sqrt(std::sqrt(2.0) * 100 * 0.01 * (std::sqrt(0.5) / (1 - std::sqrt(0.5))));
    CHECK(c == Approx(1.848).margin(0.0005));
    const double v = 20, a = 100;
    const double ramps = v / a + (v - c) / a, way = v * v / (2 * a) + (v * v - c * c) / (2 * a);
    const double each = ramps + (20 - way) / v;
    CHECK(total(track_of({feed_to(20, 0, 0, 1200), feed_to(20, 20, 0, 1200)}), plain_machine()) == Approx(2 * each).epsilon(1e-12));
}

TEST_CASE("straight on is no corner, straight back is rest") {
    // The rules: the lower of both speeds; 0.
    const Machine machine = plain_machine();
    CHECK(total(track_of({feed_to(30, 0, 0, 1200), feed_to(100, 0, 0, 1200)}), machine) == Approx(5.2).epsilon(1e-12));
    CHECK(total(track_of({feed_to(1, 0, 0, 1200), feed_to(0, 0, 0, 1200)}), machine) == Approx(0.4).epsilon(1e-12));
    // A change of feed, or from feed to rapid, does not stop: 50 mm at 20 mm/s, then 50 at 10 mm/s; the ramp down from 20
    // to 10 lies within the first move. Kinematics.
    const double first = 20.0 / 100 + 10.0 / 100 + (50 - 2 - 1.5) / 20, second = 10.0 / 100 + (50 - 0.5) / 10;
    CHECK(total(track_of({feed_to(50, 0, 0, 1200), feed_to(100, 0, 0, 600)}), machine) == Approx(first + second).epsilon(1e-12));
}

TEST_CASE("steady speed of a row of short moves") {
    // Kinematics: v ≤ √(2 a N l): N 16, l 0.1, a 100: 17.9 mm/s. The last known move stops, so in the middle of a long row
    // each move is entered at √(2·100·16·0.1) = 17.889 and left at the same: 0.1 mm at that speed, with a short rise to
    // √(a l + v²) and down again.
    const Machine machine = plain_machine();
    std::vector<Move> moves;
    for (int i = 1; i <= 20000; ++i) moves.push_back(feed_to(0.1 * i, 0, 0, 2000));
    const Timing timing = reckon_time(track_of(moves), machine);
    const double v = std::sqrt(2 * 100 * 16 * 0.1), peak = std::sqrt(100 * 0.1 + v * v);
    CHECK(v == Approx(17.9).margin(0.02));
    for (const std::size_t at : {500U, 4080U, 4095U, 4096U, 4111U, 8192U, 12345U})
        CHECK(timing.move_s.at(at) == Approx(2 * (peak - v) / 100).epsilon(1e-4));
}

TEST_CASE("run-up of a beam line") {
    // Kinematics: v²/(2a); 50 mm/s at 500 mm/s²: 2.5 mm. A line of twice the run-up just reaches its speed: 2 v/a.
    Machine machine = plain_machine();
    machine.rapid = {6000, 6000, 800};
    machine.acceleration = {500, 500, 100};
    CHECK(total(track_of({feed_to(5, 0, 0, 3000)}), machine) == Approx(2 * 50.0 / 500).epsilon(1e-12));
}

TEST_CASE("the line rate is a least time a line") {
    // The rules; 169 lines a second is the worked value of a cable of 115,200 baud, 22 bytes a line, 4 ms wait (8N1 framing).
    const double rate = 1 / (10 * 22 / 115200.0 + 0.004);
    CHECK(rate == Approx(169).margin(0.5));
    Machine machine = plain_machine();
    machine.lines_per_s = rate;
    std::vector<Move> moves;
    for (int i = 1; i <= 1000; ++i) moves.push_back(feed_to(0.01 * i, 0, 0, 1200));
    CHECK(total(track_of(moves), machine) == Approx(1000 / rate).epsilon(1e-2));
    // An arc is one line, however many chords: a circle of radius 0.5 at 1200 mm/min takes longer than a line does.
    Track circle;
    circle.start = {0.5, 0, 0};
    Move arc = feed_to(0.5, 0, 0, 1200);
    arc.kind = MoveKind::arc_ccw;
    circle.moves = {arc};
    circle.arcs = {Arc{}};
    machine.lines_per_s = 0;
    const double free = total(circle, machine);
    machine.lines_per_s = 1.01 / free;
    CHECK(total(circle, machine) == Approx(free).epsilon(1e-12));
    machine.lines_per_s = 0.5 / free;
    CHECK(total(circle, machine) == Approx(2 * free).epsilon(1e-12));
    // A line that moves nothing is still a line.
    machine.lines_per_s = 10;
    CHECK(total(track_of({feed_to(0, 0, 0, 1200)}), machine) == Approx(0.1).epsilon(1e-12));
}

TEST_CASE("events bring motion to rest and dwells add") {
    // The rules: G4, M0, M3, M5 and the end bring motion to rest before and after.
    const Machine machine = plain_machine();
    for (const EventKind kind : {EventKind::dwell, EventKind::pause, EventKind::spindle_on, EventKind::spindle_off, EventKind::end}) {
        Track track = track_of({feed_to(1, 0, 0, 1200), feed_to(2, 0, 0, 1200)});
        track.events.push_back({1, kind, 1.5, 0});
        const Timing timing = reckon_time(track, machine);
        const double dwell = kind == EventKind::dwell ? 1.5 : 0;
        CHECK(timing.total_s == Approx(0.4 + dwell).epsilon(1e-12));
        CHECK(timing.dwell_s == dwell);
    }
    // A move that goes nowhere does not hide the rest before it, and makes none by itself.
    Track track = track_of({feed_to(1, 0, 0, 1200), feed_to(1, 0, 0, 1200), feed_to(2, 0, 0, 1200)});
    CHECK(total(track, machine) == Approx(2 * std::sqrt(2.0 / 100)).epsilon(1e-12));
    track.events.push_back({1, EventKind::pause, 0, 0});
    CHECK(total(track, machine) == Approx(0.4).epsilon(1e-12));
}

TEST_CASE("random tracks take what the rules give, move by move") {
    // Kinematics and the rules, against the plain loop above. Fixed seed 20260.
    std::mt19937 chance(20260);
    for (int round = 0; round < 40; ++round) {
        Machine machine = plain_machine();
        machine.acceleration = {50.0 + 10 * round, 100, 30.0 + 5 * round};
        machine.planned_moves = std::array{1, 2, 3, 16, 100, 5000, 100000, 7}[static_cast<std::size_t>(round % 8)];
        machine.corner_tolerance = round % 5 == 0 ? 0 : 0.01 * (round % 5);
        machine.lines_per_s = round % 3 == 0 ? 0 : 20.0 * round;
        const std::size_t count = round < 20 ? 300 : 6000;
        if (count > 1000 && machine.planned_moves > 200) machine.planned_moves = 130;
        const Track track = random_track(chance, count);
        const std::vector<double> wanted = seconds_by_the_rules(track, machine);
        const Timing timing = reckon_time(track, machine);
        REQUIRE(timing.move_s.size() == wanted.size());
        double sum = timing.dwell_s;
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            sum += wanted[i];
            if (std::abs(timing.move_s[i] - wanted[i]) > 1e-6 * wanted[i] + 1e-9) {
                INFO("seed 20260, round " << round << ", move " << i);
                CHECK(timing.move_s[i] == Approx(wanted[i]).epsilon(1e-6));
            }
        }
        INFO("seed 20260, round " << round);
        CHECK(timing.total_s == Approx(sum).epsilon(1e-9));
    }
}

TEST_CASE("what makes a machine more able never takes longer") {
    // Follows from the rules: every bound is a least of terms that grow with N, δ, a, v. Fixed seed 7.
    std::mt19937 chance(7);
    for (int round = 0; round < 10; ++round) {
        const Track track = random_track(chance, 2000);
        Machine machine = plain_machine();
        machine.planned_moves = 4;
        const double base = total(track, machine);
        double way = 0;
        Point3 at = track.start;
        for (const Move& move : track.moves) way += distance(at, move.to), at = move.to;
        CHECK(base > way / std::sqrt(2 * 2000.0 * 2000 + 800.0 * 800) * 60);
        Machine better = machine;
        better.planned_moves = 16;
        CHECK(total(track, better) <= base * (1 + 1e-12));
        better = machine, better.corner_tolerance *= 2;
        CHECK(total(track, better) <= base * (1 + 1e-12));
        better = machine, better.lines_per_s = 50;
        CHECK(total(track, better) >= base);
        Track stopping = track;
        stopping.events.insert(stopping.events.begin(), Event{0, EventKind::pause, 0, 0});
        CHECK(total(stopping, machine) == Approx(base).epsilon(1e-12));  // it starts at rest anyhow
        for (std::size_t k = 1; k < stopping.events.size(); ++k) REQUIRE(stopping.events[k - 1].before <= stopping.events[k].before);
    }
}

TEST_CASE("the least speed of each move") {
    // Kinematics: from rest 50 mm/s is reached after v²/(2a) = 2.5 mm at 500 mm/s²; after 2 mm it is √(2 a d) = 44.72 mm/s.
    Machine machine = plain_machine();
    machine.rapid = {6000, 6000, 600};
    machine.acceleration = {500, 500, 50};
    const auto least = [&](const Track& track) { return reckon_time(track, machine, true).least_mm_s; };
    const Track row = track_of({feed_to(2.5, 0, 0, 3000), feed_to(10, 0, 0, 3000), feed_to(12.5, 0, 0, 3000)});
    CHECK(least(row).at(0) == 0);
    CHECK(least(row).at(1) == Approx(50));
    CHECK(least(row).at(2) == 0);
    CHECK(least(track_of({feed_to(2, 0, 0, 3000), feed_to(10, 0, 0, 3000), feed_to(20, 0, 0, 3000)})).at(1) == Approx(std::sqrt(2000)));
    CHECK(least(track_of({feed_to(5, 0, 0, 3000), feed_to(5, 0, 0, 3000), feed_to(12, 0, 0, 1200), feed_to(20, 0, 0, 1200)})) ==
          std::vector<float>{0, 0, 20, 0});
    // A move lasts at least 1 ÷ R: 7.5 mm at 2 lines a second is 15 mm/s.
    machine.lines_per_s = 2;
    CHECK(least(row).at(1) == Approx(15));
    CHECK(reckon_time(row, machine).least_mm_s.empty());
}

TEST_CASE("a machine that cannot be is refused") {
    // Burin's own contract.
    Machine machine = plain_machine();
    machine.planned_moves = 0;
    CHECK_THROWS_AS(reckon_time(track_of({rapid_to(1, 0, 0)}), machine), Error);
    machine = plain_machine();
    machine.acceleration[1] = 0;
    CHECK_THROWS_AS(reckon_time(track_of({rapid_to(1, 0, 0)}), machine), Error);
}

TEST_CASE("durations as people say them") {
    // Common practice, no source.
    CHECK(duration_text(0) == "0 s");
    CHECK(duration_text(45.2) == "45 s");
    CHECK(duration_text(59.6) == "1 min");
    CHECK(duration_text(250) == "4 min 10 s");
    CHECK(duration_text(750) == "12 min 30 s");
    CHECK(duration_text(3599.9) == "1 h 00 min");
    CHECK(duration_text(3900) == "1 h 05 min");
    CHECK(duration_text(7199) == "2 h 00 min");
    CHECK(duration_text(7620) == "2 h 07 min");
    CHECK(duration_text(std::nan("")) == "unknown");
    CHECK(duration_text(-1) == "unknown");
}
