/// Properties become a style (SVG 2, chapters 6 and 13; CSS Fonts 3). Cost: the properties.
#include "svg_style.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

namespace burin {

std::optional<std::string> local_reference(std::string_view text) {
    text = trimmed(text);
    if (text.starts_with("url(")) {
        const std::size_t close = text.find(')');
        if (close == std::string_view::npos) return std::nullopt;
        text = trimmed(text.substr(4, close - 4));
        if (text.size() >= 2 && (text.front() == '"' || text.front() == '\'')) text = text.substr(1, text.size() - 2);
    }
    if (!text.starts_with('#') || text.size() == 1) return std::nullopt;
    return std::string(text.substr(1));
}

namespace {

/// What one property's value is read with.
class Styler {
public:
    Styler(const SvgStyle& from, double percent_of, SvgRemarks& remarks, std::size_t line)
        : from_(from), percent_of_(percent_of), remarks_(remarks), line_(line) {
        out.style = from;
    }
    SvgStyling out;

    /// `color` and the font's size come first: others refer to them.
    void run(const Properties& properties) {
        for (const auto& [name, value] : properties) early(name, value);
        for (const auto& [name, value] : properties) {
            if (value == "inherit") {
                inherit(name);
                continue;
            }
            if (!paint(name, value) && !pen(name, value) && !font(name, value)) other(name, value);
        }
    }

private:
    void broken(const std::string& name, const std::string& value) {
        remarks_.warn(fmt::format("{} = \"{}\" cannot be read; it is left out", name, value.substr(0, 60)), line_);
    }
    [[nodiscard]] std::optional<double> length(std::string_view value, double percent_of) const {
        const std::optional<double> out_value = in_pixels(value, {out.style.font_size, percent_of});
        return out_value && std::isfinite(*out_value) ? out_value : std::nullopt;
    }
    std::optional<double> share(const std::string& value) {
        SvgScan scan(trimmed(value));
        const std::optional<SvgLength> number = svg_length(scan);
        if (!number || std::isnan(number->value)) return std::nullopt;
        return std::clamp(number->unit == "%" ? number->value / 100 : number->value, 0.0, 1.0);
    }

    void early(const std::string& name, const std::string& value) {
        if (name == "font-size") {
            const std::optional<double> size = in_pixels(std::string_view(value), {from_.font_size, from_.font_size});
            if (size && std::isfinite(*size) && *size >= 0)
                out.style.font_size = *size;
            else if (value == "inherit")
                out.style.font_size = from_.font_size;
        }
        if (name == "color")
            if (const std::optional<SvgColour> colour = svg_colour(value)) out.style.color = *colour;
    }

    /// Properties that are inherited anyway: another rule may have set them.
    void inherit(const std::string& name) {
        if (name == "fill") out.style.fill = from_.fill;
        if (name == "stroke") out.style.stroke = from_.stroke;
        if (name == "stroke-width") out.style.stroke_width = from_.stroke_width;
        if (name == "fill-rule") out.style.fill_rule = from_.fill_rule;
        if (name == "visibility") out.style.visible = from_.visible;
    }

    std::optional<SvgPaint> paint_of(std::string_view value) {
        value = trimmed(value);
        if (value.starts_with("url(")) {
            SvgPaint paint{true, {}, {}, false};
            const std::size_t close = std::min(value.find(')'), value.size() - 1);
            if (const std::optional<std::string> id = local_reference(value))
                paint.reference = *id;
            else
                remarks_.warn("A paint that lies outside of the file is left out: nothing outside is looked up", line_);
            if (const std::optional<SvgPaint> other = paint_of(value.substr(close + 1)); other && other->some)
                paint.colour = other->colour, paint.fallback = true;
            if (paint.reference.empty()) paint.some = paint.fallback;
            return paint;
        }
        const std::string low = lowered(value);
        if (low == "none") return SvgPaint{};
        if (low == "currentcolor") return SvgPaint{true, out.style.color, {}, false};
        if (low == "context-fill") return from_.fill;
        if (low == "context-stroke") return from_.stroke;
        // Colours of a printing profile come after one of the screen.
        const std::size_t profile = low.find("icc-color(");
        if (const std::optional<SvgColour> colour = svg_colour(std::string_view(low).substr(0, profile)))
            return SvgPaint{true, *colour, {}, false};
        return std::nullopt;
    }

    bool paint(const std::string& name, const std::string& value) {
        if (name == "fill" || name == "stroke") {
            if (const std::optional<SvgPaint> paint = paint_of(value))
                (name == "fill" ? out.style.fill : out.style.stroke) = *paint;
            else
                broken(name, value);
        } else if (name == "fill-rule" || name == "clip-rule") {
            (name == "fill-rule" ? out.style.fill_rule : out.style.clip_rule) = value == "evenodd" ? FillRule::even_odd : FillRule::nonzero;
        } else if (name == "opacity" || name == "fill-opacity" || name == "stroke-opacity" || name == "stop-opacity") {
            const std::optional<double> number = share(value);
            if (!number) return broken(name, value), true;
            (name == "opacity"          ? out.own.opacity
             : name == "fill-opacity"   ? out.style.fill_opacity
             : name == "stroke-opacity" ? out.style.stroke_opacity
                                        : out.own.stop_opacity) = *number;
        } else if (name == "stop-color") {
            out.own.stop_color = lowered(value) == "currentcolor" ? std::optional(out.style.color) : svg_colour(value);
            if (!out.own.stop_color) broken(name, value);
        } else if (name == "display") {
            out.own.shown = value != "none";
        } else if (name == "visibility") {
            out.style.visible = value == "visible";
        } else if (name == "paint-order") {
            const std::size_t stroke = value.find("stroke"), fill = value.find("fill");
            out.style.stroke_first = stroke != std::string::npos && stroke < fill;
        } else {
            return false;
        }
        return true;
    }

