#pragma once
/// Reading TOML so that a typing error is answered with file, line, key and the nearest right key.
/// Shared by the presets and the job file. Includes toml++ itself: for the few files that read TOML only.
// The library takes some mistakes of people for impossible: built for debugging it stops the program there, otherwise it promises the
// compiler that they do not happen. Without that it reads on, and tells them like all others.
#if __has_include(<toml++/impl/preprocessor.h>)
#include <toml++/impl/preprocessor.h>
#undef TOML_ASSERT
#undef TOML_ASSERT_ASSUME
#define TOML_ASSERT(expr) static_assert(true)
#define TOML_ASSERT_ASSUME(expr) static_assert(true)
#endif
#include <toml++/toml.h>

#include <array>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/base/error.hpp"

namespace burin {

/// The whole text as a table. Throws Error (usage) with file, line and what TOML does not allow there.
[[nodiscard]] toml::table parse_toml(std::string_view text, const std::string& origin);

/// One table of a file, read key by key. Every `need_…` and `take_…` marks its key as known; `finish` then refuses what
/// is left. Throws Error (usage): wrong type, value outside its range, key missing, key unknown.
/// The table must outlive the reader.
class TomlTable {
public:
    /// `origin`: the file's name for sentences; `place`: where in the file ("" or "spindle"), for sentences too.
    TomlTable(const toml::table& table, std::string origin, std::string place = {});

    [[nodiscard]] bool has(std::string_view key) const;

    /// Numbers are finite and least ≤ value ≤ most, else an error that names both limits. Whole numbers count as numbers.
    [[nodiscard]] std::optional<double> take_number(std::string_view key, double least, double most);
    [[nodiscard]] double need_number(std::string_view key, double least, double most);
    [[nodiscard]] std::optional<int> take_whole(std::string_view key, int least, int most);
    [[nodiscard]] int need_whole(std::string_view key, int least, int most);
    [[nodiscard]] std::optional<bool> take_bool(std::string_view key);
    [[nodiscard]] bool need_bool(std::string_view key);
    [[nodiscard]] std::optional<std::string> take_text(std::string_view key);
    [[nodiscard]] std::string need_text(std::string_view key);
    /// One of `words`; another is an error with the nearest of them.
    [[nodiscard]] std::optional<std::string> take_word(std::string_view key, const std::vector<std::string>& words);
    [[nodiscard]] std::string need_word(std::string_view key, const std::vector<std::string>& words);
    /// Exactly three numbers, [x, y, z].
    [[nodiscard]] std::optional<std::array<double, 3>> take_triple(std::string_view key, double least, double most);
    [[nodiscard]] std::array<double, 3> need_triple(std::string_view key, double least, double most);
    [[nodiscard]] std::vector<std::string> take_texts(std::string_view key);
    /// A list of pairs of finite numbers, [[x, y], …]; missing: none.
    [[nodiscard]] std::vector<std::array<double, 2>> take_pairs(std::string_view key);
    [[nodiscard]] std::optional<TomlTable> take_table(std::string_view key);
    /// Tables of one name, [[key]] each; missing: none.
    [[nodiscard]] std::vector<TomlTable> take_tables(std::string_view key);
    /// A list of whole numbers; missing: none.
    [[nodiscard]] std::vector<int> take_wholes(std::string_view key, int least, int most);

    /// Throws for the first key that nobody asked for, naming the nearest of those asked for.
    void finish() const;

    /// An Error (usage) that names file, line and key: "press.toml, line 7: travel: …".
    [[nodiscard]] Error wrong(std::string_view key, std::string_view what) const;
    [[nodiscard]] const std::string& origin() const { return origin_; }

private:
    const toml::node* get(std::string_view key);
    [[nodiscard]] Error missing(std::string_view key, std::string_view kind) const;
    const toml::table* table_;
    std::string origin_, place_;
    std::vector<std::string> asked_;
};

/// The candidate with the fewest changed, added, dropped or swapped letters (optimal string alignment, Damerau 1964);
/// empty where none is near: more than a third of the letters (at least two) differ. Ties: the first.
[[nodiscard]] std::string nearest_name(std::string_view word, const std::vector<std::string>& candidates);

/// A TOML string with its quotes: control characters, quotes and backslashes escaped.
[[nodiscard]] std::string toml_quoted(std::string_view text);

}  // namespace burin
