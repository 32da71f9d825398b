/// Job files in: TOML by toml++, keys and values by the option table, each mistake with file, line and key.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/options.hpp"
#include "burin/workshop/presets.hpp"
#include "burin/workshop/toml_table.hpp"
#include "fields.hpp"
#include "reckoned.hpp"

namespace burin {
namespace fs = std::filesystem;
namespace {

enum class Level { job, cut };

bool belongs_to(const Option& option, Level level) {
    return level == Level::job ? std::holds_alternative<MemberOf<Job>>(option.member)
                               : std::holds_alternative<MemberOf<Cut>>(option.member);
}

/// Keys that a table takes although they are no options.
std::vector<std::string> known_keys(Level level) {
    std::vector<std::string> keys;
    for (const Option& option : option_table())
        if (belongs_to(option, level)) keys.emplace_back(option.name);
    for (const char* key : level == Level::job ? std::vector<const char*>{"cut", "reckoned"}
                                               : std::vector<const char*>{"make", "id", "picture", "sha256", "burn-anyway", "reckoned"})
        keys.emplace_back(key);
    return keys;
}

class JobReader {
public:
    JobReader(std::string origin, fs::path folder) : origin_(std::move(origin)), folder_(std::move(folder)) {}

    /// Puts the row's values into every string below `node`; where a string held a field, a number may be meant.
    void fill(toml::node& node, const std::string& shown, const std::map<std::string, std::string>& row) {
        if (auto* table = node.as_table()) {
            for (auto&& [key, value] : *table)
                fill(value, shown.empty() ? std::string(key.str()) : fmt::format("{}.{}", shown, key.str()), row);
        } else if (auto* list = node.as_array()) {
            for (auto& value : *list) fill(value, shown, row);
        } else if (auto* string = node.as_string()) {
            guarded(node, shown, [&] {
                Filled filled = fill_fields(string->get(), row);
                if (filled.had_field) fields_.insert(&node);
                string->get() = std::move(filled.text);
            });
        }
    }

    [[nodiscard]] Job read(const toml::table& root) const {
        Job job;
        RunOptions run;
        check_keys(root, "", Level::job);
        for (const auto& [key, node] : root) {
            const std::string name(key.str());
            if (name == "cut" || name == "reckoned") continue;
            if (name == "machine" && node.is_table()) {
                TomlTable table(*node.as_table(), origin_, name);
                job.machine_table = read_machine(table, "machine");
                job.machine = job.machine_table->name;
            } else if (name == "material" && node.is_table()) {
                TomlTable table(*node.as_table(), origin_, name);
                job.material_table = read_material(table, "material");
                job.material = job.material_table->name;
            } else {
                set(*option_named(name), node, name, run, job, nullptr);
            }
        }
        job.reckoned = unchanged(root, "", Level::job, job, {});
        if (job.machine && !job.machine_table) job.machine = preset_or_file(*job.machine);
        if (job.material && !job.material_table) job.material = preset_or_file(*job.material);
        if (job.stock && names_stock_file(*job.stock)) job.stock = preset_or_file(*job.stock);
        const auto* cuts = root.get("cut");
        if (!cuts)
            throw Error(Fault::usage, fmt::format("{}: there is nothing to make; add a [[cut]] with make, picture and width.", origin_));
        if (!cuts->is_array_of_tables() || cuts->as_array()->empty())
            throw wrong(*cuts, "cut", "cuts are written as [[cut]], one after the other.");
        for (const auto& node : *cuts->as_array()) job.cuts.push_back(read_cut(*node.as_table()));
        return job;
    }

private:
    [[nodiscard]] Cut read_cut(const toml::table& table) const {
        Job job;
        Cut cut;
        RunOptions run;
        check_keys(table, "cut.", Level::cut);
        const CommandEntry& making = read_make(table);
        cut.make = making.name;
        std::vector<const Option*> foreign;
        for (const auto& [key, node] : table) {
            const std::string name(key.str()), shown = "cut." + name;
            if (name == "make" || name == "reckoned") continue;  // the first is read, the last waits until all values are known
            if (name == "picture") {
                cut.picture = fs::absolute(folder_ / text(node, shown)).lexically_normal().string();
            } else if (name == "id") {
                cut.id = text(node, shown);
            } else if (name == "sha256") {
                cut.sha256 = text(node, shown);
            } else if (name == "burn-anyway") {
                if (making.command != command_burn) throw wrong(node, shown, "this key says nothing here; it belongs to burn.");
                cut.burn_anyway = text(node, shown);
            } else if (name == "bit") {
                cut.bits = read_bits(node, shown);
            } else {
                const Option& option = *option_named(name);
                if (!(option.commands & making.command)) foreign.push_back(&option);
                set(option, node, shown, run, job, &cut);
            }
        }
        if (!cut.picture && !cut.text && !cut.shape && making.command != command_card && making.command != command_face)
            throw Error(Fault::usage,
                        fmt::format("{}, line {}: cut.picture: this key is missing; say which picture (or text, or shape) is to be cut.",
                                    origin_, table.source().begin.line));
        cut.reckoned = unchanged(table, "cut.", Level::cut, job, cut);
        // What an earlier run chose for another kind of job goes; what a person wrote must mean something.
        for (const Option* option : foreign)
            if (std::find(cut.reckoned.begin(), cut.reckoned.end(), option->name) == cut.reckoned.end())
                throw wrong(*table.get(option->name), fmt::format("cut.{}", option->name),
                            fmt::format("this key says nothing to {}; it belongs to {}.", making.name, makers_of(*option)));
        return cut;
    }

