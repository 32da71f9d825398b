#pragma once
/// Tables of values: comma-separated, as RFC 4180 has them.
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace burin {

struct CsvRow {
    std::size_t line = 0;             ///< of the file, counted from 1, where the row begins
    std::vector<std::string> values;  ///< as many as there are columns
};

/// The first record names the columns.
struct CsvTable {
    std::vector<std::string> columns;
    std::vector<CsvRow> rows;
};

inline constexpr std::size_t csv_most_bytes = std::size_t{64} << 20;

/// Fields stand between commas, in double quotes where they hold commas, line ends or quotes (then doubled); lines end with CRLF or LF,
/// the last one may do without; spaces count. The bytes are UTF-8 (RFC 3629), with or without the mark U+FEFF in front. Lines with nothing
/// in them are passed over.
/// Throws Error (input) with `origin` and line: larger than csv_most_bytes, not UTF-8, a NUL, a quote where none may stand, a quote that
/// is never closed, a lone carriage return, more or fewer fields than columns, no columns, a column without name or two of one name.
/// Cost: linear in the bytes.
[[nodiscard]] CsvTable read_csv(std::string_view bytes, const std::string& origin);

}  // namespace burin
