#pragma once
/// What each command does, as calls into the library.
#include <atomic>

#include "command_line.hpp"

namespace burin::app {

/// The exit status. Throws Error.
[[nodiscard]] int run_command(const CommandLine& line, const std::atomic<bool>& stop);

}  // namespace burin::app
