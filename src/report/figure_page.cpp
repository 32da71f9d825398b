// The page's part on figures: the traced lines over the picture, what no bit can enter, what would save it, and what to expect of
// grooves. Lines are drawn with as many corners as the eye can see, so that the page stays small.
#include "figure_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "board_page.hpp"
#include "ink.hpp"
#include "pictures.hpp"

namespace burin::page {
namespace {

using ink::number;

constexpr int picture_width = 840;
constexpr std::size_t most_corners = 12000;
constexpr std::size_t most_rings = 12;
constexpr std::string_view line_colour = "#c2452d", dropped_colour = "#7a1fa0", lost_colour = "#c2452d", cut_colour = "#e9d9b4",
                           tab_colour = "#7fa37a";

/// A region with few enough corners for a page, `size` mm wide.
Region for_page(const Region& region, double size) {
    Region few = simplified(region, size / 3000);
    for (double tolerance = size / 1500; few.points() > most_corners && tolerance < size / 20; tolerance *= 2)
        few = simplified(region, tolerance);
    return few;
}

/// The lines without points that lie closer together than the eye tells, ends kept; few enough for a page.
std::vector<Groove> for_page(const std::vector<Groove>& grooves, double size) {
    std::vector<Groove> lines;
    for (double step = size / 3000;; step *= 2) {
        lines.clear();
        std::size_t count = 0;
        for (const Groove& groove : grooves) {
            Groove& line = lines.emplace_back();
            line.closed = groove.closed;
            for (std::size_t k = 0; k < groove.tip.size(); ++k)
                if (line.tip.empty() || k + 1 == groove.tip.size() || distance(flat(line.tip.back()), flat(groove.tip[k])) >= step)
                    line.tip.push_back(groove.tip[k]);
            count += line.tip.size();
        }
        if (count <= most_corners + 2 * grooves.size() || step > size / 20) return lines;
    }
}

/// Path data in hundredths of a millimetre, y downwards.
std::string path_of(const std::vector<Point>& points, bool closed) {
    std::string out;
    long long x = 0, y = 0;
    for (std::size_t k = 0; k < points.size(); ++k) {
        const long long nx = std::llround(points[k].x * 100), ny = std::llround(-points[k].y * 100);
        if (k == 0)
            out += fmt::format("M{} {}", nx, ny);
        else if (nx != x || ny != y)
            out += fmt::format("l{} {}", nx - x, ny - y);
        x = nx, y = ny;
    }
    return out + (closed ? "Z" : "");
}
std::string path_of(const Region& region) {
    std::string out;
    for (const Loop& loop : region.loops()) out += path_of(loop, true);
    return out;
}

std::string svg_head(const Box& view, std::string_view title) {
    const double pad = 0.025 * std::max(view.width(), view.height());
    return fmt::format("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{} {} {} {}\" role=\"img\"><title>{}</title>",
                       number(100 * (view.lo.x - pad), 0), number(100 * (-view.hi.y - pad), 0), number(100 * (view.width() + 2 * pad), 0),
                       number(100 * (view.height() + 2 * pad), 0), title);
}

/// Boxes without width do not count.
Box joined_seen(const Box& a, const Box& b) {
    if (!(a.width() > 0)) return b;
    if (!(b.width() > 0)) return a;
    return joined(a, b);
}

std::vector<Bit> bits_of(const JobReport& report) {
    std::vector<Bit> bits;
    for (const ReportProgram& program : report.programs) bits.push_back(program.bit);
    return bits;
}

/// Grooves as wide as the bit cuts them, in steps of a fifth: one path for each width.
std::string groove_paths(const std::vector<Groove>& lines, const Bit& bit, double least, std::string_view colour = "#b08a4a") {
    std::map<int, std::string> by_width;
    const auto step_at = [&](const Point3& a, const Point3& b) {
        const double wide = std::max(bit.width_at(std::max(0.0, -(a.z + b.z) / 2)), least);
        return static_cast<int>(std::lround(std::log(wide) / std::log(1.2)));
    };
    for (const Groove& line : lines) {
        std::vector<Point3> tip = line.tip;
        if (line.closed && !tip.empty()) tip.push_back(tip.front());
        std::vector<Point> run;
        int width = 0;
        for (std::size_t k = 0; k + 1 < tip.size(); ++k) {
            const int next = step_at(tip[k], tip[k + 1]);
            if (!run.empty() && next != width) {
                by_width[width] += path_of(run, false);
                run.clear();
            }
            width = next;
            if (run.empty()) run.push_back(flat(tip[k]));
            run.push_back(flat(tip[k + 1]));
        }
        if (!run.empty()) by_width[width] += path_of(run, false);
    }
    std::string svg;
    for (const auto& [width, path] : by_width)
        svg += fmt::format(
            "<path fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" stroke-linecap=\"round\" stroke-linejoin=\"round\" d=\"{}\"/>", colour,
            number(100 * std::pow(1.2, width), 1), path);
    return svg;
}

/// What may be cut, the traced line, what is lost, and rings round the narrowest places.
std::string lost_drawing(const FigureReport& figure, const FigureLosses& losses, const std::vector<Bit>& bits) {
    const FigureDesign& design = figure.design;
    Box view = joined_seen(design.traced.bounds(), figure.unreached.bounds());
    if (!(view.width() > 0)) view = design.may.bounds();
    for (const Groove& groove : design.grooves)
        for (const Point3& p : groove.tip) view = joined_seen(view, {{p.x - 0.5, p.y - 0.5}, {p.x + 0.5, p.y + 0.5}});
    const double size = std::max({view.width(), view.height(), 1.0});
    std::string svg = svg_head(view, "The figure, and what no bit can enter");
    if (lowers_areas(design))
        svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{}\" d=\"{}\"/>", cut_colour, path_of(for_page(design.may, size)));
    for (const Tab& tab : design.tabs) svg += fmt::format("<path fill=\"{}\" d=\"{}\"/>", tab_colour, path_of(tab.place));
    svg += fmt::format("<path fill=\"none\" stroke=\"#7b6a48\" stroke-width=\"{}\" d=\"{}\"/>", number(0.2 * size, 1),
                       path_of(for_page(design.traced, size)));
    if (!bits.empty()) svg += groove_paths(for_page(design.grooves, size), bits.back(), size / 800);
    svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{0}\" stroke=\"{0}\" stroke-width=\"{1}\" d=\"{2}\"/>", lost_colour,
                       number(0.1 * size, 1), path_of(for_page(figure.unreached, size)));
    for (std::size_t k = 0; k < std::min(most_rings, losses.thin.size()); ++k) {
        const ThinPlace& place = losses.thin[k];
        svg += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\" stroke=\"#17506b\" stroke-width=\"{}\"/>",
                           number(100 * place.at.x, 0), number(-100 * place.at.y, 0), number(100 * std::max(place.width, 0.02 * size), 0),
                           number(0.3 * size, 1));
    }
    return svg + "</svg>";
}

