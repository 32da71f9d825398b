/// Elements in the order of painting: groups, viewports, uses (SVG 2, chapters 5 and 8).
///
/// Recursion goes as deep as elements lie within each other, `use` counted, which is bounded; so is how many elements are
/// painted, however often they are used. Cost: the elements.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "svg_paint.hpp"

namespace burin {

double SvgState::diagonal() const { return std::sqrt((width * width + height * height) / 2); }

std::string_view href_of(const pugi::xml_node& node) {
    if (const pugi::xml_attribute plain = node.attribute("href")) return plain.value();
    for (const pugi::xml_attribute& given : node.attributes())
        if (std::string_view(given.name()).ends_with(":href")) return given.value();
    return {};
}

std::optional<SvgState> entered(SvgReading& reading, const SvgState& around, const pugi::xml_node& node) {
    const std::size_t line = reading.document.line_of(node);
    if (++reading.painted > svg_limits::painted)
        reading.document.fail(
            node, fmt::format("More than {} elements would be painted, each counted as often as it is used. Simplify the drawing.",
                              svg_limits::painted));
    if (around.depth + 1 > svg_limits::depth)
        reading.document.fail(
            node, fmt::format("Elements lie more than {} deep within each other, those that are used counted. Ungroup the drawing.",
                              svg_limits::depth));
    SvgStyling styling =
        styled(around.style, properties_of(reading.document, node, reading.rules), around.diagonal(), reading.remarks, line);
    if (!styling.own.shown || styling.own.opacity == 0) return std::nullopt;
    SvgState state = around;
    state.style = std::move(styling.style);
    state.alpha *= styling.own.opacity;
    ++state.depth;
    const std::string_view said = styling.own.transform ? std::string_view(*styling.own.transform) : attribute(node, "transform");
    if (!said.empty()) {
        if (const std::optional<Affine> transform = transform_list(said))
            state.to_mm = state.to_mm * *transform;
        else
            reading.remarks.warn("A transform cannot be read; it is left out", line);
    }
    const Affine& m = state.to_mm;
    for (const double v : {m.a, m.b, m.c, m.d, m.e, m.f})
        if (!std::isfinite(v))
            reading.document.fail(node, "A transform has a number that is none, or too large for one. Repair or delete it.");
    if (!styling.own.clip_path.empty()) state.clip = clipped_by(reading, state, node, styling.own.clip_path);
    return state;
}

namespace {

void enter_viewport(SvgReading& reading, SvgState& state, const pugi::xml_node& node, double width, double height, bool clips) {
    if (clips) state.clip = clipped_to(state, {0, 0, width, height});
    state.width = width, state.height = height;
    const std::string_view said = attribute(node, "viewBox");
    if (said.empty()) return;
    const std::optional<ViewBox> box = view_box(said);
    if (!box) {
        reading.remarks.warn("A viewBox cannot be read; it is left out", reading.document.line_of(node));
        return;
    }
    state.to_mm = state.to_mm * view_box_transform(*box, width, height, attribute(node, "preserveAspectRatio"));
    state.width = box->width, state.height = box->height;
}

bool overflows(SvgReading& reading, const pugi::xml_node& node) {
    SvgRemarks unheard;  // the element's own styling has told them
    return styled({}, properties_of(reading.document, node, reading.rules), 0, unheard, 0).own.overflow_shown;
}

/// An svg element within another one, or a symbol that is used; sizes from `use` go before its own.
void paint_viewport(SvgReading& reading, const SvgState& around, const pugi::xml_node& node, std::optional<double> width,
                    std::optional<double> height) {
    std::optional<SvgState> state = entered(reading, around, node);
    if (!state) return;
    const bool symbol = reading.document.element(node) == "symbol";
    if (!symbol) {
        const double x = length_attribute(reading, node, "x", state->across(), 0),
                     y = length_attribute(reading, node, "y", state->along(), 0);
        state->to_mm = state->to_mm * Affine{1, 0, 0, 1, x, y};
    }
    if (!width) width = length_attribute(reading, node, "width", state->across(), state->width);
    if (!height) height = length_attribute(reading, node, "height", state->along(), state->height);
    if (!(*width > 0) || !(*height > 0)) return;
    enter_viewport(reading, *state, node, *width, *height, !overflows(reading, node));
    paint_children(reading, *state, node);
}

void paint_use(SvgReading& reading, const SvgState& around, const pugi::xml_node& node) {
    std::optional<SvgState> state = entered(reading, around, node);
    if (!state) return;
    const std::size_t line = reading.document.line_of(node);
    const std::string_view href = href_of(node);
    const std::optional<std::string> id = local_reference(href);
    if (!id) {
        if (!trimmed(href).empty())
            reading.remarks.warn("What is used from outside of the file is left out: nothing outside is looked up", line);
        return;
    }
    const pugi::xml_node target = reading.document.by_id(*id);
    if (!target) {
        reading.remarks.warn("An element that is used is not there; it is left out", line);
        return;
    }
    if (std::find(reading.used.begin(), reading.used.end(), target) != reading.used.end())
        reading.document.fail(node, fmt::format("<use> of \"{}\" comes back to itself. Repair or delete it.", id->substr(0, 60)));
    const double x = length_attribute(reading, node, "x", state->across(), 0), y = length_attribute(reading, node, "y", state->along(), 0);
    state->to_mm = state->to_mm * Affine{1, 0, 0, 1, x, y};
    reading.used.push_back(target);
    const std::string_view element = reading.document.element(target);
    if (element == "symbol" || element == "svg") {
        const auto size = [&](const char* name, const SvgUnits& units) -> std::optional<double> {
            if (attribute(node, name).empty()) return std::nullopt;
            return length_attribute(reading, node, name, units, units.percent_of);
        };
        paint_viewport(reading, *state, target, size("width", state->across()), size("height", state->along()));
    } else {
        paint_element(reading, *state, target);
    }
    reading.used.pop_back();
}

/// The first child whose conditions hold (SVG 2, 5.8): none on extensions, English where languages are told apart.
void paint_switch(SvgReading& reading, const SvgState& state, const pugi::xml_node& node) {
    for (const pugi::xml_node& child : node.children()) {
        const std::string_view element = reading.document.element(child);
        if (element.empty() || element == "foreignObject" || !attribute(child, "requiredExtensions").empty()) continue;
        const std::string_view language = attribute(child, "systemLanguage");
        if (!language.empty() && language.find("en") == std::string_view::npos) continue;
        paint_element(reading, state, child);
        return;
    }
}

bool is_one_of(std::string_view element, std::initializer_list<std::string_view> names) {
    return std::find(names.begin(), names.end(), element) != names.end();
}

/// Elements that draw nothing where they stand, or that are not supported.
bool passed_over(SvgReading& reading, std::string_view element, const pugi::xml_node& node) {
    const std::size_t line = reading.document.line_of(node);
    if (is_one_of(element, {"defs", "symbol", "title", "desc", "metadata", "style", "clipPath", "linearGradient", "radialGradient",
                            "marker", "mask", "filter", "pattern", "view", "cursor", "color-profile", "font", "font-face"}))
        return true;
    if (element == "image") {
        reading.remarks.warn("A picture within the drawing is not supported and left out: trace it by itself", line);
        return true;
    }
    if (is_one_of(element, {"script", "animate", "animateTransform", "animateMotion", "animateColor", "set"})) {
        reading.remarks.warn("Scripts and animations are not supported and left out; the drawing is taken as it starts", line);
        return true;
    }
    if (!is_one_of(element,
                   {"svg", "g", "a", "use", "switch", "text", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon"})) {
        reading.remarks.warn(fmt::format("The element <{}> is not supported and left out", element.substr(0, 60)), line);
        return true;
    }
    return false;
}

}  // namespace

void paint_children(SvgReading& reading, const SvgState& state, const pugi::xml_node& node) {
    for (const pugi::xml_node& child : node.children()) paint_element(reading, state, child);
}

void paint_element(SvgReading& reading, const SvgState& around, const pugi::xml_node& node) {
    const std::string_view element = reading.document.element(node);
    if (element.empty() || passed_over(reading, element, node)) return;
    if (!attribute(node, "requiredExtensions").empty()) return;
    if (element == "use") return paint_use(reading, around, node);
    if (element == "svg") return paint_viewport(reading, around, node, std::nullopt, std::nullopt);
    const std::optional<SvgState> state = entered(reading, around, node);
    if (!state) return;
    if (element == "g" || element == "a") return paint_children(reading, *state, node);
    if (element == "switch") return paint_switch(reading, *state, node);
    if (element == "text") return paint_text(reading, *state, node);
    if (const std::optional<SvgPath> path = shape_path(reading, *state, node)) paint_path(reading, *state, node, *path);
}

}  // namespace burin
