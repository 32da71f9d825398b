#pragma once
/// Programs made from a program: the rest of one that stopped in the middle, or its parts for several evenings.
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "burin/motion/timing.hpp"
#include "burin/program/rs274.hpp"
#include "burin/workshop/machine.hpp"

namespace burin {

/// An S word, and the line it stands on.
struct SaidSpeed {
    std::uint32_t line = 0;
    double value = 0;
};

/// A program as it was read, with what its track does not keep. `text` must outlive it.
struct OldProgram {
    std::string file;  ///< for sentences
    std::string_view text;
    ReadProgram read;
    Timing timing;
    std::vector<SaidSpeed> speeds;
    bool coolant = false;                 ///< a spindle's program that switches coolant or air (M7, M8)
    std::vector<std::size_t> pauses;      ///< moves before which it waits (M0, M1), in order
    std::vector<std::uint32_t> pause_at;  ///< the lines of those
};
/// Reads a text of a spindle or a beam. Throws Error: input, where nothing in it moves; refused, with the line, where the strict reader
/// does not follow it, where it uses another work zero than G54, or lets the spindle turn backwards (M4).
[[nodiscard]] OldProgram old_program(std::string file, std::string_view text, const Machine& machine, ToolKind tool);

/// Seconds from the start to the beginning of a move.
[[nodiscard]] double time_before(const OldProgram& old, std::size_t move);

/// How many moves are surely done, told in one of three ways.
///
/// By the last line that the controller has answered: it may still have held `planned_moves` of them in its memory, but for those
/// before a pause or a dwell, where it comes to rest. Throws Error (usage) where there is no such line.
[[nodiscard]] std::size_t done_by_line(const OldProgram& old, std::uint32_t line, int planned_moves);
/// By the share 0 … 1 of the time.
[[nodiscard]] std::size_t done_by_share(const OldProgram& old, double share);
/// By a height: all before the first move on the feed that reaches `z` or goes below it. Throws Error (refused) where none does.
[[nodiscard]] std::size_t done_by_height(const OldProgram& old, double z);

/// How a program that goes on comes back to its place.
struct WayIn {
    double run_in = 3;          ///< mm of way that are run once more (with a beam: dark), to come to speed and to miss nothing
    double safe_z = 3;          ///< mm; the bit crosses the stock at this height
    double clear_z = 0.5;       ///< mm; down to here by rapid, from here at the plunge feed, though no stock is left there
    double plunge = 0;          ///< mm/min
    double spin_up = 3;         ///< s
    bool milliseconds = false;  ///< how the controller counts a dwell
    std::vector<std::string> header;
};
/// Safe height and spin-up as the program itself has them, the machine's where they are longer; for a beam the run-up that its
/// feeds want: v² ÷ 2a (kinematics), half as much again and 0.2 mm.
[[nodiscard]] WayIn way_in_for(const OldProgram& old, const Machine& machine, double plunge);

/// A piece of an old program, made a whole program of its own.
struct Rest {
    WrittenProgram written;
    Point3 entry;                       ///< where it comes down
    double run_in = 0;                  ///< mm that are run once more
    std::uint32_t line = 0;             ///< of the old text: where it begins
    std::size_t move = 0;               ///< the old move that it begins in
    std::vector<std::size_t> sections;  ///< which stretches between pauses it holds
    bool empty = true;                  ///< nothing is left to be cut: no program
};

/// Moves first … last − 1 as a program: it says all modes anew, lifts, starts and spins up, goes over its place, comes down where
/// the bit has been before, and runs in. The moves themselves stay as they are; slanted rapids become two, and where the program waits
/// (M0) every mode is said anew after it. Coming down is safe because the stock is a height map and the bit has been there: what it left
/// stands nowhere above it. A beam stays dark until move `first`.
/// Throws Error (refused): a move that cuts while the spindle is off; what write_program cannot write.
[[nodiscard]] Rest rest_of(const OldProgram& old, std::size_t first, std::size_t last, const WayIn& way);

/// Where to cut a program into parts of at most `seconds`: moves at which a part ends. Retreats between passes in the last third of a
/// part are preferred, else it ends where it is, and the next one runs in. Greedy; O(moves). Throws Error (refused) where more than
/// `most` parts would be needed.
[[nodiscard]] std::vector<std::size_t> split_places(const OldProgram& old, double seconds, std::size_t most = 26);

/// The text between two pauses as a program of its own: as many empty lines before it as lines are before it in the text, so that lines
/// keep their numbers. Ends with M2.
[[nodiscard]] std::vector<std::string> sections_of(std::string_view text, std::span<const std::uint32_t> pause_lines);
/// Lines 1 … the line of move `done` − 1, as it was run: a beam goes on to the end of the next move, dark.
[[nodiscard]] std::string done_text(const OldProgram& old, std::size_t done);

}  // namespace burin
