// The rest of a program as a program of its own. The moves are taken over one by one and written anew, so that it is plain text with every
// mode said; only the way to its place is made here. From the first move that is not surely done the way goes back along what is cut,
// until the run-in is long enough, or a rapid or an event says that the bit came from elsewhere. Cost: O(moves).
#include "burin/rework/rest.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

#include "burin/base/error.hpp"
#include "burin/program/text_lines.hpp"

namespace burin {
namespace {

constexpr double least_piece = 0.05;  // mm: shorter pieces of a move are not cut off, an arc's could pass for a full circle

bool is_arc(const Move& move) { return move.kind == MoveKind::arc_cw || move.kind == MoveKind::arc_ccw; }

Point3 place_before(const Track& track, std::size_t move) { return move == 0 ? track.start : track.moves[move - 1].to; }

double length_of(const Track& track, std::size_t k) {
    const Move& move = track.moves[k];
    const Point3 from = place_before(track, k);
    if (!is_arc(move)) return distance(from, move.to);
    double length = 0;
    Point3 at = from;
    for (const Point3& p : arc_points(from, move, track.arcs[move.arc], 0.001)) length += distance(at, p), at = p;
    return length;
}

/// The place on a move at a share of its way.
Point3 place_on(const Track& track, std::size_t k, double share) {
    const Move& move = track.moves[k];
    const Point3 a = place_before(track, k), b = move.to;
    const double z = a.z + (b.z - a.z) * share;
    if (!is_arc(move)) return {a.x + (b.x - a.x) * share, a.y + (b.y - a.y) * share, z};
    const Point c = track.arcs[move.arc].centre, u{a.x - c.x, a.y - c.y}, v{b.x - c.x, b.y - c.y};
    const double left = std::atan2(u.x * v.y - u.y * v.x, u.x * v.x + u.y * v.y);
    double angle = move.kind == MoveKind::arc_cw ? -left : left;
    if (angle <= 1e-9) angle += 2 * std::numbers::pi;
    const double turned = std::atan2(u.y, u.x) + (move.kind == MoveKind::arc_cw ? -1 : 1) * angle * share;
    const double first = std::hypot(u.x, u.y), radius = first + (std::hypot(v.x, v.y) - first) * share;
    return {c.x + radius * std::cos(turned), c.y + radius * std::sin(turned), z};
}

bool goes(const Track& track, std::size_t k) { return track.moves[k].kind != MoveKind::rapid && length_of(track, k) > 0; }

/// Where a piece comes down.
struct Start {
    Point3 entry;
    std::size_t move = 0;   ///< the first that is run, perhaps the end of it only
    std::size_t fresh = 0;  ///< the first that was not done before
    double run_in = 0;
};

/// The piece holds moves of one stretch between pauses: `begin` … `end` − 1, those before `first` done.
std::optional<Start> start_of(const OldProgram& old, std::size_t begin, std::size_t end, std::size_t first, double run_in) {
    const Track& track = old.read.track;
    std::size_t fresh = first;
    while (fresh < end && !goes(track, fresh)) ++fresh;
    if (fresh >= end) return std::nullopt;
    Start start{place_before(track, fresh), fresh, fresh, 0};
    if (fresh != first) return start;
    const auto event_before = [&](std::size_t k) {
        const auto& events = track.events;
        const auto at = std::lower_bound(events.begin(), events.end(), k, [](const Event& e, std::size_t m) { return e.before < m; });
        return at != events.end() && at->before == k;
    };
    for (std::size_t k = fresh; k > begin && start.run_in < run_in; --k) {
        if (track.moves[k - 1].kind == MoveKind::rapid || event_before(k)) break;
        const double length = length_of(track, k - 1), wanted = run_in - start.run_in;
        start.move = k - 1;
        if (length - wanted > least_piece && wanted > least_piece) {
            start.entry = place_on(track, k - 1, 1 - wanted / length);
            start.run_in = run_in;
        } else {
            start.entry = place_before(track, k - 1);
            start.run_in += length;
        }
    }
    return start;
}

double speed_at(const OldProgram& old, std::uint32_t line) {
    double rpm = 0;
    for (const SaidSpeed& said : old.speeds) {
        if (said.line > line) break;
        rpm = said.value;
    }
    return rpm;
}

/// The last event of two kinds before a move; null: there was none.
const Event* last_of(const OldProgram& old, EventKind on, EventKind off, std::size_t move) {
    const Event* last = nullptr;
    for (const Event& event : old.read.track.events) {
        if (event.before > move) break;
        if (event.kind == on || event.kind == off) last = &event;
    }
    return last;
}

/// Puts moves of the old track into a new one.
class Piece {
public:
    Piece(const OldProgram& old, const Start& start, const WayIn& way) : old_(old), from_(old.read.track), start_(start), way_(way) {
        at_ = {0, 0, way.safe_z};
        to_.start = at_;
        beam_ = old.read.tool == ToolKind::beam;
        flat_ = beam_ && !old.read.uses_z;
        if (flat_) to_.start.z = at_.z = start.entry.z;
        rpm_ = speed_at(old, from_.moves[start.fresh].line);
        const Event* const lit = last_of(old, EventKind::beam_on, EventKind::beam_on, start.fresh);
        scaled_ = !lit || lit->value > 0;
    }

