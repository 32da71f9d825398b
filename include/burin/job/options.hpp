#pragma once
/// The one option table: it feeds the command line, the job file (read and written), help, manual and completion.
#include <array>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <type_traits>
#include <variant>
#include <vector>

#include "burin/design/trace.hpp"
#include "burin/job/job.hpp"
#include "burin/workshop/keep_out.hpp"
#include "burin/workshop/traced_piece.hpp"

namespace burin {

/// The commands of the program; an option's `commands` is a sum of them.
enum Command : unsigned {
    command_relief = 1,
    command_make = 2,
    command_list = 4,
    command_show = 8,
    command_manual = 16,
    command_completion = 32,
    command_incise = 64,
    command_outline = 128,
    command_pocket = 256,
    command_stroke = 512,
    command_cutout = 1024,
    command_new = 2048,
    command_screen = 4096,
    command_stipple = 8192,
    command_burn = 16384,
    command_card = 32768,
    command_tone = 65536,
    command_check = 131072,
    command_machine = 1U << 18,
    command_zero = 1U << 19,
    command_pace = 1U << 20,
    command_level = 1U << 21,
    command_bend = 1U << 22,
    command_slice = 1U << 25,
    command_face = 1U << 26,
    command_drill = 1U << 28,
    command_isolate = 1U << 29,
    command_resume = 1U << 23,
    command_split = 1U << 24,
    command_choose = 1U << 27,
};
/// Drawings traced and cut by their line.
inline constexpr unsigned figure_commands =
    command_incise | command_outline | command_pocket | command_stroke | command_cutout | command_isolate | command_drill;
/// Photos as grooves or dots.
inline constexpr unsigned photo_commands = command_screen | command_stipple;
/// What can be made of a picture: these names stand in job files too, as `make`.
inline constexpr unsigned cut_commands = command_relief | figure_commands | photo_commands | command_card | command_burn | command_face;

struct CommandEntry {
    Command command;
    std::string_view name;
    std::string_view argument;            ///< "PICTURE"; empty: takes none
    std::vector<std::string_view> words;  ///< the only values of the argument; empty: any
    std::string_view summary;             ///< one sentence
    std::string_view example;
};
[[nodiscard]] std::span<const CommandEntry> command_table();
/// Null: no command of that name.
[[nodiscard]] const CommandEntry* command_named(std::string_view name);

enum class ValueKind {
    flag,    ///< present or not; true or false in a job file
    number,  ///< plain decimal
    whole,   ///< whole number
    text,    ///< checked by `check` where there is one
    word,    ///< one of `words`
    pair,    ///< two numbers, "3,4" (a job file also takes [3, 4])
    size,    ///< two lengths, "20x20"
    bits,    ///< bits, repeated for roughing then finishing
    texts    ///< texts, repeated as often as there are things; a job file has a list of them
};

/// Where a value is kept.
template <class Owner>
using MemberOf = std::variant<std::optional<bool> Owner::*, std::optional<double> Owner::*, std::optional<std::string> Owner::*,
                              std::optional<Point> Owner::*, std::vector<BitUse> Owner::*, std::vector<std::string> Owner::*>;
/// Whether a value is kept as a list, which no earlier run reckons one by one.
template <class Place>
inline constexpr bool is_list = std::is_same_v<Place, std::vector<BitUse>> || std::is_same_v<Place, std::vector<std::string>>;
/// Options that may be given more than once.
[[nodiscard]] constexpr bool repeatable(ValueKind kind) { return kind == ValueKind::bits || kind == ValueKind::texts; }
using Member = std::variant<MemberOf<RunOptions>, MemberOf<Job>, MemberOf<Cut>>;

struct Option {
    std::string_view name;  ///< "depth-per-pass": on the command line with two dashes, in a job file as it is
    ValueKind kind = ValueKind::number;
    std::string_view sign;      ///< what stands for the value in the help: "MM"
    std::string_view fallback;  ///< default, in words for the help; empty: none
    std::string_view help;      ///< one sentence or phrase
    unsigned commands = 0;
    Member member;
    double least = -1e6, most = 1e6;  ///< of numbers; pairs: of both
    bool above_least = false;         ///< least itself is not allowed
    std::vector<std::string> words = {};
    void (*check)(std::string_view text) = nullptr;  ///< throws Error (usage) that says what is wrong
    char letter = 0;                                 ///< short form, "-o"
};

/// All options, in the order in which help and job files show them.
[[nodiscard]] std::span<const Option> option_table();
/// Those of one command.
[[nodiscard]] std::vector<const Option*> options_of(Command command);
/// Null: no option of that name.
[[nodiscard]] const Option* option_named(std::string_view name);

using OptionValue = std::variant<bool, double, std::string, Point>;

/// A plain decimal: digits, a point, a sign; no exponent, no unit, no nan. Throws Error (usage) otherwise.
[[nodiscard]] double parse_number(std::string_view text);
/// A number as it is written in job files: the shortest decimal that reads back to the same value, without exponent.
[[nodiscard]] std::string number_text(double value);
/// What the text of the command line means for this option. Throws Error (usage): the sentence lacks the option's name.
[[nodiscard]] OptionValue parse_value(const Option& option, std::string_view text);
/// Checks range and words; throws as parse_value.
void check_value(const Option& option, const OptionValue& value);
/// Puts the value where it belongs; `cut` may be null for options of the job.
void set_option(const Option& option, const OptionValue& value, RunOptions& run, Job& job, Cut* cut);

/// "100x80x12", "round:90x12" or "oval:120x90x12" (round too), or the file of a piece as it is, which is read. Throws Error (usage; input
/// where the file is missing).
struct StockSize {
    bool round = false;
    double width = 0, height = 0, thickness = 0;
    std::shared_ptr<const TracedPiece> piece = {};  ///< the sizes are then those of the rectangle round it
};
/// Whether a stock is given by its file and not by its sizes.
[[nodiscard]] bool names_stock_file(std::string_view text);
[[nodiscard]] StockSize parse_stock(std::string_view text);
/// "box:X0,Y0,X1,Y1:HEIGHT" (lower left and upper right corner) or "circle:X,Y,DIAMETER:HEIGHT", work coordinates, mm, the height above the
/// stock top; a name may follow after one more colon, else it is called "keep-out NUMBER". Throws Error (usage).
[[nodiscard]] KeepOut parse_keep_out(std::string_view text, std::size_t number = 1);
/// All of a job, at most 100. Throws as parse_keep_out.
[[nodiscard]] std::vector<KeepOut> parse_keep_outs(const std::vector<std::string>& texts);
/// Those, and the machine's own.
[[nodiscard]] std::vector<KeepOut> keep_outs_of(const std::vector<std::string>& texts, const Machine& machine);
/// Numbers with commas. Throws as parse_number.
[[nodiscard]] std::vector<double> parse_numbers(std::string_view text);
/// "20,40,60": numbers with commas, each above 0, at most 20. Throws Error (usage).
[[nodiscard]] std::vector<double> parse_list(std::string_view text);
/// "#d4af37" → sRGB 0 … 1. Throws Error (usage).
[[nodiscard]] std::array<double, 3> parse_colour(std::string_view text);
/// "auto", "global", "local" or a number from 0 to 1 in place of it. Throws Error (usage).
struct ThresholdChoice {
    Threshold kind = Threshold::automatic;
    double value = 0.5;
};
[[nodiscard]] ThresholdChoice parse_threshold(std::string_view text);
/// "step" → 0, "blend:2.5" → 2.5. Throws Error (usage).
[[nodiscard]] double parse_border(std::string_view text);

}  // namespace burin
