// The drawings of the page (SVG 1.1), in millimetres; y of the work coordinates turned into y of the drawing by a minus.

#include "drawings.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "figure_page.hpp"
#include "ink.hpp"

namespace burin::page {
namespace {

using ink::number;

/// Text of the drawings keeps one size on the page whatever the stock's: a share of the drawing's width.
struct Scale {
    double text, line;
};

std::string text_at(double x, double y, double size, std::string_view anchor, std::string_view words, std::string_view fill = "#26323a") {
    return fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{}\" fill=\"{}\">{}</text>", number(x), number(y),
                       number(size), anchor, fill, ink::escaped(words));
}

std::string line_at(double x1, double y1, double x2, double y2, double width, std::string_view colour, std::string_view more = "") {
    return fmt::format("<path d=\"M{} {}L{} {}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" {}/>", number(x1), number(y1), number(x2),
                       number(y2), colour, number(width, 3), more);
}

/// A line with small bars at its ends and a figure in its middle; upright ones have the figure turned.
std::string dimension(double x1, double y1, double x2, double y2, const Scale& s, double value) {
    const bool upright = std::abs(x2 - x1) < std::abs(y2 - y1);
    const double tick = 0.4 * s.text, cx = (x1 + x2) / 2, cy = (y1 + y2) / 2;
    std::string out = line_at(x1, y1, x2, y2, s.line, "#5d6b74");
    for (const auto& [x, y] : {std::pair{x1, y1}, std::pair{x2, y2}})
        out += upright ? line_at(x - tick, y, x + tick, y, s.line, "#5d6b74") : line_at(x, y - tick, x, y + tick, s.line, "#5d6b74");
    const std::string figure = number(value) + " mm";
    if (upright)
        out += fmt::format("<g transform=\"translate({},{}) rotate(-90)\">{}</g>", number(cx - 0.45 * s.text), number(cy),
                           text_at(0, 0, s.text, "middle", figure));
    else
        out += text_at(cx, cy + 1.25 * s.text, s.text, "middle", figure);
    return out;
}

std::string arrow(double x, double y, double dx, double dy, const Scale& s, std::string_view name) {
    const double length = std::hypot(dx, dy), ux = dx / length, uy = dy / length, head = 1.1 * s.text;
    const double tx = x + dx, ty = y + dy;
    std::string out = line_at(x, y, tx - ux * head * 0.8, ty - uy * head * 0.8, 2.2 * s.line, "#0d5c63");
    out += fmt::format("<path d=\"M{} {}L{} {}L{} {}Z\" fill=\"#0d5c63\"/>", number(tx), number(ty),
                       number(tx - ux * head + uy * head * 0.38), number(ty - uy * head - ux * head * 0.38),
                       number(tx - ux * head - uy * head * 0.38), number(ty - uy * head + ux * head * 0.38));
    return out + text_at(tx + ux * 0.8 * s.text, ty + uy * 0.8 * s.text + 0.36 * s.text, 1.15 * s.text, "middle", name, "#0d5c63");
}

std::string box_at(const Box& b, std::string_view attributes) {
    return fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" {}/>", number(b.lo.x), number(-b.hi.y), number(b.width()),
                       number(b.height()), attributes);
}

/// The sign for the work zero: a circle with two dark quarters.
std::string zero_sign(double x, double y, double r, double line) {
    return fmt::format(
        "<g transform=\"translate({},{})\"><circle r=\"{}\" fill=\"#fff\" stroke=\"#0d5c63\" stroke-width=\"{}\"/>"
        "<path d=\"M0 0V-{}A{} {} 0 0 1 {} 0ZM0 0V{}A{} {} 0 0 1 -{} 0Z\" fill=\"#0d5c63\"/></g>",
        number(x), number(y), number(r), number(line), number(r), number(r), number(r), number(r), number(r), number(r), number(r),
        number(r));
}

/// The rectangle of a design, hatched; of figures what is cut.
std::string design_on_stock(const JobReport& report, const Scale& s) {
    std::string svg = box_at(report.design_box, fmt::format("fill=\"{}\" stroke=\"#b08a4a\" stroke-width=\"{}\"",
                                                            report.figure ? "none" : "url(#carved)", number(1.2 * s.line, 3)));
    if (report.figure)
        svg += fmt::format(
            "<path transform=\"scale(.01)\" fill=\"url(#carved-small)\" fill-rule=\"evenodd\" stroke=\"#7b6a48\" "
            "stroke-width=\"{}\" d=\"{}\"/>",
            number(100 * s.line, 1), figure_lines(*report.figure));
    return svg;
}