    Track take(std::size_t end) {
        come_down();
        for (std::size_t k = start_.move; k < end; ++k) {
            if (k > start_.move) happen(k);
            move(k);
        }
        return std::move(to_);
    }

private:
    void go(const Point3& to, MoveKind kind, double feed) {
        if (to == at_) return;
        Move move;
        move.to = at_ = to;
        move.kind = kind;
        move.feed = static_cast<float>(feed);
        to_.moves.push_back(move);
    }
    void come_down() {
        const Point3& e = start_.entry;
        const double high = flat_ ? e.z : std::max(way_.safe_z, e.z);
        go({at_.x, at_.y, high}, MoveKind::rapid, 0);
        go({e.x, e.y, high}, MoveKind::rapid, 0);
        const double clear = beam_ ? e.z : std::max(e.z, way_.clear_z);
        if (clear < high) go({e.x, e.y, clear}, MoveKind::rapid, 0);
        go(e, MoveKind::feed, way_.plunge);
    }
    void event(EventKind kind, double value) { to_.events.push_back({to_.moves.size(), kind, value, 0}); }
    /// What the old program does before move k, in the order of its lines; speeds alone on a line too.
    void happen(std::size_t k) {
        const auto& events = from_.events;
        auto next = std::lower_bound(events.begin(), events.end(), k, [](const Event& e, std::size_t m) { return e.before < m; });
        for (; next != events.end() && next->before == k; ++next) {
            speak(next->line);
            take_over(*next);
        }
        speak(from_.moves[k].line);
    }
    void take_over(const Event& event_then) {
        switch (event_then.kind) {
            case EventKind::dwell:
                event(EventKind::dwell, event_then.value);
                break;
            case EventKind::spindle_on:
                running_ = true;
                event(EventKind::spindle_on, rpm_);
                break;
            case EventKind::spindle_off:
                running_ = false;
                event(EventKind::spindle_off, 0);
                break;
            case EventKind::beam_on:
                if ((event_then.value > 0) != scaled_) event(EventKind::beam_on, event_then.value);
                scaled_ = event_then.value > 0;
                break;
            case EventKind::air_on:
            case EventKind::air_off:
                event(event_then.kind, 0);
                break;
            default:
                break;  // a beam is darkened by the writer; pauses and ends are no part of a piece
        }
    }
    void speak(std::uint32_t line) {
        if (beam_) return;
        const double rpm = speed_at_next(line);
        if (rpm == rpm_) return;
        rpm_ = rpm;
        if (running_) event(EventKind::spindle_on, rpm_);
    }
    /// speed_at for lines that only grow.
    double speed_at_next(std::uint32_t line) {
        const auto& speeds = old_.speeds;
        while (next_speed_ < speeds.size() && speeds[next_speed_].line <= line) ++next_speed_;
        return next_speed_ == 0 ? rpm_ : speeds[next_speed_ - 1].value;
    }
    void move(std::size_t k) {
        const Move& old = from_.moves[k];
        if (old.kind == MoveKind::rapid) return rapid(old.to);
        if (!beam_ && !old.running)
            throw Error(Fault::refused, fmt::format("'{}', line {} moves on the feed while the spindle is off, so nobody can go on there. "
                                                    "Start the spindle with M3 before it.",
                                                    old_.file, old.line));
        Move made = old;
        made.line = 0;
        if (beam_ && k < start_.fresh) made.power = 0;
        if (is_arc(old)) {
            made.arc = static_cast<std::uint32_t>(to_.arcs.size());
            to_.arcs.push_back(from_.arcs[old.arc]);
        }
        to_.moves.push_back(made);
        at_ = old.to;
    }
    /// One that moves Z together with X or Y becomes two: up first, down last.
    void rapid(const Point3& to) {
        const bool slanted = to.z != at_.z && flat(to) != flat(at_);
        if (slanted) go(to.z > at_.z ? Point3{at_.x, at_.y, to.z} : Point3{to.x, to.y, at_.z}, MoveKind::rapid, 0);
        go(to, MoveKind::rapid, 0);
    }

