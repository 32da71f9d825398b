/// Help and manual page. Lines of the help are broken at 100 columns, so that they fit the terminal of a small laptop.
#include "burin/job/manual.hpp"

#include <fmt/format.h>

#include "burin/base/error.hpp"

namespace burin {
namespace {

constexpr std::size_t help_width = 100, help_indent = 27;

/// Bytes are counted as columns but for the followers of UTF-8 sequences.
std::size_t columns(std::string_view text) {
    std::size_t count = 0;
    for (const char c : text) count += (static_cast<unsigned char>(c) & 0xC0) != 0x80;
    return count;
}

std::string wrapped(std::string_view text, std::size_t indent, std::size_t width) {
    std::string out;
    std::size_t column = indent;
    while (!text.empty()) {
        const std::size_t space = text.find(' ');
        const std::string_view word = text.substr(0, space);
        if (column > indent && column + 1 + columns(word) > width) {
            out += '\n' + std::string(indent, ' ');
            column = indent;
        } else if (column > indent) {
            out += ' ';
            ++column;
        }
        out += word;
        column += columns(word);
        if (space == std::string_view::npos) break;
        text.remove_prefix(space + 1);
    }
    return out;
}

std::string option_form(const Option& option) {
    const std::string value = option.sign.empty() ? "" : fmt::format(" {}", option.sign);
    return option.letter ? fmt::format("-{}, --{}{}", option.letter, option.name, value) : fmt::format("--{}{}", option.name, value);
}

std::string option_words(const Option& option) {
    return option.fallback.empty() ? std::string(option.help) : fmt::format("{} (default: {})", option.help, option.fallback);
}

std::string usage_line(const CommandEntry& command) {
    const bool makes = (command.command &
                        (cut_commands | command_make | command_tone | command_machine | command_zero | command_pace | command_choose)) != 0;
    return fmt::format("burin {}{}{}{}", command.name, command.argument.empty() ? "" : " ", command.argument,
                       makes ? " [options] -o FOLDER" : "");
}

/// The commands that take it.
std::string takers_of(const Option& option) {
    std::string names;
    unsigned left = option.commands;
    const auto all_of = [&](unsigned commands, const char* words) {
        if (!names.empty() || (left & commands) != commands) return;
        names = words;
        left &= ~commands;
    };
    all_of(cut_commands, "all cuts");
    if ((left & command_card) == 0) all_of(cut_commands & ~command_card, "all cuts but card");
    if ((left & command_face) == 0) all_of(cut_commands & ~command_face, "all cuts but face");
    if ((left & (command_card | command_face)) == 0) all_of(cut_commands & ~(command_card | command_face), "all cuts but card and face");
    all_of(figure_commands, "all figures");
    for (const CommandEntry& command : command_table())
        if (left & command.command) names += fmt::format("{}{}", names.empty() ? "" : ", ", command.name);
    return names;
}

constexpr std::string_view exit_statuses =
    "0 done; 1 refused: the job conflicts with the stock or the machine, or breaks a promise; 2 an option or a job file is wrong in "
    "itself; 3 an input is "
    "missing or cannot be read; 4 the output cannot be written; 130 stopped by Ctrl-C.";

constexpr std::string_view batches =
    ".SH BATCHES\n"
    "With \\-\\-each a job is made for every row of a table: comma-separated values (RFC 4180), UTF-8, columns named in the first line. In "
    "any "
    "string of the job file {column} stands for the row's value, {{ and }} for braces; where a key wants a number, or true or false, such "
    "a "
    "string is read as that.\n.PP\n"
    "All rows are checked before the first is cut. A row that will not do is listed and stops no other; the exit status is 1 then. Each "
    "result lies in a folder named after its row, and index.html shows them all. A row that is finished is not made again: run the same "
    "command to go on after a stop.\n.PP\n"
    "Rows do not depend on each other and can be made on several machines that share a folder, the page afterwards:\n.PP\n.nf\n"
    "seq 0 9 | parallel \\-\\-sshlogin a,b 'burin make tags.toml \\-\\-each names.csv \\-\\-only $(({}*100+1))\\-$(({}*100+100)) \\-o "
    "tags'\n"
    "burin make tags.toml \\-\\-each names.csv \\-\\-only 0 \\-o tags\n.fi\n";

/// Text made safe for roff: backslashes, a leading point or quote, hyphens that are to stay plain.
std::string roff(std::string_view text) {
    std::string out;
    for (const char c : text) {
        if (c == '\\')
            out += "\\e";
        else if (c == '-')
            out += "\\-";
        else
            out += c;
    }
    if (!out.empty() && (out.front() == '.' || out.front() == '\'')) out.insert(0, "\\&");
    return out;
}

}  // namespace

std::string overview_text() {
    std::string out =
        "burin makes a proven set of cutting programs from a picture.\n\n"
        "usage: burin COMMAND ... \n\n";
    out.erase(out.find(" \n"), 1);
    for (const CommandEntry& command : command_table())
        out += fmt::format("  {:<22} {}\n", fmt::format("{} {}", command.name, command.argument), wrapped(command.summary, 25, help_width));
    out += "\n`burin COMMAND --help` tells the options of a command; `burin --version` the version.\n\nexample: ";
    out += command_table().front().example;
    return out + '\n';
}

std::string help_text(const CommandEntry& command) {
    std::string out = fmt::format("{}\n\nusage: {}\n", command.summary, usage_line(command));
    if (command.command & figure_commands)
        out += "The drawing is a picture (PNG, JPEG, TIFF, WebP) or an SVG, or --text or --shape in place of it.\n";
    const auto options = options_of(command.command);
    if (!options.empty()) out += "\noptions:\n";
    for (const Option* option : options) {
        const std::string form = "  " + option_form(*option);
        const std::string gap =
            form.size() + 2 > help_indent ? '\n' + std::string(help_indent, ' ') : std::string(help_indent - form.size(), ' ');
        out += fmt::format("{}{}{}\n", form, gap, wrapped(option_words(*option), help_indent, help_width));
    }
    if (!options.empty())
        out +=
            '\n' +
            wrapped("Numbers are plain decimals; lengths are in mm. A job file takes the same names, without the dashes.", 0, help_width) +
            '\n';
    return out + fmt::format("\nexample: {}\n", command.example);
}

std::string option_reference() {
    std::string out = "| option, key | default | meaning | taken by |\n|---|---|---|---|\n";
    for (const Option& option : option_table())
        out += fmt::format("| `{}` | {} | {} | {} |\n", option_form(option), option.fallback, option.help, takers_of(option));
    return out;
}

std::string man_page(std::string_view version) {
    std::string out = fmt::format(".TH BURIN 1 \"\" \"burin {}\" \"User Commands\"\n", version);
    out += ".SH NAME\nburin \\- pictures to proven cutting programs for a small desktop router or laser\n.SH SYNOPSIS\n";
    for (const CommandEntry& command : command_table()) out += fmt::format(".B {}\n.br\n", roff(usage_line(command)));
    out +=
        ".SH DESCRIPTION\nburin reads a picture and writes the programs that cut it, one for each bit, after it has proved them on a model "
        "of the stock. "
        "Beside them it writes a report to run the job by, a preview, and a job file that makes the same again.\n";
    out += ".SH COMMANDS\n";
    for (const CommandEntry& command : command_table()) {
        out += fmt::format(".TP\n.B {}\n{}\n", roff(fmt::format("{} {}", command.name, command.argument)), roff(command.summary));
        out += fmt::format(".br\nExample: {}\n", roff(command.example));
    }
    out += ".SH OPTIONS\nA job file takes the same names without the dashes. Numbers are plain decimals; lengths are in mm.\n";
    for (const Option& option : option_table())
        out += fmt::format(".TP\n.B {}\n{} [{}]\n", roff(option_form(option)), roff(option_words(option)), roff(takers_of(option)));
    out += batches;
    out += fmt::format(".SH EXIT STATUS\n{}\n", roff(exit_statuses));
    out +=
        ".SH ENVIRONMENT\n.TP\n.B BURIN_PRESETS\nfolder of presets, searched after the user's own\n.TP\n.B XDG_CONFIG_HOME\nthe user's own "
        "presets lie in its folder "
        "burin; without it in ~/.config/burin\n.TP\n.B NO_COLOR\nno colours on the terminal\n";
    out +=
        ".SH CAUTION\nA router does what it is told. Read the report before the first cut, keep the emergency stop in reach, protect eyes, "
        "ears and lungs, and stay with "
        "the machine.\n";
    return out;
}

}  // namespace burin
