/// Completion scripts of three shells, from the tables of commands and options. What an option wants (words, a file, a
/// number) decides what is offered after it.
#include <fmt/format.h>

#include <string>

#include "burin/base/error.hpp"
#include "burin/job/manual.hpp"
#include "fmt/ranges.h"

namespace burin {
namespace {

/// Words that are offered after an option or in place of a command's argument; empty: files.
std::string joined(const std::vector<std::string>& words) { return fmt::format("{}", fmt::join(words, " ")); }
std::string joined(const std::vector<std::string_view>& words) { return fmt::format("{}", fmt::join(words, " ")); }

std::string options_in_words(const CommandEntry& command) {
    std::string out = "--help";
    for (const Option* option : options_of(command.command)) out += fmt::format(" --{}", option->name);
    return out;
}

std::string bash() {
    std::string out =
        "# Completion of burin for bash.\n_burin() {\n    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n    "
        "COMPREPLY=()\n    if [ "
        "\"$COMP_CWORD\" -eq 1 ]; then\n";
    std::string commands = "--help --version";
    for (const CommandEntry& command : command_table()) commands += fmt::format(" {}", command.name);
    out += fmt::format("        COMPREPLY=($(compgen -W '{}' -- \"$word\"))\n        return\n    fi\n    case $before in\n", commands);
    for (const Option& option : option_table()) {
        const std::string forms = option.letter ? fmt::format("--{}|-{}", option.name, option.letter) : fmt::format("--{}", option.name);
        if (!option.words.empty())
            out += fmt::format("        {}) COMPREPLY=($(compgen -W '{}' -- \"$word\")); return ;;\n", forms, joined(option.words));
        else if (option.letter == 'o')
            out += fmt::format("        {}) COMPREPLY=($(compgen -d -- \"$word\")); return ;;\n", forms);
        else if (option.kind == ValueKind::text || option.kind == ValueKind::bits)
            out += fmt::format("        {}) COMPREPLY=($(compgen -f -- \"$word\")); return ;;\n", forms);
        else if (option.kind != ValueKind::flag)
            out += fmt::format("        {}) return ;;\n", forms);
    }
    out += "    esac\n    case ${COMP_WORDS[1]} in\n";
    for (const CommandEntry& command : command_table()) {
        out += fmt::format("        {}) case $word in -*) COMPREPLY=($(compgen -W '{}' -- \"$word\")) ;; *) ", command.name,
                           options_in_words(command));
        out += command.words.empty() ? "COMPREPLY=($(compgen -f -- \"$word\"))"
                                     : fmt::format("COMPREPLY=($(compgen -W '{}' -- \"$word\"))", joined(command.words));
        out += " ;; esac ;;\n";
    }
    return out + "    esac\n}\ncomplete -o filenames -F _burin burin\n";
}

/// A text within single quotes of a shell; brackets and colons mean something to zsh's descriptions.
std::string quoted(std::string_view text, bool zsh) {
    std::string out;
    for (const char c : text) {
        if (c == '\'')
            out += zsh ? "'\\''" : "\\'";
        else if (zsh && (c == '[' || c == ']' || c == ':'))
            out += fmt::format("\\{}", c);
        else if (!zsh && c == '\\')
            out += "\\\\";
        else
            out += c;
    }
    return out;
}

std::string zsh() {
    std::string out =
        "#compdef burin\n# Completion of burin for zsh.\n_burin() {\n    if (( CURRENT == 2 )); then\n        local -a commands\n        "
        "commands=(";
    for (const CommandEntry& command : command_table())
        out += fmt::format("\n            '{}:{}'", command.name, quoted(command.summary, true));
    out += ")\n        _describe command commands\n        return\n    fi\n    case $words[2] in\n";
    for (const CommandEntry& command : command_table()) {
        out += fmt::format("        {}) shift words; (( CURRENT-- )); _arguments '--help[tells the options]'", command.name);
        for (const Option* option : options_of(command.command)) {
            const std::string repeat = repeatable(option->kind) ? "*" : "";
            std::string value;
            if (!option->words.empty())
                value = fmt::format(":{}:({})", option->sign, joined(option->words));
            else if (option->letter == 'o')
                value = fmt::format(":{}:_files -/", option->sign);
            else if (option->kind == ValueKind::text || option->kind == ValueKind::bits)
                value = fmt::format(":{}:_files", option->sign);
            else if (option->kind != ValueKind::flag)
                value = fmt::format(":{}: ", option->sign);
            for (const std::string& form :
                 option->letter ? std::vector<std::string>{fmt::format("--{}", option->name), fmt::format("-{}", option->letter)}
                                : std::vector<std::string>{fmt::format("--{}", option->name)})
                out += fmt::format(" \\\n            '{}{}[{}]{}'", repeat, form, quoted(option->help, true), value);
        }
        if (!command.argument.empty())
            out += command.words.empty() ? fmt::format(" \\\n            '1:{}:_files'", command.argument)
                                         : fmt::format(" \\\n            '1:{}:({})'", command.argument, joined(command.words));
        out += " ;;\n";
    }
    return out + "    esac\n}\n_burin \"$@\"\n";
}

std::string fish() {
    std::string out = "# Completion of burin for fish.\n";
    for (const CommandEntry& command : command_table()) {
        out += fmt::format("complete -c burin -f -n __fish_use_subcommand -a {} -d '{}'\n", command.name, quoted(command.summary, false));
        if (!command.words.empty())
            out += fmt::format("complete -c burin -f -n '__fish_seen_subcommand_from {}' -a '{}'\n", command.name, joined(command.words));
        else if (!command.argument.empty())
            out += fmt::format("complete -c burin -F -n '__fish_seen_subcommand_from {}'\n", command.name);
        for (const Option* option : options_of(command.command)) {
            std::string value;
            if (!option->words.empty())
                value = fmt::format(" -x -a '{}'", joined(option->words));
            else if (option->kind == ValueKind::text || option->kind == ValueKind::bits)
                value = " -r -F";
            else if (option->kind != ValueKind::flag)
                value = " -x";
            out += fmt::format("complete -c burin -n '__fish_seen_subcommand_from {}' -l {}{}{} -d '{}'\n", command.name, option->name,
                               option->letter ? fmt::format(" -s {}", option->letter) : "", value, quoted(option->help, false));
        }
    }
    return out;
}

}  // namespace

std::string completion_script(std::string_view shell) {
    if (shell == "bash") return bash();
    if (shell == "zsh") return zsh();
    if (shell == "fish") return fish();
    throw Error(Fault::usage, fmt::format("There is no completion for '{}'; bash, zsh or fish is wanted.", shell));
}

}  // namespace burin