    const OldProgram& old_;
    const Track& from_;
    Track to_;
    Start start_;
    const WayIn& way_;
    Point3 at_;
    bool beam_ = false, flat_ = false, scaled_ = true, running_ = true;
    double rpm_ = 0;
    std::size_t next_speed_ = 0;
};

std::string comment_of(std::string_view line) {
    const std::size_t from = line.find('('), to = line.rfind(')');
    if (line.find_first_not_of(" \t(\r\n") == std::string_view::npos || from != line.find_first_not_of(" \t") ||
        to == std::string_view::npos)
        return {};
    return std::string(line.substr(from + 1, to - from - 1));
}

/// Comments at the head of a stretch that begins after line `before`; what told of the old program's place and time is left out.
std::vector<std::string> head_of(const TextLines& lines, std::uint32_t before) {
    std::vector<std::string> head;
    for (std::uint32_t n = before + 1; n <= lines.count() && head.size() < 12; ++n) {
        const std::string comment = comment_of(lines.span(n, n));
        if (comment.empty()) break;
        if (!comment.starts_with("Program ") && !comment.starts_with("Time ") && !comment.starts_with("Then ")) head.push_back(comment);
    }
    return head;
}

/// What the old program showed while it waited.
std::string words_before(const TextLines& lines, std::uint32_t pause) {
    constexpr std::string_view mark = "MSG,";
    std::string words;
    for (std::uint32_t n = pause; n-- > 1;) {
        std::string comment = comment_of(lines.span(n, n));
        if (!comment.starts_with(mark)) break;
        comment.erase(0, std::min(comment.size(), comment.find_first_not_of(' ', mark.size())));
        words = words.empty() ? comment : comment + ' ' + words;
    }
    return words;
}

ProgramStyle style_for(const OldProgram& old, const Start& start, const WayIn& way) {
    ProgramStyle style;
    style.inch = old.read.inch;
    style.dwell_in_milliseconds = way.milliseconds;
    style.spin_up_s = way.spin_up;
    style.safe_z = way.safe_z;
    style.tool = old.read.tool;
    if (style.tool == ToolKind::spindle) {
        style.rpm = speed_at(old, old.read.track.moves[start.fresh].line);
        return style;
    }
    const Event* const lit = last_of(old, EventKind::beam_on, EventKind::beam_on, start.fresh);
    const Event* const air = last_of(old, EventKind::air_on, EventKind::air_off, start.fresh);
    style.scaled = !lit || lit->value > 0;
    style.air = air && air->kind == EventKind::air_on;
    style.focus_steps = old.read.uses_z;
    return style;
}

}  // namespace

WayIn way_in_for(const OldProgram& old, const Machine& machine, double plunge) {
    WayIn way;
    way.plunge = plunge;
    way.milliseconds = machine.dwell_in_milliseconds;
    double high = 0, fastest = 0;
    for (const Move& move : old.read.track.moves) {
        high = std::max(high, move.to.z);
        if (move.power > 0) fastest = std::max(fastest, static_cast<double>(move.feed) / 60);
    }
    way.safe_z = high > way.clear_z ? high : way.safe_z;
    if (old.read.tool == ToolKind::beam) {
        way.run_in = 1.5 * fastest * fastest / (2 * std::min(machine.acceleration[0], machine.acceleration[1])) + 0.2;
        return way;
    }
    way.spin_up = machine.spindle ? machine.spindle->spin_up_s : way.spin_up;
    const auto& events = old.read.track.events;
    for (std::size_t k = 0; k + 1 < events.size(); ++k)
        if (events[k].kind == EventKind::spindle_on && events[k + 1].kind == EventKind::dwell && events[k].before == events[k + 1].before)
            way.spin_up = std::max(way.spin_up, events[k + 1].value);
    return way;
}

Rest rest_of(const OldProgram& old, std::size_t first, std::size_t last, const WayIn& way) {
    const std::size_t all = old.read.track.moves.size();
    last = std::min(last, all);
    Rest rest;
    const TextLines lines(old.text);
    std::vector<Toolpath> paths;
    std::vector<ProgramPart> parts;
    paths.reserve(old.pauses.size() + 1);
    for (std::size_t n = 0; n <= old.pauses.size(); ++n) {
        const std::size_t begin = n == 0 ? 0 : old.pauses[n - 1];
        const std::size_t end = std::min(last, n < old.pauses.size() ? old.pauses[n] : all);
        if (end <= first || begin >= end) continue;
        const std::optional<Start> start = start_of(old, begin, end, std::max(first, begin), way.run_in);
        if (!start) continue;
        paths.push_back({Piece(old, *start, way).take(end), {}});
        ProgramPart part{&paths.back(), style_for(old, *start, way), {}};
        if (rest.empty) part.style.header = way.header;
        for (std::string& line : head_of(lines, n == 0 ? 0 : old.pause_at[n - 1])) part.style.header.push_back(std::move(line));
        if (!rest.empty) part.pause = words_before(lines, old.pause_at[n - 1]);
        parts.push_back(std::move(part));
        rest.sections.push_back(n);
        if (!rest.empty) continue;
        rest.empty = false;
        rest.entry = start->entry, rest.run_in = start->run_in, rest.move = start->move;
        rest.line = old.read.track.moves[start->move].line;
    }
    if (!rest.empty) rest.written = join_programs(parts);
    return rest;
}

}  // namespace burin
