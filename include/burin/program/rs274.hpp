#pragma once
/// The one place that knows the dialect: tracks to RS-274/NGC text and back (NISTIR 6556).
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "burin/motion/track.hpp"

namespace burin {

/// What M3, M4 and S mean: a spindle's direction and speed, or a beam with constant power, with power scaled by speed, and its power.
enum class ToolKind : std::uint8_t { spindle, beam };

struct ProgramStyle {
    bool inch = false;  ///< G20 and four decimals
    bool dwell_in_milliseconds = false;
    double spin_up_s = 3;
    double rpm = 10000;
    double safe_z = 3;                ///< mm; where the last retreat goes to
    double lift = 0;                  ///< added to every z (dry run in the air)
    double plunge = 0;                ///< mm/min, 0: unknown; see write_program
    std::vector<std::string> header;  ///< comment lines: job, bit, zero, time; cleaned and cut to fit
    ToolKind tool = ToolKind::spindle;
    bool still = false;        ///< spindle: stays off (M5 in place of M3 and its dwell); rpm and spin_up_s play no part
    bool scaled = true;        ///< beam: M4, its power goes with the actual speed; else M3, constant
    bool air = false;          ///< beam: air assist, M8 before the first move and M9 after the last
    bool focus_steps = false;  ///< beam: the head moves in z too, so the program lifts it first and last; else no Z word at all
};

struct WrittenProgram {
    std::string text;
    std::vector<std::uint32_t> pass_lines;  ///< line at which each pass begins, of all toolpaths in order
    std::vector<std::uint32_t> part_lines;  ///< join_programs: line at which each part begins; write_program: one, line 1
    std::uint32_t lines = 0;
    std::uint32_t body_first = 1, body_last = 0;  ///< write_program: the lines of the moves themselves; none: first > last
};

/// Header comments, G21 G90 G17 G94 G54, Z up before X and Y, M3 S and spin-up dwell, the moves (modal words left out,
/// 3 decimals, 4 for inches and arcs), retreat, M5, M2. Lines ≤ 70 characters, ASCII, LF. Locale plays no part.
///
/// X and Y are rounded to the nearest, z upwards, so that nothing goes deeper than asked; moves that come out as no motion
/// are dropped. F words are written when they change, whole mm/min (inches: hundredths) rounded down. Rounding can make a
/// short descent steeper: where the move as asked goes down at no more than `style.plunge`, its F is lowered until the move
/// as written does so too. The toolpath's own events stand in place; an `end` closes it and nothing may follow.
/// Throws Error (refused): a coordinate that is not finite or beyond 10 m, a feed move without a feed, a rapid that moves Z
/// together with X or Y; a move with a beam's power, or a beam's events, in a spindle's program.
///
/// A beam's program (style.tool) has its own frame: header, G21 …, M5 S0, with focus steps Z up to safe_z, with air M8, then M4 S0 (M3
/// where style.scaled is false); at its end S0, with focus steps the retreat, M5 S0, M9, M2. rpm and spin_up_s play no part. Each feed
/// move or arc carries its Move::power as S when that changes; before a rapid S0 is written unless the last S said so, and a dwell,
/// pause or end stands between M5 S0 and the M4 S0 or M3 S0 that it had before; after a pause a rapid leads back. The toolpath needs no
/// events of its own: beam_on, beam_off, air_on, air_off are for what differs from the style. Moves that come out as no motion are
/// dropped with their power. Refused too: power on a rapid; a move in z without style.focus_steps.
[[nodiscard]] WrittenProgram write_program(const Toolpath& path, const ProgramStyle& style);

/// One toolpath of a joined program.
struct ProgramPart {
    const Toolpath* path = nullptr;
    ProgramStyle style;  ///< inch and dwell_in_milliseconds must agree between the parts
    std::string pause;   ///< shown while the machine waits before this part: what to do; first part: none
};

/// One text of several toolpaths: each part retreats and stops its spindle, then M0 waits with a message; after it every
/// word is written afresh. Throws as write_program does, and Error (usage) if there are no parts or they disagree in units.
[[nodiscard]] WrittenProgram join_programs(std::span<const ProgramPart> parts);

/// A written program whose moves are to go into a longer one.
struct MergePart {
    const WrittenProgram* written = nullptr;  ///< by write_program, with the same units, safe height and lift as the style below
    double rpm = 0;
    std::string title;  ///< said in a comment before it
};

/// One text with the moves of several, line by line as they are: between them the tool is lifted to the safe height, and a spindle
/// speed that changes is set with its dwell (a beam is only dark between them, lifted where it has focus steps). `part_lines`: where the
/// lines of each begin. `style` is that of the whole, its rpm the first part's. Throws as write_program does.
[[nodiscard]] WrittenProgram merge_programs(std::span<const MergePart> parts, const ProgramStyle& style);

/// One text of several, each whole as it is but for its end; before each but the first M0 waits, with `pauses` (one less than there
/// are programs) as messages.
[[nodiscard]] WrittenProgram chain_programs(std::span<const WrittenProgram* const> programs, std::span<const std::string> pauses);

/// A comment made safe: printable ASCII, no parentheses, at most `most` characters; letters with accents lose them.
[[nodiscard]] std::string clean_comment(std::string_view text, std::size_t most = 66);

struct ProgramFault {
    std::uint32_t line = 0;  ///< 0: the text as a whole
    std::string what;        ///< goes on from "Line N …": "has two G words of one modal group"; a sentence where line is 0
    std::uint32_t more = 0;  ///< ReadProgram::not_plain: other lines, after it, of which the same is to be told
};

/// Where a beam has power though nothing moves.
struct LitStop {
    enum class Why : std::uint8_t {
        switched_on,
        set,
        dwell,
        pause,
        end
    };                       ///< M3 or M4 with S above 0; S alone on a line; G4; M0, M1; M2, M30
    std::size_t before = 0;  ///< counts moves, as Event::before does
    std::uint32_t line = 0;
    Why why = Why::dwell;
    std::uint16_t power = 0;
};

/// A probe's longest way (G38.2 to G38.5): it stops where it touches. Or a lift after it by a distance, as far as it may come.
struct Probe {
    Point3 from, to;
    std::uint32_t line = 0;
};

/// What a text means, as far as it was understood.
struct ReadProgram {
    ToolKind tool = ToolKind::spindle;    ///< as it was read
    Track track;                          ///< positions in mm; lines that name axes but move none are kept. Start: (0, 0, 0), or
                                          ///< where a probe touched and a zero was set last: what came before is left out
    bool begins_at_touch = false;         ///< the second
    std::vector<Probe> probes;            ///< wide; in order of lines, at most 100,000
    std::vector<ProgramFault> faults;     ///< words that are wrong, unknown or not followed; at most 100 are kept
    std::vector<ProgramFault> not_plain;  ///< read, yet not for our own programs: R arcs, offsets other than G54; each sentence once
    std::uint32_t lines = 0;
    std::size_t longest_line = 0;
    std::uint32_t longest_line_at = 0;  ///< the first of that length
    bool ended = false;                 ///< M2 or M30 seen
    bool running_at_end = false;        ///< spindle or beam on where the program ends: no M5 since M3 or M4
    bool not_ascii = false;
    std::uint32_t not_ascii_at = 0;   ///< its first line
    bool uses_z = false;              ///< a Z word moves
    bool moves_xy_before_z = false;   ///< the first line that moves is not Z alone, upwards
    std::uint32_t first_move_at = 0;  ///< line of the first move; 0: none
    bool retreats_at_end = false;     ///< the last move is a rapid of Z alone, not downwards, to above 0
    std::vector<LitStop> lit_stops;   ///< beam, in order of lines; at most 100
    double most_power = 0;            ///< beam: the greatest S of all, said while it was on or off
    std::uint32_t most_power_at = 0;  ///< its first line
    bool inch = false;                ///< G20 somewhere
    bool sets_units = false, sets_absolute = false, sets_plane = false, sets_feed_mode = false, sets_offset = false;
    ///< G20 or G21, G90, G17, G94, G54 were in force by words of the program before its first move
};

struct ReadLimits {
    std::size_t most_bytes = std::size_t{2} << 30;
    std::size_t most_line = 256;
    std::size_t most_more = 2'000'000;  ///< moves beyond one for each byte, from cycles and chords: past it, a fault ends them
    /// Also follows what our own programs never use, each told in `not_plain`: G10 L20 and G92 (the zero moves along), G10 L2, G28, G30
    /// and G53 where `home` says where they lie, G38.2 to G38.5 (see Probe), G43 (as if the length were 0), arcs in other planes (as
    /// chords), the cycles G81, 82, 83, 85, 86, 89 with G98 and G99, T, and M6 before anything was cut.
    bool wide = false;
    std::optional<Point3> home = {};  ///< the machine's own zero in work coordinates, on a machine that homes
};

/// Strict reader of the part of RS-274/NGC that our own programs use, and of all of G0–G3, G4, G17–19, G20/21, G40, G49,
/// G54–G59.3, G61/64, G80, G90/91, G90.1/91.1, G94, M0–M9, M30 with every rule of trade.md; what is not understood is a
/// fault, never guessed. Never throws on any bytes.
[[nodiscard]] ReadProgram read_program(std::string_view text, bool dwell_in_milliseconds = false, const ReadLimits& limits = {});
/// The same for a text whose M3, M4 and S are a beam's. Move::power is the S in force during the move where the beam is on, rapids too
/// (none is dark by itself): rounded, but never down to 0, at most 65535. Events are beam_on, beam_off, air_on (M7, M8), air_off. A fault
/// is also: a beam switched on before any S.
[[nodiscard]] ReadProgram read_program(std::string_view text, ToolKind tool, bool dwell_in_milliseconds = false,
                                       const ReadLimits& limits = {});

/// All in which a text falls short of "plain text that any controller takes": the reader's faults, what is not plain, a
/// start without units, distance mode, plane, feed mode or offset, X or Y moved before Z is up, lines over 70 characters,
/// other than ASCII, an end without retreat (where Z is used at all), M5 and M2. In order of lines; empty: none.
[[nodiscard]] std::vector<ProgramFault> plain_text_faults(const ReadProgram& program);

}  // namespace burin
