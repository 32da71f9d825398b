// A kind of controller as TOML text, and the list of settings it answers with, as lines: which number means what stands in the file, so
// that another controller needs no code. The form of a line (mark, number, equals, value) is common practice, no source. O(bytes).
#include "burin/workshop/controller.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <filesystem>
#include <map>

#include "burin/base/utf8.hpp"
#include "burin/workshop/toml_table.hpp"
#include "setting_targets.hpp"

namespace burin {
namespace {

constexpr int largest_number = 99999;

SettingMeaning read_meaning(TomlTable& table) {
    SettingMeaning meaning;
    meaning.number = table.need_whole("number", 0, largest_number);
    meaning.sets = table.need_word("sets", setting_targets());
    meaning.unit = table.take_text("unit").value_or("");
    meaning.factor = table.take_number("factor", 1e-9, 1e9).value_or(1);
    meaning.from = table.take_number("from", -1e9, 1e9).value_or(-1e9);
    meaning.yes = table.take_number("yes", -1e9, 1e9);
    table.finish();
    return meaning;
}

std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && blank(text.back())) text.remove_suffix(1);
    return text;
}

/// The number before the equals sign; empty: this is no setting.
std::optional<int> number_of(std::string_view line, std::string_view mark) {
    const std::size_t equals = line.find('=');
    if (equals == std::string_view::npos || !line.starts_with(mark)) return {};
    const std::string_view digits = trimmed(line.substr(mark.size(), equals - std::min(equals, mark.size())));
    int number = 0;
    const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), number);
    const bool whole = error == std::errc{} && end == digits.data() + digits.size() && number >= 0 && number <= largest_number;
    return whole ? std::optional<int>(number) : std::nullopt;
}

/// What stands after the equals sign, up to a blank or a comment.
std::string_view value_of(std::string_view line) {
    const std::string_view rest = trimmed(line.substr(line.find('=') + 1));
    return rest.substr(0, rest.find_first_of(" \t(;"));
}

}  // namespace

Controller read_controller(std::string_view toml, const std::string& origin) {
    const auto whole = parse_toml(toml, origin);
    TomlTable table(whole, origin);
    Controller controller;
    controller.name = table.take_text("name").value_or(std::filesystem::path(origin).stem().string());
    controller.title = table.take_text("title").value_or(controller.name);
    controller.mark = table.need_text("mark");
    controller.ask = table.take_text("ask").value_or("");
    controller.known = table.take_wholes("known", 0, largest_number);
    for (TomlTable& setting : table.take_tables("setting")) {
        controller.meanings.push_back(read_meaning(setting));
        const SettingMeaning& last = controller.meanings.back();
        for (std::size_t k = 0; k + 1 < controller.meanings.size(); ++k)
            if (controller.meanings[k].sets == last.sets)
                throw setting.wrong("sets", fmt::format("'{}' is set by number {} already.", last.sets, controller.meanings[k].number));
    }
    table.finish();
    if (controller.meanings.empty()) throw table.wrong("setting", "no number means anything; add a [[setting]].");
    return controller;
}

SettingsList read_settings(std::string_view text, const Controller& controller, const std::string& origin) {
    const auto wrong = [&](const std::string& what) { return Error(Fault::input, fmt::format("'{}': {}", origin, what)); };
    if (text.size() > SettingsList::most_bytes) throw wrong("this is larger than any list of settings. Give the list alone.");
    if (text.find('\0') != std::string_view::npos) throw wrong("these bytes are no text. Copy the controller's answer into a text file.");
    SettingsList list;
    std::map<int, std::size_t> seen;
    std::uint32_t number_of_line = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        std::string_view line = trimmed(text.substr(at, end - at));
        at = end + 1;
        if (++number_of_line == 1 && line.starts_with("\xef\xbb\xbf")) line = trimmed(line.substr(3));
        if (line.empty()) continue;
        const std::optional<int> number = number_of(line, controller.mark);
        if (!number) {
            list.other_lines.push_back(number_of_line);
            continue;
        }
        const std::string_view value = value_of(line);
        if (value.empty())
            throw wrong(fmt::format("line {}: {}{} has no value after its equals sign.", number_of_line, controller.mark, *number));
        const auto [before, fresh] = seen.emplace(*number, list.settings.size());
        if (fresh) {
            list.settings.push_back({*number, number_of_line, std::string(value)});
        } else if (const Setting& first = list.settings[before->second]; first.value != value) {
            throw wrong(fmt::format("line {}: {}{} stands here a second time with another value than in line {}. Keep the one that holds.",
                                    number_of_line, controller.mark, *number, first.line));
        }
    }
    if (list.settings.empty())
        throw wrong(fmt::format("no line of it is a setting such as {}110=2000. {}", controller.mark,
                                controller.ask.empty()
                                    ? "Copy the controller's list into it."
                                    : fmt::format("Type {} to the controller, and copy its answer into the file.", controller.ask)));
    return list;
}

}  // namespace burin
