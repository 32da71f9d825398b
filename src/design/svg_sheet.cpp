/// Style sheets of simple selectors and the order in which what is said of an element counts (CSS Syntax 3, Selectors 4, Cascade 4).
///
/// Cost: rules × elements.
#include <algorithm>

#include "svg_style.hpp"

namespace burin {
namespace {

std::string without_comments(std::string_view text) {
    std::string out;
    while (!text.empty()) {
        const std::size_t open = std::min(text.find("/*"), text.size());
        out += text.substr(0, open);
        text.remove_prefix(open);
        const std::size_t close = text.find("*/");
        text.remove_prefix(close == std::string_view::npos ? text.size() : close + 2);
    }
    return out;
}

Properties declarations(std::string_view text) {
    Properties out;
    for (const std::string_view piece : pieces(text, ';')) {
        const std::size_t colon = piece.find(':');
        if (colon == std::string_view::npos) continue;
        out.emplace_back(lowered(trimmed(piece.substr(0, colon))), std::string(trimmed(piece.substr(colon + 1))));
    }
    return out;
}

/// Element, classes and id without anything between them.
std::optional<SheetRule> simple_selector(std::string_view text) {
    SheetRule rule;
    SvgScan scan(text);
    if (!scan.take('*')) rule.element = scan.word();
    if (!rule.element.empty()) rule.weight = 1;
    while (!scan.done()) {
        if (scan.take('.')) {
            rule.classes.emplace_back(scan.word());
            if (rule.classes.back().empty()) return std::nullopt;
            rule.weight += 100;
        } else if (scan.take('#') && rule.id.empty()) {
            rule.id = scan.word();
            if (rule.id.empty()) return std::nullopt;
            rule.weight += 10'000;
        } else {
            return std::nullopt;
        }
    }
    return rule;
}

/// What stands before the block's end, the block's brackets counted.
std::size_t block_end(std::string_view text, std::size_t open) {
    int depth = 0;
    for (std::size_t k = open; k < text.size(); ++k) {
        if (text[k] == '{') ++depth;
        if (text[k] == '}' && --depth == 0) return k;
    }
    return text.size();
}

bool has_class(std::string_view classes, const std::string& wanted) {
    const std::vector<std::string_view> all = words_of(classes);
    return std::find(all.begin(), all.end(), wanted) != all.end();
}

bool matches(const SheetRule& rule, std::string_view element, const pugi::xml_node& node) {
    if (!rule.element.empty() && rule.element != element) return false;
    if (!rule.id.empty() && attribute(node, "id") != rule.id) return false;
    return std::all_of(rule.classes.begin(), rule.classes.end(),
                       [&](const std::string& c) { return has_class(attribute(node, "class"), c); });
}

/// "!important" comes off, and what it belongs to goes to the end.
Properties important_last(const Properties& given) {
    Properties out, last;
    for (auto [name, value] : given) {
        const std::size_t mark = value.rfind('!');
        const bool important = mark != std::string::npos && lowered(trimmed(std::string_view(value).substr(mark + 1))) == "important";
        if (important) value = std::string(trimmed(std::string_view(value).substr(0, mark)));
        (important ? last : out).emplace_back(std::move(name), std::move(value));
    }
    out.insert(out.end(), std::make_move_iterator(last.begin()), std::make_move_iterator(last.end()));
    return out;
}

}  // namespace

void read_sheet(std::string_view given, std::vector<SheetRule>& rules, SvgRemarks& remarks, std::size_t line) {
    constexpr std::size_t most_rules = 20'000;
    const std::string clean = without_comments(given);
    std::string_view text = clean;
    while (!(text = trimmed(text)).empty()) {
        const std::size_t open = text.find('{'), semicolon = text.find(';');
        if (text.starts_with("<!--") || text.starts_with("-->")) {  // old files hide their sheets so
            text.remove_prefix(text.starts_with("<!--") ? 4 : 3);
            continue;
        }
        if (text.front() == '@') {
            remarks.warn("The style sheet's @ rules (imports, fonts, media) are not supported and left out", line);
            text.remove_prefix(semicolon < open                 ? semicolon + 1
                               : open == std::string_view::npos ? text.size()
                                                                : std::min(block_end(text, open) + 1, text.size()));
            continue;
        }
        if (open == std::string_view::npos) return;
        const std::size_t close = block_end(text, open);
        const Properties said = declarations(text.substr(open + 1, close - open - 1));
        for (const std::string_view selector : pieces(text.substr(0, open), ',')) {
            std::optional<SheetRule> rule = simple_selector(selector);
            if (rule && rules.size() < most_rules) {
                rule->properties = said;
                rules.push_back(std::move(*rule));
            } else {
                remarks.warn("The style sheet has selectors that are more than an element, a class or an id; their rules are left out",
                             line);
            }
        }
        text.remove_prefix(std::min(close + 1, text.size()));
    }
}

Properties properties_of(const SvgDocument& document, const pugi::xml_node& node, const std::vector<SheetRule>& rules) {
    Properties out;
    for (const pugi::xml_attribute& given : node.attributes()) {
        const std::string_view name = given.name();
        if (name != "style" && name != "transform" && name != "class" && name != "id" && name != "d") out.emplace_back(name, given.value());
    }
    std::vector<const SheetRule*> found;
    const std::string_view element = document.element(node);
    for (const SheetRule& rule : rules)
        if (matches(rule, element, node)) found.push_back(&rule);
    std::stable_sort(found.begin(), found.end(), [](const SheetRule* a, const SheetRule* b) { return a->weight < b->weight; });
    for (const SheetRule* rule : found) out.insert(out.end(), rule->properties.begin(), rule->properties.end());
    const Properties own = declarations(without_comments(attribute(node, "style")));
    out.insert(out.end(), own.begin(), own.end());
    return important_last(out);
}

}  // namespace burin
