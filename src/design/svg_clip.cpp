/// Clip paths as booleans (CSS Masking 1, chapter 6). Cost: a boolean of each clip path with what clips already.
#include <fmt/format.h>

#include "svg_paint.hpp"

namespace burin {
namespace {

std::shared_ptr<const SvgClip> within(const SvgState& state, Region region, bool rectangle) {
    auto clip = std::make_shared<SvgClip>();
    clip->rectangle = rectangle && (!state.clip || state.clip->rectangle);
    clip->region = state.clip ? common(state.clip->region, region) : std::move(region);
    return clip;
}

/// What one child of a clipPath lets through, in mm.
Region passage(SvgReading& reading, const SvgState& around, pugi::xml_node child) {
    SvgState unclipped = around;
    unclipped.clip = nullptr;
    std::optional<SvgState> state = entered(reading, unclipped, child);
    if (!state) return {};
    if (reading.document.element(child) == "use") {
        const std::optional<std::string> id = local_reference(href_of(child));
        const double x = length_attribute(reading, child, "x", state->across(), 0),
                     y = length_attribute(reading, child, "y", state->along(), 0);
        state->to_mm = state->to_mm * Affine{1, 0, 0, 1, x, y};
        child = id ? reading.document.by_id(*id) : pugi::xml_node();
        state = child ? entered(reading, *state, child) : std::nullopt;
        if (!state) return {};
    }
    if (!state->style.visible) return {};
    const std::optional<SvgPath> path = shape_path(reading, *state, child);
    if (!path) {
        reading.remarks.warn("A clip path with text in it, or something else that is no shape, lets nothing through there",
                             reading.document.line_of(child));
        return {};
    }
    std::vector<Loop> loops;
    for (CentreLine& line : chords(reading, *state, child, *path))
        if (line.line.points.size() > 2) loops.push_back(std::move(line.line.points));
    Region region(in_mm(state->to_mm, std::move(loops)), state->style.clip_rule);
    return state->clip ? common(region, state->clip->region) : region;
}

}  // namespace

std::shared_ptr<const SvgClip> clipped_to(const SvgState& state, const ViewBox& box) {
    const Loop corners{{box.x, box.y}, {box.x + box.width, box.y}, {box.x + box.width, box.y + box.height}, {box.x, box.y + box.height}};
    const bool upright = (state.to_mm.b == 0 && state.to_mm.c == 0) || (state.to_mm.a == 0 && state.to_mm.d == 0);
    return within(state, Region(in_mm(state.to_mm, {corners}), FillRule::nonzero), upright);
}

std::shared_ptr<const SvgClip> clipped_by(SvgReading& reading, const SvgState& state, const pugi::xml_node& node, const std::string& id) {
    const pugi::xml_node clip = reading.document.by_id(id);
    const std::size_t line = reading.document.line_of(node);
    if (reading.document.element(clip) != "clipPath") {
        reading.remarks.warn("A clip path that is not there cuts nothing off", line);
        return state.clip;
    }
    if (attribute(clip, "clipPathUnits") == "objectBoundingBox") {
        reading.remarks.warn("A clip path in units of the shape's box is not supported; nothing is cut off", line);
        return state.clip;
    }
    // A clipPath in the clipping of a clipPath may come back to itself.
    if (reading.used.size() >= static_cast<std::size_t>(svg_limits::depth))
        reading.document.fail(clip, "Clip paths lie too deep within each other.");
    for (const pugi::xml_node& outer : reading.used)
        if (outer == clip)
            reading.document.fail(clip, fmt::format("The clip path \"{}\" comes back to itself. Repair or delete it.", id.substr(0, 60)));
    reading.used.push_back(clip);
    SvgState open = state;
    open.clip = nullptr;
    Region region;
    std::optional<SvgState> inner = entered(reading, open, clip);
    if (inner) {
        const std::shared_ptr<const SvgClip> own = inner->clip;
        for (const pugi::xml_node& child : clip.children()) {
            const std::string_view element = reading.document.element(child);
            if (element.empty() || element == "title" || element == "desc" || element == "metadata") continue;
            region = united(region, passage(reading, *inner, child));
        }
        if (own) region = common(region, own->region);
    }
    reading.used.pop_back();
    return within(state, std::move(region), false);
}

}  // namespace burin
