// TOML read key by key, so that every mistake is named by file, line and key. The nearest right key is found by the
// optimal string alignment distance (Damerau 1964): a typing error is mostly one letter changed, added, dropped or two
// swapped. Cost: letters × letters a candidate.
#include "burin/workshop/toml_table.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace burin {
namespace {

std::size_t changes_between(std::string_view a, std::string_view b) {
    std::vector<std::size_t> before(b.size() + 1), last(b.size() + 1), row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) last[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t changed = last[j - 1] + (a[i - 1] != b[j - 1] ? 1 : 0);
            row[j] = std::min({last[j] + 1, row[j - 1] + 1, changed});
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) row[j] = std::min(row[j], before[j - 2] + 1);
        }
        std::swap(before, last);
        std::swap(last, row);
    }
    return last[b.size()];
}

std::string kind_of(const toml::node& node) {
    switch (node.type()) {
        case toml::node_type::table:
            return "a table";
        case toml::node_type::array:
            return "a list";
        case toml::node_type::string:
            return "text";
        case toml::node_type::integer:
        case toml::node_type::floating_point:
            return "a number";
        case toml::node_type::boolean:
            return "true or false";
        default:
            return "a date or time";
    }
}

bool may_begin_key(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-' || c == '"' || c == '\'';
}

/// Past the string that begins at `at`; its end where it is not closed.
std::size_t after_string(std::string_view text, std::size_t at) {
    const char quote = text[at];
    const std::string three(3, quote);
    const bool tall = text.substr(at, 3) == three;
    for (std::size_t k = at + (tall ? 3 : 1); k < text.size(); ++k) {
        if (text[k] == '\\' && quote == '"') {
            ++k;
        } else if (tall ? text.substr(k, 3) == three : text[k] == quote || text[k] == '\n') {
            k += tall ? 3 : 1;
            while (tall && k < text.size() && text[k] == quote) ++k;  // up to two more belong to it
            return k;
        }
    }
    return text.size();
}

/// What toml++ takes for granted and people leave out: it stops the whole program where it was built to check that, and where not, it may
/// go anywhere.
struct Trap {
    std::size_t line = 0;  ///< 0: there is none
    std::string_view what;
};
constexpr std::string_view nameless = "no name follows the opening bracket, as in [spindle]";
constexpr std::string_view crossed = "a bracket closes what another kind of bracket opened";
constexpr std::string_view foreign = "a letter outside of quotes is not plain ASCII; put the text in quotes";

/// Takes a bracket into the row of those that are open; whether it closes one of its kind, or none. A header's are not in the row.
bool fits(char bracket, std::string& open) {
    if (bracket == '[' || bracket == '{') open += bracket;
    if (open.empty() || (bracket != ']' && bracket != '}')) return true;
    if (open.back() != (bracket == ']' ? '[' : '{')) return false;
    open.pop_back();
    return true;
}

/// The first [header] without a name, bracket that closes another kind, or letter beyond ASCII outside of strings and comments (TOML 1.0
/// has none there).
Trap first_trap(std::string_view text) {
    if (text.starts_with("\xef\xbb\xbf")) text.remove_prefix(3);
    std::size_t line = 1;
    std::string open;  // brackets within a value
    bool fresh = true;
    for (std::size_t at = 0; at < text.size();) {
        const char c = text[at];
        if (fresh && c == '[') {
            at += text.substr(at, 2) == "[[" ? 2 : 1;
            while (at < text.size() && (text[at] == ' ' || text[at] == '\t')) ++at;
            if (at >= text.size() || (text[at] != ']' && !may_begin_key(text[at]))) return {line, nameless};
            fresh = false;
            continue;
        }
        if (c == '"' || c == '\'') {
            const std::size_t end = after_string(text, at);
            line += static_cast<std::size_t>(
                std::count(text.begin() + static_cast<std::ptrdiff_t>(at), text.begin() + static_cast<std::ptrdiff_t>(end), '\n'));
            fresh = text[end - 1] == '\n' && open.empty();
            at = end;
            continue;
        }
        if (c == '#') {
            at = std::min(text.find('\n', at), text.size());
            fresh = false;
            continue;
        }
        if (static_cast<unsigned char>(c) >= 0x80) return {line, foreign};
        if (!fits(c, open)) return {line, crossed};
        if (c == '\n') ++line, fresh = open.empty();
        fresh = fresh && (c == '\n' || c == ' ' || c == '\t' || c == '\r');
        ++at;
    }
    return {};
}

}  // namespace

std::string nearest_name(std::string_view word, const std::vector<std::string>& candidates) {
    std::string best;
    std::size_t fewest = std::max<std::size_t>(2, word.size() / 3) + 1;
    for (const auto& candidate : candidates) {
        const auto changes = changes_between(word, candidate);
        if (changes < fewest && changes < candidate.size()) fewest = changes, best = candidate;
    }
    return best;
}

