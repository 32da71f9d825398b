/// CLI11 takes the words apart; which options there are, and what their values mean, is the option table's affair.
#include "command_line.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <map>

#include "burin/base/error.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin::app {
namespace {

[[nodiscard]] Error wrong(const std::string& sentence) { return {Fault::usage, sentence}; }

std::string suggestion(const std::string& near, const std::string& otherwise) {
    return near.empty() ? otherwise : fmt::format("Did you mean '{}'?", near);
}

/// What a word that nobody took is.
[[nodiscard]] Error unexpected(const std::string& word, const CommandEntry& command) {
    if (word.size() < 2 || word.front() != '-')
        return wrong(command.argument.empty()
                         ? fmt::format("'{}' takes no '{}'.", command.name, word)
                         : fmt::format("'{}' is one argument too many: {} takes one {}. A name with spaces needs quotes.", word,
                                       command.name, command.argument));
    std::vector<std::string> names{"--help"};
    for (const Option* option : options_of(command.command)) names.push_back(fmt::format("--{}", option->name));
    const std::string name = word.substr(0, word.find('='));
    if (option_named(name.substr(std::min<std::size_t>(2, name.size()))))
        return wrong(
            command.command == command_make
                ? fmt::format("'{}' is no option of make, which takes its job from a file: write it there.", name)
                : fmt::format("'{}' is no option of {}. `burin {} --help` tells those it takes.", name, command.name, command.name));
    return wrong(fmt::format("There is no option '{}'. {}", name,
                             suggestion(nearest_name(name, names), fmt::format("`burin {} --help` tells them all.", command.name))));
}

/// The values of one option, as the words had them.
struct Given {
    const Option* option = nullptr;
    std::vector<std::string> values;
    bool flag = false;
};

/// "--depth", "--depth=2" or "-o": no text that anyone means as a value.
bool names_an_option(const std::string& word) {
    if (word.size() == 2)
        return std::any_of(option_table().begin(), option_table().end(), [&](const Option& option) { return option.letter == word[1]; });
    return word.starts_with("--") && option_named(std::string_view(word).substr(2, word.find('=') - 2)) != nullptr;
}

void take_over(const Given& given, CommandLine& line) {
    const Option& option = *given.option;
    if (given.values.size() > 1 && !repeatable(option.kind))
        throw wrong(fmt::format("--{} was given {} times, and it can be given once.", option.name, given.values.size()));
    for (const std::string& text : given.values) {
        // A word that is an option itself is no value: the value was forgotten.
        if (text.size() > 1 && text.front() == '-' && names_an_option(text))
            throw wrong(fmt::format("--{} wants a value, and '{}' follows it. Give the value first, as in --{} {}.", option.name, text,
                                    option.name, option.sign));
        OptionValue value;
        try {
            value = parse_value(option, text);
        } catch (const Error& error) {
            throw wrong(fmt::format("--{}: {}", option.name, error.what()));
        }
        set_option(option, value, line.run, line.job, &line.cut);
    }
}

/// A flag is there or it is not: --invert=no would say neither.
void check_flags(const std::vector<std::string>& words) {
    for (const std::string& word : words) {
        if (word == "--") return;
        const std::size_t equals = word.find('=');
        if (equals == std::string::npos || !word.starts_with("--")) continue;
        const Option* option = option_named(std::string_view(word).substr(2, equals - 2));
        if (option && option->kind == ValueKind::flag)
            throw wrong(fmt::format("--{} takes no value: give it, or leave it out.", option->name));
    }
}

void check_argument(const CommandEntry& command, const std::string& argument) {
    if (argument.empty()) throw wrong(fmt::format("The name of the {} is empty.", command.argument));
    const auto& words = command.words;
    if (words.empty() || std::find(words.begin(), words.end(), argument) != words.end()) return;
    const std::string near = nearest_name(argument, {words.begin(), words.end()});
    throw wrong(fmt::format("{} '{}' is not known{}; one of {} is wanted.", command.name, argument,
                            near.empty() ? "" : fmt::format(" (did you mean '{}'?)", near), fmt::join(words, ", ")));
}

void read_options(std::vector<std::string> words, CommandLine& line) {
    const CommandEntry& command = *line.command;
    check_flags(words);
    CLI::App parser;
    parser.set_help_flag();
    parser.allow_extras();
    std::vector<std::string> arguments;
    std::vector<Given> all;
    for (const Option* option : options_of(command.command)) all.push_back({option, {}, false});
    if (!command.argument.empty()) parser.add_option("argument", arguments)->expected(0, 1 << 20);  // one too many is told apart below
    CLI::Option* help = parser.add_flag("--help,-h");
    std::vector<CLI::Option*> taken;
    for (Given& given : all) {
        const Option& option = *given.option;
        const std::string names = option.letter ? fmt::format("--{},-{}", option.name, option.letter) : fmt::format("--{}", option.name);
        if (option.kind == ValueKind::flag) {
            taken.push_back(parser.add_flag(names));
        } else {
            // Exactly one value each time, whatever it starts with: a picture may follow, and numbers may be negative.
            taken.push_back(parser.add_option(names, given.values)
                                ->expected(1)
                                ->allow_extra_args(false)
                                ->multi_option_policy(CLI::MultiOptionPolicy::TakeAll));
        }
    }
    std::reverse(words.begin(), words.end());  // as CLI11 wants them
    try {
        parser.parse(words);
    } catch (const CLI::ArgumentMismatch& error) {
        const std::string text = error.what();
        throw wrong(fmt::format("{} wants a value. `burin {} --help` tells which.", text.substr(0, text.find(':')), command.name));
    } catch (const CLI::ParseError& error) {
        throw wrong(fmt::format("{}. `burin {} --help` tells how it is meant.", error.what(), command.name));
    }
    line.help = help->count() > 0;
    if (line.help) return;
    const std::vector<std::string> extra = parser.remaining();
    if (!extra.empty()) throw unexpected(extra.front(), command);
    for (std::size_t k = 0; k < all.size(); ++k) {
        if (all[k].option->kind == ValueKind::flag) all[k].values.assign(taken[k]->count(), "true");
        take_over(all[k], line);
    }
    if (arguments.size() > 1 && !command.argument.ends_with("...")) throw unexpected(arguments[1], command);
    if (!command.argument.empty()) {
        const bool drawn_here = line.cut.text || line.cut.shape;  // no picture is needed
        if (arguments.empty() && drawn_here) return;
        if (arguments.empty()) throw wrong(fmt::format("{} needs a {}: {}", command.name, command.argument, command.example));
        line.argument = arguments.front();
        line.arguments = arguments;
        check_argument(command, line.argument);
    }
}

}  // namespace

CommandLine read_command_line(const std::vector<std::string>& words) {
    CommandLine line;
    if (words.empty())
        throw wrong("No command was given, such as: " + std::string(command_table().front().example) + "\n`burin --help` tells them all.");
    const std::string& first = words.front();
    if (first == "--help" || first == "-h" || first == "help") {
        line.help = true;
        if (words.size() > 1) line.command = command_named(words[1]);
        return line;
    }
    if (first == "--version") {
        line.version = true;
        return line;
    }
    line.command = command_named(first);
    if (!line.command) {
        std::vector<std::string> names{"--help", "--version"};
        for (const CommandEntry& command : command_table()) names.emplace_back(command.name);
        throw wrong(
            fmt::format("There is no command '{}'. {}", first, suggestion(nearest_name(first, names), "`burin --help` tells them all.")));
    }
    read_options({words.begin() + 1, words.end()}, line);
    return line;
}

}  // namespace burin::app
