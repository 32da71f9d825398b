#pragma once
/// Help, manual page and shell completion, all made from the option table.
#include <string>
#include <string_view>

#include "burin/job/options.hpp"

namespace burin {

/// What `burin --help` prints: the commands.
[[nodiscard]] std::string overview_text();
/// What `burin COMMAND --help` prints: every option with its default, and an example.
[[nodiscard]] std::string help_text(const CommandEntry& command);
/// The manual page in roff (man macros), section 1.
[[nodiscard]] std::string man_page(std::string_view version);
/// Every option as rows of a Markdown table: name, default, meaning, and which commands take it.
[[nodiscard]] std::string option_reference();
/// A job file to start from: it works as it is, and tells every key in comments.
[[nodiscard]] std::string starter_job();
/// Completion of commands and options for "bash", "zsh" or "fish". Throws Error (usage) for another shell.
[[nodiscard]] std::string completion_script(std::string_view shell);

}  // namespace burin