std::string toml_quoted(std::string_view text) {
    std::string out = "\"";
    for (const char c : text) {
        if (c == '"' || c == '\\') {
            out += '\\';
            out += c;
        } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
            out += fmt::format("\\u{:04x}", static_cast<unsigned>(static_cast<unsigned char>(c)));
        } else {
            out += c;
        }
    }
    return out + '"';
}

toml::table parse_toml(std::string_view text, const std::string& origin) {
    if (const Trap trap = first_trap(text); trap.line > 0)
        throw Error(Fault::usage, fmt::format("{}, line {}: this is not TOML as it should be: {}.", origin, trap.line, trap.what));
    try {
        return toml::parse(text, std::string_view(origin));
    } catch (const toml::parse_error& e) {
        throw Error(Fault::usage,
                    fmt::format("{}, line {}: this is not TOML as it should be: {}.", origin, e.source().begin.line, e.description()));
    }
}

TomlTable::TomlTable(const toml::table& table, std::string origin, std::string place)
    : table_(&table), origin_(std::move(origin)), place_(std::move(place)) {}

bool TomlTable::has(std::string_view key) const { return table_->contains(key); }

const toml::node* TomlTable::get(std::string_view key) {
    if (std::find(asked_.begin(), asked_.end(), key) == asked_.end()) asked_.emplace_back(key);
    return table_->get(key);
}

Error TomlTable::wrong(std::string_view key, std::string_view what) const {
    const auto* node = table_->get(key);
    const auto line = node ? node->source().begin.line : table_->source().begin.line;
    const std::string dot = place_.empty() ? "" : ".";
    return Error(Fault::usage, line > 0 ? fmt::format("{}, line {}: {}{}{}: {}", origin_, line, place_, dot, key, what)
                                        : fmt::format("{}: {}{}{}: {}", origin_, place_, dot, key, what));
}

Error TomlTable::missing(std::string_view key, std::string_view kind) const {
    return wrong(key, fmt::format("this key is missing; add it ({}).", kind));
}

std::optional<double> TomlTable::take_number(std::string_view key, double least, double most) {
    const auto* node = get(key);
    if (!node) return {};
    if (!node->is_number()) throw wrong(key, fmt::format("a number is wanted here, this is {}.", kind_of(*node)));
    const double v = node->value<double>().value_or(std::nan(""));
    if (!std::isfinite(v) || v < least || v > most)
        throw wrong(key, fmt::format("{} cannot be; a number from {} to {} is wanted.", v, least, most));
    return v;
}

std::optional<int> TomlTable::take_whole(std::string_view key, int least, int most) {
    const auto* node = get(key);
    if (!node) return {};
    if (!node->is_integer()) throw wrong(key, "a whole number is wanted here.");
    const auto v = node->value<std::int64_t>().value_or(0);
    if (v < least || v > most) throw wrong(key, fmt::format("{} cannot be; a whole number from {} to {} is wanted.", v, least, most));
    return static_cast<int>(v);
}

std::optional<bool> TomlTable::take_bool(std::string_view key) {
    const auto* node = get(key);
    if (!node) return {};
    if (!node->is_boolean()) throw wrong(key, fmt::format("true or false is wanted here, this is {}.", kind_of(*node)));
    return node->value<bool>();
}

std::optional<std::string> TomlTable::take_text(std::string_view key) {
    const auto* node = get(key);
    if (!node) return {};
    if (!node->is_string()) throw wrong(key, fmt::format("text in quotes is wanted here, this is {}.", kind_of(*node)));
    return node->value<std::string>();
}

std::optional<std::string> TomlTable::take_word(std::string_view key, const std::vector<std::string>& words) {
    auto word = take_text(key);
    if (!word || std::find(words.begin(), words.end(), *word) != words.end()) return word;
    const auto near = nearest_name(*word, words);
    throw wrong(key, fmt::format("'{}' is not known here{}; one of {} is wanted.", *word,
                                 near.empty() ? "" : fmt::format(" (did you mean '{}'?)", near), fmt::join(words, ", ")));
}

std::optional<std::array<double, 3>> TomlTable::take_triple(std::string_view key, double least, double most) {
    const auto* node = get(key);
    if (!node) return {};
    const auto* list = node->as_array();
    if (!list || list->size() != 3) throw wrong(key, "three numbers are wanted here, as in [1, 2, 3].");
    std::array<double, 3> v{};
    for (std::size_t i = 0; i < 3; ++i) {
        const auto number = list->get(i)->is_number() ? list->get(i)->value<double>() : std::nullopt;
        if (!number) throw wrong(key, "three numbers are wanted here, as in [1, 2, 3].");
        if (!std::isfinite(*number) || *number < least || *number > most)
            throw wrong(key, fmt::format("{} cannot be; three numbers from {} to {} are wanted.", *number, least, most));
        v[i] = *number;
    }
    return v;
}

