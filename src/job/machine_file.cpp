/// A controller's list of settings becomes a machine's file, with a sheet that says where every figure came from.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <filesystem>
#include <system_error>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/base/utf8.hpp"
#include "burin/job/options.hpp"
#include "burin/job/setup.hpp"
#include "burin/report/sheet.hpp"
#include "burin/workshop/presets.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view machine_mark = "# A machine by its controller's own settings:";

/// Names of files hold letters that every medium takes.
std::string file_name(const std::string& name) {
    std::string out;
    for (const char c : name) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
        out += plain ? c : '-';
    }
    return out.empty() ? "machine" : out;
}

/// What may stand in a comment of TOML.
std::string one_line(const std::string& text) {
    std::string out = is_utf8(text) ? text : std::string("the list");
    for (char& c : out)
        if (static_cast<unsigned char>(c) < 32 || c == 127) c = ' ';
    return out;
}

std::string place_words(const FigureOrigin& origin, const std::string& mark) {
    return fmt::format("{}{}, line {}", mark, origin.number, origin.line);
}

std::string file_text(const MachineFromSettings& made, const Controller& controller, const Machine& like, const std::string& from) {
    std::string text = fmt::format("{}\n# '{}', read by '{}'.\n", machine_mark, one_line(from), one_line(controller.name));
    for (const FigureOrigin& origin : made.origins)
        text += origin.line > 0
                    ? fmt::format("# {}: {} ({})\n", origin.key, origin.value, one_line(place_words(origin, controller.mark)))
                    : fmt::format("# {}: {} (as in '{}': the list does not say)\n", origin.key, origin.value, one_line(like.name));
    text += fmt::format("# What is not named above is as in '{}' too. Change what you know better.\n", one_line(like.name));
    return text + write_machine(made.machine);
}

void check_free(const Order& order, const std::string& file) {
    if (!order.run.output) return;
    const fs::path there = fs::path(*order.run.output) / file;
    std::error_code error;
    if (fs::exists(there, error) && !read_text(there, "machine file").starts_with(machine_mark))
        throw Error(Fault::output,
                    fmt::format("'{}' is there already and was not written by `burin machine`: it is left alone. Give another "
                                "--name or another folder with -o.",
                                there.string()));
}

Sheet sheet_of(const MachineFromSettings& made, const Controller& controller, const Machine& like, const SettingsList& list,
               const std::string& from) {
    Sheet sheet;
    sheet.command = "machine";
    sheet.kind = "A machine by its controller's own settings";
    sheet.title = made.machine.name;
    sheet.version = BURIN_VERSION;
    sheet.machine = made.machine;
    const Machine& m = made.machine;
    std::size_t said = 0;
    SheetTable table{"Where each figure comes from", {"Figure", "Value", "From"}, {}};
    for (const FigureOrigin& origin : made.origins) {
        said += origin.line > 0 ? 1 : 0;
        table.rows.push_back(
            {origin.key, origin.value,
             origin.line > 0 ? place_words(origin, controller.mark) : fmt::format("as in '{}': the list does not say", like.name)});
    }
    sheet.facts = {{"Travel", fmt::format("{} × {} × {} mm", m.travel[0], m.travel[1], m.travel[2])},
                   {"Rapids", fmt::format("{}, {}, {} mm/min", m.rapid[0], m.rapid[1], m.rapid[2])},
                   {"Accelerations", fmt::format("{}, {}, {} mm/s²", m.acceleration[0], m.acceleration[1], m.acceleration[2])},
                   {"From the list", fmt::format("{} of {} figures", said, made.origins.size())}};
    sheet.tables.push_back(std::move(table));
    sheet.figures = {{"settings", static_cast<double>(list.settings.size())}, {"figures_from_list", static_cast<double>(said)}};
    sheet.warnings = made.warnings;
    sheet.steps = {
        {"Compare.",
         "Read the table below beside the controller's screen: a figure in the wrong unit makes every time wrong, and travels "
         "decide what is refused."},
        {"Fill in.", fmt::format("Open {}.toml: power, spin-up, spoilboard, lines a second and planned moves are still those of '{}'.",
                                 file_name(m.name), like.name)},
        {"Try it.",
         "Run a program in the air, well above any stock, with a watch: its time should be the one on its sheet within a few per cent."},
    };
    sheet.cautions = {
        "A wrong travel or a wrong zero lets the machine run into its ends: keep the emergency stop in reach on the first runs.",
        "Change settings of the controller only with its manual beside you; nothing here changes them.",
        "Mains and spindle wiring is work for a licensed person."};
    sheet.assumed.push_back(fmt::format("'{}': {} settings, read as {}.", from, list.settings.size(), controller.title));
    if (!list.other_lines.empty())
        sheet.assumed.push_back(
            fmt::format("{} other lines were passed over; the first is line {}.", list.other_lines.size(), list.other_lines.front()));
    if (!made.unknown.empty()) {
        std::vector<int> shown(made.unknown.begin(),
                               made.unknown.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(40, made.unknown.size())));
        sheet.assumed.push_back(fmt::format("Numbers that '{}' does not know, left out: {}{}.", controller.name, fmt::join(shown, ", "),
                                            made.unknown.size() > shown.size() ? ", …" : ""));
    }
    sheet.assumed.push_back(
        fmt::format("The greatest feed is {} mm/min: that of '{}', but no more than the slower of x and y.", m.most_feed, like.name));
    return sheet;
}

}  // namespace

Finished make_machine_file(const Order& order, const PresetFolders& presets, const Crew&) {
    const std::string& from = order.arguments.front();
    const Controller controller = find_controller(presets, order.run.controller.value_or("numbered-settings"));
    const Machine like = find_machine(presets, order.run.like.value_or("desk-240x150"));
    const SettingsList list = read_settings(read_text(from, "list of settings", SettingsList::most_bytes), controller, from);
    const std::string name = order.job.name.value_or(fs::path(from).stem().string());
    const MachineFromSettings made = machine_from(list, controller, like, name, from);
    const std::string file = file_name(name) + ".toml";
    check_free(order, file);
    Finished finished;
    const std::string text = file_text(made, controller, like, from);
    (void)read_machine(text, file);  // what is written is what can be read
    const Sheet sheet = sheet_of(made, controller, like, list, from);
    finished.files = {{file, text}, {"report.html", sheet_html(sheet)}, {"report.json", sheet_json(sheet)}};
    finished.warnings = sheet.warnings;
    for (const FigureOrigin& origin : made.origins)
        finished.summary.push_back(
            fmt::format("  {:<26} {:<16} {}", origin.key, origin.value,
                        origin.line > 0 ? place_words(origin, controller.mark) : fmt::format("as in {}", like.name)));
    for (const std::string& sentence : sheet.assumed) finished.summary.push_back("  note: " + sentence);
    if (order.run.output) finished.summary.push_back(fmt::format("Use it as --machine {}", (fs::path(*order.run.output) / file).string()));
    return finished;
}

}  // namespace burin
