// Toolpaths become RS-274/NGC text (NISTIR 6556). Positions are absolute and kept as whole ten-thousandths of the unit in
// force (millimetres move in steps of ten of them), so rounding never adds up and "nothing moves" is an exact question.
// Cost: O(moves); the hot loop is Writer::straight with numbers.hpp, no library call in it.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <string>

#include "burin/base/error.hpp"
#include "burin/base/pages.hpp"
#include "burin/program/rs274.hpp"
#include "message.hpp"
#include "numbers.hpp"

namespace burin {
namespace {

constexpr double far_away = 10000;         // mm; also keeps every line within 70 characters
constexpr double radius_slack_mm = 0.002;  // NISTIR 6556, arcs by their centre
constexpr double radius_slack_in = 0.0002;
constexpr double on_step_mm = 1e-6;  // how far below what was asked z may lie, so that a hair costs no step
constexpr std::int64_t unsaid = std::numeric_limits<std::int64_t>::min() / 100 * 100;  // the controller was not told yet

struct Place {
    std::int64_t x = 0, y = 0, z = 0;  // ten-thousandths
    friend bool operator==(const Place&, const Place&) = default;
};

[[noreturn]] void refuse(std::size_t move, const Point3& to, std::string_view why) {
    throw Error(Fault::refused,
                fmt::format("Move {} of the toolpath, to X{:.3f} Y{:.3f} Z{:.3f}, cannot be written: {}", move + 1, to.x, to.y, to.z, why));
}

/// The text so far, written through a buffer that always has room for a line.
class Sheet {
public:
    explicit Sheet(std::size_t moves) { reserve_to_fill(text_, moves * 20 + 1024); }
    char* line() {
        if (at_ > buffer_.size() - room) flush();
        return buffer_.data() + at_;
    }
    void end_line(char* end) {
        *end++ = '\n';
        at_ = static_cast<std::size_t>(end - buffer_.data());
        ++lines_;
    }
    void put(std::string_view words) {
        char* at = line();
        end_line(std::copy(words.begin(), words.end(), at));
    }
    [[nodiscard]] std::uint32_t lines() const { return lines_; }
    std::string take() {
        flush();
        return std::move(text_);
    }

private:
    static constexpr std::size_t room = 512;
    void flush() {
        text_.append(buffer_.data(), at_);
        at_ = 0;
    }
    std::string text_;
    std::array<char, 1 << 15> buffer_{};
    std::size_t at_ = 0;
    std::uint32_t lines_ = 0;
};

class Writer {
public:
    Writer(Sheet& sheet, WrittenProgram& program, const Toolpath& path, const ProgramStyle& style)
        : sheet_(sheet),
          program_(program),
          path_(path),
          style_(style),
          per_mm_(style.inch ? 1e4 / 25.4 : 1e3),
          step_(style.inch ? 1 : 10),
          beam_(style.tool == ToolKind::beam),
          flat_(beam_ && !style.focus_steps) {}