std::vector<std::string> TomlTable::take_texts(std::string_view key) {
    std::vector<std::string> texts;
    const auto* node = get(key);
    if (!node) return texts;
    const auto* list = node->as_array();
    if (!list) throw wrong(key, fmt::format("a list of texts is wanted here, this is {}.", kind_of(*node)));
    for (const auto& entry : *list) {
        if (!entry.is_string()) throw wrong(key, fmt::format("a list of texts is wanted here, one of these is {}.", kind_of(entry)));
        texts.push_back(entry.value<std::string>().value_or(""));
    }
    return texts;
}

std::vector<std::array<double, 2>> TomlTable::take_pairs(std::string_view key) {
    std::vector<std::array<double, 2>> pairs;
    const auto* node = get(key);
    if (!node) return pairs;
    const auto number = [](const toml::array& list, std::size_t k) { return list[k].value<double>(); };
    const auto* list = node->as_array();
    if (!list) throw wrong(key, fmt::format("a list of pairs of numbers is wanted here, this is {}.", kind_of(*node)));
    for (const auto& entry : *list) {
        const auto* pair = entry.as_array();
        if (!pair || pair->size() != 2 || !number(*pair, 0) || !number(*pair, 1) || !std::isfinite(*number(*pair, 0)) ||
            !std::isfinite(*number(*pair, 1)))
            throw wrong(key, "a list of pairs of numbers is wanted here, as in [[0, 0], [1, 1]].");
        pairs.push_back({*number(*pair, 0), *number(*pair, 1)});
    }
    return pairs;
}

std::optional<TomlTable> TomlTable::take_table(std::string_view key) {
    const auto* node = get(key);
    if (!node) return {};
    if (!node->is_table()) throw wrong(key, fmt::format("a table is wanted here, this is {}.", kind_of(*node)));
    return TomlTable(*node->as_table(), origin_, place_.empty() ? std::string(key) : fmt::format("{}.{}", place_, key));
}

std::vector<TomlTable> TomlTable::take_tables(std::string_view key) {
    std::vector<TomlTable> tables;
    const auto* node = get(key);
    if (!node) return tables;
    const auto* list = node->as_array();
    if (!list) throw wrong(key, fmt::format("a list of tables is wanted here, this is {}.", kind_of(*node)));
    for (const auto& entry : *list) {
        if (!entry.is_table()) throw wrong(key, fmt::format("a list of tables is wanted here, one of these is {}.", kind_of(entry)));
        tables.emplace_back(*entry.as_table(), origin_, place_.empty() ? std::string(key) : fmt::format("{}.{}", place_, key));
    }
    return tables;
}

std::vector<int> TomlTable::take_wholes(std::string_view key, int least, int most) {
    std::vector<int> numbers;
    const auto* node = get(key);
    if (!node) return numbers;
    const auto* list = node->as_array();
    if (!list) throw wrong(key, fmt::format("a list of whole numbers is wanted here, this is {}.", kind_of(*node)));
    for (const auto& entry : *list) {
        const auto value = entry.is_integer() ? entry.value<std::int64_t>() : std::nullopt;
        if (!value || *value < least || *value > most)
            throw wrong(key, fmt::format("a list of whole numbers from {} to {} is wanted here.", least, most));
        numbers.push_back(static_cast<int>(*value));
    }
    return numbers;
}

double TomlTable::need_number(std::string_view key, double least, double most) {
    if (const auto v = take_number(key, least, most)) return *v;
    throw missing(key, fmt::format("a number from {} to {}", least, most));
}
int TomlTable::need_whole(std::string_view key, int least, int most) {
    if (const auto v = take_whole(key, least, most)) return *v;
    throw missing(key, fmt::format("a whole number from {} to {}", least, most));
}
bool TomlTable::need_bool(std::string_view key) {
    if (const auto v = take_bool(key)) return *v;
    throw missing(key, "true or false");
}
std::string TomlTable::need_text(std::string_view key) {
    if (auto v = take_text(key)) return *v;
    throw missing(key, "text in quotes");
}
std::string TomlTable::need_word(std::string_view key, const std::vector<std::string>& words) {
    if (auto v = take_word(key, words)) return *v;
    throw missing(key, fmt::format("one of {}", fmt::join(words, ", ")));
}
std::array<double, 3> TomlTable::need_triple(std::string_view key, double least, double most) {
    if (const auto v = take_triple(key, least, most)) return *v;
    throw missing(key, "three numbers");
}

void TomlTable::finish() const {
    // toml++ keeps keys sorted; the first in the file is what the person meets first.
    const toml::node* first = nullptr;
    std::string_view unknown;
    for (const auto& [key, node] : *table_) {
        if (std::find(asked_.begin(), asked_.end(), key.str()) != asked_.end()) continue;
        if (!first || node.source().begin.line < first->source().begin.line) first = &node, unknown = key.str();
    }
    if (!first) return;
    const auto near = nearest_name(unknown, asked_);
    throw wrong(unknown, near.empty() ? fmt::format("this key is unknown here; the keys are {}.", fmt::join(asked_, ", "))
                                      : fmt::format("this key is unknown here; did you mean '{}'?", near));
}

}  // namespace burin
