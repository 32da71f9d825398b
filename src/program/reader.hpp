#pragma once
// RS-274/NGC text becomes a track (NISTIR 6556: words, modal groups, order of execution, arcs). Strict: a line that breaks a
// rule or holds something not followed is a fault and moves nothing.
//
// Nearly all lines of a cutting program are a few coordinates in a straight line, so those are read by Reader::plain_line
// without a copy and without a look at any table; every other line goes through read_block and the rules one by one. The two
// ways meet in the same state. Cost: O(bytes), 40 bytes for each move.
// Inside the room only.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <new>
#include <numbers>

#include "block.hpp"
#include "burin/base/pages.hpp"
#include "burin/program/rs274.hpp"
#include "numbers.hpp"
#include "read_wide.hpp"

namespace burin {

inline constexpr std::size_t most_faults = 100;
inline constexpr double far_away = 1e5;  // mm
inline constexpr double most_feed = 1e7;
inline constexpr double most_power = 65535;  // what Move::power holds

/// `beam`: M3, M4 and S are a beam's; S then stands on plain lines too.
template <bool beam>
class Reader {
public:
    Reader(ReadProgram& program, std::string_view text, bool milliseconds, const ReadLimits& limits)
        : program_(program), text_(text), dwell_unit_(milliseconds ? 1e-3 : 1), limits_(limits), most_line_(limits.most_line) {}

    void run() {
        const std::size_t breaks = static_cast<std::size_t>(std::count(text_.begin(), text_.end(), '\n'));
        reserve_to_fill(program_.track.moves, std::min(breaks + 1, text_.size() / 8 + 16));
        const char* at = text_.data();
        const char* const end = at + text_.size();
        // Lines that begin before `safe_end` have a line end and more bytes behind it than read_decimal looks ahead.
        const std::size_t last_break = text_.substr(0, text_.size() - std::min<std::size_t>(text_.size(), 16)).find_last_of('\n');
        const char* const safe_end = last_break == std::string_view::npos ? at : at + last_break + 1;
        while (at != end) {
            ++line_;
            if (quick_ && at < safe_end)
                if (const char* next = plain_line(at)) {
                    measure(static_cast<std::size_t>(next - at) - 1);
                    at = next;
                    continue;
                }
            const auto* stop = static_cast<const char*>(std::memchr(at, '\n', static_cast<std::size_t>(end - at)));
            std::string_view line(at, static_cast<std::size_t>((stop != nullptr ? stop : end) - at));
            if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
            any_line(line);
            at = stop != nullptr ? stop + 1 : end;
        }
        finish();
    }

private:
    /// X, Y, Z, F, I, J are 0 … 5, a beam's S is 6; no other letter is plain.
    static constexpr std::array<unsigned char, 256> plain_words = [] {
        std::array<unsigned char, 256> words{};
        words.fill(255);
        words['X'] = 0, words['Y'] = 1, words['Z'] = 2, words['F'] = 3, words['I'] = 4, words['J'] = 5;
        if (beam) words['S'] = 6;
        return words;
    }();
    static constexpr std::size_t plain_count = beam ? 7 : 6;

    void fault(const std::string& what) {
        if (program_.faults.size() < most_faults) program_.faults.push_back({line_, what});
    }
    void not_plain(const std::string& what) {
        auto& told = program_.not_plain;
        const auto same = std::find_if(told.begin(), told.end(), [&](const ProgramFault& fault) { return fault.what == what; });
        if (same != told.end())
            ++same->more;
        else if (told.size() < most_faults)
            told.push_back({line_, what});
    }
    void measure(std::size_t length) {
        if (length > program_.longest_line) {
            program_.longest_line = length;
            program_.longest_line_at = line_;
        }
    }

