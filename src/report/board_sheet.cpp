/// A board from both sides: one page that leads from the first program to the last, over the turning of the board in between.
#include "burin/report/board_sheet.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "burin/motion/timing.hpp"
#include "figure_page.hpp"
#include "html_style.hpp"
#include "ink.hpp"
#include "page_parts.hpp"

namespace burin {
namespace {

using ink::escaped;
using ink::fact;
using ink::number;

constexpr std::string_view above_colour = "#a05a2c", below_colour = "#17506b";
constexpr double hole_shown = 0.4;  // mm

double seconds_of(const BoardSide& side) {
    double seconds = 0;
    for (const BoardSide::Program& program : side.programs) seconds += program.time_s;
    return seconds;
}

std::string drawing(const BoardSheet& sheet) {
    const Box both = joined(sheet.copper_above.bounds(), sheet.copper_below.bounds());
    const Box view{{both.lo.x - 1, both.lo.y - 1}, {both.hi.x + 1, both.hi.y + 1}};
    const double size = std::max({view.width(), view.height(), 1.0});
    std::string svg = page::svg_begin(view, "Both layers of copper, seen from above");
    svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{}\" d=\"{}\"/>", below_colour, page::region_path(sheet.copper_below, size));
    svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{}\" fill-opacity=\"0.75\" d=\"{}\"/>", above_colour,
                       page::region_path(sheet.copper_above, size));
    for (const Point& hole : sheet.holes)
        svg += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#fff\"/>", number(100 * hole.x, 0), number(-100 * hole.y, 0),
                           number(100 * hole_shown, 0));
    return svg + "</svg>";
}

std::string runs(const BoardSide& side) {
    std::string out;
    for (const BoardSide::Program& program : side.programs)
        out += fmt::format("<li>Run <span class=\"file\">{}</span> with {}: {}.</li>", escaped(program.file), escaped(program.bit),
                           escaped(duration_text(program.time_s)));
    return out;
}

std::string steps(const BoardSheet& sheet) {
    const char* way =
        sheet.left_right ? "left to right, as a page of a book is turned" : "front to back, as the sheet of a wall calendar is turned";
    const char *axis = sheet.left_right ? "the line that halves its width" : "the line that halves its depth",
               *edges = sheet.left_right ? "its left and right edges change places, front and back stay"
                                         : "its front and back edges change places, left and right stay";
    std::string out = "<section><h2>In this order</h2><ol class=\"steps\">";
    out += fmt::format("<li><strong>Top.</strong> Stick the board down flat, and set up as <a href=\"{0}\">{0}</a> says.</li>",
                       escaped(sheet.top.page));
    out += runs(sheet.top);
    out += fmt::format(
        "<li><strong>Turn the board over {}.</strong> It turns about {}: {}. What keeps both sides in line: two dowel pins through holes "
        "on "
        "that line, drilled with the top through the board and into the spoilboard; or, without pins, a straight stop screwed to the "
        "spoilboard along an edge that stays where it is, and the board exactly as wide as was said ({}): measure it.</li>",
        way, axis, edges, escaped(sheet.stock));
    out +=
        "<li><strong>X and Y keep their zero</strong> if the board lies on its pins or against its stop. Touch off Z0 on the copper that "
        "is now above.</li>";
    out += fmt::format(
        "<li><strong>Bottom.</strong> Set up as <a href=\"{0}\">{0}</a> says. Try the first hole before you cut: with the "
        "spindle off, the tip must stand over it.</li>",
        escaped(sheet.bottom.page));
    out += runs(sheet.bottom);
    return out +
           "<li><strong>Measure</strong> with a meter, between neighbours and from end to end, before anything is soldered "
           "in.</li></ol></section>\n";
}

std::string nets(const BoardSheet& sheet) {
    const NetList& n = sheet.nets;
    std::string out = "<section><h2>What the copper joins</h2><div class=\"pair\"><figure class=\"main\">" + drawing(sheet);
    out +=
        "<figcaption>Both layers, seen from above. Brown: the top. Blue: the bottom, through the board. White: "
        "holes.</figcaption></figure><div>";
    out += fmt::format("<p>{} pieces of copper on the top and {} on the bottom, each proved parted and whole on its own page.</p>", n.top,
                       n.bottom);
    if (n.holes > 0)
        out += fmt::format(
            "<p>{} holes, {} of which meet copper on both sides. Joined there, by plating, a rivet, or a wire soldered above and "
            "below, the pieces make <strong>{} nets</strong>. A bare hole joins nothing.</p>",
            n.holes, n.joining, n.nets);
    else
        out += "<p>No cut drills holes, so nothing is known of what joins the sides.</p>";
    return out + "</div></div></section>\n";
}

}  // namespace

std::string board_sheet_html(const BoardSheet& sheet) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\"/><meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\"/><title>{}</title><style>{}</style></head>\n<body><main>\n",
        escaped(sheet.name), page::style);
    out += fmt::format("<header><p class=\"kind\">Circuit board from both sides</p><h1>{}</h1>\n<dl class=\"facts\">", escaped(sheet.name));
    out += fact("Time on the machine", duration_text(seconds_of(sheet.top) + seconds_of(sheet.bottom)));
    out += fact("Top, bottom", fmt::format("{} and {} programs", sheet.top.programs.size(), sheet.bottom.programs.size()));
    out += fact("Stock", sheet.stock);
    if (sheet.nets.holes > 0) out += fact("Nets", fmt::format("{}", sheet.nets.nets));
    out += "</dl>\n<p class=\"verdict\"><strong>Proved.</strong> Both sides' programs were read back and run on a model of the stock.</p>";
    out += page::warnings_first(sheet.warnings) + "</header>\n";
    if (!sheet.cautions.empty()) out += "<section class=\"cautions\"><h2>Cautions</h2>" + page::list(sheet.cautions) + "</section>\n";
    out += steps(sheet) + nets(sheet);
    return out + fmt::format(
                     "<footer>Written by burin {}. The programs are cut at your own judgement and risk.</footer>\n</main></body></html>\n",
                     escaped(sheet.version));
}

}  // namespace burin
