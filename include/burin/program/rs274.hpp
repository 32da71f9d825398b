#pragma once
/// The one place that knows the dialect: tracks to RS-274/NGC text and back (NISTIR 6556).
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "burin/motion/track.hpp"

namespace burin {

struct ProgramStyle {
    bool inch = false;                      ///< G20 and four decimals
    bool dwell_in_milliseconds = false;
    double spin_up_s = 3;
    double rpm = 10000;
    double safe_z = 3;                      ///< mm; where the last retreat goes to
    double lift = 0;                        ///< added to every z (dry run in the air)
    std::vector<std::string> header;        ///< comment lines: job, bit, zero, time; cleaned and cut to fit
};

struct WrittenProgram {
    std::string text;
    std::vector<std::uint32_t> pass_lines;  ///< line at which each pass of the toolpath begins
    std::uint32_t lines = 0;
};

/// Header comments, G21 G90 G17 G94 G54, Z up before X and Y, M3 S and spin-up dwell, the moves (modal words left out,
/// 3 decimals, 4 for inches and arcs), retreat, M5, M2. Lines ≤ 70 characters, ASCII, LF. F words are written when they
/// change, whole mm/min rounded down. Locale plays no part. Throws Error (refused) on a coordinate that is not finite.
[[nodiscard]] WrittenProgram write_program(const Toolpath& path, const ProgramStyle& style);

/// A comment made safe: printable ASCII, no parentheses, at most `most` characters; letters with accents lose them.
[[nodiscard]] std::string clean_comment(std::string_view text, std::size_t most = 66);

struct ProgramFault {
    std::uint32_t line = 0;
    std::string what;
};

/// What a text means, as far as it was understood.
struct ReadProgram {
    Track track;                        ///< positions in mm, start (0, 0, 0)
    std::vector<ProgramFault> faults;   ///< words that are wrong or unknown, with their line; at most 100 are kept
    std::uint32_t lines = 0;
    std::size_t longest_line = 0;
    bool ended = false;                 ///< M2 or M30 seen
    bool running_at_end = false;        ///< spindle or beam on after the last line
    bool not_ascii = false;
    bool moves_xy_before_z = false;     ///< the first move is not Z alone, upwards
    bool sets_units = false, sets_absolute = false, sets_plane = false, sets_feed_mode = false, sets_offset = false;
};

struct ReadLimits {
    std::size_t most_bytes = std::size_t{2} << 30;
    std::size_t most_line = 256;
};

/// Strict reader of the part of RS-274/NGC that our own programs use, and of all of G0–G3, G4, G17–19, G20/21, G40, G49,
/// G54–G59.3, G61/64, G80, G90/91, G90.1/91.1, G94, M0–M9, M30 with every rule of trade.md; what is not understood is a
/// fault, never guessed. Never throws on any bytes.
[[nodiscard]] ReadProgram read_program(std::string_view text, bool dwell_in_milliseconds = false, const ReadLimits& limits = {});

}  // namespace burin