    // ---- the quick way ----
    /// A line of G0 … G3, X, Y, Z, F, I, J (and S of a beam) in capitals with single spaces between them, in the state that `quick_` stands
    /// for. The start of the next line, or null: nothing was changed and the line is to be read the other way.
    const char* plain_line(const char* const start) {
        const char* at = start;
        int motion = motion_;
        if (*at == 'G') {
            motion = at[1] - '0';
            if (motion < 0 || motion > 3 || at[2] != ' ') return nullptr;
            at += 3;
        }
        if (motion < 0 || motion > 3) return nullptr;
        std::array<double, plain_count> words{at_.x, at_.y, at_.z, feed_};
        unsigned seen = 0;
        for (;;) {
            const unsigned word = plain_words[static_cast<unsigned char>(*at++)];
            double value = 0;
            if (word >= words.size() || (seen >> word & 1U) != 0 || (at = numbers::read_decimal(at, value)) == nullptr) return nullptr;
            seen |= 1U << word;
            words[word] = beam && word == 6 ? value : value * unit_;
            if (*at == '\n') break;
            if (*at++ != ' ') return nullptr;
        }
        if constexpr (beam) {
            if (seen == 64U && *start == 'S' && words[6] >= 0 && words[6] <= most_power) {
                say_power(words[6]);
                lit_stop(LitStop::Why::set);
                return at + 1;
            }
        }
        const Point3 to{words[0], words[1], words[2]};
        const double feed = words[3];
        if ((seen & 7U) == 0 || !(feed > 0 && feed <= most_feed) || !near(to) || static_cast<std::size_t>(at - start) > most_line_)
            return nullptr;
        const Point centre{at_.x + words[4], at_.y + words[5]};
        if constexpr (beam) {
            if ((seen & 64U) != 0 && !(words[6] <= most_power && words[6] >= 0)) return nullptr;
        }
        if (motion > 1) {
            if ((seen & 3U) == 0 || (seen & 48U) == 0 || plane_ != 17 || centre_absolute_ || !on_circle(to, centre)) return nullptr;
            program_.track.arcs.push_back({centre});
        } else if ((seen & 48U) != 0) {
            return nullptr;
        }
        if constexpr (beam) {
            if ((seen & 64U) != 0) say_power(words[6]);
        }
        motion_ = motion;
        feed_ = feed;
        program_.uses_z |= (seen & 4U) != 0;
        Move& move = program_.track.moves.emplace_back();
        move.to = at_ = to;
        move.feed = motion == 0 ? 0 : static_cast<float>(feed);
        move.line = line_;
        move.kind = static_cast<MoveKind>(motion);
        move.arc = motion > 1 ? static_cast<std::uint32_t>(program_.track.arcs.size() - 1) : 0;
        move.running = running_;
        if (beam) move.power = power_;
        return at + 1;
    }
    /// Whether an arc from here to `to` about `centre` is one, within what NISTIR 6556 allows.
    [[nodiscard]] bool on_circle(const Point3& to, const Point& centre) const {
        const double first = distance(flat(at_), centre), last = distance(flat(to), centre);
        return first > 0 && std::abs(first - last) <= radius_slack() + 1e-9 && near({centre.x, centre.y, 0});
    }
    static bool near(const Point3& p) { return std::abs(p.x) <= far_away && std::abs(p.y) <= far_away && std::abs(p.z) <= far_away; }

    // ---- every other line ----
    void any_line(std::string_view line) {
        measure(line.size());
        if (!program_.not_ascii && std::any_of(line.begin(), line.end(), [](char c) { return static_cast<unsigned char>(c) >= 128; })) {
            program_.not_ascii = true;
            program_.not_ascii_at = line_;
        }
        if (line.size() > most_line_)
            return fault(fmt::format("has {} characters, more than the {} that a line may have.", line.size(), most_line_));
        Block block;
        if (const std::string wrong = read_block(line, block); !wrong.empty()) return fault(wrong);
        if (block.only_percent) return percent();
        if (block.empty) return;
        if (closed_) return fault("stands after the second % line, which ends the text.");
        if (program_.ended) return fault("stands after the end of the program.");
        words_seen_ = true;
        if (const std::string wrong = broken_rule(block, motion_, unit_ != 1, limits_.wide); !wrong.empty()) return fault(wrong);
        execute(block);
        quick_ = program_.first_move_at != 0 && absolute_ && !program_.ended && !closed_ && open_ == 0 && words_zero() == Point3{};
    }
    void percent() {
        if (closed_ || (words_seen_ && !opened_))
            return fault("has a % that does not belong there: it stands before the first and after the last line only.");
        (opened_ ? closed_ : opened_) = true;
        quick_ = quick_ && !closed_;
    }

