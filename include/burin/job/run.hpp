#pragma once
/// The pipeline: a job becomes the files of a finished job, in memory.
#include <filesystem>
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/base/files.hpp"
#include "burin/job/job.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {

struct Finished {
    std::vector<OutputFile> files;      ///< as `release` wants them, report.json last
    std::vector<std::string> summary;   ///< lines for the person: programs, times, what to do next
    std::vector<std::string> warnings;  ///< those of the report
};

/// Reads the picture, makes the heights, plans, writes, proves, reports. Same job, same bytes, on any number of threads.
/// Throws Error: usage, input (picture, preset file), refused (what conflicts with stock or machine, quick ones first; a
/// promise that would be broken, with place and line), stopped.
[[nodiscard]] Finished run_job(const Job& job, const PresetFolders& presets, const Crew& crew);

/// Throws Error (output) where the results in `folder` would take the place of what they are made from: the picture, or a
/// job file that a person wrote (one that an earlier run wrote may be replaced). `job_file`: empty, or where the job came from.
void check_inputs_survive(const Job& job, const std::filesystem::path& job_file, const std::filesystem::path& folder);

}  // namespace burin