    /// Everything but the end of the program.
    void part() {
        for (const std::string& comment : style_.header)
            if (const std::string clean = clean_comment(comment); !clean.empty()) sheet_.put("(" + clean + ")");
        start();
        program_.body_first = sheet_.lines() + 1;
        moves();
        if (beam_) darken();
        program_.body_last = sheet_.lines();
        if (!flat_) retreat();
        sheet_.put(beam_ ? "M5 S0" : "M5");
        if (air_) sheet_.put("M9");
    }

private:
    // ---- numbers ----
    [[nodiscard]] std::int64_t nearest(double mm) const {
        const double t = mm * per_mm_;
        return static_cast<std::int64_t>(t + (t < 0 ? -0.5 : 0.5)) * step_;
    }
    [[nodiscard]] std::int64_t upwards(double mm) const {
        const double t = (mm - on_step_mm) * per_mm_;
        const auto whole = static_cast<std::int64_t>(t);
        return (whole + (t > static_cast<double>(whole) ? 1 : 0)) * step_;
    }
    [[nodiscard]] double fine(double mm) const { return style_.inch ? mm * (1e4 / 25.4) : mm * 1e4; }
    /// The place to write for a line to `to`. After an arc with its four decimals a coordinate that stays is left alone.
    [[nodiscard]] Place place_of(const Point3& to) const {
        Place place{nearest(to.x), nearest(to.y), upwards(to.z + style_.lift)};
        if (step_ == 10 && (at_.x % 10 != 0 || at_.y % 10 != 0 || at_.z % 10 != 0)) {
            const Place close = arc_place_of(to);
            if (close.x == at_.x) place.x = at_.x;
            if (close.y == at_.y) place.y = at_.y;
            if (close.z == at_.z) place.z = at_.z;
        }
        return place;
    }
    [[nodiscard]] Place arc_place_of(const Point3& to) const {
        const std::int64_t coarse = upwards(to.z + style_.lift);
        return {std::llround(fine(to.x)), std::llround(fine(to.y)),
                coarse == at_.z ? coarse : static_cast<std::int64_t>(std::ceil(fine(to.z + style_.lift - on_step_mm)))};
    }
    void check(std::size_t move, const Point3& to) const {
        if (std::abs(to.x) < far_away && std::abs(to.y) < far_away && std::abs(to.z) < far_away) return;
        const bool finite = std::isfinite(to.x) && std::isfinite(to.y) && std::isfinite(to.z);
        refuse(move, to,
               finite ? "it lies beyond 10 m. Check the size of the job."
                      : "it is not a number. This is a fault of the program, please report it.");
    }

    // ---- words, each with a space behind it ----
    static char* put_word(char* at, char letter, std::int64_t value) {
        *at++ = letter;
        at = numbers::put_decimal(at, value);
        *at++ = ' ';
        return at;
    }
    char* put_motion(char* at, MoveKind kind) {
        if (kind == motion_ && motion_said_) return at;
        motion_ = kind;
        motion_said_ = true;
        *at++ = 'G';
        *at++ = static_cast<char>('0' + static_cast<int>(kind));
        *at++ = ' ';
        return at;
    }
    char* put_feed(char* at, std::int64_t feed) {
        if (feed == said_feed_) return at;
        said_feed_ = feed;
        return put_word(at, 'F', style_.inch ? feed * 100 : feed * 10000);
    }
    char* put_place(char* at, const Place& place) {
        if (place.x != said_.x) at = put_word(at, 'X', place.x);
        if (place.y != said_.y) at = put_word(at, 'Y', place.y);
        if (place.z != said_.z) at = put_word(at, 'Z', place.z);
        return at;
    }

    char* put_power(char* at, std::size_t index, const Move& move) {
        if (!beam_)
            refuse(index, move.to,
                   "it has a beam's power, but this is a spindle's program. This is a fault of the program, please report it.");
        said_power_ = move.power;
        return put_word(at, 'S', static_cast<std::int64_t>(move.power) * 10000);
    }

    // ---- feeds ----
    /// F words count whole mm/min, or hundredths of an inch a minute. A float a hair below a whole number is that number.
    [[nodiscard]] std::int64_t feed_of(std::size_t index, const Move& move) {
        if (move.feed == asked_feed_) return written_feed_;
        const double feed = static_cast<double>(move.feed) * (style_.inch ? 100 / 25.4 : 1) * (1 + 1e-6);
        if (!(feed >= 1)) refuse(index, move.to, "a cutting move needs a feed of at least 1 mm/min. Give --feed and --plunge above that.");
        if (!(move.feed < 99999.5F)) refuse(index, move.to, "its feed is above 99,999 mm/min. Give a smaller --feed.");
        asked_feed_ = move.feed;
        return written_feed_ = static_cast<std::int64_t>(feed);
    }
    /// `feed`, or less where rounding made a descent steeper than the plunge feed allows.
    [[nodiscard]] std::int64_t eased(std::int64_t feed, const Move& move, const Place& place) const {
        const Point3 d{move.to.x - asked_.x, move.to.y - asked_.y, move.to.z - asked_.z};
        const double length = std::sqrt(d.x * d.x + d.y * d.y + d.z * d.z);
        // A little above the plunge feed is meant as at the plunge feed; well above it the move descends in the clear.
        if (static_cast<double>(move.feed) * -d.z > 1.05 * style_.plunge * length) return feed;
        const auto x = static_cast<double>(place.x - at_.x), y = static_cast<double>(place.y - at_.y),
                   z = static_cast<double>(place.z - at_.z);
        const double most = style_.plunge * (style_.inch ? 100 / 25.4 : 1) * std::sqrt(x * x + y * y + z * z) / -z * (1 + 1e-6);
        return most < static_cast<double>(feed) ? std::max<std::int64_t>(1, static_cast<std::int64_t>(most)) : feed;
    }