    /// In the order of NISTIR 6556, table 8.
    void execute(const Block& block) {
        if (block.has('F')) feed_ = block['F'] * unit_;
        if (beam) {
            if (block.has('S')) say_power(block['S']);
        } else {
            if (block.has('S')) rpm_ = block['S'];
            running_ = on_ && rpm_ != 0;
        }
        const auto each_m = [&](auto&& act) {
            for (int k = 0; k < block.m_count; ++k) act(block.m[static_cast<std::size_t>(k)]);
        };
        bool switched = false;
        each_m([&](int m) {
            switched |= m == 3 || m == 4;
            if (m >= 3 && m <= 5) beam ? switch_beam(m) : switch_spindle(m);
            if (beam && m >= 7 && m <= 9) happen(m == 9 ? EventKind::air_off : EventKind::air_on, 0);
        });
        if (beam && block.has('S') && !switched && !block.has_any(Block::axes)) lit_stop(LitStop::Why::set);
        bool taken = false;  // the axes, by a word of their own
        for (int k = 0; k < block.g_count; ++k) set(block.g[static_cast<std::size_t>(k)], block);
        if (limits_.wide) {
            for (int k = 0; k < block.g_count; ++k) taken |= elsewhere(block.g[static_cast<std::size_t>(k)], block);
            each_m([&](int m) {
                if (m == 6) change_tool();
            });
        }
        if (block.has_any(Block::axes) && !taken) {
            if (motion_ > 80) {
                drill(block);
            } else if (motion_ == 2 || motion_ == 3) {
                plane_ == 17 || !limits_.wide ? arc(block) : other_arc(block);
            } else {
                straight(block);
            }
        }
        each_m([&](int m) {
            if (m == 0 || m == 1) {
                lit_stop(LitStop::Why::pause);
                happen(EventKind::pause, 0);
            }
            if (m == 2 || m == 30) {
                lit_stop(LitStop::Why::end);
                happen(EventKind::end, 0);
                program_.ended = true;
            }
        });
    }
    void switch_spindle(int m) {
        on_ = m != 5;
        running_ = on_ && rpm_ != 0;
        happen(on_ ? EventKind::spindle_on : EventKind::spindle_off, on_ ? std::max(0.0, rpm_) : 0);
    }
    void switch_beam(int m) {
        on_ = running_ = m != 5;
        if (on_ && rpm_ < 0) fault("switches the beam on before any S has said how strong it is.");
        power_now();
        if (on_) lit_stop(LitStop::Why::switched_on);
        happen(on_ ? EventKind::beam_on : EventKind::beam_off, m == 4 ? 1 : 0);
    }
    void say_power(double s) {
        rpm_ = s;
        if (s > program_.most_power) program_.most_power = s, program_.most_power_at = line_;
        power_now();
    }
    /// Rounded, but what is not dark stays so.
    void power_now() {
        if (!on_ || !(rpm_ > 0)) {
            power_ = 0;
        } else {
            power_ = static_cast<std::uint16_t>(std::clamp(rpm_ + 0.5, 1.0, most_power));
        }
    }
    void lit_stop(LitStop::Why why) {
        if (power_ != 0 && program_.lit_stops.size() < most_faults)
            program_.lit_stops.push_back({program_.track.moves.size(), line_, why, power_});
    }
    void set(int g, const Block& block) {
        switch (g) {
            case 40:
                lit_stop(LitStop::Why::dwell);
                happen(EventKind::dwell, block['P'] * dwell_unit_);
                break;
            case 0:
            case 10:
            case 20:
            case 30:
                motion_ = g / 10;
                break;
            case 800:
                motion_ = -1;
                break;
            case 810:
            case 820:
            case 830:
            case 850:
            case 860:
            case 890:
                if (open_ != 0) open_way();
                if (motion_ <= 80) cycle_ = Cycle{}, cycle_.initial = at_.z;
                motion_ = g / 10;
                break;
            case 980:
            case 990:
                back_to_r_ = g == 990;
                break;
            case 170:
            case 180:
            case 190:
                plane_ = g / 10;
                said_plane_ = g == 170;
                break;
            case 200:
            case 210:
                units(g == 200 ? 25.4 : 1);
                break;
            case 900:
            case 910:
                absolute_ = said_absolute_ = g == 900;
                break;
            case 901:
            case 911:
                centre_absolute_ = g == 901;
                break;
            case 940:
                said_feed_mode_ = true;
                break;
            case 540:
            case 550:
            case 560:
            case 570:
            case 580:
            case 590:
            case 591:
            case 592:
            case 593:
                offset(g);
                break;
            default:
                break;  // G40, G49, G61, G64: as the machine is anyhow
        }
    }
    void units(double unit) {
        if (unit != unit_) feed_ = 0;  // an F of the other units means nothing now
        unit_ = unit;
        said_units_ = true;
        program_.inch |= unit != 1;
    }
    void offset(int g) {
        if (offset_ != g && (program_.first_move_at != 0 || zeroed_))
            fault("changes the work zero in the middle, so what follows lies elsewhere.");
        offset_ = g;
        if (g != 540) not_plain("uses a work zero other than G54.");
    }
    void happen(EventKind kind, double value) { program_.track.events.push_back({program_.track.moves.size(), kind, value, line_}); }