std::string thin_words(const JobReport& report, const FigureLosses& losses) {
    if (losses.thin.empty()) return "";
    const double narrow = losses.narrowest(), larger = losses.entering / narrow * 1.02;
    const std::size_t n = losses.thin.size();
    const auto whole = std::count_if(losses.thin.begin(), losses.thin.end(), [](const ThinPlace& p) { return p.whole; });
    std::string out = fmt::format(
        "<p><strong>{} {} too narrow</strong> for the bit, which needs {} mm{}; the narrowest is {} mm wide, at X{} Y{}{}.</p>", n,
        n == 1 ? "place is" : "places are", number(losses.entering), whole > 0 ? fmt::format(" ({} of them whole figures)", whole) : "",
        number(narrow), number(losses.thin.front().at.x, 1), number(losses.thin.front().at.y, 1),
        number(losses.thin.back().width) != number(narrow) ? fmt::format("; the widest of them {} mm", number(losses.thin.back().width))
                                                           : "");
    out += fmt::format("<p>What would save {}: {}the same drawing {} times as large (--width {}), or thicker lines in it.</p>",
                       n == 1 ? "it" : "them",
                       narrow >= 0.2 ? fmt::format("a bit that enters {} mm, or ", number(std::floor(narrow * 100) / 100)) : "",
                       number(std::ceil(larger * 100) / 100), number(std::ceil(report.design_box.width() * larger), 0));
    return out;
}

