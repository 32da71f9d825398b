/// Values of a row put in the place of `{column}`. One pass; what a value holds is never looked through again.
#include "fields.hpp"

#include <vector>

#include "burin/base/error.hpp"
#include "burin/workshop/toml_table.hpp"
#include "fmt/format.h"
#include "fmt/ranges.h"

namespace burin {
namespace {

[[nodiscard]] Error no_column(const std::string& name, const std::map<std::string, std::string>& row) {
    std::vector<std::string> columns;
    for (const auto& [column, value] : row) columns.push_back(column);
    const std::string near = nearest_name(name, columns);
    return {Fault::usage, near.empty() ? fmt::format("there is no column '{}'; these are: {}.", name, fmt::join(columns, ", "))
                                       : fmt::format("there is no column '{}'; did you mean '{}'?", name, near)};
}

}  // namespace

Filled fill_fields(std::string_view text, const std::map<std::string, std::string>& row) {
    Filled out;
    for (std::size_t at = 0; at < text.size();) {
        const char c = text[at];
        if (c != '{' && c != '}') {
            out.text += c;
            ++at;
            continue;
        }
        if (at + 1 < text.size() && text[at + 1] == c) {
            out.text += c;
            at += 2;
            continue;
        }
        const std::size_t end = c == '{' ? text.find('}', at) : std::string_view::npos;
        if (end == std::string_view::npos)
            throw Error(Fault::usage, c == '{' ? "a brace opens here and no field follows, as in {name}; a brace itself is written {{."
                                               : "a brace closes here that was never opened; a brace itself is written }}.");
        const std::string name(text.substr(at + 1, end - at - 1));
        const auto found = row.find(name);
        if (found == row.end()) throw no_column(name, row);
        out.text += found->second;
        out.had_field = true;
        at = end + 1;
    }
    return out;
}

}  // namespace burin