    [[nodiscard]] Point3 target(const Block& block) const {
        Point3 to = at_;
        const auto put = [&](char letter, double& place, double shift) {
            if (block.has(letter)) place = (absolute_ ? shift : place) + block[letter] * unit_;
        };
        const Point3 zero = words_zero();
        put('X', to.x, zero.x), put('Y', to.y, zero.y), put('Z', to.z, zero.z);
        return to;
    }
    // What only the wide reader follows: reader_wide.hpp.
    bool elsewhere(int g, const Block& block);
    [[nodiscard]] Point3 words_zero() const { return {zero_.x + shift_.x, zero_.y + shift_.y, zero_.z + shift_.z}; }
    void name_place(const Block& block, bool lasting);
    [[nodiscard]] bool in_force(const Block& block) const;
    void undo_shift(int g);
    void set_by_machine(const Block& block);
    void set_zero(const Block& block);
    void go_home(int g, const Block& block);
    void machine_place(const Block& block);
    void change_tool();
    void drill(const Block& block);
    bool drill_once(const Point& hole);
    bool bursting();
    /// A move that names all axes.
    void move_to(const Point3& to, MoveKind kind);
    void other_arc(const Block& block);
    // Probing: reader_probe.hpp.
    static constexpr std::array<double Point3::*, 3> coordinates{&Point3::x, &Point3::y, &Point3::z};
    void probe(int g, const Block& block);
    void reach(const Point3& to);
    bool back_from_touch(const Block& block, const Point3& to, MoveKind kind);
    void open_way();
    void begin_anew();