    // ---- lines ----
    void start() {
        sheet_.put(style_.inch ? "G20 G90 G17 G94 G54" : "G21 G90 G17 G94 G54");
        check_number(style_.safe_z, "safe height");
        check_number(style_.lift, "lift");
        asked_ = path_.track.start;
        check_number(asked_.x, "start of the toolpath in x");
        check_number(asked_.y, "start of the toolpath in y");
        if (beam_) return start_beam();
        if (style_.still) sheet_.put("M5");
        at_ = {nearest(asked_.x), nearest(asked_.y), upwards(style_.safe_z + style_.lift)};
        said_ = {unsaid, unsaid, at_.z};
        char* at = put_motion(sheet_.line(), MoveKind::rapid);
        end(put_word(at, 'Z', at_.z));
        if (style_.still) return;
        spindle_on(style_.rpm);
        if (style_.spin_up_s > 0) dwell(style_.spin_up_s);
    }
    void start_beam() {
        sheet_.put("M5 S0");
        at_ = {nearest(asked_.x), nearest(asked_.y), upwards((style_.focus_steps ? style_.safe_z : asked_.z) + style_.lift)};
        said_ = {unsaid, unsaid, at_.z};
        if (style_.focus_steps) end(put_word(put_motion(sheet_.line(), MoveKind::rapid), 'Z', at_.z));
        if (style_.air) happen({0, EventKind::air_on, 0, 0});
        beam_on(style_.scaled);
    }
    static void check_number(double value, std::string_view what) {
        if (!(std::abs(value) < far_away))
            throw Error(Fault::refused, fmt::format("The {} is {} mm, which cannot be written. Give one within 10 m.", what, value));
    }
    void end(char* at) { sheet_.end_line(at - 1); }
    void spindle_on(double rpm) {
        if (!(rpm >= 0 && rpm < 1e6))
            throw Error(Fault::refused, fmt::format("A spindle speed of {} cannot be written. Give one from 0 to 999,999 rpm.", rpm));
        sheet_.put(fmt::format("M3 S{}", std::llround(rpm)));
    }
    void beam_on(bool scaled) {
        if (!beam_) throw_beam_event();
        scaled_ = scaled;
        lit_ = true;
        said_power_ = 0;
        sheet_.put(scaled ? "M4 S0" : "M3 S0");
    }
    void beam_off() {
        if (!beam_) throw_beam_event();
        lit_ = false;
        said_power_ = 0;
        sheet_.put("M5 S0");
    }
    /// The last S before what must not be lit.
    void darken() {
        if (said_power_ != 0) sheet_.put("S0");
        said_power_ = 0;
    }
    [[noreturn]] static void throw_beam_event() {
        throw Error(Fault::refused,
                    "The toolpath switches a beam in a spindle's program. This is a fault of the program, please report it.");
    }
    void dwell(double seconds) {
        if (!(seconds >= 0 && seconds < 1e5))
            throw Error(Fault::refused, fmt::format("A dwell of {} s cannot be written. Give one from 0 to 99,999 s.", seconds));
        char* at = sheet_.line();
        *at++ = 'G', *at++ = '4', *at++ = ' ';
        const std::int64_t thousandths = static_cast<std::int64_t>(std::ceil(seconds * 1000 - 1e-6));
        end(put_word(at, 'P', style_.dwell_in_milliseconds ? thousandths * 10000 : thousandths * 10));
    }
    void happen(const Event& event) {
        const bool stops = event.kind == EventKind::dwell || event.kind == EventKind::pause;
        const bool lit = lit_ && stops;
        if (lit) beam_off();
        switch (event.kind) {
            case EventKind::dwell:
                dwell(event.value);
                break;
            case EventKind::spindle_on:
                if (beam_ || style_.still) refuse_spindle();
                spindle_on(event.value);
                break;
            case EventKind::spindle_off:
                if (beam_) refuse_spindle();
                sheet_.put("M5");
                break;
            case EventKind::pause:
                sheet_.put("M0");
                said_ = {unsaid, unsaid, flat_ ? at_.z : unsaid};  // whoever stood there may have moved the machine
                motion_said_ = lifted_ = false;
                placed_ = placed_ && !beam_;
                said_feed_ = -1;
                break;
            case EventKind::beam_on:
                beam_on(event.value > 0);
                break;
            case EventKind::beam_off:
                beam_off();
                break;
            case EventKind::air_on:
            case EventKind::air_off:
                if (!beam_) throw_beam_event();
                air_ = event.kind == EventKind::air_on;
                sheet_.put(air_ ? "M8" : "M9");
                break;
            case EventKind::end:
                if (event.before < path_.track.moves.size())
                    throw Error(Fault::refused, fmt::format("The toolpath ends before its move {}; moves after an end cannot be written.",
                                                            event.before + 1));
                break;
        }
        if (lit) beam_on(scaled_);
    }
    [[noreturn]] static void refuse_spindle() {
        throw Error(Fault::refused,
                    "The toolpath switches a spindle in a program that has none. This is a fault of the program, please report it.");
    }
    void moves() {
        const Track& track = path_.track;
        std::size_t event = 0, pass = 0;
        for (std::size_t i = 0; i < track.moves.size(); ++i) {
            for (; event < track.events.size() && track.events[event].before <= i; ++event) happen(track.events[event]);
            const Move& move = track.moves[i];
            check(i, move.to);
            if (flat_ && place_of(move.to).z != at_.z)
                refuse(i, move.to,
                       "it moves the head in z, but the program has no focus steps. This is a fault of the strategy, please report it.");
            if (!placed_) place_first(move);
            for (; pass < path_.passes.size() && path_.passes[pass].first <= i; ++pass) program_.pass_lines.push_back(sheet_.lines() + 1);
            if (move.kind == MoveKind::feed) {
                straight(i, move);
            } else if (move.kind == MoveKind::rapid) {
                rapid(i, move);
            } else {
                arc(i, move);
            }
            asked_ = move.to;
        }
        for (; event < track.events.size(); ++event) happen(track.events[event]);
        for (; pass < path_.passes.size(); ++pass) program_.pass_lines.push_back(sheet_.lines() + 1);
    }
    /// The first moves: nobody knows where the tool stands in X and Y, and the toolpath's start is only assumed.
    void place_first(const Move& move) {
        const Place place = place_of(move.to);
        const bool moves_xy = place.x != at_.x || place.y != at_.y;
        if (move.kind == MoveKind::rapid && !moves_xy && place.z >= at_.z) return;  // still on its way up
        placed_ = true;
        if (move.kind != MoveKind::rapid || !moves_xy) {
            go({at_.x, at_.y, at_.z});
        } else if (place.z != at_.z) {  // up first, or down last: rapid() does what is left
            go(place.z > at_.z ? Place{at_.x, at_.y, place.z} : Place{place.x, place.y, at_.z});
        }
    }
    /// A rapid of Z alone or X and Y alone, whatever of it the controller was not told.
    void go(const Place& place) {
        if (beam_) darken();
        char* const line = sheet_.line();
        char* at = put_motion(line, MoveKind::rapid);
        const bool z_alone = place.z != at_.z;
        lifted_ = place.z > at_.z;
        at = put_place(at, z_alone ? Place{said_.x, said_.y, place.z} : Place{place.x, place.y, said_.z});
        at_ = place;
        if (z_alone) {
            said_.z = place.z;
        } else {
            said_.x = place.x, said_.y = place.y;
        }
        end(at);
    }
    void rapid(std::size_t index, const Move& move) {
        if (move.power != 0)
            refuse(index, move.to, "a rapid must be dark, but it has a beam's power. This is a fault of the strategy, please report it.");
        const Place place = place_of(move.to);
        if (place == at_) return;
        if (place.z != at_.z && (place.x != at_.x || place.y != at_.y))
            refuse(index, move.to, "a rapid must move Z alone or X and Y alone. This is a fault of the strategy, please report it.");
        go(place);
    }
    void straight(std::size_t index, const Move& move) { straight(index, move, place_of(move.to)); }
    void straight(std::size_t index, const Move& move, const Place& place) {
        std::int64_t feed = feed_of(index, move);
        if (place == at_) return;
        if (style_.plunge > 0 && place.z < at_.z) feed = eased(feed, move, place);
        char* at = put_motion(sheet_.line(), MoveKind::feed);
        at = put_feed(put_place(at, place), feed);
        if (move.power != said_power_) at = put_power(at, index, move);
        said_ = at_ = place;
        lifted_ = false;
        end(at);
    }
    void arc(std::size_t index, const Move& move) {
        if (move.arc >= path_.track.arcs.size())
            refuse(index, move.to, "its arc has no centre. This is a fault of the strategy, please report it.");
        const Point centre = path_.track.arcs[move.arc].centre;
        check(index, {centre.x, centre.y, 0});
        Place place = arc_place_of(move.to);
        // Rounding can turn a short way round into a whole circle and the other way about: the angle asked for decides.
        if (const std::int64_t speck = style_.inch ? 3 : 10; std::abs(place.x - at_.x) < speck && std::abs(place.y - at_.y) < speck) {
            if (sweep({asked_.x, asked_.y}, flat(move.to), centre, move.kind) < std::numbers::pi) return straight(index, move);
            const Point from{static_cast<double>(at_.x), static_cast<double>(at_.y)},
                to{static_cast<double>(place.x), static_cast<double>(place.y)};
            const bool closed = distance(flat(asked_), flat(move.to)) < 1e-6;
            if (closed || sweep(from, to, {fine(centre.x), fine(centre.y)}, move.kind) < std::numbers::pi) place.x = at_.x, place.y = at_.y;
        }
        const double slack = 0.9 * 1e4 * (style_.inch ? radius_slack_in : radius_slack_mm);
        const double cx = fine(centre.x) - static_cast<double>(at_.x), cy = fine(centre.y) - static_cast<double>(at_.y);
        std::int64_t i = std::llround(cx), j = std::llround(cy);
        double best = radii_apart(i, j, place);
        for (std::int64_t a = std::llround(cx) - 2; best > slack / 2 && a <= std::llround(cx) + 2; ++a)
            for (std::int64_t b = std::llround(cy) - 2; b <= std::llround(cy) + 2; ++b)
                if (const double apart = radii_apart(a, b, place); apart < best) best = apart, i = a, j = b;
        if (std::max(std::abs(i), std::abs(j)) >= 100'000'000)
            refuse(index, move.to, "the centre of its arc lies beyond 10 m. A straight line says the same.");
        if (best > slack || (i == 0 && j == 0))
            refuse(index, move.to, "its end does not lie on its arc. This is a fault of the strategy, please report it.");
        std::int64_t feed = feed_of(index, move);
        char* at = put_motion(sheet_.line(), move.kind);
        at = put_word(put_word(at, 'X', place.x), 'Y', place.y);
        if (place.z != said_.z) at = put_word(at, 'Z', place.z);
        at = put_feed(put_word(put_word(at, 'I', i), 'J', j), feed);
        if (move.power != said_power_) at = put_power(at, index, move);
        said_ = at_ = place;
        lifted_ = false;
        end(at);
    }
    [[nodiscard]] double radii_apart(std::int64_t i, std::int64_t j, const Place& place) const {
        const auto x = static_cast<double>(place.x - at_.x - i), y = static_cast<double>(place.y - at_.y - j);
        return std::abs(std::hypot(x, y) - std::hypot(static_cast<double>(i), static_cast<double>(j)));
    }
    /// The angle of an arc, 0 … 2π; all the way round where it ends as it starts.
    [[nodiscard]] static double sweep(const Point& from, const Point& to, const Point& centre, MoveKind kind) {
        const Point a{from.x - centre.x, from.y - centre.y}, b{to.x - centre.x, to.y - centre.y};
        const double left = std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y), angle = kind == MoveKind::arc_cw ? -left : left;
        return angle <= 1e-9 ? angle + 2 * std::numbers::pi : angle;
    }
    void retreat() {
        const std::int64_t safe = upwards(style_.safe_z + style_.lift);
        if (lifted_ && at_.z >= safe) return;  // the toolpath did it
        motion_said_ = false;
        said_.z = unsaid;
        const std::int64_t z = std::max(at_.z, safe);
        char* at = put_motion(sheet_.line(), MoveKind::rapid);
        end(put_word(at, 'Z', z));
        at_.z = z;
    }

