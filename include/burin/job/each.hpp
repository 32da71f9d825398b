#pragma once
/// Batches: one job file, many rows of values.
#include <cstddef>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/job/job.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {

struct EachWishes {
    std::filesystem::path job_file, table, folder;
    std::optional<std::string> name_column;
    std::optional<std::string> only;   ///< "5" or "1-50": rows counted from 1 below the header; "0": only the page is written
    std::optional<std::string> board;  ///< "240x150x3": pieces are laid out on boards of this stock
    std::optional<double> gap;         ///< between pieces on a board, mm; 5 where it is not given
    std::function<void(Job&)> adjust;  ///< what the command line says of every job; may be empty
};

struct EachOutcome {
    std::size_t done = 0, kept = 0;    ///< made now; found finished
    std::vector<std::string> failed;   ///< a sentence each
    std::vector<std::string> summary;  ///< lines for the person
};

/// "1-50" → {1, 50}, "7" → {7, 7}, "0" → {0, 0}. Throws Error (usage).
struct RowRange {
    std::size_t first = 0, last = 0;
};
[[nodiscard]] RowRange parse_rows(std::string_view text);

/// Fills the job file with every row's values and makes a finished job of each in folder/NAME, or of each board in folder/board-N; writes
/// folder/index.html. All rows are read and checked before the first is cut; what is wrong with any of them is thrown at once. What only
/// the cutting shows does not stop the others: it is listed. A folder that holds the same job of the same program already is left as it is.
/// Rows run beside each other on the crew's threads; the bytes do not depend on their number. Memory: what the rows being made hold, and a
/// few hundred bytes for each other one. Throws Error: usage, input, output, stopped.
[[nodiscard]] EachOutcome make_each(const EachWishes& wishes, const PresetFolders& presets, const Crew& crew);

}  // namespace burin
