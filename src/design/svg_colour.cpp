/// Colours of CSS (W3C, CSS Color Module Level 4). Cost: a search among the names.
#include "svg_colour.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

#include "svg_scan.hpp"

namespace burin {
namespace {

struct Named {
    std::string_view name;
    std::uint32_t rgb;
};
/// CSS Color 4, 6.1, by name.
constexpr Named names[] = {
    {"aliceblue", 0xf0f8ff},
    {"antiquewhite", 0xfaebd7},
    {"aqua", 0x00ffff},
    {"aquamarine", 0x7fffd4},
    {"azure", 0xf0ffff},
    {"beige", 0xf5f5dc},
    {"bisque", 0xffe4c4},
    {"black", 0x000000},
    {"blanchedalmond", 0xffebcd},
    {"blue", 0x0000ff},
    {"blueviolet", 0x8a2be2},
    {"brown", 0xa52a2a},
    {"burlywood", 0xdeb887},
    {"cadetblue", 0x5f9ea0},
    {"chartreuse", 0x7fff00},
    {"chocolate", 0xd2691e},
    {"coral", 0xff7f50},
    {"cornflowerblue", 0x6495ed},
    {"cornsilk", 0xfff8dc},
    {"crimson", 0xdc143c},
    {"cyan", 0x00ffff},
    {"darkblue", 0x00008b},
    {"darkcyan", 0x008b8b},
    {"darkgoldenrod", 0xb8860b},
    {"darkgray", 0xa9a9a9},
    {"darkgreen", 0x006400},
    {"darkgrey", 0xa9a9a9},
    {"darkkhaki", 0xbdb76b},
    {"darkmagenta", 0x8b008b},
    {"darkolivegreen", 0x556b2f},
    {"darkorange", 0xff8c00},
    {"darkorchid", 0x9932cc},
    {"darkred", 0x8b0000},
    {"darksalmon", 0xe9967a},
    {"darkseagreen", 0x8fbc8f},
    {"darkslateblue", 0x483d8b},
    {"darkslategray", 0x2f4f4f},
    {"darkslategrey", 0x2f4f4f},
    {"darkturquoise", 0x00ced1},
    {"darkviolet", 0x9400d3},
    {"deeppink", 0xff1493},
    {"deepskyblue", 0x00bfff},
    {"dimgray", 0x696969},
    {"dimgrey", 0x696969},
    {"dodgerblue", 0x1e90ff},
    {"firebrick", 0xb22222},
    {"floralwhite", 0xfffaf0},
    {"forestgreen", 0x228b22},
    {"fuchsia", 0xff00ff},
    {"gainsboro", 0xdcdcdc},
    {"ghostwhite", 0xf8f8ff},
    {"gold", 0xffd700},
    {"goldenrod", 0xdaa520},
    {"gray", 0x808080},
    {"green", 0x008000},
    {"greenyellow", 0xadff2f},
    {"grey", 0x808080},
    {"honeydew", 0xf0fff0},
    {"hotpink", 0xff69b4},
    {"indianred", 0xcd5c5c},
    {"indigo", 0x4b0082},
    {"ivory", 0xfffff0},
    {"khaki", 0xf0e68c},
    {"lavender", 0xe6e6fa},
    {"lavenderblush", 0xfff0f5},
    {"lawngreen", 0x7cfc00},
    {"lemonchiffon", 0xfffacd},
    {"lightblue", 0xadd8e6},
    {"lightcoral", 0xf08080},
    {"lightcyan", 0xe0ffff},
    {"lightgoldenrodyellow", 0xfafad2},
    {"lightgray", 0xd3d3d3},
    {"lightgreen", 0x90ee90},
    {"lightgrey", 0xd3d3d3},
    {"lightpink", 0xffb6c1},
    {"lightsalmon", 0xffa07a},
    {"lightseagreen", 0x20b2aa},
    {"lightskyblue", 0x87cefa},
    {"lightslategray", 0x778899},
    {"lightslategrey", 0x778899},
    {"lightsteelblue", 0xb0c4de},
    {"lightyellow", 0xffffe0},
    {"lime", 0x00ff00},
    {"limegreen", 0x32cd32},
    {"linen", 0xfaf0e6},
    {"magenta", 0xff00ff},
    {"maroon", 0x800000},
    {"mediumaquamarine", 0x66cdaa},
    {"mediumblue", 0x0000cd},
    {"mediumorchid", 0xba55d3},
    {"mediumpurple", 0x9370db},
    {"mediumseagreen", 0x3cb371},
    {"mediumslateblue", 0x7b68ee},
    {"mediumspringgreen", 0x00fa9a},
    {"mediumturquoise", 0x48d1cc},
    {"mediumvioletred", 0xc71585},
    {"midnightblue", 0x191970},
    {"mintcream", 0xf5fffa},
    {"mistyrose", 0xffe4e1},
    {"moccasin", 0xffe4b5},
    {"navajowhite", 0xffdead},
    {"navy", 0x000080},
    {"oldlace", 0xfdf5e6},
    {"olive", 0x808000},
    {"olivedrab", 0x6b8e23},
    {"orange", 0xffa500},
    {"orangered", 0xff4500},
    {"orchid", 0xda70d6},
    {"palegoldenrod", 0xeee8aa},
    {"palegreen", 0x98fb98},
    {"paleturquoise", 0xafeeee},
    {"palevioletred", 0xdb7093},
    {"papayawhip", 0xffefd5},
    {"peachpuff", 0xffdab9},
    {"peru", 0xcd853f},
    {"pink", 0xffc0cb},
    {"plum", 0xdda0dd},
    {"powderblue", 0xb0e0e6},
    {"purple", 0x800080},
    {"rebeccapurple", 0x663399},
    {"red", 0xff0000},
    {"rosybrown", 0xbc8f8f},
    {"royalblue", 0x4169e1},
    {"saddlebrown", 0x8b4513},
    {"salmon", 0xfa8072},
    {"sandybrown", 0xf4a460},
    {"seagreen", 0x2e8b57},
    {"seashell", 0xfff5ee},
    {"sienna", 0xa0522d},
    {"silver", 0xc0c0c0},
    {"skyblue", 0x87ceeb},
    {"slateblue", 0x6a5acd},
    {"slategray", 0x708090},
    {"slategrey", 0x708090},
    {"snow", 0xfffafa},
    {"springgreen", 0x00ff7f},
    {"steelblue", 0x4682b4},
    {"tan", 0xd2b48c},
    {"teal", 0x008080},
    {"thistle", 0xd8bfd8},
    {"tomato", 0xff6347},
    {"turquoise", 0x40e0d0},
    {"violet", 0xee82ee},
    {"wheat", 0xf5deb3},
    {"white", 0xffffff},
    {"whitesmoke", 0xf5f5f5},
    {"yellow", 0xffff00},
    {"yellowgreen", 0x9acd32},
};

SvgColour of_bytes(std::uint32_t rgb, double alpha = 1) {
    const auto part = [&](int shift) { return static_cast<double>(rgb >> shift & 0xFF) / 255; };
    return {part(16), part(8), part(0), alpha};
}

std::optional<SvgColour> of_digits(std::string_view digits) {
    std::uint64_t value = 0;
    for (const char c : digits) {
        const int digit = c >= '0' && c <= '9' ? c - '0' : c >= 'a' && c <= 'f' ? c - 'a' + 10 : c >= 'A' && c <= 'F' ? c - 'A' + 10 : -1;
        if (digit < 0) return std::nullopt;
        // A short form writes each digit once for twice.
        value = digits.size() <= 4 ? value << 8 | static_cast<std::uint64_t>(digit * 17) : value << 4 | static_cast<std::uint64_t>(digit);
        if (value >> 32) return std::nullopt;
    }
    switch (digits.size()) {
        case 3:
        case 6:
            return of_bytes(static_cast<std::uint32_t>(value));
        case 4:
        case 8:
            return of_bytes(static_cast<std::uint32_t>(value >> 8), static_cast<double>(value & 0xFF) / 255);
        default:
            return std::nullopt;
    }
}

/// CSS Color 4, 7.1.
SvgColour of_hsl(double hue, double saturation, double light, double alpha) {
    const auto part = [&](double n) {
        const double k = std::fmod(n + hue / 30, 12.0);
        return light - saturation * std::min(light, 1 - light) * std::max(-1.0, std::min({k - 3, 9 - k, 1.0}));
    };
    return {part(0), part(8), part(4), alpha};
}

struct Part {
    double value;
    std::string_view unit;
};

/// What stands between the brackets: commas, blanks or a slash apart.
std::optional<std::vector<Part>> parts_of(std::string_view text) {
    std::vector<Part> parts;
    SvgScan scan(text);
    scan.skip_space();
    while (!scan.done()) {
        const std::optional<SvgLength> part = svg_length(scan);
        if (!part || !std::isfinite(part->value)) return std::nullopt;
        parts.push_back({part->value, part->unit});
        scan.skip_comma();
        if (scan.take('/')) scan.skip_space();
    }
    if (parts.size() != 3 && parts.size() != 4) return std::nullopt;
    return parts;
}

std::optional<SvgColour> of_function(std::string_view name, std::string_view inside) {
    const std::optional<std::vector<Part>> parts = parts_of(inside);
    if (!parts) return std::nullopt;
    const auto share = [](const Part& p, double whole) { return std::clamp(p.unit == "%" ? p.value / 100 : p.value / whole, 0.0, 1.0); };
    const double alpha = parts->size() == 4 ? share((*parts)[3], 1) : 1;
    if (name == "rgb" || name == "rgba") return SvgColour{share((*parts)[0], 255), share((*parts)[1], 255), share((*parts)[2], 255), alpha};
    if (name != "hsl" && name != "hsla") return std::nullopt;
    const double hue = std::fmod(std::fmod((*parts)[0].value, 360.0) + 360, 360.0);
    return of_hsl(hue, share((*parts)[1], 100), share((*parts)[2], 100), alpha);
}

}  // namespace

std::optional<SvgColour> svg_colour(std::string_view text) {
    text = trimmed(text);
    if (text.starts_with('#')) return of_digits(text.substr(1));
    if (text.size() > 1000) return std::nullopt;
    const std::string low = lowered(text);
    if (low == "transparent") return SvgColour{0, 0, 0, 0};
    const Named* const found = std::lower_bound(std::begin(names), std::end(names), low,
                                                [](const Named& named, const std::string& name) { return named.name < name; });
    if (found != std::end(names) && found->name == low) return of_bytes(found->rgb);
    const std::size_t open = low.find('(');
    if (open == std::string::npos || low.back() != ')') return std::nullopt;
    return of_function(trimmed(std::string_view(low).substr(0, open)), std::string_view(low).substr(open + 1, low.size() - open - 2));
}

}  // namespace burin