    Sheet& sheet_;
    WrittenProgram& program_;
    const Toolpath& path_;
    const ProgramStyle& style_;
    double per_mm_;
    std::int64_t step_;
    Place at_;      // where the tool stands
    Place said_;    // what the controller was told, word by word
    Point3 asked_;  // end of the last move of the toolpath, unrounded
    MoveKind motion_ = MoveKind::rapid;
    bool motion_said_ = false, placed_ = false;
    bool beam_ = false, flat_ = false, lit_ = false, scaled_ = true, air_ = false;  // flat: no Z at all
    std::uint16_t said_power_ = 0;
    bool lifted_ = false;  // the last line of all is a rapid of Z alone, upwards
    std::int64_t said_feed_ = -1, written_feed_ = 0;
    float asked_feed_ = -1;
};

/// What waits for the person at the machine.
void put_pause(Sheet& sheet, std::string_view message) {
    for (const std::string& line : message_lines(message)) sheet.put(line);
    sheet.put("M0");
}

}  // namespace

WrittenProgram join_programs(std::span<const ProgramPart> parts) {
    if (parts.empty()) throw Error(Fault::usage, "There is no toolpath to write a program from.");
    std::size_t moves = 0;
    for (const ProgramPart& part : parts) {
        if (part.path == nullptr) throw Error(Fault::usage, "A part of the program has no toolpath.");
        if (part.style.inch != parts[0].style.inch || part.style.dwell_in_milliseconds != parts[0].style.dwell_in_milliseconds)
            throw Error(Fault::usage, "The parts of one program must agree on millimetres or inches, and on seconds or milliseconds.");
        if (part.style.tool != parts[0].style.tool) throw Error(Fault::usage, "A spindle and a beam cannot share one program.");
        moves += part.path->track.moves.size();
    }
    WrittenProgram program;
    Sheet sheet(moves);
    for (const ProgramPart& part : parts) {
        program.part_lines.push_back(sheet.lines() + 1);
        if (&part != parts.data()) {
            put_pause(sheet, part.pause);
        }
        Writer(sheet, program, *part.path, part.style).part();
    }
    sheet.put("M2");
    program.lines = sheet.lines();
    program.text = sheet.take();
    return program;
}

WrittenProgram write_program(const Toolpath& path, const ProgramStyle& style) {
    const ProgramPart alone{&path, style, {}};
    return join_programs({&alone, 1});
}

}  // namespace burin
