/// The shape elements' attributes (SVG 2, chapters 9 and 10). Cost: their length.
#include <fmt/format.h>

#include <cmath>

#include "svg_paint.hpp"

namespace burin {
namespace {

/// Words that programs write where their sums went wrong.
bool no_number(std::string_view text) {
    std::string low = lowered(trimmed(text));
    if (!low.empty() && (low[0] == '-' || low[0] == '+')) low.erase(0, 1);
    return low.starts_with("nan") || low.starts_with("inf") || low.starts_with("1.#");
}

[[noreturn]] void fail_number(SvgReading& reading, const pugi::xml_node& node, std::string_view name, std::string_view value) {
    reading.document.fail(node, fmt::format("{} = \"{}\" of <{}> is not a number. Repair or delete it.", name, value.substr(0, 60),
                                            reading.document.element(node)));
}

std::vector<Point> points_of(SvgReading& reading, const pugi::xml_node& node) {
    const std::string_view text = attribute(node, "points");
    std::vector<Point> points;
    SvgScan scan(text);
    scan.skip_space();
    while (!scan.done()) {
        const std::optional<double> x = scan.number();
        scan.skip_comma();
        const std::optional<double> y = x ? scan.number() : std::nullopt;
        if (!y) {
            if (no_number(text.substr(scan.place()))) fail_number(reading, node, "points", text.substr(scan.place()));
            reading.remarks.warn("A list of points is broken; it is drawn up to there", reading.document.line_of(node));
            break;
        }
        points.push_back({*x, *y});
        scan.skip_comma();
    }
    return points;
}

SvgPath path_of(SvgReading& reading, const pugi::xml_node& node) {
    const std::string_view data = attribute(node, "d");
    PathReading read = read_path_data(data);
    if (read.broken_at) {
        if (no_number(data.substr(*read.broken_at))) fail_number(reading, node, "d", data.substr(*read.broken_at));
        reading.remarks.warn("Path data is broken; it is drawn up to there", reading.document.line_of(node));
    }
    return std::move(read.path);
}

std::optional<SvgPath> rectangle_of(SvgReading& reading, const SvgState& state, const pugi::xml_node& node) {
    const auto length = [&](const char* name, const SvgUnits& units, double otherwise) {
        return length_attribute(reading, node, name, units, otherwise);
    };
    const double width = length("width", state.across(), 0), height = length("height", state.along(), 0);
    if (!(width > 0) || !(height > 0)) return std::nullopt;
    double rx = length("rx", state.across(), -1), ry = length("ry", state.along(), -1);
    if (rx < 0) rx = std::max(ry, 0.0);
    if (ry < 0) ry = rx;
    return rectangle_path(length("x", state.across(), 0), length("y", state.along(), 0), width, height, rx, ry);
}

std::optional<SvgPath> ellipse_of(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, bool circle) {
    const auto length = [&](const char* name, const SvgUnits& units, double otherwise) {
        return length_attribute(reading, node, name, units, otherwise);
    };
    double rx = circle ? length("r", state.other(), 0) : length("rx", state.across(), -1);
    double ry = circle ? rx : length("ry", state.along(), -1);
    if (rx < 0) rx = ry;
    if (ry < 0) ry = rx;
    if (!(rx > 0) || !(ry > 0)) return std::nullopt;
    return ellipse_path({length("cx", state.across(), 0), length("cy", state.along(), 0)}, rx, ry);
}

}  // namespace

double length_attribute(SvgReading& reading, const pugi::xml_node& node, const char* name, const SvgUnits& units, double otherwise) {
    const std::string_view text = attribute(node, name);
    if (text.empty() || text == "auto") return otherwise;
    const std::optional<double> value = in_pixels(text, units);
    if (no_number(text) || (value && !std::isfinite(*value))) fail_number(reading, node, name, text);
    if (value) return *value;
    reading.remarks.warn(fmt::format("{} = \"{}\" cannot be read; it is left out", name, text.substr(0, 60)),
                         reading.document.line_of(node));
    return otherwise;
}

std::optional<SvgPath> shape_path(SvgReading& reading, const SvgState& state, const pugi::xml_node& node) {
    const std::string_view element = reading.document.element(node);
    if (element == "path") return path_of(reading, node);
    if (element == "rect") return rectangle_of(reading, state, node);
    if (element == "circle" || element == "ellipse") return ellipse_of(reading, state, node, element == "circle");
    if (element == "polyline" || element == "polygon") return line_path(points_of(reading, node), element == "polygon");
    if (element != "line") return std::nullopt;
    const auto length = [&](const char* name, const SvgUnits& units) { return length_attribute(reading, node, name, units, 0); };
    return line_path(
        {{length("x1", state.across()), length("y1", state.along())}, {length("x2", state.across()), length("y2", state.along())}}, false);
}

}  // namespace burin
