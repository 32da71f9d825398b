#pragma once
/// An SVG's elements, checked against bombs before anything is made of them.
#include <map>
#include <pugixml.hpp>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

namespace burin {

namespace svg_limits {
constexpr int depth = 256;                   ///< elements within each other, `use` counted
constexpr std::size_t elements = 1'000'000;  ///< in the file
constexpr std::size_t painted = 250'000;     ///< elements painted, each as often as it is used
constexpr std::size_t points = 8'000'000;    ///< of all chords
constexpr double farthest = 1e6;             ///< mm that a coordinate may lie from the page
constexpr std::size_t entity_length = 1000;  ///< of a declared entity's text
}  // namespace svg_limits

/// Warnings of one kind told once, with their lines.
class SvgRemarks {
public:
    /// `sentence` says what is done about it, without a place: "A filter is not supported; what it belongs to is painted without it".
    void warn(const std::string& sentence, std::size_t line) { add(warnings_, sentence, line); }
    void note(const std::string& sentence, std::size_t line) { add(notes_, sentence, line); }
    [[nodiscard]] std::vector<std::string> warnings() const { return told(warnings_); }
    [[nodiscard]] std::vector<std::string> notes() const { return told(notes_); }

private:
    struct Kind {
        std::string sentence;
        std::vector<std::size_t> lines;  ///< the first few
        std::size_t count = 0;
    };
    using Kinds = std::vector<Kind>;
    static void add(Kinds& kinds, const std::string& sentence, std::size_t line);
    static std::vector<std::string> told(const Kinds& kinds);
    Kinds warnings_, notes_;
};

class SvgDocument {
public:
    /// Throws Error (input) for what is no SVG, is broken or breaks a limit.
    SvgDocument(std::string_view bytes, const std::string& name);
    SvgDocument(const SvgDocument&) = delete;
    SvgDocument& operator=(const SvgDocument&) = delete;
    ~SvgDocument() = default;

    [[nodiscard]] pugi::xml_node root() const { return root_; }
    /// The element with this id; an empty node where there is none.
    [[nodiscard]] pugi::xml_node by_id(std::string_view id) const;
    [[nodiscard]] std::size_t line_of(const pugi::xml_node& node) const;
    /// The element's name without the prefix that stands for SVG; empty for other vocabularies' elements.
    [[nodiscard]] std::string_view element(const pugi::xml_node& node) const;
    [[nodiscard]] bool has_entities() const { return entities_; }
    /// Throws Error (input): "NAME, line N: SENTENCE".
    [[noreturn]] void fail(const pugi::xml_node& node, const std::string& sentence) const;
    [[nodiscard]] const std::string& name() const { return name_; }

private:
    void check_doctype(std::string_view text);
    void look_through();

    std::string name_;
    pugi::xml_document tree_;
    pugi::xml_node root_;
    std::string prefix_;  ///< "svg:" or empty
    bool entities_ = false;
    std::unordered_map<std::string, pugi::xml_node> ids_;
    std::vector<std::ptrdiff_t> lines_;  ///< places of the bytes' line ends
};

/// An attribute's value, empty where it is not there.
[[nodiscard]] inline std::string_view attribute(const pugi::xml_node& node, const char* name) { return node.attribute(name).value(); }

}  // namespace burin