std::string contrast_words(const JobReport& report, const Bit& bit) {
    const FigureReport& figure = *report.figure;
    if (figure.design.floor <= -report.stock.thickness) return "";  // right through
    if (figure.fill)
        return "<p>The preview shows the grooves filled or painted. Seal the stock before you fill it, and sand or plane the top "
               "afterwards: colour that ran over the line goes with the shavings.</p>";
    const auto contrast = groove_contrast(figure.design, bit, report.material);
    if (!contrast)
        return "<p>A wide floor is as bright as any fresh cut of this material: what stands out is the shadow along its walls. It can be "
               "shown filled or painted (--fill).</p>";
    const double by = contrast->top_lightness - contrast->lightness, share = contrast->darker();
    const std::string_view verdict = by < 0    ? "it will look lighter than the top"
                                     : by < 5  ? "it will hardly be seen without light from the side; fill or paint it (--fill)"
                                     : by < 15 ? "it will be seen, though not from afar; light from the side helps, colour more (--fill)"
                                               : "it will be seen well";
    return fmt::format(
        "<p>A bare groove here sends back {} % {} light than the top, in even light from all sides (lightness L* {} beside {}): {}. "
        "Reckoned from the groove's shape and the material's typical colours.</p>",
        number(100 * std::fabs(share), 0), share >= 0 ? "less" : "more", number(contrast->lightness, 0), number(contrast->top_lightness, 0),
        verdict);
}

}  // namespace

std::string traced_figure(const JobReport& report, const Crew& crew) {
    const FigureReport& figure = *report.figure;
    const Box view = joined_seen(figure.picture_box, figure.drawn.bounds());
    const double size = std::max({view.width(), view.height(), 1.0});
    const bool with_picture = report.picture && figure.picture_box.width() > 0 && figure.picture_box.height() > 0;
    if (!with_picture && figure.drawn.empty() && figure.dropped.empty()) return "";
    std::string svg = svg_head(view, "The traced lines over the picture");
    if (with_picture) {
        const Box& b = figure.picture_box;
        svg += fmt::format(
            "<image x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" preserveAspectRatio=\"none\" opacity=\"0.55\" "
            "href=\"data:image/jpeg;base64,{}\"/>",
            number(100 * b.lo.x, 0), number(-100 * b.hi.y, 0), number(100 * b.width(), 0), number(100 * b.height(), 0),
            ink::base64(jpeg(small(*report.picture, picture_width, crew), 82)));
    }
    if (!figure.dropped.empty())
        svg += fmt::format("<path fill=\"{0}\" stroke=\"{0}\" stroke-width=\"{1}\" d=\"{2}\"/>", dropped_colour, number(0.3 * size, 1),
                           path_of(for_page(figure.dropped, size)));
    svg += fmt::format("<path fill=\"none\" stroke=\"{}\" stroke-width=\"{}\" d=\"{}\"/></svg>", line_colour, number(0.22 * size, 1),
                       path_of(for_page(figure.drawn, size)));
    return fmt::format("<figure class=\"side\">{}<figcaption>The traced lines{}{}{}</figcaption></figure>", svg,
                       with_picture ? " over the picture" : "",
                       report.picture_name.empty() ? "" : fmt::format(" <span class=\"file\">{}</span>", ink::escaped(report.picture_name)),
                       figure.dropped.empty() ? "." : "; violet: what was dropped as specks or filled as pinholes.");
}

std::string svg_begin(const Box& view, std::string_view title) { return svg_head(view, title); }
std::string region_path(const Region& region, double size) { return path_of(for_page(region, size)); }
std::string grooves_svg(const std::vector<Groove>& grooves, const Bit& bit, double size, std::string_view colour) {
    return groove_paths(for_page(grooves, size), bit, 0, colour);
}

bool lowers_areas(const FigureDesign& design) { return design.band <= 0 && design.grooves.empty(); }