/// A clamp or screw with its name and height.
std::string keep_out_drawing(const KeepOut& zone, const Scale& s) {
    const Box& box = zone.bounds();
    const Point middle = box.centre();
    const std::string look =
        fmt::format("fill=\"#5b6b7a\" fill-opacity=\".55\" stroke=\"#2f3b46\" stroke-width=\"{}\"", number(1.4 * s.line, 3));
    const std::string shape =
        zone.shape() == KeepOut::Shape::circle
            ? fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" {}/>", number(middle.x), number(-middle.y), number(box.width() / 2), look)
            : box_at(box, look);
    return shape + fmt::format("<g paint-order=\"stroke\" stroke=\"#fff\" stroke-width=\"{}\" stroke-linejoin=\"round\">{}</g>",
                               number(0.25 * s.text),
                               text_at(middle.x, -middle.y + 0.3 * s.text, 0.8 * s.text, "middle",
                                       fmt::format("{}, {} high", zone.name(), number(zone.height())), "#2f3b46"));
}

/// The stock with its sizes, zero and axes, what `designs` draws on it, and a dashed line round `swept`.
template <class Designs, class More>
std::string plan_sheet(const Stock& piece, const Box& swept, const Designs& designs, const More& more) {
    const Box stock = piece.bounds;
    Box all = joined(joined(stock, swept), {});  // the zero is seen too
    for (const KeepOut& zone : piece.keep_outs) all = joined(all, zone.bounds());
    const double large = std::max(all.width(), all.height());
    const Scale s{0.038 * large, 0.0024 * large};
    const double pad = 3.1 * s.text;
    const double left = all.lo.x - pad, top = -all.hi.y - pad * 0.9, width = all.width() + pad * 1.5, height = all.height() + pad * 1.9;
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" role=\"img\" font-family=\"sans-serif\"><title>The stock from "
        "above</title>",
        number(left), number(top), number(width), number(height));
    for (const bool small : {false, true})  // figures are drawn in hundredths
        svg += fmt::format(
            "<defs><pattern id=\"carved{3}\" width=\"{0}\" height=\"{0}\" patternUnits=\"userSpaceOnUse\" "
            "patternTransform=\"{2}rotate(45)\"><path d=\"M0 0V{0}\" stroke=\"#b08a4a\" stroke-width=\"{1}\"/></pattern></defs>",
            number(0.75 * s.text), number(0.9 * s.line, 3), small ? "scale(100)" : "", small ? "-small" : "");
    const std::string skin = fmt::format("fill=\"#f3e7cd\" stroke=\"#7b6a48\" stroke-width=\"{}\"", number(2 * s.line, 3));
    if (piece.piece) {  // bark and wood
        svg += fmt::format("<path d=\"{}\" fill=\"#8a6f4d\"/>", ink::outline_path(piece.piece->outer()));
        svg += fmt::format("<path d=\"{}\" {}/>", ink::outline_path(piece.piece->wood()), skin);
    } else if (piece.outline == Outline::round)
        svg += fmt::format("<ellipse cx=\"{}\" cy=\"{}\" rx=\"{}\" ry=\"{}\" {}/>", number(stock.centre().x), number(-stock.centre().y),
                           number(stock.width() / 2), number(stock.height() / 2), skin);
    else
        svg += box_at(stock, skin);
    svg += designs(s);
    for (const KeepOut& zone : piece.keep_outs) svg += keep_out_drawing(zone, s);
    svg += box_at(swept, fmt::format("fill=\"none\" stroke=\"#a8321e\" stroke-width=\"{}\" stroke-dasharray=\"{} {}\"",
                                     number(1.4 * s.line, 3), number(0.5 * s.text), number(0.35 * s.text)));
    svg += dimension(stock.lo.x, -stock.lo.y + 1.35 * s.text, stock.hi.x, -stock.lo.y + 1.35 * s.text, s, stock.width());
    svg += dimension(stock.hi.x + 2.0 * s.text, -stock.lo.y, stock.hi.x + 2.0 * s.text, -stock.hi.y, s, stock.height());
    const double reach = 0.19 * large;
    svg += arrow(0, 0, reach, 0, s, "X") + arrow(0, 0, 0, -reach, s, "Y") + zero_sign(0, 0, 0.85 * s.text, 1.4 * s.line);
    return svg + more(s, all) + "</svg>";
}

}  // namespace

Box swept_box(const JobReport& report) {
    Box box{{1e300, 1e300}, {-1e300, -1e300}};
    for (std::size_t k = 0; k < report.programs.size() && k < report.proof.programs.size(); ++k) {
        const auto& p = report.proof.programs[k];
        const double r = std::max(report.programs[k].bit.radius(), report.programs[k].bit.spec().shank / 2);
        box.lo = {std::min(box.lo.x, p.lo.x - r), std::min(box.lo.y, p.lo.y - r)};
        box.hi = {std::max(box.hi.x, p.hi.x + r), std::max(box.hi.y, p.hi.y + r)};
    }
    return box.lo.x > box.hi.x ? report.design_box : box;
}

