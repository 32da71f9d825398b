/// The small grammars of SVG's attributes: numbers, flags, lengths with units (SVG 2, 9.3.9; CSS Values and Units 3). Cost: n.
#include "svg_scan.hpp"

#include <algorithm>
#include <charconv>
#include <limits>

namespace burin {

bool svg_space(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == '\f'; }

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

}  // namespace

void SvgScan::skip_space() {
    while (!done() && svg_space(text_[at_])) ++at_;
}

void SvgScan::skip_comma() {
    skip_space();
    if (take(',')) skip_space();
}

bool SvgScan::take(char c) {
    if (look() != c || done()) return false;
    ++at_;
    return true;
}

std::optional<double> SvgScan::number() {
    std::size_t end = at_;
    const auto at = [&](std::size_t k) { return k < text_.size() ? text_[k] : '\0'; };
    const auto digits = [&] {
        const std::size_t from = end;
        while (digit(at(end))) ++end;
        return end > from;
    };
    if (at(end) == '+' || at(end) == '-') ++end;
    const bool whole = digits();
    bool some = whole;
    if (at(end) == '.') {
        ++end;
        const bool fraction = digits();
        some = some || fraction;
        if (!fraction) --end;  // a dot at the end is none of the number's
    }
    if (!some) return std::nullopt;
    if (at(end) == 'e' || at(end) == 'E') {
        const std::size_t before = end++;
        if (at(end) == '+' || at(end) == '-') ++end;
        if (!digits()) end = before;  // "1em"
    }
    const std::size_t from = at_ + (at(at_) == '+' ? 1 : 0);
    double value = 0;
    const auto told = std::from_chars(text_.data() + from, text_.data() + end, value);
    if (told.ec == std::errc::result_out_of_range) {
        const std::string_view spelled = text_.substr(from, end - from);
        const std::size_t e = spelled.find_first_of("eE");
        const bool tiny = e != std::string_view::npos && e + 1 < spelled.size() && spelled[e + 1] == '-';
        value = tiny ? 0 : std::numeric_limits<double>::infinity();
    }
    at_ = end;
    return value;
}

std::optional<bool> SvgScan::flag() {
    if (look() != '0' && look() != '1') return std::nullopt;
    return text_[at_++] == '1';
}

std::string_view SvgScan::word() {
    const std::size_t from = at_;
    while (!done() && (letter(look()) || digit(look()) || look() == '-' || look() == '_')) ++at_;
    return text_.substr(from, at_ - from);
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && svg_space(text.front())) text.remove_prefix(1);
    while (!text.empty() && svg_space(text.back())) text.remove_suffix(1);
    return text;
}

std::string lowered(std::string_view text) {
    std::string out(text);
    for (char& c : out)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    return out;
}

std::vector<std::string_view> pieces(std::string_view text, char separator) {
    std::vector<std::string_view> out;
    while (!text.empty()) {
        const std::size_t end = std::min(text.find(separator), text.size());
        if (const std::string_view piece = trimmed(text.substr(0, end)); !piece.empty()) out.push_back(piece);
        text.remove_prefix(std::min(end + 1, text.size()));
    }
    return out;
}

std::vector<std::string_view> words_of(std::string_view text) {
    std::vector<std::string_view> out;
    while (!(text = trimmed(text)).empty()) {
        std::size_t end = 0;
        while (end < text.size() && !svg_space(text[end])) ++end;
        out.push_back(text.substr(0, end));
        text.remove_prefix(end);
    }
    return out;
}

std::optional<SvgLength> svg_length(SvgScan& scan) {
    const std::optional<double> value = scan.number();
    if (!value) return std::nullopt;
    if (scan.take('%')) return SvgLength{*value, "%"};
    return SvgLength{*value, scan.word()};
}

std::optional<double> in_pixels(const SvgLength& length, const SvgUnits& units) {
    struct Unit {
        std::string_view name;
        double pixels;
    };
    const Unit table[] = {{"", 1},
                          {"px", 1},
                          {"in", 96},
                          {"cm", 96 / 2.54},
                          {"mm", 96 / 25.4},
                          {"q", 96 / 101.6},
                          {"pt", 96.0 / 72},
                          {"pc", 16},
                          {"em", units.font_size},
                          {"ex", units.font_size / 2},
                          {"%", units.percent_of / 100}};
    const std::string name = lowered(length.unit);
    for (const Unit& unit : table)
        if (unit.name == name) return length.value * unit.pixels;
    return std::nullopt;
}

std::optional<double> in_pixels(std::string_view text, const SvgUnits& units) {
    SvgScan scan(trimmed(text));
    const std::optional<SvgLength> length = svg_length(scan);
    if (!length || !scan.done()) return std::nullopt;
    return in_pixels(*length, units);
}

}  // namespace burin