    bool pen(const std::string& name, const std::string& value) {
        if (name == "stroke-width") {
            const std::optional<double> width = length(value, percent_of_);
            if (!width || *width < 0) return broken(name, value), true;
            out.style.stroke_width = *width;
        } else if (name == "stroke-linecap") {
            out.style.cap = value == "round" ? Cap::round : value == "square" ? Cap::square : Cap::butt;
        } else if (name == "stroke-linejoin") {
            out.style.join = value == "round" ? Join::round : value == "bevel" ? Join::bevel : Join::miter;
            if (value == "arcs" || value == "miter-clip")
                remarks_.warn("Joins other than miter, round and bevel are drawn as miters", line_);
        } else if (name == "stroke-miterlimit") {
            const std::optional<double> limit = length(value, 0);
            if (!limit || *limit < 1) return broken(name, value), true;
            out.style.miter_limit = *limit;
        } else if (name == "stroke-dashoffset") {
            const std::optional<double> offset = length(value, percent_of_);
            if (!offset) return broken(name, value), true;
            out.style.dash_offset = *offset;
        } else if (name == "stroke-dasharray") {
            dashes(name, value);
        } else {
            return false;
        }
        return true;
    }

    /// A negative length makes the whole list an error, a sum of 0 a solid line (SVG 2, 13.5.6).
    void dashes(const std::string& name, const std::string& value) {
        out.style.dashes.clear();
        if (value == "none") return;
        std::vector<double> lengths;
        double sum = 0;
        std::string spaced = value;
        std::replace(spaced.begin(), spaced.end(), ',', ' ');
        for (const std::string_view word : words_of(spaced)) {
            const std::optional<double> one = length(word, percent_of_);
            if (!one || *one < 0 || lengths.size() == 1000) return broken(name, value);
            lengths.push_back(*one);
            sum += *one;
        }
        if (!(sum > 0)) return;
        if (lengths.size() % 2 == 1) {
            const std::vector<double> once = lengths;
            lengths.insert(lengths.end(), once.begin(), once.end());
        }
        out.style.dashes = std::move(lengths);
    }

    bool font(const std::string& name, const std::string& value) {
        if (name == "font-family") {
            out.style.font_family = value;
        } else if (name == "font-weight") {
            const std::optional<double> weight = length(value, 0);
            out.style.bold = value == "bold" || value == "bolder" || (weight && *weight >= 600);
        } else if (name == "font-style") {
            out.style.italic = value == "italic" || value == "oblique";
        } else if (name == "text-anchor") {
            out.style.anchor = value == "middle" ? 0.5 : value == "end" ? 1 : 0;
        } else if (name == "xml:space") {
            out.style.keep_space = value == "preserve";
        } else if (name == "white-space") {
            out.style.keep_space = value == "pre";
        } else {
            return false;
        }
        return true;
    }

    void other(const std::string& name, const std::string& value) {
        if (name == "clip-path") {
            if (value == "none") return;
            if (const std::optional<std::string> id = local_reference(value))
                out.own.clip_path = *id;
            else
                remarks_.warn("A clip path that is no reference to an element is not supported; nothing is cut off", line_);
        } else if (name == "transform") {
            out.own.transform = value;
        } else if (name == "overflow") {
            out.own.overflow_shown = value == "visible" || value == "auto";
        } else if (name == "mask" && value != "none") {
            remarks_.warn("A mask is not supported; what it belongs to is painted whole", line_);
        } else if (name == "filter" && value != "none") {
            remarks_.warn("A filter is not supported; what it belongs to is painted without it", line_);
        } else if (name.starts_with("marker") && value != "none" &&
                   (name == "marker" || name == "marker-start" || name == "marker-mid" || name == "marker-end")) {
            remarks_.warn("Markers (arrow heads) are not supported and left out", line_);
        } else if (name == "mix-blend-mode" && value != "normal") {
            remarks_.warn("Blending is not supported; paint covers what lies below", line_);
        } else if (name == "vector-effect" && value != "none") {
            remarks_.warn("Vector effects are not supported; strokes grow with their shapes", line_);
        }
    }

    const SvgStyle& from_;
    double percent_of_;
    SvgRemarks& remarks_;
    std::size_t line_;
};

}  // namespace

SvgStyling styled(const SvgStyle& from, const Properties& properties, double percent_of, SvgRemarks& remarks, std::size_t line) {
    Styler styler(from, percent_of, remarks, line);
    styler.run(properties);
    return std::move(styler.out);
}

}  // namespace burin
