/// Text elements set through letters that someone else draws (SVG 2, chapter 11): chunks begin where a place is given, each is laid
/// to the left, middle or right of it. Cost: what the letters cost.
#include <fmt/format.h>

#include <cmath>

#include "svg_paint.hpp"

namespace burin {
namespace {

/// A run of letters in one style.
struct Run {
    std::string text;
    SvgState state;
    pugi::xml_node node;
    std::optional<double> x, y;  ///< where given: a new chunk
    double dx = 0, dy = 0;
};

/// The first of a list of lengths.
std::optional<double> first_length(SvgReading& reading, const pugi::xml_node& node, const char* name, const SvgUnits& units) {
    const std::string_view text = trimmed(attribute(node, name));
    if (text.empty()) return std::nullopt;
    SvgScan scan(text);
    const std::optional<SvgLength> length = svg_length(scan);
    const std::optional<double> value = length ? in_pixels(*length, units) : std::nullopt;
    if (!value || !std::isfinite(*value)) {
        reading.remarks.warn(fmt::format("{} = \"{}\" cannot be read; it is left out", name, text.substr(0, 60)),
                             reading.document.line_of(node));
        return std::nullopt;
    }
    scan.skip_comma();
    if (!scan.done())
        reading.remarks.warn("Places for single letters are not supported; text goes on from the first", reading.document.line_of(node));
    return value;
}

/// White space as CSS collapses it; `space` tells whether the text so far ends with some.
std::string collapsed(std::string_view text, bool keep, bool& space) {
    std::string out;
    for (const char c : text) {
        const bool blank = svg_space(c);
        if (blank && space && !keep) continue;
        out += blank ? ' ' : c;
        space = blank;
    }
    return out;
}

class TextGathering {
public:
    explicit TextGathering(SvgReading& reading) : reading_(reading) {}
    std::vector<Run> runs;

    void gather(const SvgState& state, const pugi::xml_node& node) {
        const std::optional<double> x = first_length(reading_, node, "x", state.across()),
                                    y = first_length(reading_, node, "y", state.along());
        if (x) x_ = x;
        if (y) y_ = y;
        dx_ += first_length(reading_, node, "dx", state.across()).value_or(0);
        dy_ += first_length(reading_, node, "dy", state.along()).value_or(0);
        for (const char* name : {"rotate", "textLength", "letter-spacing", "word-spacing"})
            if (!attribute(node, name).empty() && attribute(node, name) != "0" && attribute(node, name) != "normal")
                reading_.remarks.warn(fmt::format("{} of text is not supported and left out", name), reading_.document.line_of(node));
        for (const pugi::xml_node& child : node.children()) {
            if (child.type() == pugi::node_pcdata || child.type() == pugi::node_cdata)
                put(state, node, child.value());
            else
                go_into(state, child);
        }
    }

private:
    void put(const SvgState& state, const pugi::xml_node& node, std::string_view text) {
        std::string said = collapsed(text, state.style.keep_space, space_);
        if (said.empty()) return;
        runs.push_back({std::move(said), state, node, x_, y_, dx_, dy_});
        x_ = y_ = std::nullopt;
        dx_ = dy_ = 0;
    }
    void go_into(const SvgState& state, const pugi::xml_node& child) {
        const std::string_view element = reading_.document.element(child);
        if (element == "tspan" || element == "a") {
            if (const std::optional<SvgState> inner = entered(reading_, state, child)) gather(*inner, child);
        } else if (element == "textPath" || element == "tref") {
            reading_.remarks.warn("Text along a path, or from elsewhere, is not supported and left out", reading_.document.line_of(child));
        }
    }

    SvgReading& reading_;
    std::optional<double> x_ = 0, y_ = 0;
    double dx_ = 0, dy_ = 0;
    bool space_ = true;
};

/// Letters of a run, in user units, y down, its start at 0, 0.
struct SetRun {
    SvgPath path;
    double advance = 0;
};

std::optional<SetRun> set(SvgReading& reading, const Run& run) {
    const SvgStyle& style = run.state.style;
    const double scale = std::sqrt(std::abs(run.state.to_mm.determinant())), size = style.font_size * scale;
    if (!(size > 1e-6) || size > svg_limits::farthest) return SetRun{};
    const std::optional<SvgLettering> letters =
        reading.letters ? reading.letters({run.text, style.font_family, size, style.bold, style.italic}) : std::nullopt;
    if (!letters) return std::nullopt;
    SetRun out;
    out.advance = letters->advance / scale;
    for (Loop loop : letters->region.loops()) {
        for (Point& p : loop) p = {p.x / scale, -p.y / scale};
        for (SubPath& sub : line_path(loop, true)) out.path.push_back(std::move(sub));
    }
    return out;
}

void move(SvgPath& path, double x, double y) {
    for (SubPath& sub : path) {
        sub.start = {sub.start.x + x, sub.start.y + y};
        for (PathPiece& step : sub.steps) step.to = {step.to.x + x, step.to.y + y};
    }
}

}  // namespace

void paint_text(SvgReading& reading, const SvgState& state, const pugi::xml_node& node) {
    TextGathering gathering(reading);
    gathering.gather(state, node);
    std::vector<Run>& runs = gathering.runs;
    while (!runs.empty() && !runs.back().state.style.keep_space && runs.back().text.ends_with(' ')) {
        runs.back().text.pop_back();
        if (!runs.back().text.empty()) break;
        runs.pop_back();
    }
    std::vector<std::optional<SetRun>> letters;
    for (const Run& run : runs) {
        letters.push_back(set(reading, run));
        if (!letters.back())
            reading.remarks.warn(
                fmt::format("The text \"{}\" cannot be set and is left out: turn it into outlines", run.text.substr(0, 60)),
                reading.document.line_of(run.node));
    }
    double x = 0, y = 0;
    for (std::size_t k = 0; k < runs.size(); ++k) {
        if (runs[k].x) {
            double length = 0;
            for (std::size_t next = k; next < runs.size() && (next == k || !(runs[next].x || runs[next].y)); ++next)
                if (letters[next]) length += letters[next]->advance + (next > k ? runs[next].dx : 0);
            x = *runs[k].x - length * runs[k].state.style.anchor;
        }
        if (runs[k].y) y = *runs[k].y;
        x += runs[k].dx, y += runs[k].dy;
        if (!letters[k]) continue;
        move(letters[k]->path, x, y);
        paint_path(reading, runs[k].state, runs[k].node, letters[k]->path);
        x += letters[k]->advance;
    }
}

}  // namespace burin
