// A walk round a work, held against the texts of the programs that do the work. It shares no code with what planned the walk: a convex
// outline is asked point by point and side by side, and no hull is made. Cost: what is cut, times the corners of the walk.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "burin/motion/timing.hpp"
#include "burin/proof/walk.hpp"
#include "touch_checks.hpp"

namespace burin {
namespace {

using proving::Breach;
using proving::verdict;

constexpr double inside_slack = 0.003;  // roundings of both programs
constexpr double loose = 0.03;          // an outline with few corners lies up to 0.02 farther out
constexpr double rounded = 1.04;        // chords round a corner

/// Calls act(point) for both ends of each piece of way that works.
template <class Act>
void over_work(const ReadProgram& program, const Act& act) {
    const bool beam = program.tool == ToolKind::beam;
    Point3 from = program.track.start;
    const auto piece = [&](Point3 a, Point3 b) {
        if (!beam) {
            if (std::min(a.z, b.z) >= 0) return;
            const double span = a.z - b.z;
            if (a.z > 0) a = {a.x + (b.x - a.x) * a.z / span, a.y + (b.y - a.y) * a.z / span, 0};
            if (b.z > 0) b = {b.x - (b.x - a.x) * b.z / (b.z - a.z), b.y - (b.y - a.y) * b.z / (b.z - a.z), 0};
        }
        act(flat(a));
        act(flat(b));
    };
    for (const Move& move : program.track.moves) {
        const bool lit = !beam || move.power > 0;
        if (move.kind == MoveKind::rapid || move.kind == MoveKind::feed) {
            if (lit) piece(from, move.to);
        } else if (lit) {
            Point3 at = from;
            for (const Point3& p : arc_points(from, move, program.track.arcs[move.arc], 0.0005)) {
                piece(at, p);
                at = p;
            }
        }
        from = move.to;
    }
}

/// Corners of the walk: ends of its moves in the plane that go anywhere, without the first, which goes there.
std::vector<Point> corners_of(const ReadProgram& walk) {
    const Track& track = walk.track;
    const std::size_t lifts = walk.uses_z ? 1 : 0;  // the first move then goes up
    std::vector<Point> corners;
    for (std::size_t k = 0; k < track.moves.size(); ++k) {
        const Point to = flat(track.moves[k].to), from = k == 0 ? flat(track.start) : flat(track.moves[k - 1].to);
        const bool goes = distance(from, to) > 0;
        if (corners.empty() ? track.moves[k].kind == MoveKind::rapid && k >= lifts : goes) corners.push_back(to);
    }
    return corners;
}

/// A closed convex way. Every point is held against every side: there are a few hundred of them at most.
class Outline {
public:
    explicit Outline(const std::vector<Point>& corners) {
        const std::size_t n = corners.size();
        for (std::size_t k = 0; k < n; ++k) {
            const Point &a = corners[k], &b = corners[(k + 1) % n], &c = corners[(k + 2) % n];
            const double length = distance(a, b);
            if (length < 1e-9) continue;
            const double x = -(b.y - a.y) / length, y = (b.x - a.x) / length;  // inwards
            sides_.push_back({x, y, x * a.x + y * a.y, 1e300});
            const double along = (b.x - a.x) * (c.x - b.x) + (b.y - a.y) * (c.y - b.y);
            const double across = (b.x - a.x) * (c.y - b.y) - (b.y - a.y) * (c.x - b.x);
            if (n > 2) turned_ += std::atan2(across, along);
            convex_ = convex_ && (n == 2 || across / length > -inside_slack);
        }
    }
    /// How far inside of the nearest side the point lies; below 0: outside.
    double inside(const Point& p) {
        double least = 1e300;
        for (Side& side : sides_) {
            const double depth = side.x * p.x + side.y * p.y - side.base;
            side.nearest = std::min(side.nearest, depth);
            least = std::min(least, depth);
        }
        return least;
    }
    [[nodiscard]] bool convex() const { return convex_ && (turned_ == 0 || std::abs(turned_ - 2 * std::numbers::pi) < 0.01); }
    [[nodiscard]] double farthest() const {
        double most = 0;
        for (const Side& side : sides_) most = std::max(most, side.nearest);
        return most;
    }

private:
    struct Side {
        double x, y, base, nearest;
    };
    std::vector<Side> sides_;
    bool convex_ = true;
    double turned_ = 0;
};

Check check_polygon(const WalkTask& task, const ReadProgram& walk, const std::vector<ReadProgram>& works, WalkProof& proof) {
    std::vector<Point> corners = corners_of(walk);
    std::vector<Breach> breaches;
    const std::uint32_t line = walk.track.moves.empty() ? 0 : walk.track.moves.back().line;
    const bool closed = corners.size() > 2 && distance(corners.front(), corners.back()) < 1e-6;
    if (closed) corners.pop_back();
    if (!closed || corners.size() < 2) {
        breaches.push_back({line, {}, "The walk does not come back to where it began."});
    } else {
        Outline outline(corners);
        proof.nearest = 1e300;
        Point worst;
        for (const ReadProgram& work : works)
            over_work(work, [&](const Point& p) {
                const double depth = outline.inside(p);
                if (depth < proof.nearest) proof.nearest = depth, worst = p;
            });
        proof.farthest = outline.farthest();
        if (!outline.convex()) breaches.push_back({line, {}, "The walk turns back on itself."});
        if (proof.nearest < task.grow - inside_slack)
            breaches.push_back({line,
                                {worst.x, worst.y, 0},
                                fmt::format("At {} something is cut {:.3f} mm {} the walk.", proving::at_place({worst.x, worst.y, 0}),
                                            std::abs(proof.nearest), proof.nearest < 0 ? "outside of" : "inside of")});
        if (proof.farthest > task.grow * rounded + loose)
            breaches.push_back({line, {}, fmt::format("A side of the walk stays {:.3f} mm away from all that is cut.", proof.farthest)});
    }
    return verdict("round all that is cut", task.file,
                   fmt::format("Nothing is cut nearer than {:.3f} mm inside the walk, and no side of it lies farther than {:.3f} mm out.",
                               std::max(0.0, proof.nearest), proof.farthest),
                   std::move(breaches));
}

Check check_circle(const WalkTask& task, const ReadProgram& walk, const std::vector<ReadProgram>& works, WalkProof& proof) {
    std::vector<Breach> breaches;
    const Track& track = walk.track;
    const std::uint32_t line = track.moves.empty() ? 0 : track.moves.back().line;
    Point centre;
    double radius = 0;
    Point from = flat(track.start);
    double way = 0;
    for (const Move& move : track.moves) {
        if (move.kind == MoveKind::arc_ccw) {
            centre = track.arcs[move.arc].centre;
            radius = distance(centre, flat(move.to));
            double turn = std::atan2(move.to.y - centre.y, move.to.x - centre.x) - std::atan2(from.y - centre.y, from.x - centre.x);
            while (turn <= 1e-9) turn += 2 * std::numbers::pi;
            way += turn;
        }
        from = flat(move.to);
    }
    if (std::abs(way - 2 * std::numbers::pi) > 1e-3) breaches.push_back({line, {}, "The walk does not go once round its circle."});
    std::vector<double> touching;
    proof.nearest = 1e300;
    for (const ReadProgram& work : works)
        over_work(work, [&](const Point& p) {
            const double depth = radius - distance(centre, p);
            proof.nearest = std::min(proof.nearest, depth);
            if (depth < task.grow + loose && touching.size() < 1'000'000) touching.push_back(std::atan2(p.y - centre.y, p.x - centre.x));
        });
    proof.farthest = proof.nearest;
    std::sort(touching.begin(), touching.end());
    double gap = touching.size() < 2 ? 2 * std::numbers::pi : touching.front() + 2 * std::numbers::pi - touching.back();
    for (std::size_t k = 1; k < touching.size(); ++k) gap = std::max(gap, touching[k] - touching[k - 1]);
    if (proof.nearest < task.grow - inside_slack)
        breaches.push_back({line, {}, fmt::format("Something is cut {:.3f} mm beyond the walk's circle.", task.grow - proof.nearest)});
    const double base = radius - task.grow, sure = base > 0 ? std::numbers::pi + 4 * std::sqrt(2 * loose / std::max(base, loose)) : 7;
    if (gap > sure) breaches.push_back({line, {}, "The circle is larger than it need be: what is cut touches it on one side only."});
    return verdict("round all that is cut", task.file,
                   fmt::format("All that is cut lies within the circle of {:.2f} mm about {}, which is the smallest that holds it{}.",
                               radius, proving::at_place({centre.x, centre.y, 0}),
                               task.grow > 0 ? fmt::format(", {:.2f} mm farther out", task.grow) : std::string()),
                   std::move(breaches));
}

Check check_still(const WalkTask& task, const ReadProgram& walk) {
    std::vector<Breach> breaches;
    for (const Event& event : walk.track.events)
        if (event.kind == EventKind::spindle_on) breaches.push_back({event.line, {}, "The spindle is switched on. Take M3 and M4 out."});
    if (walk.track.events.empty() || walk.track.events.front().kind != EventKind::spindle_off || walk.track.events.front().before != 0)
        breaches.push_back({1, {}, "The spindle is not switched off before the first move. Put M5 there."});
    return verdict("spindle off", task.file, "The spindle is switched off before the first move and never on.", std::move(breaches));
}

Check check_dark(const WalkTask& task, const ReadProgram& walk) {
    std::vector<Breach> breaches;
    const double most = task.machine.laser ? std::min(task.most_power, task.machine.laser->pilot_s) : 0;
    for (const Move& move : walk.track.moves) {
        if (static_cast<double>(move.power) > most)
            breaches.push_back({move.line, move.to, fmt::format("The beam has S{} here, and {:.0f} is allowed.", move.power, most)});
        if (move.kind == MoveKind::rapid && move.power > 0) breaches.push_back({move.line, move.to, "A rapid runs with the beam on."});
    }
    if (walk.most_power > most)
        breaches.push_back({walk.most_power_at, {}, fmt::format("S{:.0f} is said here, and {:.0f} is allowed.", walk.most_power, most)});
    for (const LitStop& stop : walk.lit_stops)
        breaches.push_back({stop.line, {}, fmt::format("The beam is on at S{} while nothing moves.", stop.power)});
    for (const Event& event : walk.track.events)
        if (most > 0 && event.kind == EventKind::beam_on && event.value < 1)
            breaches.push_back(
                {event.line, {}, "The pilot beam has constant power, and corners slow the head down: it must go with the speed (M4)."});
    return verdict(most > 0 ? "beam no stronger than its pilot" : "beam dark", task.file,
                   task.most_power > 0 ? fmt::format("The greatest S is {:.0f}; the machine's file allows {:.0f}.", walk.most_power, most)
                                       : "S is 0 from the first line to the last.",
                   std::move(breaches));
}

Check check_height(const WalkTask& task, const ReadProgram& walk) {
    std::vector<Breach> breaches;
    double least = 1e300;
    for (const Move& move : walk.track.moves) {
        least = std::min(least, move.to.z);
        if (move.to.z < task.safe_z - 1e-6)
            breaches.push_back({move.line, move.to,
                                fmt::format("The bit comes down to Z {:.3f}, below the safe height of {:.3f}.", move.to.z, task.safe_z)});
    }
    return verdict("above the safe height", task.file, fmt::format("No move comes below Z {:.3f}.", least), std::move(breaches));
}

Check check_travel(const WalkTask& task, const ReadProgram& walk, ProgramFigures& figures) {
    constexpr std::array<char, 3> axes{'X', 'Y', 'Z'};
    std::vector<Breach> breaches;
    std::array<double, 3> lo{1e300, 1e300, 1e300}, hi{-1e300, -1e300, -1e300};
    Point3 from = walk.track.start;
    const auto reach = [&](const Point3& p) {
        const std::array<double, 3> to{p.x, p.y, p.z};
        for (std::size_t k = 0; k < 3; ++k) lo[k] = std::min(lo[k], to[k]), hi[k] = std::max(hi[k], to[k]);
    };
    reach(from);  // work zero: nobody knows where else the machine stands
    for (const Move& move : walk.track.moves) {
        if (move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw)
            for (const Point3& p : arc_points(from, move, walk.track.arcs[move.arc], 0.0005)) reach(p);
        reach(move.to);
        from = move.to;
    }
    for (std::size_t k = 0; k < 3; ++k) {
        const double base = task.machine.stock_at ? (*task.machine.stock_at)[k] : -lo[k];
        if (base + lo[k] >= -proving::place_slack && base + hi[k] <= task.machine.travel[k] + proving::place_slack) continue;
        breaches.push_back(
            {walk.track.moves.empty() ? 0 : walk.track.moves.back().line,
             {},
             fmt::format("The walk reaches from {0} {1:.2f} to {0} {2:.2f}, and the machine's travel is {3:.0f} mm{4}. Move the "
                         "stock, or make the work smaller.",
                         axes[k], lo[k], hi[k], task.machine.travel[k],
                         task.machine.stock_at ? ", with the stock where its file says" : "")});
    }
    figures.lo = {lo[0], lo[1], lo[2]};
    figures.hi = {hi[0], hi[1], hi[2]};
    figures.inside_travel = breaches.empty();
    return verdict("inside the travel", task.file,
                   fmt::format("X {:.2f} to {:.2f}, Y {:.2f} to {:.2f}: it fits the travel of {:.0f} × {:.0f} mm.", lo[0], hi[0], lo[1],
                               hi[1], task.machine.travel[0], task.machine.travel[1]),
                   std::move(breaches));
}

Check check_walk_keep_outs(const WalkTask& task, const ReadProgram& walk) {
    std::vector<proving::PlainWay> ways;
    Point3 from = walk.track.start;
    for (const Move& move : walk.track.moves) {
        const bool arc = move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw;
        std::vector<Point3> points{move.to};
        if (arc) points = arc_points(from, move, walk.track.arcs[move.arc], 0.001);
        for (const Point3& p : points) {
            ways.push_back({flat(from), flat(p), std::min(from.z, p.z), move.line});
            from = p;
        }
    }
    // Up from where the machine stands: what stands there now is not in the way of the bit.
    if (!ways.empty() && distance(ways.front().from, ways.front().to) == 0) ways.erase(ways.begin());
    return proving::check_plain_ways(task.file, ways, task.keep_outs);
}

}  // namespace

bool WalkProof::holds() const { return proving::all_hold(checks); }

WalkProof prove_walk(const WalkTask& task) {
    WalkProof proof;
    const ReadProgram walk = read_program(task.text, task.tool, task.machine.dwell_in_milliseconds);
    std::vector<ReadProgram> works;
    for (const std::string_view text : task.worked)
        works.push_back(read_program(text, task.tool, task.machine.dwell_in_milliseconds, task.read));
    proof.checks.push_back(task.circle ? check_circle(task, walk, works, proof) : check_polygon(task, walk, works, proof));
    if (task.tool == ToolKind::spindle) {
        proof.checks.push_back(check_still(task, walk));
        proof.checks.push_back(check_height(task, walk));
    } else {
        proof.checks.push_back(check_dark(task, walk));
    }
    proof.checks.push_back(check_travel(task, walk, proof.figures));
    proof.checks.push_back(proving::check_text(task.file, walk));
    if (task.tool == ToolKind::spindle && !task.keep_outs.empty()) proof.checks.push_back(check_walk_keep_outs(task, walk));
    ProgramFigures& figures = proof.figures;
    figures.file = task.file;
    figures.lines = walk.lines;
    figures.bytes = task.text.size();
    figures.time_s = reckon_time(walk.track, task.machine).total_s;
    Point3 from = walk.track.start;
    for (const Move& move : walk.track.moves) {
        const bool arc = move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw;
        double length = arc ? 0 : distance(from, move.to);
        Point3 at = from;
        if (arc)
            for (const Point3& p : arc_points(from, move, walk.track.arcs[move.arc], 0.001)) length += distance(at, p), at = p;
        (move.kind == MoveKind::rapid ? figures.rapid_length : figures.cut_length) += length;
        from = move.to;
    }
    return proof;
}

}  // namespace burin
