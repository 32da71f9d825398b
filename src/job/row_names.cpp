/// Values made names of folders. Letters are compared without case as far as western, Greek and Cyrillic alphabets go.
#include "row_names.hpp"

#include <algorithm>
#include <map>
#include <set>

#include "burin/base/error.hpp"
#include "burin/base/utf8.hpp"
#include "burin/workshop/toml_table.hpp"
#include "fmt/format.h"

namespace burin {
namespace {

constexpr std::size_t longest_name = 60;

bool forbidden(char c) {
    const auto u = static_cast<unsigned char>(c);
    return u < 0x20 || u == 0x7F || std::string_view("/\\:*?\"<>|()[]{}%#&;'`$~").find(c) != std::string_view::npos;
}

char32_t small(char32_t c) {
    if ((c >= 'A' && c <= 'Z') || (c >= 0xC0 && c <= 0xDE && c != 0xD7) || (c >= 0x391 && c <= 0x3A9) || (c >= 0x410 && c <= 0x42F))
        return c + 0x20;
    if (c >= 0x400 && c <= 0x40F) return c + 0x50;
    if ((c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17E)) return c % 2 == 1 ? c + 1 : c;
    if (c == 0x178) return 0xFF;
    return c >= 0x100 && c <= 0x177 && c % 2 == 0 ? c + 1 : c;
}

/// The same for names that a file system without case takes for one. `text` is UTF-8 already checked.
std::u32string without_case(std::string_view text) {
    std::u32string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t length = utf8_length(text, at);
        out += small(utf8_code(text, at, length));
        at += length;
    }
    return out;
}

/// The column's values hold no empty and no equal ones.
bool names_rows(const CsvTable& table, std::size_t column) {
    std::set<std::string_view> seen;
    return std::all_of(table.rows.begin(), table.rows.end(),
                       [&](const CsvRow& row) { return !row.values[column].empty() && seen.insert(row.values[column]).second; });
}

std::size_t named_column(const CsvTable& table, const std::string& column, const std::string& origin) {
    const auto found = std::find(table.columns.begin(), table.columns.end(), column);
    if (found == table.columns.end()) {
        const std::string near = nearest_name(column, table.columns);
        throw Error(Fault::usage, fmt::format("--name-column: {} has no column '{}'{}", origin, column,
                                              near.empty() ? "." : fmt::format("; did you mean '{}'?", near)));
    }
    const auto k = static_cast<std::size_t>(found - table.columns.begin());
    std::map<std::string_view, std::size_t> lines;
    for (const CsvRow& row : table.rows) {
        const std::string& value = row.values[k];
        if (value.empty())
            throw Error(Fault::input, fmt::format("{}, line {}: '{}' is empty, and it is to name the results.", origin, row.line, column));
        const auto [before, fresh] = lines.emplace(value, row.line);
        if (!fresh)
            throw Error(Fault::input,
                        fmt::format("{}, line {}: the name '{}' stands in line {} already, and results need names of their own. "
                                    "Give another --name-column, or leave it out.",
                                    origin, row.line, value, before->second));
    }
    return k;
}

}  // namespace

std::string safe_name(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const char safe = forbidden(c) ? '-' : c;
        const bool doubled = !out.empty() && safe == out.back() && (safe == '-' || safe == ' ');
        if (!doubled) out += safe;
    }
    std::size_t end = std::min(out.size(), longest_name);
    while (end < out.size() && end > 0 && (static_cast<unsigned char>(out[end]) & 0xC0) == 0x80) --end;
    out.resize(end);
    out.erase(0, out.find_first_not_of(". -"));
    out.erase(out.find_last_not_of(". -") + 1);
    return out;
}

std::vector<std::string> row_names(const CsvTable& table, const std::optional<std::string>& column, const std::string& origin) {
    std::size_t k = table.columns.size();
    if (column) {
        k = named_column(table, *column, origin);
    } else {
        for (std::size_t c = table.columns.size(); c-- > 0;)
            if (names_rows(table, c)) k = c;
    }
    std::set<std::u32string> taken{without_case("index.html")};
    std::vector<std::string> names;
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
        std::string name = k < table.columns.size() ? safe_name(table.rows[row].values[k]) : std::string();
        if (name.empty()) name = fmt::format("row-{}", row + 1);
        const std::string plain = name;
        while (!taken.insert(without_case(name)).second) name = name == plain ? fmt::format("{}-{}", plain, row + 1) : name + "-again";
        names.push_back(std::move(name));
    }
    return names;
}

}  // namespace burin