double highest_z(const JobReport& report) {
    double z = 0;
    for (const auto& p : report.proof.programs) z = std::max(z, p.hi.z);
    return z;
}

double lowest_z(const JobReport& report, const ProgramFigures& program) {
    // The extents reach from X0 Y0 Z0, where the machine waits; a lifted program stays above it. Passes are told unlifted.
    if (!(report.lift > 0) || program.passes.empty()) return program.lo.z;
    double z = program.passes.front().z;
    for (const auto& pass : program.passes) z = std::min(z, pass.z);
    return z + report.lift;
}

double deepest_z(const JobReport& report) {
    double z = 0;
    for (const auto& p : report.proof.programs) z = std::min(z, lowest_z(report, p) - report.lift);
    return report.proof.programs.empty() ? -report.depth : z;
}

std::string plan_drawing(const JobReport& report) {
    const auto designs = [&](const Scale& s) {
        std::string svg;
        if (report.cuts.empty()) svg += design_on_stock(report, s);
        for (const JobReport& cut : report.cuts) svg += design_on_stock(cut, s);
        return svg;
    };
    const auto touch = [&](const Scale& s, const Box& all) {
        std::string svg;
        if (report.touch.spot && report.programs.size() > 1) {
            const double x = report.touch.spot->x, y = -report.touch.spot->y, r = 0.6 * s.text;
            svg += fmt::format(
                "<g stroke=\"#7a1fa0\" fill=\"none\" stroke-width=\"{}\"><circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#fff\"/><path d=\"M{} "
                "{}h{}M{} {}v{}\"/></g>",
                number(1.8 * s.line, 3), number(x), number(y), number(r), number(x - 1.7 * r), number(y), number(3.4 * r), number(x),
                number(y - 1.7 * r), number(3.4 * r));
            const bool to_left = report.touch.spot->x > all.centre().x;
            svg += fmt::format("<g paint-order=\"stroke\" stroke=\"#fff\" stroke-width=\"{}\" stroke-linejoin=\"round\">{}</g>",
                               number(0.3 * s.text),
                               text_at(x + (to_left ? -0.9 : 0.9) * s.text, y - 0.9 * s.text, s.text, to_left ? "end" : "start",
                                       "touch Z here", "#7a1fa0"));
        }
        return svg;
    };
    return plan_sheet(report.stock, swept_box(report), designs, touch);
}

std::string plan_drawing(const BurnReport& report) {
    const auto work = [&](const Scale& s) {
        return box_at(report.work, fmt::format("fill=\"url(#carved)\" stroke=\"#b08a4a\" stroke-width=\"{}\"", number(1.2 * s.line, 3)));
    };
    return plan_sheet(report.stock, report.swept, work, [](const Scale&, const Box&) { return std::string(); });
}