    void straight(const Block& block) {
        if (motion_ == 1 && !(feed_ > 0)) return fault("cuts without a feed: no F has been given.");
        move(block, target(block), motion_ == 0 ? MoveKind::rapid : MoveKind::feed, 0);
    }
    void arc(const Block& block) {
        if (plane_ != 17) return fault("has an arc in another plane than XY, which is not followed. Use G17.");
        if (!(feed_ > 0)) return fault("cuts without a feed: no F has been given.");
        const Point3 to = target(block);
        Point centre;
        if (const std::string wrong = block.has('R') ? by_radius(block, to, centre) : by_centre(block, to, centre); !wrong.empty())
            return fault(wrong);
        if (!near({centre.x, centre.y, 0})) return fault("has an arc whose centre lies beyond all measure.");
        if (!near(to)) return fault("moves beyond all measure.");
        program_.track.arcs.push_back({centre});
        move(block, to, motion_ == 2 ? MoveKind::arc_cw : MoveKind::arc_ccw, static_cast<std::uint32_t>(program_.track.arcs.size() - 1));
    }
    [[nodiscard]] double radius_slack() const { return unit_ == 1 ? 0.002 : 0.0002 * 25.4; }
    std::string by_centre(const Block& block, const Point3& to, Point& centre) const {
        if (!block.has_any(Block::centre)) return "has an arc without centre: give I, J or both.";
        if (centre_absolute_ && !(block.has('I') && block.has('J')))
            return "has an arc whose centre is absolute (G90.1) and needs both I and J.";
        centre = centre_absolute_ ? flat(words_zero()) : flat(at_);
        if (block.has('I')) centre.x += block['I'] * unit_;
        if (block.has('J')) centre.y += block['J'] * unit_;
        if (on_circle(to, centre)) return "";
        if (!near({centre.x, centre.y, 0})) return "has an arc whose centre lies beyond all measure.";
        const double first = distance(flat(at_), centre), last = distance(flat(to), centre);
        if (!(first > 0)) return "has an arc of radius 0.";
        return fmt::format("has an arc whose two radii differ by {:.4f} mm; {:.4f} is allowed.", std::abs(first - last), radius_slack());
    }
    /// NISTIR 6556: a radius above 0 is the shorter way round, below 0 the longer.
    std::string by_radius(const Block& block, const Point3& to, Point& centre) {
        if (block.has_any(Block::centre)) return "has an arc with both R and a centre.";
        const double radius = std::abs(block['R']) * unit_, half = distance(flat(at_), flat(to)) / 2;
        if (!(half > 0)) return "has an R arc that ends where it starts: its centre could lie anywhere.";
        if (half > radius + radius_slack()) return "has an R arc whose end is farther away than twice its radius.";
        const double aside = std::sqrt(std::max(0.0, radius * radius - half * half)) / (2 * half);
        const double side = (motion_ == 3) == (block['R'] > 0) ? aside : -aside;
        centre = {(at_.x + to.x) / 2 - side * (to.y - at_.y), (at_.y + to.y) / 2 + side * (to.x - at_.x)};
        not_plain("has an R arc.");
        return "";
    }
    void move(const Block& block, const Point3& to, MoveKind kind, std::uint32_t arc) {
        if (!near(to)) return fault("moves beyond all measure.");
        if (back_from_touch(block, to, kind)) return;
        if (program_.first_move_at == 0) {
            program_.first_move_at = line_;
            program_.moves_xy_before_z = block.has('X') || block.has('Y') || !(to.z > at_.z);
            program_.sets_units = said_units_, program_.sets_absolute = said_absolute_, program_.sets_plane = said_plane_;
            program_.sets_feed_mode = said_feed_mode_, program_.sets_offset = offset_ == 540;
        }
        program_.uses_z |= block.has('Z');
        Move& made = program_.track.moves.emplace_back();
        made.to = at_ = to;
        made.feed = kind == MoveKind::rapid ? 0 : static_cast<float>(feed_);
        made.line = line_;
        made.arc = arc;
        made.kind = kind;
        made.running = running_;
        made.power = power_;
    }
    void finish() {
        program_.lines = line_;
        program_.running_at_end = on_;
        if (opened_ && !closed_) fault("is the last, and the % that opened the text has no second one.");
        const auto& moves = program_.track.moves;
        if (moves.empty()) return;
        const Point3& to = moves.back().to;
        const Point3& from = moves.size() > 1 ? moves[moves.size() - 2].to : program_.track.start;
        program_.retreats_at_end = moves.back().kind == MoveKind::rapid && flat(to) == flat(from) && to.z >= from.z && to.z > 0;
    }

    ReadProgram& program_;
    std::string_view text_;
    double dwell_unit_;
    ReadLimits limits_;
    std::size_t most_line_;
    std::uint32_t line_ = 0;
    Point3 at_;
    double unit_ = 1, feed_ = 0, rpm_ = -1;  // rpm: the last S, a beam's too; −1: never said
    std::uint16_t power_ = 0;                // of a beam that is on
    int motion_ = -1, plane_ = 17, offset_ = 0;
    Point3 zero_, shift_, kept_shift_;  // of the words against the work zero at the start: by G10, by G92; that of G92.2
    bool zeroed_ = false;               // by a probe, G10 or G92: what the words mean now holds for the work zero in force only
    bool touched_zero_ = false, touched_shift_ = false;  // a zero was set where a probe touched, by G10 or G92; by G92
    unsigned open_ = 0;                                  // bits of the axes along which a probe touched somewhere
    Point3 began_, forward_;                             // of that probe: from where, and which way
    Cycle cycle_;
    int cycle_said_ = 0;  // 1: R, 2: Z
    bool back_to_r_ = false;
    bool absolute_ = true, centre_absolute_ = false, on_ = false, running_ = false;
    bool said_units_ = false, said_absolute_ = false, said_plane_ = false, said_feed_mode_ = false;
    bool opened_ = false, closed_ = false, words_seen_ = false;
    bool quick_ = false;  // absolute, within the program, first move made
};

}  // namespace burin
