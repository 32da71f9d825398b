// A coating that is burnt off a circuit board, on the page: what stays coated and what is bare, the narrowest places, and the way to a
// finished board, which leads past acid.
#include "coating_page.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "board_places.hpp"
#include "figure_page.hpp"
#include "ink.hpp"

namespace burin::page {
namespace {

using ink::number;

constexpr std::string_view bare_colour = "#dfa070", coated_colour = "#2f3338", risk_colour = "#c2452d", told_colour = "#1d6fa5";

std::string drawing(const BurnReport& report) {
    const CoatingDesign& design = report.board->design;
    Box view = joined(design.burnt.bounds(), design.board.copper.bounds());
    const double more = 0.04 * std::max(view.width(), view.height());
    view = {{view.lo.x - more, view.lo.y - more}, {view.hi.x + more, view.hi.y + more}};
    const double size = std::max({view.width(), view.height(), 1.0});
    std::string svg = svg_begin(view, "What stays coated, and what is bare");
    svg += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{}\"/>", number(100 * view.lo.x, 0),
                       number(-100 * view.hi.y, 0), number(100 * view.width(), 0), number(100 * view.height(), 0), coated_colour);
    svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{}\" d=\"{}\"/>", bare_colour, region_path(design.burnt, size));
    svg += fmt::format("<path fill-rule=\"evenodd\" fill=\"{}\" d=\"{}\"/>", risk_colour, region_path(design.board.uncut, size));
    return svg + rings_svg(design.board.gaps, report.proof.proof.nets, size, {risk_colour, told_colour, 0.4}) + "</svg>";
}

std::string narrow_words(const BurnReport& report) {
    std::string out;
    const bool mask = report.board->mask;
    if (const auto& nets = report.proof.proof.nets) {
        if (nets->track)
            out +=
                fmt::format("<p>The <strong>narrowest {}</strong> is {} mm wide, at {}{}.</p>", mask ? "neck of an opening" : "track",
                            number(*nets->track), place(nets->track_at),
                            mask || *nets->track >= 0.3 ? "" : "; acid eats in from both sides: take the board out as soon as it is done");
        if (nets->gap)
            out += fmt::format("<p>The <strong>narrowest {}</strong> is {} mm, at {}.</p>",
                               mask ? "bridge of coating between openings" : "gap between coated copper", number(*nets->gap),
                               place(nets->gap_at));
    }
    const std::vector<NarrowGap>& gaps = report.board->design.board.gaps;
    if (gaps.empty()) return out + "<p>The beam gets in everywhere.</p>";
    out += "<p>Places narrower than the spot (red):</p>";
    return out + gap_list(gaps, "burnt along its middle, the coating on both sides loses a little",
                          "stays coated, within one piece, and joins nothing");
}

std::string after_words(bool mask) {
    std::string out =
        "<h3>Before and after the beam</h3><ul>"
        "<li><strong>Coat thinly and evenly.</strong> Scour and degrease the copper, coat it right to the edges, and let it dry for a day: "
        "solvent that is left burns.</li>"
        "<li><strong>Try it on scrap.</strong> Burn a test card into the same coating on a piece of the same board, and take the power "
        "and feed at which copper shines through evenly. The figures here are from memory.</li>"
        "<li><strong>Stop where bare copper shines.</strong> If anything but the coating smokes, chars or lights up, stop at once: "
        "FR-4 that burns gives off poison.</li>"
        "<li><strong>Wipe, then look.</strong> Take the soot off with alcohol when all is cold and the laser is unplugged; alcohol burns. "
        "Then look over every gap with a lens: ";
    out += mask
               ? "what stays coated takes no solder.</li>"
               : "a hair of coating stays copper, and joins what the proof saw parted. A scribe opens it.</li>"
                 "<li><strong>Etching</strong> is work for goggles, gloves, an apron and an open window. Acid into water, never water into "
                 "acid; no metal vessel, no drain: what is spent goes to the hazardous waste.</li>"
                 "<li><strong>Measure before you solder,</strong> with a meter, between neighbouring pieces.</li>";
    return out + "<li>Such a board is for low voltage, never for mains.</li></ul>";
}

}  // namespace

std::string coating_section(const BurnReport& report) {
    if (!report.board) return "";
    const bool mask = report.board->mask;
    const std::size_t pieces = report.board->design.board.copper.figures().size();
    std::string out = "<section><h2>Copper and coating</h2><div class=\"pair\"><figure class=\"main\">" + drawing(report);
    out += fmt::format(
        "<figcaption>As it lies on the machine. Dark: the coating that stays. Copper-coloured: burnt bare{}. Ringed in blue: the narrowest "
        "places.</figcaption></figure><div>",
        mask ? ", to be soldered" : ", to be etched away; beyond that the coating stays, and the copper below it");
    out += fmt::format("<p>{} {}; the beam's middle keeps {} mm, half its spot, inside what is bare.</p>", pieces,
                       mask ? (pieces == 1 ? "opening" : "openings") : (pieces == 1 ? "piece of copper" : "pieces of copper"),
                       number(report.machine.laser->spot_mm / 2, 3));
    return out + narrow_words(report) + after_words(mask) + "</div></div></section>\n";
}

}  // namespace burin::page
