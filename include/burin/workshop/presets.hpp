#pragma once
/// Presets: machines, bits, materials and controllers as TOML text, found by name.
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "burin/workshop/bit.hpp"
#include "burin/workshop/controller.hpp"
#include "burin/workshop/machine.hpp"
#include "burin/workshop/material.hpp"

namespace burin {

class TomlTable;  // burin/workshop/toml_table.hpp

/// Readers take text; the name is the key `name` or else the file's name without its ending; `origin` (a file name) is for error sentences
/// only. Throw Error (usage): unknown key with the nearest right one, wrong type, impossible value, each with file, line and key.
[[nodiscard]] Machine read_machine(std::string_view toml, const std::string& origin);
[[nodiscard]] Material read_material(std::string_view toml, const std::string& origin);
[[nodiscard]] Bit read_bit(std::string_view toml, const std::string& origin);
/// The same from a table within another file (a job file with its presets written out); `name` where the table has none.
[[nodiscard]] Machine read_machine(TomlTable& table, const std::string& name);
[[nodiscard]] Material read_material(TomlTable& table, const std::string& name);
[[nodiscard]] Bit read_bit(TomlTable& table, const std::string& name);
/// The same values as TOML that reads back to an equal value, keys in our order, no [headers]: lines that may follow a
/// header of the caller's, as in a job file.
[[nodiscard]] std::string write_machine(const Machine& machine);
[[nodiscard]] std::string write_material(const Material& material);
[[nodiscard]] std::string write_bit(const Bit& bit);

/// The folders that are searched, first wins.
struct PresetFolders {
    std::vector<std::filesystem::path> folders;
};
/// A preset's name or a path (what ends in .toml or holds a slash). Throws Error: unknown name (usage, with the nearest name), a path that
/// is missing (input).
[[nodiscard]] Machine find_machine(const PresetFolders& presets, const std::string& name);
[[nodiscard]] Material find_material(const PresetFolders& presets, const std::string& name);
/// Also takes sizes as Bit::parse does.
[[nodiscard]] Bit find_bit(const PresetFolders& presets, const std::string& name);
[[nodiscard]] Controller find_controller(const PresetFolders& presets, const std::string& name);
/// Names of one kind ("machines", "bits", "materials", "controllers"), sorted.
[[nodiscard]] std::vector<std::string> preset_names(const PresetFolders& presets, const std::string& kind);
/// The TOML text of a preset of any kind, for `burin show`.
[[nodiscard]] std::string preset_text(const PresetFolders& presets, const std::string& name);

}  // namespace burin
