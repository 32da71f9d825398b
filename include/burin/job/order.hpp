#pragma once
/// What a command that makes files was given on the command line.
#include <string>
#include <vector>

#include "burin/base/crew.hpp"
#include "burin/job/job.hpp"
#include "burin/job/run.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {

struct Order {
    std::vector<std::string> arguments;  ///< names of files, as they were given
    Job job;                             ///< with one cut, of which the options that the command takes may be set
    RunOptions run;
};

/// A command's work: from its order to the files of a folder, report.json last where it is one of them. It reads through base/files and
/// writes nothing. Throws Error as run_job does.
using Work = Finished (*)(const Order& order, const PresetFolders& presets, const Crew& crew);

}  // namespace burin
