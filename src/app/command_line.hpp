#pragma once
/// The words of the command line, understood.
#include <string>
#include <vector>

#include "burin/job/options.hpp"

namespace burin::app {

struct CommandLine {
    const CommandEntry* command = nullptr;  ///< null: help or version of the whole program
    bool help = false, version = false;
    std::string argument;
    std::vector<std::string> arguments;  ///< of commands that take several
    RunOptions run;
    Job job;
    Cut cut;
};

/// Throws Error (usage): unknown command or option with the nearest right one, a value missing or wrong, an option given
/// twice, more arguments than one.
[[nodiscard]] CommandLine read_command_line(const std::vector<std::string>& words);

}  // namespace burin::app
