#pragma once
/// What the folders of a table's rows are called.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/job/csv.hpp"

namespace burin {

/// A name that any file system takes, memory cards (FAT) too: without slashes, control characters, parentheses and what FAT forbids, no
/// points or spaces at its ends, at most 60 bytes of whole characters. Empty where nothing is left.
[[nodiscard]] std::string safe_name(std::string_view text);

/// One for each row, different even where case does not count. From `column`, else the first column whose values are all different and
/// none empty, else the row's number. Names that become alike by being made safe get their row's number behind.
/// Throws Error: usage (no such column, with the nearest), input (values of `column` that are empty or the same, with their lines).
[[nodiscard]] std::vector<std::string> row_names(const CsvTable& table, const std::optional<std::string>& column,
                                                 const std::string& origin);

}  // namespace burin