    /// What is to be made, which decides which other keys mean something.
    [[nodiscard]] const CommandEntry& read_make(const toml::table& table) const {
        std::vector<std::string> makers;
        for (const CommandEntry& command : command_table())
            if (command.command & cut_commands) makers.emplace_back(command.name);
        const toml::node* node = table.get("make");
        if (!node)
            throw Error(Fault::usage,
                        fmt::format("{}, line {}: cut.make: this key is missing; say what is to be made of the picture, as in "
                                    "make = \"relief\".",
                                    origin_, table.source().begin.line));
        const std::string name = text(*node, "cut.make");
        const CommandEntry* making = command_named(name);
        if (making && making->command & cut_commands) return *making;
        const std::string near = nearest_name(name, makers);
        throw wrong(*node, "cut.make",
                    fmt::format("'{}' is nothing that can be made{}; one of {} is wanted.", name,
                                near.empty() ? "" : fmt::format(" (did you mean '{}'?)", near), fmt::join(makers, ", ")));
    }
    [[nodiscard]] static std::string makers_of(const Option& option) {
        std::vector<std::string_view> names;
        for (const CommandEntry& command : command_table())
            if (option.commands & command.command & cut_commands) names.push_back(command.name);
        return fmt::format("{}", fmt::join(names, ", "));
    }

    [[nodiscard]] std::vector<BitUse> read_bits(const toml::node& node, const std::string& shown) const {
        std::vector<BitUse> bits;
        if (const auto* list = node.as_array()) {
            for (const auto& one : *list) bits.push_back(read_bit_use(one, shown));
            if (bits.empty()) throw wrong(node, shown, "the list is empty; leave the key out for the usual bits.");
        } else {
            bits.push_back(read_bit_use(node, shown));
        }
        return bits;
    }

    /// "ball:1.0", or { use = "ball:1.0", feed = 700 }; a job file written by the program has the bit's sizes too.
    [[nodiscard]] BitUse read_bit_use(const toml::node& node, const std::string& shown) const {
        BitUse bit;
        const auto name_of = [&](const toml::node& word, const std::string& key) {
            const std::string name = text(word, key);
            guarded(word, key, [&] { check_value(*option_named("bit"), name); });
            return name;
        };
        if (!node.is_table()) {
            bit.use = preset_or_file(name_of(node, shown));
            return bit;
        }
        const toml::table& table = *node.as_table();
        static const std::vector<std::string> keys{"use", "feed", "plunge", "speed", "depth-per-pass", "reckoned", "sizes"};
        for (const auto& [key, value] : table) {
            const std::string name(key.str()), inner = shown + "." + name;
            if (std::find(keys.begin(), keys.end(), name) == keys.end()) throw unknown(value, inner, name, keys);
            if (name == "use") bit.use = name_of(value, inner);
            if (name == "feed") bit.wishes.feed = number(value, inner, name);
            if (name == "plunge") bit.wishes.plunge = number(value, inner, name);
            if (name == "speed") bit.wishes.speed = number(value, inner, name);
            if (name == "depth-per-pass") bit.wishes.depth_per_pass = number(value, inner, name);
        }
        for_reckoned(table, shown + ".", [&](const std::string& name, const toml::node& value, const std::string& inner) {
            static const std::vector<std::string> wishes{"feed", "plunge", "speed", "depth-per-pass"};
            if (std::find(wishes.begin(), wishes.end(), name) == wishes.end()) throw unknown(value, inner, name, wishes);
            const FeedWishes& now = bit.wishes;
            const auto& held = name == "feed" ? now.feed : name == "plunge" ? now.plunge : name == "speed" ? now.speed : now.depth_per_pass;
            if (held == number(value, inner, name)) bit.reckoned.push_back(name);
        });
        if (bit.use.empty()) throw wrong(node, shown, "a bit needs the key use: a preset, a file or sizes such as ball:1.0.");
        if (const auto* sizes = table.get("sizes")) {
            if (!sizes->is_table()) throw wrong(*sizes, shown + ".sizes", "a table is wanted here.");
            TomlTable written(*sizes->as_table(), origin_, shown + ".sizes");
            const Bit read = read_bit(written, bit.use);
            // Sizes that an earlier run wrote out for another bit than the one that is named now say nothing.
            if (read.name() == bit.use) bit.bit = read;
        }
        if (!bit.bit) bit.use = preset_or_file(bit.use);
        return bit;
    }

