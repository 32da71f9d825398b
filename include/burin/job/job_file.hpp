#pragma once
/// Job files: TOML, with the names of the option table.
#include <filesystem>
#include <map>
#include <string>
#include <string_view>

#include "burin/job/job.hpp"

namespace burin {

/// What a job file says. `origin` is its name for sentences; relative paths in it count from `folder`. Throws Error
/// (usage): not TOML, unknown key with the nearest right one, wrong type, impossible value, each with file, line and key.
[[nodiscard]] Job read_job(std::string_view toml, const std::string& origin, const std::filesystem::path& folder);
/// The same with the values of one row (column → value) put into the strings: `{column}` is the value, `{{` and `}}` are braces; where a
/// key wants a number, or true or false, a string with a field is read as that. Throws also where there is no such column.
[[nodiscard]] Job read_job(std::string_view toml, const std::string& origin, const std::filesystem::path& folder,
                           const std::map<std::string, std::string>& row);

/// The same job as TOML that reads back to an equal one, keys in the order of the option table. Values that are not
/// given are left out.
[[nodiscard]] std::string write_job(const Job& job);
/// A sentence that speaks of options (--depth) turned into one that speaks of a job file's keys ('depth'), but for options that the
/// command `make` takes itself.
[[nodiscard]] std::string in_keys(std::string_view sentence);
/// How every file of write_job begins.
inline constexpr std::string_view job_file_mark = "# The whole job, every value written out:";

}  // namespace burin
