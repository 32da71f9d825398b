/// Reading an SVG's XML (the library pugixml, which neither resolves entities nor opens files) within limits.
///
/// Before parsing: size, compression, and how many elements and attributes there can be, since each costs many times its bytes. After it:
/// depth, walked without recursion, and the document type: entities may be declared as old drawing programs do, but none that builds on
/// another one or on a file. Cost: n.
#include "svg_document.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "burin/base/error.hpp"
#include "burin/design/svg.hpp"
#include "svg_scan.hpp"

namespace burin {
namespace {

constexpr std::string_view svg_vocabulary = "http://www.w3.org/2000/svg";

std::vector<std::ptrdiff_t> line_ends(std::string_view bytes) {
    std::vector<std::ptrdiff_t> ends;
    for (std::size_t k = 0; k < bytes.size(); ++k)
        if (bytes[k] == '\n' || (bytes[k] == '\r' && (k + 1 == bytes.size() || bytes[k + 1] != '\n')))
            ends.push_back(static_cast<std::ptrdiff_t>(k));
    return ends;
}

std::size_t line_at(const std::vector<std::ptrdiff_t>& ends, std::ptrdiff_t place) {
    return static_cast<std::size_t>(std::lower_bound(ends.begin(), ends.end(), place) - ends.begin()) + 1;
}

void check_bytes(std::string_view bytes, const std::string& name) {
    const auto refuse = [&](const std::string& sentence) { throw Error(Fault::input, fmt::format("{}: {}", name, sentence)); };
    if (bytes.size() > svg_most_bytes)
        refuse(fmt::format("The drawing is larger than {} MB. Simplify it, or leave out pictures that lie in it.", svg_most_bytes >> 20));
    if (trimmed(bytes).empty()) refuse("The file is empty.");
    if (bytes.starts_with("\x1f\x8b")) refuse("The drawing is compressed. Save it as plain SVG, or unpack it with gunzip.");
    if (static_cast<std::size_t>(std::count(bytes.begin(), bytes.end(), '<')) > 3 * svg_limits::elements)
        refuse(fmt::format("The drawing has more than {} elements. Simplify it.", svg_limits::elements));
    if (static_cast<std::size_t>(std::count(bytes.begin(), bytes.end(), '=')) > 6 * svg_limits::elements)
        refuse(fmt::format("The drawing has more than {} attributes. Simplify it.", 6 * svg_limits::elements));
}

}  // namespace

void SvgRemarks::add(Kinds& kinds, const std::string& sentence, std::size_t line) {
    constexpr std::size_t most_kinds = 100, most_lines = 3;
    auto kind = std::find_if(kinds.begin(), kinds.end(), [&](const Kind& k) { return k.sentence == sentence; });
    if (kind == kinds.end()) {
        if (kinds.size() == most_kinds) return;
        kind = kinds.insert(kinds.end(), Kind{sentence, {}, 0});
    }
    ++kind->count;
    if (kind->lines.size() < most_lines && (kind->lines.empty() || kind->lines.back() != line)) kind->lines.push_back(line);
}

std::vector<std::string> SvgRemarks::told(const Kinds& kinds) {
    std::vector<std::string> sentences;
    for (const Kind& kind : kinds) {
        std::string place = fmt::format("line{} ", kind.lines.size() == 1 ? "" : "s");
        for (std::size_t k = 0; k < kind.lines.size(); ++k) place += fmt::format("{}{}", k > 0 ? ", " : "", kind.lines[k]);
        if (kind.count > kind.lines.size()) place += fmt::format(", {} times in all", kind.count);
        sentences.push_back(fmt::format("{} ({}).", kind.sentence, place));
    }
    return sentences;
}

bool looks_like_svg(std::string_view bytes) {
    if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
    const std::string head = lowered(trimmed(bytes.substr(0, std::min<std::size_t>(bytes.size(), 64 * 1024))));
    std::string_view rest = head;
    while (true) {
        rest = trimmed(rest);
        const auto skip = [&](std::string_view opening, std::string_view closing) {
            if (!rest.starts_with(opening)) return false;
            const std::size_t end = rest.find(closing);
            rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + closing.size());
            return true;
        };
        if (skip("<?", "?>") || skip("<!--", "-->")) continue;
        if (rest.starts_with("<!doctype")) {
            const std::size_t inside = rest.find('['), end = rest.find('>');
            if (!(inside < end && skip("<!doctype", "]>"))) skip("<!doctype", ">");
            continue;
        }
        break;
    }
    if (!rest.starts_with('<')) return false;
    SvgScan scan(rest.substr(1));
    const std::string_view first = scan.word();
    return first == "svg" || (scan.take(':') && scan.word() == "svg");
}

