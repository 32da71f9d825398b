/// From an SVG's bytes to a drawing: the page's size, then all that is painted on it, then what of it is ink.
///
/// Cost: the elements and their points; with `trim` twice, since curves are flattened for the size that the drawing gets.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/base/error.hpp"
#include "svg_paint.hpp"

namespace burin {
namespace {

/// The page as the file has it, pixels of 1/96 inch.
struct Page {
    double width = 0, height = 0;
    bool physical = false;   ///< the file gives a size of its own
    bool unbounded = false;  ///< the file gives neither size nor viewBox: the page is what is painted
    Affine content;          ///< from user units to the page
    double user_width = 0, user_height = 0;
};

Page page_of(const SvgDocument& document, SvgRemarks& remarks) {
    const pugi::xml_node root = document.root();
    const std::string_view said = attribute(root, "viewBox");
    const std::optional<ViewBox> box = view_box(said);
    if (!said.empty() && !box) remarks.warn("A viewBox cannot be read; it is left out", document.line_of(root));
    const auto size = [&](const char* name) -> std::optional<double> {
        const std::string_view text = trimmed(attribute(root, name));
        if (text.empty() || text == "auto" || text.ends_with('%')) return std::nullopt;
        const std::optional<double> pixels = in_pixels(text, {});
        if (!pixels || !std::isfinite(*pixels) || *pixels > 1e7)
            document.fail(root, fmt::format("The drawing's {} \"{}\" is no length, or an absurd one.", name, text.substr(0, 60)));
        return *pixels > 0 ? pixels : std::nullopt;
    };
    const std::optional<double> width = size("width"), height = size("height");
    Page page;
    page.physical = width && (height || box);
    page.physical = page.physical || (height && box);
    if (box && (!std::isfinite(box->width) || !std::isfinite(box->height) || !std::isfinite(box->x) || !std::isfinite(box->y) ||
                box->width / box->height > 1e6 || box->height / box->width > 1e6))
        document.fail(root, "The drawing's viewBox is absurdly large or slim.");
    if (box) {
        page.width = width ? *width : height ? *height * box->width / box->height : box->width;
        page.height = height ? *height : width ? *width * box->height / box->width : box->height;
        page.content = view_box_transform(*box, page.width, page.height, attribute(root, "preserveAspectRatio"));
        page.user_width = box->width, page.user_height = box->height;
        return page;
    }
    page.unbounded = !width || !height;
    page.width = page.user_width = width.value_or(height.value_or(100));
    page.height = page.user_height = height.value_or(width.value_or(100));
    return page;
}

/// mm a pixel, across and up.
struct Scale {
    double x = 1, y = 1;
};

Scale scale_to(const SvgWishes& wishes, double width, double height) {
    const double x = wishes.width / width, y = wishes.height / height;
    return {wishes.width > 0 ? x : y, wishes.height > 0 ? y : x};
}

void gather_sheets(const SvgDocument& document, std::vector<SheetRule>& rules, SvgRemarks& remarks) {
    for (pugi::xml_node node = document.root(); node;) {
        if (document.element(node) == "style") {
            std::string text;
            for (const pugi::xml_node& child : node.children()) text += child.value();
            read_sheet(text, rules, remarks, document.line_of(node));
        }
        if (node.first_child()) {
            node = node.first_child();
            continue;
        }
        while (node && node != document.root() && !node.next_sibling()) node = node.parent();
        node = node == document.root() ? pugi::xml_node() : node.next_sibling();
    }
}

struct Painted {
    Region ink;
    std::vector<MiddleLine> lines;
};

/// Everything, at this scale; the place `origin` of the page (from its lower left corner, in its own units) lies at 0, 0. What runs over
/// the page is cut off where `clip` says so.
Painted painted(const SvgDocument& document, const std::vector<SheetRule>& rules, const Page& page, const Scale& scale, const Point& origin,
                bool clip, const SvgWishes& wishes, const SvgLetters& letters, SvgRemarks& remarks) {
    const double width = page.width * scale.x, height = page.height * scale.y;
    const Point shift{-origin.x * scale.x, -origin.y * scale.y};
    SvgCanvas canvas({shift, {width + shift.x, height + shift.y}});
    SvgReading reading{document, rules, remarks, canvas, letters, wishes.tolerance, wishes.follow_strokes, svg_limits::points, 0, {}};
    SvgState outside;
    outside.to_mm = Affine{scale.x, 0, 0, -scale.y, shift.x, height + shift.y} * page.content;
    outside.width = page.user_width, outside.height = page.user_height;
    if (const std::optional<SvgState> state = entered(reading, outside, document.root())) paint_children(reading, *state, document.root());
    Painted out{canvas.ink(), canvas.lines()};
    if (!clip) return out;
    const Region field = rectangle({{0, 0}, {width, height}});
    const Box box = out.ink.bounds();
    if (!field.bounds().holds(box.lo) || !field.bounds().holds(box.hi)) out.ink = common(out.ink, field);
    std::vector<MiddleLine> lines;
    for (const MiddleLine& line : out.lines)
        for (MiddleLine& part : line_parts(line, field, true)) lines.push_back(std::move(part));
    out.lines = std::move(lines);
    return out;
}

/// The box round all ink; lines count with their widths.
Box bounds_of(const Painted& painted) {
    Box box{{1e300, 1e300}, {-1e300, -1e300}};
    const auto take = [&](const Point& p, double around) {
        box.lo = {std::min(box.lo.x, p.x - around), std::min(box.lo.y, p.y - around)};
        box.hi = {std::max(box.hi.x, p.x + around), std::max(box.hi.y, p.y + around)};
    };
    if (!painted.ink.empty()) take(painted.ink.bounds().lo, 0), take(painted.ink.bounds().hi, 0);
    for (const MiddleLine& line : painted.lines)
        for (std::size_t k = 0; k < line.width.size(); ++k) take(line.line.points[k], line.width[k] / 2);
    return box;
}

/// Whether it is as large as was asked, but for what curves flattened for another size make of it.
bool has_size(const Box& box, const SvgWishes& wishes) {
    const auto near = [](double is, double asked) { return !(asked > 0) || std::abs(is - asked) <= 0.1 + 0.01 * asked; };
    return near(box.width(), wishes.width) && near(box.height(), wishes.height);
}

void check_wishes(const SvgWishes& wishes) {
    constexpr double most = 10'000;
    const auto fits = [&](double v) { return v >= 0 && v <= most; };
    if (!fits(wishes.width) || !fits(wishes.height))
        throw Error(Fault::usage, fmt::format("A drawing's width and height are 0 to {} mm.", most));
    if (!(wishes.tolerance > 0) || !std::isfinite(wishes.tolerance))
        throw Error(Fault::usage, "A drawing is flattened with a tolerance above 0 mm.");
}

void check_painted(const SvgDocument& document, const Painted& painted, const SvgRemarks& remarks) {
    if (!painted.ink.empty() || !painted.lines.empty()) return;
    const std::vector<std::string> warnings = remarks.warnings();
    throw Error(Fault::refused, fmt::format("{}: Nothing dark is painted on the drawing's page, so there is nothing to cut.{}",
                                            document.name(), warnings.empty() ? "" : " " + warnings.front()));
}

}  // namespace

Drawing read_svg(std::string_view bytes, const std::string& name, const SvgWishes& wishes, const SvgLetters& letters) {
    check_wishes(wishes);
    const SvgDocument document(bytes, name);
    SvgRemarks remarks;
    std::vector<SheetRule> rules;
    gather_sheets(document, rules, remarks);
    if (document.has_entities()) remarks.warn("Entities of the document type are not replaced by their texts", 1);
    const Page page = page_of(document, remarks);
    const bool trim = wishes.trim || page.unbounded, sized = wishes.width > 0 || wishes.height > 0;
    if (page.unbounded && !wishes.trim)
        remarks.note("The file says nothing of its page: it is what is painted", document.line_of(document.root()));
    if (!sized && !page.physical)
        throw Error(Fault::usage, fmt::format("{}: The drawing has no size of its own. Give its width or height in mm.", name));
    constexpr double pixel = 25.4 / 96;
    Scale scale = sized ? scale_to(wishes, page.width, page.height) : Scale{pixel, pixel};
    Point origin;
    if (trim && sized) {
        constexpr double sketch = 200;  // mm: how large the drawing is for finding where there is ink
        double first = sketch / std::max(page.width, page.height);
        for (int attempt = 0; attempt < 4; ++attempt) {
            SvgRemarks unheard;
            const Painted sketched = painted(document, rules, page, {first, first}, origin, false, wishes, letters, unheard);
            check_painted(document, sketched, unheard);
            const Box box = bounds_of(sketched);
            scale = scale_to(wishes, std::max(box.width(), 1e-6) / first, std::max(box.height(), 1e-6) / first);
            // From there on, a large page may be larger than what figures can lie on.
            origin = {origin.x + box.lo.x / first, origin.y + box.lo.y / first};
            const double side = std::max(box.width(), box.height());
            if (side > sketch / 4 || side < 1e-3) break;
            first *= sketch / side;  // a little ink on a large page is looked at again, larger
        }
    }
    Painted all = painted(document, rules, page, scale, origin, !trim, wishes, letters, remarks);
    check_painted(document, all, remarks);
    // Ink that lay beyond what figures can lie on while it was a sketch comes in sight only now.
    for (int again = 0; trim && sized && !has_size(bounds_of(all), wishes); ++again) {
        if (again == 3)
            throw Error(Fault::refused, fmt::format("{}: What is painted reaches so far that its size cannot be found. Take away what lies "
                                                    "far off, or give the page a width, a height and a viewBox.",
                                                    name));
        const Box box = bounds_of(all);
        origin = {origin.x + box.lo.x / scale.x, origin.y + box.lo.y / scale.y};
        scale = scale_to(wishes, box.width() / scale.x, box.height() / scale.y);
        SvgRemarks unheard;
        all = painted(document, rules, page, scale, origin, false, wishes, letters, unheard);
        check_painted(document, all, unheard);
    }
    Drawing drawing{std::move(all.ink), std::move(all.lines), page.width * scale.x, page.height * scale.y,
                    std::nullopt,       remarks.notes(),      remarks.warnings()};
    if (trim) {
        const Box box = bounds_of({drawing.region, drawing.lines});
        drawing.region = moved(drawing.region, 0, false, {-box.lo.x, -box.lo.y});
        for (MiddleLine& line : drawing.lines)
            for (Point& p : line.line.points) p = {p.x - box.lo.x, p.y - box.lo.y};
        drawing.width = box.width(), drawing.height = box.height();
    }
    if (wishes.width > 0) drawing.width = wishes.width;
    if (wishes.height > 0) drawing.height = wishes.height;
    return drawing;
}

}  // namespace burin
