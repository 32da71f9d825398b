/// Job files out: TOML written by hand, because the order of the keys is ours and comments belong in it.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/workshop/presets.hpp"
#include "burin/workshop/toml_table.hpp"
#include "reckoned.hpp"

namespace burin {
namespace {

std::string value_text(bool value, ValueKind) { return value ? "true" : "false"; }
std::string value_text(double value, ValueKind) { return number_text(value); }
std::string value_text(const std::string& value, ValueKind) { return toml_quoted(value); }
std::string value_text(const Point& value, ValueKind kind) {
    return toml_quoted(fmt::format("{}{}{}", number_text(value.x), kind == ValueKind::size ? 'x' : ',', number_text(value.y)));
}

/// Each value that the program chose stands here a second time: where both are the same, nobody changed it.
void write_reckoned(std::string& out, const std::vector<std::string>& notes) {
    if (!notes.empty()) out += fmt::format("reckoned = {{ {} }}\n", fmt::join(notes, ", "));
}

void write_reckoned(std::string& out, const std::vector<std::string>& names, const Job& job, const Cut& cut) {
    std::vector<std::string> notes;
    for (const Option& option : option_table()) {
        if (std::find(names.begin(), names.end(), option.name) == names.end()) continue;
        if (const auto value = held_value(option, job, cut))
            notes.push_back(
                fmt::format("{} = {}", option.name, std::visit([&](const auto& v) { return value_text(v, option.kind); }, *value)));
        if (option.kind == ValueKind::bits) {
            std::vector<std::string> uses;
            for (const BitUse& bit : cut.bits) uses.push_back(toml_quoted(bit.use));
            notes.push_back(fmt::format("{} = [{}]", option.name, fmt::join(uses, ", ")));
        }
    }
    write_reckoned(out, notes);
}

/// All options that are kept in an Owner and were given, in the table's order.
template <class Owner>
void write_options(std::string& out, const Owner& owner, const std::vector<std::string_view>& leave_out = {}) {
    for (const Option& option : option_table()) {
        const auto* member = std::get_if<MemberOf<Owner>>(&option.member);
        if (!member || std::find(leave_out.begin(), leave_out.end(), option.name) != leave_out.end()) continue;
        std::visit(
            [&](auto pointer) {
                const auto& value = owner.*pointer;
                using Place = std::decay_t<decltype(value)>;
                if constexpr (std::is_same_v<Place, std::vector<std::string>>) {
                    std::vector<std::string> each;
                    for (const std::string& text : value) each.push_back(toml_quoted(text));
                    if (!each.empty()) out += fmt::format("{} = [{}]\n", option.name, fmt::join(each, ", "));
                } else if constexpr (!is_list<Place>) {
                    if (value) out += fmt::format("{} = {}\n", option.name, value_text(*value, option.kind));
                }
            },
            *member);
    }
}

void write_bit_use(std::string& out, const BitUse& bit) {
    out += fmt::format("\n[[cut.bit]]\nuse = {}\n", toml_quoted(bit.use));
    std::vector<std::string> notes;
    const auto line = [&](const char* key, const std::optional<double>& value) {
        if (!value) return;
        const std::string text = fmt::format("{} = {}", key, number_text(*value));
        out += text + '\n';
        if (std::find(bit.reckoned.begin(), bit.reckoned.end(), key) != bit.reckoned.end()) notes.push_back(text);
    };
    line("depth-per-pass", bit.wishes.depth_per_pass);
    line("feed", bit.wishes.feed);
    line("plunge", bit.wishes.plunge);
    line("speed", bit.wishes.speed);
    write_reckoned(out, notes);
    if (bit.bit) out += "\n[cut.bit.sizes]\n" + write_bit(*bit.bit);
}

void write_cut(std::string& out, const Cut& cut) {
    out += fmt::format("\n[[cut]]\nmake = {}\n", toml_quoted(cut.make));
    if (cut.id) out += fmt::format("id = {}\n", toml_quoted(*cut.id));
    if (cut.picture) out += fmt::format("picture = {}\n", toml_quoted(*cut.picture));
    if (cut.sha256) out += fmt::format("sha256 = {}\n", toml_quoted(*cut.sha256));
    if (cut.burn_anyway) out += fmt::format("burn-anyway = {}\n", toml_quoted(*cut.burn_anyway));
    write_options(out, cut);
    write_reckoned(out, cut.reckoned, {}, cut);
    for (const BitUse& bit : cut.bits) write_bit_use(out, bit);
}

}  // namespace

std::string write_job(const Job& job) {
    std::string out(job_file_mark);
    out +=
        " `burin make` on this file gives the same programs again.\n"
        "# What stands under `reckoned` too was chosen by the program, and is chosen anew when you change something else;\n"
        "# change such a value above, and it counts as yours.\n";
    std::vector<std::string_view> tables;
    if (job.machine_table) tables.push_back("machine");
    if (job.material_table) tables.push_back("material");
    write_options(out, job, tables);
    write_reckoned(out, job.reckoned, job, {});
    if (job.machine_table) out += "\n[machine]\n" + write_machine(*job.machine_table);
    if (job.material_table) out += "\n[material]\n" + write_material(*job.material_table);
    for (const Cut& cut : job.cuts) write_cut(out, cut);
    return out;
}

}  // namespace burin
