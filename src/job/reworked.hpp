#pragma once
// What resume and split share: the programs that they are given, and what those were made for. Inside the room only.
#include <memory>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/job/order.hpp"
#include "burin/report/rework_report.hpp"
#include "burin/rework/prove.hpp"
#include "burin/rework/rest.hpp"
#include "checked_parts.hpp"

namespace burin {

/// The last program is the one in question; those before it ran before it.
struct Reworked {
    std::vector<CheckedFile> files;  ///< whole
    OldProgram old;                  ///< of files.back()
    bool beam = false;
    bool many_bits = false;             ///< its stretches between pauses have bits of their own
    std::vector<std::string> sections;  ///< the old program as it is proved: whole, or stretch by stretch
    std::vector<Bit> bits;              ///< of the earlier files, then of the sections; a beam's: none
    ReworkTask task;                    ///< earlier and whole are there
    WayIn way;
    ReworkReport report;  ///< machine, material, stock, zero, cautions, what was assumed
};

/// Reads the files, and from beside the last one a job.toml and report.json where there are any: machine, material, stock, zero, and which
/// programs ran before. What was given counts more. Throws Error: input, usage, refused.
[[nodiscard]] std::unique_ptr<Reworked> reworked(const Order& order, const PresetFolders& presets, const Crew& crew);

/// A new program's text as it is proved, ready for ReworkTask::made; `texts` keeps what it points into and must not move.
void add_made(const Reworked& given, const Rest& rest, const std::string& file, std::vector<std::string>& texts,
              std::vector<ProofProgram>& made);
/// What was done of the old program, for ReworkTask::done.
[[nodiscard]] std::vector<ProofProgram> done_programs(const Reworked& given, std::size_t done, std::vector<std::string>& texts);

/// Proves, gathers sentences, and makes the files: programs, report.html, pictures, report.json. Throws Error (refused) with the first
/// promises that would be broken.
[[nodiscard]] Finished finish_rework(Reworked& given, std::vector<OutputFile> programs, const Crew& crew);

/// The program's name without folder and ending, short and plain.
[[nodiscard]] std::string stem_of(const std::string& file);
/// "a bit" or "the beam" for sentences; the tool of new programs in the report.
[[nodiscard]] std::string tool_words(const Reworked& given, const Rest& rest);

}  // namespace burin
