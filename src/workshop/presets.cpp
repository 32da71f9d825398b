// Presets found by name in the caller's folders (first wins), or read from a path.
#include "burin/workshop/presets.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>

#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin {
namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 4> kinds{"machines", "bits", "materials", "controllers"};
constexpr std::size_t largest_preset = std::size_t{1} << 20;

bool looks_like_path(const std::string& name) { return name.find('/') != std::string::npos || name.ends_with(".toml"); }

std::string singular(std::string_view kind) { return std::string(kind.substr(0, kind.size() - 1)); }

// Empty where no folder has it. A name never leaves its folder: what holds a slash is a path and does not come here.
fs::path file_of(const PresetFolders& presets, std::string_view kind, const std::string& name) {
    std::error_code ignored;  // a folder that cannot be looked into holds nothing for us
    for (const auto& folder : presets.folders)
        if (auto file = folder / kind / (name + ".toml"); fs::is_regular_file(file, ignored)) return file;
    return {};
}

Error unknown(const PresetFolders& presets, std::string_view kind, const std::string& name) {
    const auto names = preset_names(presets, std::string(kind));
    if (names.empty())
        return Error(Fault::usage,
                     fmt::format("The {} '{}' is not known, and no presets were found at all: set BURIN_PRESETS to the folder "
                                 "that holds '{}'.",
                                 singular(kind), name, kind));
    const auto near = nearest_name(name, names);
    return Error(Fault::usage, near.empty()
                                   ? fmt::format("The {} '{}' is not known; there are {}.", singular(kind), name, fmt::join(names, ", "))
                                   : fmt::format("The {} '{}' is not known; did you mean '{}'? 'burin list {}' shows all.", singular(kind),
                                                 name, near, kind));
}

fs::path locate(const PresetFolders& presets, std::string_view kind, const std::string& name) {
    if (looks_like_path(name)) return name;
    auto file = file_of(presets, kind, name);
    if (file.empty()) throw unknown(presets, kind, name);
    return file;
}

}  // namespace

Machine find_machine(const PresetFolders& presets, const std::string& name) {
    const auto file = locate(presets, "machines", name);
    return read_machine(read_text(file, "machine file", largest_preset), file.string());
}

Material find_material(const PresetFolders& presets, const std::string& name) {
    const auto file = locate(presets, "materials", name);
    return read_material(read_text(file, "material file", largest_preset), file.string());
}

Bit find_bit(const PresetFolders& presets, const std::string& name) {
    if (Bit::looks_like_sizes(name)) return Bit::parse(name);
    const auto file = locate(presets, "bits", name);
    return read_bit(read_text(file, "bit file", largest_preset), file.string());
}

Controller find_controller(const PresetFolders& presets, const std::string& name) {
    const auto file = locate(presets, "controllers", name);
    return read_controller(read_text(file, "controller file", largest_preset), file.string());
}

std::vector<std::string> preset_names(const PresetFolders& presets, const std::string& kind) {
    std::set<std::string> names;
    for (const auto& folder : presets.folders) {
        std::error_code ignored;
        for (fs::directory_iterator at(folder / kind, ignored), end; !ignored && at != end; at.increment(ignored))
            if (at->path().extension() == ".toml") names.insert(at->path().stem().string());
    }
    return {names.begin(), names.end()};
}

std::string preset_text(const PresetFolders& presets, const std::string& name) {
    if (looks_like_path(name)) return read_text(name, "preset file", largest_preset);
    std::vector<std::string> all;
    for (const auto kind : kinds) {
        if (const auto file = file_of(presets, kind, name); !file.empty()) return read_text(file, "preset file", largest_preset);
        const auto names = preset_names(presets, std::string(kind));
        all.insert(all.end(), names.begin(), names.end());
    }
    const auto near = nearest_name(name, all);
    throw Error(Fault::usage,
                fmt::format("No preset is called '{}'{} 'burin list machines', and likewise bits, materials and controllers, show all.",
                            name, near.empty() ? "." : fmt::format(". Did you mean '{}'?", near)));
}

}  // namespace burin