std::string side_drawing(const JobReport& report) {
    const double thickness = report.stock.thickness, lift = report.lift, deep = deepest_z(report);
    const double safe = std::max(highest_z(report), 1.0), rise = report.face ? report.face->rise : 0;
    const double board = std::max(4.0, report.machine.spoilboard > 0 ? std::min(report.machine.spoilboard, 8.0) : 5.0);
    // A strip of the stock, as wide as looks well; heights to scale.
    const double height = thickness + board + safe, w = 2.1 * height, size = 0.062 * height * 1.25, line = 0.006 * height;
    const double top = -safe - 1.6 * size, label = w * 0.60;
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" role=\"img\" font-family=\"sans-serif\"><title>The stock from "
        "the side</title>",
        number(-0.02 * w), number(top), number(1.30 * w), number(height + 2.4 * size));
    svg += fmt::format("<rect x=\"0\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#d9d5cc\" stroke=\"#8b8678\" stroke-width=\"{}\"/>",
                       number(thickness), number(label), number(board), number(line, 3));
    // The stock with a bowl carved in, or a slot or groove; whole under a job that runs in the air.
    if (report.figure && !(lift > 0)) {
        const bool sloping =
            report.figure->design.half_angle > 0 || (!report.programs.empty() && report.programs.back().bit.shape() == BitShape::vee);
        const double foot = sloping ? 0.025 : 0.06;  // half its width below, a share of the drawing's
        svg += fmt::format(
            "<path d=\"M{0} {1}V0H{2}L{3} {4}H{5}L{6} 0H{7}V{1}\" fill=\"#f3e7cd\" stroke=\"#7b6a48\" stroke-width=\"{8}\"/>",
            number(0.05 * w), number(thickness), number(0.24 * w), number((0.30 - foot) * w), number(std::min(-deep, thickness)),
            number((0.30 + foot) * w), number(0.36 * w), number(0.55 * w), number(1.5 * line, 3));
        if (-deep > thickness)
            svg += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#fdfcf9\"/>", number((0.30 - foot) * w),
                               number(thickness - line), number(2 * foot * w), number(-deep - thickness + line));
    } else
        svg += fmt::format(
            "<path d=\"M{0} {1}V0H{2}C{3} 0 {3} {4} {5} {4}C{6} {4} {6} 0 {7} 0H{8}V{1}Z\" fill=\"#f3e7cd\" stroke=\"#7b6a48\" "
            "stroke-width=\"{9}\"/>",
            number(0.05 * w), number(thickness), number(0.14 * w), number(0.20 * w), number(lift > 0 ? 0 : -deep), number(0.31 * w),
            number(0.42 * w), number(0.48 * w), number(0.55 * w), number(1.5 * line, 3));
    if (report.face && !(lift > 0))  // what is faced away
        svg += fmt::format(
            "<path d=\"M{0} 0V{1}C{2} {3} {4} {5} {6} {7}S{8} {3} {9} {1}V0\" fill=\"#e2c88f\" stroke=\"#7b6a48\" "
            "stroke-width=\"{10}\" stroke-dasharray=\"{11}\"/>",
            number(0.05 * w), number(-0.5 * rise), number(0.10 * w), number(-rise), number(0.15 * w), number(-1.1 * rise), number(0.22 * w),
            number(-0.8 * rise), number(0.45 * w), number(0.55 * w), number(line, 3), number(0.3 * size));
    const auto level = [&](double y, std::string_view words, std::string_view colour, bool dashed) {
        svg += line_at(0, y, label, y, 1.3 * line, colour,
                       dashed ? fmt::format("stroke-dasharray=\"{} {}\"", number(0.5 * size), number(0.4 * size)) : std::string());
        return std::pair{y, fmt::format("<tspan>{}</tspan>", ink::escaped(words))};
    };
    const std::string travel = "#3c6e8f", top_of_stock = "#0d5c63", lowest = "#a8321e", under = "#5d5a50";
    std::vector<std::pair<double, std::string>> labels;
    std::vector<std::string> colours;
    const auto add = [&](double y, const std::string& words, const std::string& colour, bool dashed) {
        labels.push_back(level(y, words, colour, dashed));
        colours.push_back(colour);
    };
    add(-safe, "safe height Z" + number(safe), travel, true);
    if (lift > 0) add(-deep - lift, "lowest point of the bit Z" + number(deep + lift), lowest, true);
    if (report.face) add(-rise, "highest place Z" + number(rise), under, true);
    add(0, report.face ? "faced plane Z0" : "stock top Z0", top_of_stock, false);
    if (!(lift > 0) && deep < 0) add(-deep, "deepest cut Z" + number(deep), lowest, true);
    add(thickness, "spoilboard Z" + number(-thickness), under, false);
    double last = -1e9;
    for (std::size_t k = 0; k < labels.size(); ++k) {
        const double y = std::max(labels[k].first + 0.35 * size, last + 1.15 * size);
        svg += fmt::format("<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\">{}</text>", number(label + 0.6 * size), number(y),
                           number(size), colours[k], labels[k].second);
        last = y;
    }
    return svg + "</svg>";
}

std::string bit_drawing(const Bit& bit, std::string_view colour) {
    const BitSpec& spec = bit.spec();
    const double widest = std::max({spec.diameter, spec.shank, 3.0}) / 2, cutting = std::max(spec.cutting_length, bit.tip_height());
    const double out = std::max(spec.stick_out, cutting + 1), collet = 3;
    std::string left, right;
    constexpr int steps = 24;
    for (int k = 0; k <= steps; ++k) {
        // Closer near the axis, where a ball is flat.
        const double r = bit.radius() * std::sin(k * 1.5707963267948966 / steps), y = -bit.rise(r);
        right += fmt::format("{}{} {}", k ? "L" : "M", number(r, 3), number(y, 3));
        left = fmt::format("L{} {}", number(-r, 3), number(y, 3)) + left;
    }
    std::string svg = fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"bit\" viewBox=\"{} {} {} {}\" role=\"img\"><title>{}</title>",
        number(-widest - 1.2), number(-out - collet), number(2 * widest + 2.4), number(out + collet + 0.6), ink::escaped(bit.sizes()));
    svg += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#8a949b\"/>", number(-widest - 1), number(-out - collet),
                       number(2 * widest + 2), number(collet));
    svg += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"#ccd3d8\"/>", number(-spec.shank / 2), number(-out),
                       number(spec.shank), number(out - cutting));
    svg += fmt::format("<path d=\"{}L{} {}L{} {}{}Z\" fill=\"{}\"/>", right, number(bit.radius(), 3), number(-cutting),
                       number(-bit.radius(), 3), number(-cutting), left, colour);
    return svg + "</svg>";
}

}  // namespace burin::page
