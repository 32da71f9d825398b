#pragma once
/// Fields in the strings of a job file: `{column}` stands for a row's value, `{{` and `}}` for braces.
#include <map>
#include <string>
#include <string_view>

namespace burin {

struct Filled {
    std::string text;
    bool had_field = false;
};

/// Throws Error (usage), the sentence without its place: no such column (with the nearest), a brace that opens or closes nothing.
[[nodiscard]] Filled fill_fields(std::string_view text, const std::map<std::string, std::string>& row);

}  // namespace burin
