/// Job files out: TOML written by hand, because the order of the keys is ours and comments belong in it.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/workshop/presets.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin {
namespace {

std::string value_text(bool value, ValueKind) { return value ? "true" : "false"; }
std::string value_text(double value, ValueKind) { return number_text(value); }
std::string value_text(const std::string& value, ValueKind) { return toml_quoted(value); }
std::string value_text(const Point& value, ValueKind kind) {
    return toml_quoted(fmt::format("{}{}{}", number_text(value.x), kind == ValueKind::size ? 'x' : ',', number_text(value.y)));
}

void write_reckoned(std::string& out, const std::vector<std::string>& reckoned) {
    if (reckoned.empty()) return;
    std::vector<std::string> quoted;
    for (const std::string& key : reckoned) quoted.push_back(toml_quoted(key));
    out += fmt::format("reckoned = [{}]\n", fmt::join(quoted, ", "));
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
                if constexpr (!std::is_same_v<std::decay_t<decltype(value)>, std::vector<BitUse>>) {
                    if (value) out += fmt::format("{} = {}\n", option.name, value_text(*value, option.kind));
                }
            },
            *member);
    }
}

void write_bit_use(std::string& out, const BitUse& bit) {
    out += fmt::format("\n[[cut.bit]]\nuse = {}\n", toml_quoted(bit.use));
    const auto line = [&](const char* key, const std::optional<double>& value) {
        if (value) out += fmt::format("{} = {}\n", key, number_text(*value));
    };
    line("depth-per-pass", bit.wishes.depth_per_pass);
    line("feed", bit.wishes.feed);
    line("plunge", bit.wishes.plunge);
    line("speed", bit.wishes.speed);
    write_reckoned(out, bit.reckoned);
    if (bit.bit) out += "\n[cut.bit.sizes]\n" + write_bit(*bit.bit);
}

void write_cut(std::string& out, const Cut& cut) {
    out += fmt::format("\n[[cut]]\nmake = {}\n", toml_quoted(cut.make));
    if (cut.picture) out += fmt::format("picture = {}\n", toml_quoted(*cut.picture));
    if (cut.sha256) out += fmt::format("sha256 = {}\n", toml_quoted(*cut.sha256));
    write_options(out, cut);
    write_reckoned(out, cut.reckoned);
    for (const BitUse& bit : cut.bits) write_bit_use(out, bit);
}

}  // namespace

std::string write_job(const Job& job) {
    std::string out(job_file_mark);
    out +=
        " `burin make` on this file gives the same programs again.\n"
        "# `reckoned` names what the program chose; change such a value and it counts as yours.\n";
    std::vector<std::string_view> tables;
    if (job.machine_table) tables.push_back("machine");
    if (job.material_table) tables.push_back("material");
    write_options(out, job, tables);
    write_reckoned(out, job.reckoned);
    if (job.machine_table) out += "\n[machine]\n" + write_machine(*job.machine_table);
    if (job.material_table) out += "\n[material]\n" + write_material(*job.material_table);
    for (const Cut& cut : job.cuts) write_cut(out, cut);
    return out;
}

}  // namespace burin
