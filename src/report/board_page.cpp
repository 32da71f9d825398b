// A circuit board on the page: the copper that stays, the grooves as wide as they are cut, gaps that stay closed, the narrowest track and
// gap, and what such a board asks of the person: laid flat, stuck down, washed and not blown off.
#include "board_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "board_places.hpp"
#include "burin/report/figure_report.hpp"
#include "figure_page.hpp"
#include "ink.hpp"

namespace burin::page {
namespace {

using ink::number;

constexpr std::string_view spare_colour = "#dcab83", kept_colour = "#a05a2c", groove_colour = "#f3edd6", risk_colour = "#c2452d";

std::string drawing(const JobReport& report) {
    const FigureDesign& design = report.figure->design;
    const BoardDesign& board = *design.board;
    Box view = board.copper.bounds();
    const double more = 0.04 * std::max(view.width(), view.height()) + board.groove;
    view = {{view.lo.x - more, view.lo.y - more}, {view.hi.x + more, view.hi.y + more}};
    const double size = std::max({view.width(), view.height(), 1.0});
    std::string svg = svg_begin(view, "The copper that stays, and the grooves round it");
    svg += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\"/>", number(100 * view.lo.x, 0),
                       number(-100 * view.hi.y, 0), number(100 * view.width(), 0), number(100 * view.height(), 0), spare_colour);
    svg += grooves_svg(design.grooves, report.programs.front().bit, size, groove_colour);
    svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{}\" d=\"{}\"/>", kept_colour, region_path(board.copper, size));
    svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{}\" d=\"{}\"/>", risk_colour, region_path(board.uncut, size));
    return svg + rings_svg(board.gaps, report.proof.nets, size, {risk_colour, "#17506b"}) + "</svg>";
}

std::string narrow_words(const JobReport& report) {
    std::string out;
    if (const auto& nets = report.proof.nets) {
        if (nets->track)
            out += fmt::format("<p>The <strong>narrowest track</strong> that is left is {} mm wide, at {}{}.</p>", number(*nets->track),
                               place(nets->track_at),
                               *nets->track < 0.2 ? "; so thin a one peels off under the iron: solder it quickly, or draw it wider" : "");
        if (nets->gap)
            out += fmt::format("<p>The <strong>narrowest gap</strong> between copper is {} mm, at {}.</p>", number(*nets->gap),
                               place(nets->gap_at));
    }
    const std::vector<NarrowGap>& gaps = report.figure->design.board->gaps;
    if (gaps.empty()) return out + "<p>The groove gets in everywhere between the copper.</p>";
    out += "<p>Gaps narrower than the groove (red):</p>";
    return out + gap_list(gaps, "cut along its middle, both sides lose a little",
                          "stays filled with copper, within one piece, and joins nothing");
}

}  // namespace

std::string board_section(const JobReport& report) {
    if (!report.figure || !report.figure->design.board || report.programs.empty()) return "";
    const FigureDesign& design = report.figure->design;
    const BoardDesign& board = *design.board;
    const double margin = -design.floor - board.layer;
    std::string out = "<section><h2>Copper and grooves</h2><div class=\"pair\"><figure class=\"main\">" + drawing(report);
    out +=
        "<figcaption>As it lies on the machine. Dark: the copper of the artwork, which stays. Pale lines: the grooves, as wide as they "
        "are cut. Light: other copper. Ringed in blue: the narrowest track and gap.</figcaption></figure><div>";
    out += fmt::format("<p>{} {} of copper; the groove is {} mm wide at the top and {} mm deep, {} mm of that below the copper.</p>",
                       board.copper.figures().size(), board.copper.figures().size() == 1 ? "piece" : "pieces", number(board.groove, 3),
                       number(-design.floor, 3), number(margin, 3));
    out += narrow_words(report);
    if (const auto lost = width_lost(report.programs.back().bit, margin))
        out += fmt::format(
            "<p>Where the board lies {0} mm lower, the groove just gets through the copper and is {1} mm narrower; where it "
            "lies {0} mm higher, tracks lose {2} mm on either side.</p>",
            number(margin, 3), number(*lost, 3), number(*lost / 2, 3));
    out +=
        "<h3>A board asks for more care than wood</h3><ul>"
        "<li><strong>Flat.</strong> Face the spoilboard first, or measure the board's top and let the programs follow it. Stick the "
        "board down over its whole underside with thin double-sided tape, and press it on from the middle outwards: clamps at the "
        "edges bend it.</li>"
        "<li><strong>Zero by contact.</strong> The copper conducts: a lamp or meter between bit and copper tells the touch better than "
        "paper. Take its wires off before the spindle turns.</li>"
        "<li><strong>Dust.</strong> It is glass: respirator, vacuum or a damp cloth, never compressed air, and wash your hands. Wipe "
        "the grooves clean, then look through the board against a lamp.</li>"
        "<li><strong>Measure before you solder.</strong> With a meter, between neighbouring pieces: a hair of copper in a groove joins "
        "what the proof saw parted.</li>"
        "<li>Such a board is for low voltage. Grooves this narrow part no mains.</li></ul>";
    return out + "</div></div></section>\n";
}

}  // namespace burin::page