SvgDocument::SvgDocument(std::string_view bytes, const std::string& name) : name_(name) {
    check_bytes(bytes, name);
    lines_ = line_ends(bytes);
    const pugi::xml_parse_result told =
        tree_.load_buffer(bytes.data(), bytes.size(), pugi::parse_default | pugi::parse_doctype | pugi::parse_ws_pcdata);
    if (!told)
        throw Error(Fault::input, fmt::format("{}, line {}: The file is broken: {}. Save the drawing anew, or repair that line.", name,
                                              line_at(lines_, told.offset), lowered(told.description())));
    for (const pugi::xml_node& node : tree_.children())
        if (node.type() == pugi::node_doctype) check_doctype(node.value());
    root_ = tree_.document_element();
    const std::string_view spelled = root_.name();
    const std::size_t colon = spelled.find(':');
    if (colon != std::string_view::npos) {
        prefix_ = spelled.substr(0, colon + 1);
        if (attribute(root_, fmt::format("xmlns:{}", spelled.substr(0, colon)).c_str()) != svg_vocabulary) prefix_.assign(1, '?');
    }
    if (element(root_) != "svg")
        throw Error(Fault::input, fmt::format("{}: The file is no SVG: it begins with <{}>, not <svg>.", name, spelled.substr(0, 60)));
    look_through();
}

void SvgDocument::check_doctype(std::string_view text) {
    const auto refuse = [&](const std::string& why) {
        throw Error(Fault::input,
                    fmt::format("{}: The file's document type declares an entity {}, which is refused: it may be meant to fill the "
                                "memory or to read files. Save the drawing as plain SVG.",
                                name_, why));
    };
    constexpr std::string_view opening = "<!ENTITY";
    std::size_t count = 0;
    for (std::size_t at = text.find(opening); at != std::string_view::npos; at = text.find(opening, at + 1)) {
        entities_ = true;
        if (++count > 100) refuse("more often than a hundred times");
        const std::string_view rest = text.substr(at + opening.size());
        const std::size_t quote = rest.find_first_of("\"'>");
        if (quote == std::string_view::npos || rest[quote] == '>') refuse("without a text");
        const std::string_view before = rest.substr(0, quote);
        if (before.find("SYSTEM") != std::string_view::npos || before.find("PUBLIC") != std::string_view::npos)
            refuse("that stands for a file");
        if (before.find('%') != std::string_view::npos) refuse("for use in the document type");
        const std::string_view value = rest.substr(quote + 1, std::min(rest.find(rest[quote], quote + 1), rest.size()) - quote - 1);
        if (value.find_first_of("&%<") != std::string_view::npos) refuse("that builds on others");
        if (value.size() > svg_limits::entity_length) refuse("with a very long text");
    }
}

/// Without recursion: a deep file must not run off the stack.
void SvgDocument::look_through() {
    std::size_t elements = 0;
    int depth = 1;
    pugi::xml_node node = root_;
    while (true) {
        if (node.type() == pugi::node_element) {
            if (++elements > svg_limits::elements)
                throw Error(Fault::input,
                            fmt::format("{}: The drawing has more than {} elements. Simplify it.", name_, svg_limits::elements));
            if (const char* const id = node.attribute("id").value(); *id != '\0') ids_.emplace(id, node);  // the first one counts
        }
        if (const pugi::xml_node child = node.first_child()) {
            if (++depth > svg_limits::depth)
                fail(node, fmt::format("Elements lie more than {} deep within each other. Ungroup the drawing.", svg_limits::depth));
            node = child;
            continue;
        }
        while (node != root_ && !node.next_sibling()) node = node.parent(), --depth;
        if (node == root_) return;
        node = node.next_sibling();
    }
}

pugi::xml_node SvgDocument::by_id(std::string_view id) const {
    const auto found = ids_.find(std::string(id));
    return found == ids_.end() ? pugi::xml_node() : found->second;
}

std::size_t SvgDocument::line_of(const pugi::xml_node& node) const { return line_at(lines_, node.offset_debug()); }

std::string_view SvgDocument::element(const pugi::xml_node& node) const {
    if (node.type() != pugi::node_element) return {};
    std::string_view spelled = node.name();
    if (!spelled.starts_with(prefix_)) return {};
    spelled.remove_prefix(prefix_.size());
    return spelled.find(':') == std::string_view::npos ? spelled : std::string_view();
}

void SvgDocument::fail(const pugi::xml_node& node, const std::string& sentence) const {
    throw Error(Fault::input, fmt::format("{}, line {}: {}", name_, line_of(node), sentence));
}

}  // namespace burin
