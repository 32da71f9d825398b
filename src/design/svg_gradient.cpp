/// What a paint comes to: a colour, or the mean of a gradient's stops. Cost: the stops.
#include <algorithm>

#include "svg_paint.hpp"

namespace burin {
namespace {

/// The stops of a gradient, its own or those of the one it refers to.
std::vector<SvgColour> stops_of(SvgReading& reading, pugi::xml_node gradient) {
    for (int hops = 0; hops < 32 && gradient; ++hops) {
        std::vector<SvgColour> stops;
        for (const pugi::xml_node& child : gradient.children()) {
            if (reading.document.element(child) != "stop") continue;
            const SvgStyling stop =
                styled({}, properties_of(reading.document, child, reading.rules), 0, reading.remarks, reading.document.line_of(child));
            SvgColour colour = stop.own.stop_color.value_or(SvgColour{0, 0, 0, 1});
            colour.alpha *= stop.own.stop_opacity;
            stops.push_back(colour);
        }
        if (!stops.empty()) return stops;
        const std::optional<std::string> other = local_reference(href_of(gradient));
        gradient = other ? reading.document.by_id(*other) : pugi::xml_node();
    }
    return {};
}

/// Weighted by opacity: what is transparent lends no colour.
SvgColour mean_of(const std::vector<SvgColour>& stops) {
    SvgColour mean{0, 0, 0, 0};
    for (const SvgColour& stop : stops) {
        mean.red += stop.alpha * stop.red, mean.green += stop.alpha * stop.green, mean.blue += stop.alpha * stop.blue;
        mean.alpha += stop.alpha;
    }
    if (mean.alpha > 0) mean.red /= mean.alpha, mean.green /= mean.alpha, mean.blue /= mean.alpha;
    mean.alpha /= static_cast<double>(stops.size());
    return mean;
}

}  // namespace

std::optional<SvgColour> colour_of(SvgReading& reading, const SvgPaint& paint, const pugi::xml_node& node) {
    if (paint.reference.empty()) return paint.colour;
    const std::size_t line = reading.document.line_of(node);
    const std::optional<SvgColour> fallback = paint.fallback ? std::optional(paint.colour) : std::nullopt;
    const pugi::xml_node server = reading.document.by_id(paint.reference);
    const std::string_view element = reading.document.element(server);
    if (element == "linearGradient" || element == "radialGradient") {
        const std::vector<SvgColour> stops = stops_of(reading, server);
        if (stops.empty()) return std::nullopt;
        if (stops.size() > 1) reading.remarks.note("A gradient is painted in the mean of its stops", line);
        return mean_of(stops);
    }
    if (element == "pattern")
        reading.remarks.warn("A pattern is not supported; what it fills is left out", line);
    else if (!fallback)
        reading.remarks.warn("A paint refers to an element that is not there; it is left out", line);
    return fallback;
}

}  // namespace burin