    void check_keys(const toml::table& table, const std::string& prefix, Level level) const {
        const std::vector<std::string> keys = known_keys(level);
        const std::vector<std::string> elsewhere = known_keys(level == Level::job ? Level::cut : Level::job);
        for (const auto& [key, node] : table) {
            const std::string name(key.str());
            if (std::find(keys.begin(), keys.end(), name) != keys.end()) continue;
            if (std::find(elsewhere.begin(), elsewhere.end(), name) != elsewhere.end())
                throw wrong(node, prefix + name,
                            level == Level::job ? "this key belongs below a [[cut]]."
                                                : "this key belongs at the top of the file, above the first [[cut]].");
            throw unknown(node, prefix + name, name, keys);
        }
    }

    void set(const Option& option, const toml::node& node, const std::string& shown, RunOptions& run, Job& job, Cut* cut) const {
        if (const auto* list = node.as_array(); list && option.kind == ValueKind::texts) {
            for (const auto& one : *list) set(option, one, shown, run, job, cut);
            return;
        }
        const OptionValue value = value_of(option, node, shown);
        guarded(node, shown, [&] { check_value(option, value); });
        set_option(option, value, run, job, cut);
    }

    [[nodiscard]] OptionValue value_of(const Option& option, const toml::node& node, const std::string& shown) const {
        switch (option.kind) {
            case ValueKind::flag:
                if (fields_.count(&node) > 0 && (text(node, shown) == "true" || text(node, shown) == "false"))
                    return text(node, shown) == "true";
                if (!node.is_boolean()) throw wrong(node, shown, "true or false is wanted here.");
                return *node.value<bool>();
            case ValueKind::number:
            case ValueKind::whole:
                return finite(node, shown, "a number is wanted here.");
            case ValueKind::text:
            case ValueKind::word:
            case ValueKind::bits:
            case ValueKind::texts:
                return text(node, shown);
            case ValueKind::pair:
            case ValueKind::size:
                if (node.is_string()) {
                    OptionValue value;
                    guarded(node, shown, [&] { value = parse_value(option, *node.value<std::string>()); });
                    return value;
                }
                const auto* list = node.as_array();
                if (!list || list->size() != 2) throw wrong(node, shown, "two numbers are wanted here, as in [3, 4].");
                return Point{finite(*list->get(0), shown, "two numbers are wanted here, as in [3, 4]."),
                             finite(*list->get(1), shown, "two numbers are wanted here, as in [3, 4].")};
        }
        return false;
    }

