/// Families are looked up in the list of all outline fonts that fontconfig knows, and the style by rules of our own: fontconfig's
/// matching always finds something, and what it finds depends on the locale. Only for the generic families is it asked to match.
#include "burin/workshop/fonts.hpp"

#include <fmt/format.h>
#include <fontconfig/fontconfig.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <memory>
#include <mutex>
#include <optional>
#include <string_view>
#include <tuple>

#include "burin/base/error.hpp"
#include "burin/workshop/toml_table.hpp"

namespace burin {
namespace {

struct Closed {
    void operator()(FcConfig* value) const { FcConfigDestroy(value); }
    void operator()(FcPattern* value) const { FcPatternDestroy(value); }
    void operator()(FcObjectSet* value) const { FcObjectSetDestroy(value); }
    void operator()(FcFontSet* value) const { FcFontSetDestroy(value); }
    void operator()(FcCharSet* value) const { FcCharSetDestroy(value); }
};
template <typename T>
using Owned = std::unique_ptr<T, Closed>;

/// fontconfig keeps one state for the whole program.
std::mutex& turnstile() {
    static std::mutex one_at_a_time;
    return one_at_a_time;
}

/// Lower case for ASCII, one blank for many, none at the ends: names are compared so.
std::string plain(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const bool gap = c == ' ' || c == '\t';
        if (gap && (out.empty() || out.back() == ' ')) continue;
        out.push_back(gap ? ' ' : c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c);
    }
    while (!out.empty() && out.back() == ' ') out.pop_back();
    return out;
}

// ---- files

bool font_ending(std::string_view name) {
    constexpr std::array<std::string_view, 8> endings{".ttf", ".otf", ".ttc", ".otc", ".woff", ".woff2", ".pfb", ".pfa"};
    const std::string low = plain(name);
    return std::any_of(endings.begin(), endings.end(), [&](std::string_view ending) { return low.ends_with(ending); });
}

std::string text_of(const FcPattern* pattern, const char* object, int n = 0) {
    FcChar8* value = nullptr;
    if (FcPatternGetString(pattern, object, n, &value) != FcResultMatch) return {};
    return reinterpret_cast<const char*>(value);
}

/// The path, and the number behind "fonts.ttc:2" counted from 0; none: a family.
std::optional<FontFile> file_by_path(const std::string& wanted) {
    FontFile file{wanted, 0, {}, {}};
    const std::size_t colon = wanted.rfind(':');
    if (colon != std::string::npos && font_ending(wanted.substr(0, colon))) {
        int number = 0;
        const char* const end = wanted.data() + wanted.size();
        const auto [rest, error] = std::from_chars(wanted.data() + colon + 1, end, number);
        if (error != std::errc{} || rest != end || number < 1 || number > 0xFFFF)
            throw Error(Fault::usage,
                        fmt::format("'{}' asks for one font of a collection: behind the colon stands its number, from 1 on.", wanted));
        file.path = wanted.substr(0, colon);
        file.face = number - 1;
    } else if (wanted.find('/') == std::string::npos && !font_ending(wanted)) {
        return std::nullopt;
    }
    return file;
}

// ---- styles

/// What a font is like. Weight in OpenType's classes (OS/2 usWeightClass: 400 regular, 700 bold), width in per cent.
struct Style {
    std::optional<double> weight, width;
    std::optional<bool> slanted;
};

struct Face {
    FontFile file;
    std::vector<std::string> families, full_names, styles;
    double weight = 400, width = 100;
    bool slanted = false;
};

struct StyleWord {
    std::string_view word;
    Style style;
};
constexpr std::array<StyleWord, 30> style_words{{
    {"thin", {100, {}, {}}},          {"hairline", {100, {}, {}}},      {"extralight", {200, {}, {}}},   {"ultralight", {200, {}, {}}},
    {"light", {300, {}, {}}},         {"book", {380, {}, {}}},          {"regular", {400, {}, {}}},      {"roman", {400, {}, false}},
    {"medium", {500, {}, {}}},        {"semibold", {600, {}, {}}},      {"demibold", {600, {}, {}}},     {"demi", {600, {}, {}}},
    {"bold", {700, {}, {}}},          {"extrabold", {800, {}, {}}},     {"ultrabold", {800, {}, {}}},    {"black", {900, {}, {}}},
    {"heavy", {900, {}, {}}},         {"upright", {{}, {}, false}},     {"italic", {{}, {}, true}},      {"oblique", {{}, {}, true}},
    {"ultracondensed", {{}, 50, {}}}, {"extracondensed", {{}, 63, {}}}, {"condensed", {{}, 75, {}}},     {"narrow", {{}, 75, {}}},
    {"semicondensed", {{}, 87, {}}},  {"normal", {{}, 100, {}}},        {"semiexpanded", {{}, 113, {}}}, {"expanded", {{}, 125, {}}},
    {"extraexpanded", {{}, 150, {}}}, {"ultraexpanded", {{}, 200, {}}},
}};

Style style_of(const std::string& words, const std::string& wanted) {
    Style style;
    for (std::size_t at = 0; at < words.size();) {
        const std::size_t end = std::min(words.find_first_of(" ,:", at), words.size());
        const std::string word = words.substr(at, end - at);
        at = end + 1;
        if (word.empty()) continue;
        const auto* const known =
            std::find_if(style_words.begin(), style_words.end(), [&](const StyleWord& each) { return each.word == word; });
        if (known == style_words.end()) {
            std::vector<std::string> all;
            for (const StyleWord& each : style_words) all.emplace_back(each.word);
            const std::string near = nearest_name(word, all);
            throw Error(Fault::usage, fmt::format("The font '{}' is asked for in a style '{}', which is none{}", wanted, word,
                                                  near.empty() ? ". Words for styles are bold, light, italic, condensed and the like."
                                                               : fmt::format("; did you mean '{}'?", near)));
        }
        if (known->style.weight) style.weight = known->style.weight;
        if (known->style.width) style.width = known->style.width;
        if (known->style.slanted) style.slanted = known->style.slanted;
    }
    return style;
}

/// Whether a face is what was asked for: within half a class of weight, an eighth in width.
bool suits(const Face& face, const Style& style) {
    return (!style.weight || std::abs(face.weight - *style.weight) <= 50) && (!style.width || std::abs(face.width - *style.width) <= 12) &&
           (!style.slanted || face.slanted == *style.slanted);
}

/// Less is nearer; what was not asked for is wanted regular. The path decides between equals.
auto distance_from(const Face& face, const Style& style) {
    return std::tuple(face.slanted != style.slanted.value_or(false), std::abs(face.width - style.width.value_or(100)),
                      std::abs(face.weight - style.weight.value_or(400)), face.file.path, face.file.face);
}

// ---- what is installed

Face face_of(const FcPattern* pattern) {
    Face face;
    const auto all = [&](const char* object) {
        std::vector<std::string> values;
        for (int n = 0;; ++n) {
            std::string value = text_of(pattern, object, n);
            if (value.empty()) return values;
            values.push_back(std::move(value));
        }
    };
    face.families = all(FC_FAMILY);
    face.full_names = all(FC_FULLNAME);
    face.styles = all(FC_STYLE);
    face.file.path = text_of(pattern, FC_FILE);
    FcPatternGetInteger(pattern, FC_INDEX, 0, &face.file.face);
    // The whole of a variable font (weights are a range then) is marked by an instance that does not exist: its regular one is meant.
    if ((face.file.face >> 16) == 0x8000) face.file.face &= 0xFFFF;
    double weight = FC_WEIGHT_REGULAR;
    FcPatternGetDouble(pattern, FC_WEIGHT, 0, &weight);
    face.weight = FcWeightToOpenTypeDouble(weight);
    FcPatternGetDouble(pattern, FC_WIDTH, 0, &face.width);
    int slant = FC_SLANT_ROMAN;
    FcPatternGetInteger(pattern, FC_SLANT, 0, &slant);
    face.slanted = slant != FC_SLANT_ROMAN;
    if (!face.families.empty()) face.file.family = face.families.front();
    if (!face.styles.empty()) face.file.style = face.styles.front();
    return face;
}

/// Fonts with outlines, all of them or those that have the characters.
std::vector<Face> installed(const std::u32string& characters = {}) {
    const Owned<FcPattern> pattern(FcPatternCreate());
    FcPatternAddBool(pattern.get(), FC_OUTLINE, FcTrue);
    FcPatternAddBool(pattern.get(), FC_SCALABLE, FcTrue);
    if (!characters.empty()) {
        const Owned<FcCharSet> needed(FcCharSetCreate());
        for (const char32_t c : characters) FcCharSetAddChar(needed.get(), c);
        FcPatternAddCharSet(pattern.get(), FC_CHARSET, needed.get());
    }
    const Owned<FcObjectSet> objects(
        FcObjectSetBuild(FC_FAMILY, FC_STYLE, FC_FULLNAME, FC_FILE, FC_INDEX, FC_WEIGHT, FC_WIDTH, FC_SLANT, FC_FONTFORMAT, nullptr));
    const Owned<FcFontSet> fonts(FcFontList(nullptr, pattern.get(), objects.get()));
    std::vector<Face> faces;
    if (!fonts) return faces;
    for (int k = 0; k < fonts->nfont; ++k) {
        const std::string format = text_of(fonts->fonts[k], FC_FONTFORMAT);
        if (format == "TrueType" || format == "CFF") faces.push_back(face_of(fonts->fonts[k]));
    }
    return faces;
}

std::vector<std::string> families_of(const std::vector<Face>& faces) {
    std::vector<std::string> names;
    for (const Face& face : faces)
        if (!face.families.empty()) names.push_back(face.families.front());
    std::sort(names.begin(), names.end());
    names.erase(std::unique(names.begin(), names.end()), names.end());
    return names;
}

/// What the system takes for a generic family; its locale is kept out of it.
std::string generic_family(const std::string& family) {
    const Owned<FcPattern> pattern(FcPatternCreate());
    const auto add = [&](const char* object, const char* value) {
        FcPatternAddString(pattern.get(), object, reinterpret_cast<const FcChar8*>(value));
    };
    add(FC_FAMILY, family.c_str());
    add(FC_LANG, "en");
    add(FC_NAMELANG, "en");
    FcPatternAddBool(pattern.get(), FC_OUTLINE, FcTrue);
    FcPatternAddBool(pattern.get(), FC_SCALABLE, FcTrue);
    FcConfigSubstitute(nullptr, pattern.get(), FcMatchPattern);
    FcDefaultSubstitute(pattern.get());
    FcResult result = FcResultNoMatch;
    const Owned<FcPattern> found(FcFontMatch(nullptr, pattern.get(), &result));
    return found ? text_of(found.get(), FC_FAMILY) : std::string{};
}

bool holds(const std::vector<std::string>& names, const std::string& wanted) {
    return std::any_of(names.begin(), names.end(), [&](const std::string& name) { return plain(name) == wanted; });
}

Error no_family(const std::string& family, const std::vector<Face>& faces) {
    std::vector<std::string> left = families_of(faces), low, near;
    if (left.empty())
        return Error(Fault::input, fmt::format("There is no font family '{}': this computer has no outline fonts at all. Install some "
                                               "(package fonts-dejavu-core, say), or give the path of a font file.",
                                               family));
    for (const std::string& name : left) low.push_back(plain(name));
    for (const bool whole : {true, false})
        for (std::size_t k = 0; k < left.size() && near.size() < 4; ++k) {
            const std::string word = plain(family);
            const bool alike = whole ? nearest_name(word, {low[k]}) == low[k]
                                     : !word.empty() && (low[k].find(word) != std::string::npos || word.find(low[k]) != std::string::npos);
            if (alike && std::find(near.begin(), near.end(), left[k]) == near.end()) near.push_back(left[k]);
        }
    const bool none_near = near.empty();
    if (none_near) near.assign(left.begin(), left.begin() + static_cast<std::ptrdiff_t>(std::min<std::size_t>(left.size(), 6)));
    return Error(Fault::input,
                 fmt::format("There is no font family '{}' on this computer; {} {}{}. Take one of those, or give the path of "
                             "a font file.",
                             family, none_near ? "there are" : "the nearest are", fmt::join(near, ", "),
                             none_near && left.size() > near.size() ? fmt::format(" and {} more", left.size() - near.size()) : ""));
}

FontFile best_of(const std::vector<Face>& faces, const Style& style, const std::string& style_words_given) {
    const Face* best = nullptr;
    for (const Face& face : faces)
        if (suits(face, style) && (best == nullptr || distance_from(face, style) < distance_from(*best, style))) best = &face;
    if (best != nullptr) return best->file;
    std::vector<std::string> has;
    for (const Face& face : faces)
        if (!face.file.style.empty()) has.push_back(face.file.style);
    std::sort(has.begin(), has.end());
    has.erase(std::unique(has.begin(), has.end()), has.end());
    throw Error(Fault::input, fmt::format("The font family '{}' is not there in the style '{}'; there are: {}.", faces.front().file.family,
                                          style_words_given, fmt::join(has, ", ")));
}

FontFile find_family(const std::string& wanted) {
    const std::size_t colon = std::min(wanted.find(':'), wanted.size());
    const std::string given = wanted.substr(0, colon), words = colon < wanted.size() ? plain(wanted.substr(colon + 1)) : "";
    std::string family = plain(given);
    if (family.empty()) throw Error(Fault::usage, "No font is named: give a family, such as 'Serif', or the path of a font file.");
    const std::scoped_lock one(turnstile());
    const std::vector<Face> all = installed();
    std::vector<Face> faces;
    const auto pick = [&](auto&& wants) { std::copy_if(all.begin(), all.end(), std::back_inserter(faces), wants); };
    const auto in_family = [&](const Face& face) { return holds(face.families, family); };
    pick(in_family);
    if (faces.empty()) {
        const bool sans = family == "sans" || family == "sans-serif" || family == "sans serif";
        if (sans || family == "serif" || family == "monospace" || family == "mono")
            family = plain(generic_family(sans ? "sans-serif" : family == "mono" ? "monospace" : family));
        pick(in_family);
    }
    if (faces.empty() && words.empty()) {
        pick([&](const Face& face) { return holds(face.full_names, family); });
        std::sort(faces.begin(), faces.end(), [](const Face& a, const Face& b) { return distance_from(a, {}) < distance_from(b, {}); });
        if (!faces.empty()) return faces.front().file;
    }
    if (faces.empty()) throw no_family(given, all);
    std::vector<Face> named;
    std::copy_if(faces.begin(), faces.end(), std::back_inserter(named), [&](const Face& face) { return holds(face.styles, words); });
    return named.empty() ? best_of(faces, style_of(words, wanted), words) : best_of(named, {}, words);
}

}  // namespace

std::string FontFile::name() const {
    if (family.empty()) return path.filename().string();
    return style.empty() ? family : family + " " + style;
}

FontFile find_font(const std::string& wanted) {
    if (std::optional<FontFile> file = file_by_path(wanted)) return *file;
    return find_family(wanted);
}

std::vector<std::string> families_with(const std::u32string& characters, std::size_t most) {
    const std::scoped_lock one(turnstile());
    std::vector<std::string> families = families_of(installed(characters));
    if (families.size() > most) families.resize(most);
    return families;
}

}  // namespace burin