std::string figure_lines(const FigureReport& figure) {
    const Region& shown = lowers_areas(figure.design) ? figure.design.may : figure.design.traced;
    const Box box = shown.bounds();
    return path_of(for_page(shown, 2 * std::max({box.width(), box.height(), 1.0})));
}

std::string lost_picture(const FigureReport& figure, const FigureLosses& losses, const std::vector<Bit>& bits) {
    return lost_drawing(figure, losses, bits);
}

std::string figure_section(const JobReport& report, const Crew& crew) {
    if (!report.figure || report.proof.tone || report.programs.empty()) return "";
    if (report.figure->design.board) return board_section(report);
    const FigureReport& figure = *report.figure;
    const std::vector<Bit> bits = bits_of(report);
    const FigureLosses losses = losses_of(figure, bits, crew);
    std::string out = "<section><h2>The figure, and what is lost of it</h2><div class=\"pair\"><figure class=\"main\">";
    out += lost_drawing(figure, losses, bits) +
           fmt::format("<figcaption>{}</figcaption></figure><div>",
                       !figure.design.grooves.empty() && figure.drawn.empty() ? "The way that the bit follows, as wide as it cuts there."
                       : !figure.design.grooves.empty() ? "The way that the bit follows, as wide as it cuts there, over the traced lines."
                       : losses.thin.empty()            ? "In red what no bit can enter."
                                                        : "In red what no bit can enter; ringed: the narrowest places.");
    std::size_t holes = 0;
    for (const Figure& f : figure.drawn.figures()) holes += f.holes.size();
    if (!figure.drawn.empty() || !figure.dropped.empty()) {  // letters of single lines and cards have no figures
        out += fmt::format("<p>Traced: {} {} with {} {}, {} mm².", figure.drawn.figures().size(),
                           figure.drawn.figures().size() == 1 ? "figure" : "figures", holes, holes == 1 ? "hole" : "holes",
                           number(figure.drawn.area(), 1));
        if (!figure.dropped.empty())
            out += fmt::format(" Specks dropped and pinholes filled: {}, {} mm² in all.", figure.dropped.figures().size(),
                               number(figure.dropped.area(), 2));
        out += "</p>";
    }
    if (report.command == "drill")
        out += fmt::format("<p>{} {}, each drilled straight through in pecks.</p>", figure.design.grooves.size(),
                           figure.design.grooves.size() == 1 ? "hole" : "holes");
    else if (!figure.design.grooves.empty() && figure.unreached.empty())
        out += fmt::format("<p>Lines are followed once; those closer together than the groove is wide run into one.{}</p>",
                           report.command == "stroke" ? " A blot becomes a line too." : "");
    else if (losses.thin.empty() && losses.corners == 0)
        out += "<p>Nothing of it is lost to the bit's width.</p>";
    else
        out += fmt::format("<p>Lost to the bit's width: {} mm²{}.</p>", number(losses.area),
                           figure.design.band > 0
                               ? ""
                               : fmt::format(", {} % of what is to be cut", number(100 * losses.share, losses.share < 0.01 ? 2 : 1)));
    out += thin_words(report, losses);
    if (losses.corners > 0)
        out += fmt::format("<p>{} {} rounded, with a radius of {} mm.</p>", losses.corners,
                           losses.corners == 1 ? "corner stays" : "corners stay", number(losses.entering / 2));
    if (!figure.design.tabs.empty())
        out += fmt::format(
            "<p>The piece stays on {} {} (green), {} mm high. When all is cut, saw or chisel them through from the top and pare the rest "
            "flush.</p>",
            figure.design.tabs.size(), figure.design.tabs.size() == 1 ? "tab" : "tabs",
            number(figure.design.tabs.front().top + report.stock.thickness));
    const Bit& last = bits.back();
    if (const auto lost = width_lost(last, 0.1); lost && report.command != "drill")
        out += fmt::format(
            "<p>Where the stock lies 0.1 mm lower or higher than its zero, every groove comes out {} mm narrower or wider: keep it "
            "flat.</p>",
            number(*lost, 3));
    return out + contrast_words(report, last) + "</div></div></section>\n";
}

}  // namespace burin::page
