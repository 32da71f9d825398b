#pragma once
/// How an element is painted: attributes, style sheets and the `style` attribute, inherited from element to element.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "burin/shape/widen.hpp"
#include "svg_colour.hpp"
#include "svg_document.hpp"
#include "svg_scan.hpp"

namespace burin {

struct SvgPaint {
    bool some = false;      ///< false: "none"
    SvgColour colour;       ///< also what a reference falls back to
    std::string reference;  ///< id of a gradient or pattern
    bool fallback = false;  ///< whether a reference has one
};

/// Properties that an element hands on to what it contains.
struct SvgStyle {
    SvgColour color{0, 0, 0, 1};
    SvgPaint fill{true, {0, 0, 0, 1}, {}, false}, stroke;
    double fill_opacity = 1, stroke_opacity = 1;
    FillRule fill_rule = FillRule::nonzero, clip_rule = FillRule::nonzero;
    double stroke_width = 1, miter_limit = 4, dash_offset = 0;  ///< user units
    Cap cap = Cap::butt;
    Join join = Join::miter;
    std::vector<double> dashes;
    bool visible = true, stroke_first = false;
    double font_size = 16;
    std::string font_family = "sans-serif";
    bool bold = false, italic = false, keep_space = false;
    double anchor = 0;  ///< share of the text's length to the left of its place
};

/// Properties of one element alone.
struct SvgOwn {
    double opacity = 1;
    bool shown = true, overflow_shown = false;
    std::string clip_path;                ///< id
    std::optional<SvgColour> stop_color;  ///< of a gradient's stop
    double stop_opacity = 1;
    std::optional<std::string> transform;  ///< given by a style sheet or `style`
};

/// A rule of a style sheet: one simple selector with all it declares.
struct SheetRule {
    std::string element, id;  ///< empty: any
    std::vector<std::string> classes;
    int weight = 0;
    std::vector<std::pair<std::string, std::string>> properties;
};
/// What is not supported is warned about at `line`.
void read_sheet(std::string_view text, std::vector<SheetRule>& rules, SvgRemarks& remarks, std::size_t line);

/// All properties said of an element, from the weakest to the strongest (CSS Cascade 4; attributes first, SVG 2, 6.3).
using Properties = std::vector<std::pair<std::string, std::string>>;
[[nodiscard]] Properties properties_of(const SvgDocument& document, const pugi::xml_node& node, const std::vector<SheetRule>& rules);

/// The style of an element within one of style `from`; `percent_of` is what percentages of lengths refer to. What is not
/// supported or broken is warned about.
struct SvgStyling {
    SvgStyle style;
    SvgOwn own;
};
[[nodiscard]] SvgStyling styled(const SvgStyle& from, const Properties& properties, double percent_of, SvgRemarks& remarks,
                                std::size_t line);

/// The id that url(#...) or #... refers to; nothing for what lies outside of the file.
[[nodiscard]] std::optional<std::string> local_reference(std::string_view text);

}  // namespace burin