    [[nodiscard]] double finite(const toml::node& node, const std::string& shown, const char* wanted) const {
        if (fields_.count(&node) > 0) {
            double value = 0;
            guarded(node, shown, [&] { value = parse_number(text(node, shown)); });
            return value;
        }
        const double value = node.is_number() ? node.value<double>().value_or(std::nan("")) : std::nan("");
        if (!std::isfinite(value)) throw wrong(node, shown, wanted);
        return value;
    }
    [[nodiscard]] double number(const toml::node& node, const std::string& shown, const std::string& option) const {
        const double value = finite(node, shown, "a number is wanted here.");
        guarded(node, shown, [&] { check_value(*option_named(option), value); });
        return value;
    }
    [[nodiscard]] std::string text(const toml::node& node, const std::string& shown) const {
        if (!node.is_string()) throw wrong(node, shown, "text in quotes is wanted here.");
        return *node.value<std::string>();
    }
    /// `deed` for every key of the table `reckoned` within `table`.
    template <class Deed>
    void for_reckoned(const toml::table& table, const std::string& prefix, const Deed& deed) const {
        const toml::node* node = table.get("reckoned");
        if (!node) return;
        if (!node->is_table()) throw wrong(*node, prefix + "reckoned", "a table is wanted here, as in { feed = 700 }.");
        for (const auto& [key, value] : *node->as_table()) {
            const std::string name(key.str());
            deed(name, value, prefix + "reckoned." + name);
        }
    }
    /// The keys under `reckoned` whose value is still the one beside them.
    [[nodiscard]] std::vector<std::string> unchanged(const toml::table& table, const std::string& prefix, Level level, const Job& job,
                                                     const Cut& cut) const {
        std::vector<std::string> names;
        for_reckoned(table, prefix, [&](const std::string& name, const toml::node& value, const std::string& shown) {
            const Option* option = option_named(name);
            if (!option || !belongs_to(*option, level)) throw unknown(value, shown, name, known_keys(level));
            if (option->kind == ValueKind::texts) throw wrong(value, shown, "the program never chooses this; take it out here.");
            const bool same = option->kind == ValueKind::bits ? same_bits(value, shown, cut)
                                                              : held_value(*option, job, cut) == value_of(*option, value, shown);
            if (same) names.push_back(name);
        });
        return names;
    }
    [[nodiscard]] bool same_bits(const toml::node& node, const std::string& shown, const Cut& cut) const {
        const std::vector<BitUse> bits = read_bits(node, shown);
        return std::equal(bits.begin(), bits.end(), cut.bits.begin(), cut.bits.end(),
                          [](const BitUse& a, const BitUse& b) { return a.use == b.use; });
    }

    /// The table's sentences know no place; here they get it.
    template <class Deed>
    void guarded(const toml::node& node, const std::string& shown, const Deed& deed) const {
        try {
            deed();
        } catch (const Error& error) {
            throw wrong(node, shown, error.what());
        }
    }

    [[nodiscard]] Error wrong(const toml::node& node, const std::string& shown, std::string_view what) const {
        return {Fault::usage, fmt::format("{}, line {}: {}: {}", origin_, node.source().begin.line, shown, what)};
    }
    [[nodiscard]] Error unknown(const toml::node& node, const std::string& shown, const std::string& name,
                                const std::vector<std::string>& keys) const {
        const std::string near = nearest_name(name, keys);
        return wrong(node, shown,
                     near.empty() ? fmt::format("this key is not known here; these are: {}.", fmt::join(keys, ", "))
                                  : fmt::format("this key is not known here; did you mean '{}'?", near));
    }

    /// Files are named from where the job file lies; what is no path stays a preset's name.
    [[nodiscard]] std::string preset_or_file(const std::string& name) const {
        if (name.find('/') == std::string::npos && !name.ends_with(".toml")) return name;
        return fs::absolute(folder_ / name).lexically_normal().string();
    }

    std::string origin_;
    fs::path folder_;
    std::set<const toml::node*> fields_;  ///< strings that held a field
};

}  // namespace

std::string in_keys(std::string_view sentence) {
    std::string out;
    for (std::size_t at = 0; at < sentence.size();) {
        const std::size_t end = std::min(sentence.find_first_not_of("abcdefghijklmnopqrstuvwxyz-", at + 2), sentence.size());
        const bool begins = sentence.substr(at, 2) == "--" && (at == 0 || sentence[at - 1] != '-');
        const Option* option = begins ? option_named(sentence.substr(at + 2, end - at - 2)) : nullptr;
        if (option && !(option->commands & command_make)) {
            out += fmt::format("'{}'", option->name);
            at = end;
        } else {
            out += sentence[at++];
        }
    }
    return out;
}

Job read_job(std::string_view toml, const std::string& origin, const fs::path& folder) {
    const toml::table root = parse_toml(toml, origin);
    return JobReader(origin, folder).read(root);
}

Job read_job(std::string_view toml, const std::string& origin, const fs::path& folder, const std::map<std::string, std::string>& row) {
    toml::table root = parse_toml(toml, origin);
    JobReader reader(origin, folder);
    reader.fill(root, "", row);
    return reader.read(root);
}

}  // namespace burin
