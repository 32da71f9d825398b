// report.html: the sheet to run the job by. One file; no script, nothing fetched (a content security policy says so).
//
// The order is the order in which a person needs it: what will come out, what to watch, how to set up, what to run, what
// was proved, what was assumed, what nobody can know. All text that comes from outside goes through ink::escaped.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/motion/timing.hpp"
#include "burin/report/report.hpp"
#include "drawings.hpp"
#include "face_page.hpp"
#include "figure_page.hpp"
#include "html_style.hpp"
#include "ink.hpp"
#include "page_parts.hpp"
#include "photo_page.hpp"
#include "pictures.hpp"

namespace burin {
namespace {

using ink::escaped;
using ink::fact;
using ink::grouped;
using ink::number;
using page::image;
using page::list;
using page::material_words;
using page::stock_words;
using page::title_of;
using page::zero_words;

constexpr int preview_width = 1400;

std::string capital(std::string words) {
    if (!words.empty() && words[0] >= 'a' && words[0] <= 'z') words[0] = static_cast<char>(words[0] - 'a' + 'A');
    return words;
}

std::string kind_words(const std::string& command) {
    if (command == "incise") return "Incised";
    if (command == "outline") return "Outlined";
    if (command == "pocket") return "Pocketed";
    if (command == "stroke") return "Strokes followed";
    if (command == "cutout") return "Cut out";
    if (command == "card") return "Test card";
    if (command == "face") return "Faced";
    if (command == "drill") return "Holes drilled";
    if (command == "isolate") return "Circuit board isolated";
    if (command == "make") return "Several cuts";
    return capital(command);
}

std::string bit_words(const Bit& bit) {
    const BitSpec& s = bit.spec();
    const auto degrees = [](double a) { return number(a * 180 / 3.14159265358979323846, 1); };
    switch (s.shape) {
        case BitShape::flat:
            return fmt::format("flat end, {} mm", number(s.diameter, 3));
        case BitShape::ball:
            return fmt::format("ball end, {} mm", number(s.diameter, 3));
        case BitShape::vee:
            return fmt::format("vee of {}°, tip {} mm, {} mm wide", degrees(s.angle), number(s.tip, 3), number(s.diameter, 3));
        case BitShape::taper:
            return fmt::format("tapered ball, tip {} mm, {}° a side, {} mm wide", number(s.tip, 3), degrees(s.angle),
                               number(s.diameter, 3));
        case BitShape::bull:
            return fmt::format("bull nose, {} mm, corner radius {} mm", number(s.diameter, 3), number(s.tip, 3));
        case BitShape::drill:
            return fmt::format("drill, {} mm", number(s.diameter, 3));
    }
    return bit.sizes();
}

std::string head(const JobReport& report) {
    std::string out = fmt::format("<header><p class=\"kind\">{} in {}</p><h1>{}</h1>\n<dl class=\"facts\">",
                                  escaped(kind_words(report.command)), escaped(material_words(report.material)), escaped(report.name));
    out += fact("Time on the machine", duration_text(report.time_s));
    out += fact(report.programs.size() == 1 ? "Program" : "Programs, one per bit", fmt::format("{}", report.programs.size()));
    out += fact("Stock", stock_words(report.stock));
    out += fact(report.command == "face" ? "Faced"
                : report.cuts.empty()    ? "Picture on it"
                                         : "Designs on it",
                fmt::format("{} × {} mm", number(report.design_box.width()), number(report.design_box.height())));
    if (report.lift > 0)
        out += fact("Lifted by", number(report.lift) + " mm");
    else if (report.command == "face")
        out += fact("Takes off at most", number(report.face->rise) + " mm");
    else
        out += fact("Deepest cut", number(-page::deepest_z(report)) + " mm");
    out += "</dl>\n";
    out += page::verdict(report.proof, "run on", "cut");
    if (report.lift > 0)
        out += fmt::format(
            "<p class=\"warn\"><strong>A dry run in the air:</strong> every height in these programs is lifted by {} mm. Nothing will be "
            "cut.</p>\n",
            number(report.lift));
    if (!report.trial.empty())
        out += fmt::format("<p class=\"warn\"><strong>A trial piece, not the whole job.</strong> {}</p>\n", escaped(report.trial));
    return out + page::warnings_first(report.warnings) + "</header>\n";
}

/// What each cut has of the whole.
std::string cuts_table(const JobReport& report) {
    if (report.cuts.empty()) return "";
    std::string out =
        "<table><thead><tr><th>Cut</th><th>Kind</th><th>Of</th><th>Programs</th><th class=\"n\">Time</th></tr></thead><tbody>";
    for (const JobReport& cut : report.cuts) {
        std::string files;
        for (const std::string& file : cut.files) files += (files.empty() ? "" : ", ") + file;
        out += fmt::format("<tr><td>{}</td><td>{}</td><td>{}</td><td class=\"file\">{}</td><td class=\"n\">{}</td></tr>", escaped(cut.name),
                           escaped(kind_words(cut.command)), escaped(cut.picture_name), escaped(files), duration_text(cut.time_s));
    }
    return out + "</tbody></table>";
}

std::string looks(const JobReport& report, std::string_view preview, const Crew& crew, std::string_view on_piece) {
    const auto bytes = std::as_bytes(std::span(preview.data(), preview.size()));
    std::string out = "<section><h2>What it will look like</h2><div class=\"pair\"><figure class=\"main\">";
    out += image(page::small(read_picture(bytes, "preview.png"), preview_width, crew), 87, "The finished piece as the simulation left it");
    out += fmt::format("<figcaption>The surface that the programs leave on the model, in {}, under a low lamp{}.{}</figcaption></figure>\n",
                       escaped(material_words(report.material)),
                       report.figure && report.figure->fill ? ", what was cut filled or painted" : "",
                       report.lift > 0 ? " That is without the lift." : "");
    out += report.figure && !report.proof.tone ? page::traced_figure(report, crew)
                                               : page::given_picture(report.picture, report.picture_name, crew);
    out += "</div>";
    if (!on_piece.empty()) {
        const auto photo = std::as_bytes(std::span(on_piece.data(), on_piece.size()));
        out += "<figure class=\"main\">" +
               image(page::small(read_picture(photo, "on-the-piece.png"), preview_width, crew), 87, "The finished piece on its photo") +
               "<figcaption>The same on the photo of your piece. It must lie on the machine turned as here.</figcaption></figure>\n";
    }
    return out + cuts_table(report) + "</section>\n";
}

std::string touch_words(const JobReport& report) {
    if (report.touch.spot)
        return fmt::format("drive to X{} Y{}, a spot of the {}top that no program cuts, and touch off Z0 there",
                           number(report.touch.spot->x), number(report.touch.spot->y), report.face ? "faced " : "");
    return fmt::format(
        "no spot of the top is left uncut, so touch off on the bare spoilboard beside the stock and set Z to {} there (minus the stock's "
        "thickness: measure yours and use that)",
        number(report.touch.spoilboard_z));
}

struct Through {
    double deepest = 0;  ///< mm below the stock
    bool loose = false;  ///< a piece comes off that no tab holds; holes leave none
};

void look_through(const JobReport& report, Through& through) {
    for (const JobReport& cut : report.cuts) look_through(cut, through);
    if (!report.figure || report.lift > 0 || report.figure->design.floor > -report.stock.thickness) return;
    const FigureDesign& design = report.figure->design;
    through.deepest = std::max(through.deepest, design.breakthrough);
    through.loose = through.loose || (design.tabs.empty() && design.grooves.empty());
}

/// What cuts right through ask of the board below, and of what comes loose.
std::string through_words(const JobReport& report) {
    Through through;
    look_through(report, through);
    std::string out;
    if (through.deepest > 0)
        out = fmt::format(" The bit goes {} mm into the board below: take one that may be cut, with no metal under the line.",
                          number(through.deepest));
    if (through.loose) out += " There are no tabs: tape down the piece too, or the bit will throw it when it comes loose.";
    return out;
}

std::string set_up(const JobReport& report) {
    const Box swept = page::swept_box(report);
    std::string out = "<section><h2>Set up</h2><div class=\"pair even\"><div><ol class=\"steps\">";
    const auto step = [&](std::string_view text) { out += fmt::format("<li>{}</li>", text); };
    if (report.face)
        step(page::face_stock_step(report));
    else
        step(fmt::format("<strong>Stock.</strong> {}{}. Put it on a flat spoilboard{}.", escaped(stock_words(report.stock)),
                         report.stock.assumed ? " (assumed: you gave none; use at least this)" : "",
                         report.flatness_mm > 0
                             ? fmt::format("; for this depth its top must be flat and level within <strong>{} mm</strong>: "
                                           "lay a straightedge across it, or run the bit's tip over its {}",
                                           number(report.flatness_mm), report.stock.outline == Outline::rectangle ? "corners" : "rim")
                             : ""));
    step(
        fmt::format("<strong>Hold it down</strong> so that it can neither slide nor lift. The bits and their shanks stay within X{} to {} "
                    "and Y{} to {} (dashed): no clamp or screw inside that, nor higher than Z{} on the way to it. "
                    "Where no clamp fits, use strong double-sided tape or screw the stock from below into waste.{}{}",
                    number(swept.lo.x), number(swept.hi.x), number(swept.lo.y), number(swept.hi.y),
                    number(std::max(0.0, page::highest_z(report) - report.lift - 1)), through_words(report),
                    report.face ? page::face_hold_words(report) : ""));
    if (!report.programs.empty())
        step(fmt::format("<strong>First bit:</strong> {}. Unplug the spindle, tighten the collet with {} mm of bit standing out.",
                         escaped(bit_words(report.programs.front().bit)), number(report.programs.front().bit.spec().stick_out)));
    if (report.face)
        step(page::face_zero_step(report));
    else
        step(fmt::format(
            "<strong>Zero.</strong> X0 Y0 is {}. Z0 is the top: lower the tip until it just grips a slip of paper, then allow for "
            "the paper's thickness.",
            escaped(zero_words(report.zero, report.stock))));
    for (std::size_t k = 0; k < report.programs.size(); ++k) {
        const auto& program = report.programs[k];
        const double time = k < report.proof.programs.size() ? report.proof.programs[k].time_s : 0;
        const bool goes_on = k > 0 && report.programs[k - 1].file == program.file;  // joined programs
        if (k > 0)
            step(fmt::format("{}<strong>Change to {}.</strong> Do not zero X and Y again. Then {}.",
                             goes_on
                                 ? "The program stops here by itself (M0), the spindle off, and waits for you; the time you take is not "
                                   "counted. "
                                 : "",
                             escaped(bit_words(program.bit)), escaped(touch_words(report))));
        step(fmt::format("<strong>{} <span class=\"file\">{}</span></strong>, {}. Stay with it.", goes_on ? "Let it go on:" : "Run",
                         escaped(program.file), duration_text(time)));
    }
    out += "</ol></div><div><figure>" + page::plan_drawing(report);
    out += fmt::format(
        "<figcaption>From above, Y away from you. Hatched: {}. Dashed: where the bits and shanks go. Quartered circle: "
        "zero.{}</figcaption></figure>\n",
        !report.cuts.empty()                        ? "what is cut, in the rectangles of the designs"
        : report.face                               ? "what is faced"
        : !report.figure                            ? "the picture"
        : page::lowers_areas(report.figure->design) ? "what is lowered, in the rectangle of the picture"
                                                    : "the figure, in the rectangle of the picture",
        report.touch.spot && report.programs.size() > 1 ? fmt::format(" Violet: where Z is touched off after a change of bit, X{} Y{}.",
                                                                      number(report.touch.spot->x), number(report.touch.spot->y))
                                                        : std::string());
    out += "<figure>" + page::side_drawing(report) +
           "<figcaption>From the side, heights to scale.</figcaption></figure></div></div></section>\n";
    return out;
}

std::string passes_table(const std::vector<PassFigures>& passes) {
    constexpr std::size_t most = 60;
    std::string out = fmt::format(
        "<details><summary>{} {}</summary><table><thead><tr><th>Pass</th><th class=\"n\">Lowest Z</th><th class=\"n\">Way, m</th><th "
        "class=\"n\">Time</th><th class=\"n\">Line</th></tr></thead><tbody>",
        passes.size(), passes.size() == 1 ? "pass" : "passes");
    for (std::size_t k = 0; k < std::min(passes.size(), most); ++k)
        out += fmt::format(
            "<tr><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td></tr>", k + 1,
            number(passes[k].z), number(passes[k].length / 1000), duration_text(passes[k].time_s), grouped(passes[k].first_line));
    out += "</tbody></table>";
    if (passes.size() > most) out += fmt::format("<p>The other {} stand in report.json.</p>", passes.size() - most);
    return out + "</details>";
}

std::string program_card(const JobReport& report, std::size_t k) {
    const ReportProgram& program = report.programs[k];
    const ProgramFigures* seen = k < report.proof.programs.size() ? &report.proof.programs[k] : nullptr;
    const auto cell = [](std::string_view name, const std::string& value) {
        return fmt::format("<div><dt>{}</dt><dd>{}</dd></div>", escaped(name), escaped(value));
    };
    std::string out = fmt::format(
        "<article class=\"program\" style=\"--c:{}\">{}<div><h3><span class=\"file\">{}</span></h3><p>{}, {}<br/>bit <span "
        "class=\"file\">{}</span></p><dl class=\"grid\">",
        ink::program_colour(k), page::bit_drawing(program.bit, ink::program_colour(k)), escaped(program.file), escaped(program.purpose),
        escaped(bit_words(program.bit)), escaped(program.bit.name()));
    if (seen) out += cell("Time", duration_text(seen->time_s));
    out += cell("Feed", grouped(program.feeds.feed) + " mm/min") + cell("Plunge", grouped(program.feeds.plunge) + " mm/min");
    out += cell("Spindle", grouped(program.feeds.rpm) + " rpm") + cell("Depth per pass", number(program.feeds.depth_per_pass) + " mm");
    out += cell("Chip load", number(program.feeds.chip_load, 3) + " mm");
    if (program.allowance > 0) out += cell("Leaves for later", number(program.allowance) + " mm");
    out += cell("Sticks out", number(program.bit.spec().stick_out, 1) + " mm");
    if (seen) {
        out += cell("Lowest Z", number(page::lowest_z(report, *seen))) + cell("Cutting way", number(seen->cut_length / 1000, 1) + " m");
        out += cell("Takes away", number(seen->removed_mm3 / 1000, 1) + " cm³") + cell("Lines", grouped(seen->lines));
    }
    out += "</dl></div><div class=\"wide\">";
    if (!program.feeds.reasons.empty())
        out += "<div class=\"why\"><p><strong>Why these feeds</strong></p>" + list(program.feeds.reasons) + "</div>";
    if (!program.feeds.warnings.empty()) out += "<div class=\"warn\">" + list(program.feeds.warnings) + "</div>";
    if (seen && !seen->passes.empty()) out += passes_table(seen->passes);
    return out + "</div></article>\n";
}

std::string programs(const JobReport& report) {
    std::string out = "<section><h2>Programs, in running order</h2>";
    if (report.programs.size() > 1 && report.time_s > 0) {
        std::string bar, key;
        for (std::size_t k = 0; k < report.programs.size() && k < report.proof.programs.size(); ++k) {
            const double share = 100 * report.proof.programs[k].time_s / report.time_s;
            bar += fmt::format("<i style=\"--c:{};width:{}%\"></i>", ink::program_colour(k), number(share, 2));
            key += fmt::format("<li><b style=\"--c:{}\"></b>{}: {}</li>", ink::program_colour(k), escaped(report.programs[k].file),
                               duration_text(report.proof.programs[k].time_s));
        }
        out += fmt::format("<div class=\"bar\">{}</div><ul class=\"key\">{}</ul>", bar, key);
    }
    for (std::size_t k = 0; k < report.programs.size(); ++k) out += program_card(report, k);
    if (!report.idle_bits.empty()) out += list(report.idle_bits);
    out += page::machine_words(report.machine);
    return out + "</section>\n";
}

std::string not_reached(const JobReport& report) {
    if (!report.unreached || report.programs.empty()) return "";
    const Unreached& left = *report.unreached;
    const Bit& bit = report.programs.back().bit;
    std::string out = "<section><h2>What the bit cannot reach</h2><div class=\"pair\"><figure class=\"main\">";
    out += image(left.map, left.width, left.height, "Map of what the finishing bit cannot reach") +
           "<figcaption>The design in grey; in colour, how much of the material stays because the bit is too wide to get "
           "in.</figcaption></figure><div>";
    if (left.worst < 0.01)
        out += fmt::format("<p>Nothing: the bit ({}) gets everywhere.</p>", escaped(bit_words(bit)));
    else {
        out += fmt::format(
            "<p>With this bit ({}) at most <strong>{} mm</strong> stays standing, at X{} Y{}. More than {} mm stays on {} % of the carved "
            "area.</p>",
            escaped(bit_words(bit)), number(left.worst), number(left.where.x, 1), number(left.where.y, 1), number(Unreached::threshold),
            number(100 * left.share, left.share < 0.01 ? 2 : 1));
        if (left.share > 0.02) out += "<p>To get more of it: a finishing bit with a smaller tip, a larger piece, or less depth.</p>";
    }
    out += "<div class=\"ramp\">";
    for (int k = 0; k <= 10; ++k) {
        const auto c = page::unreached_colour(k * Unreached::full / 10, 246);
        out += fmt::format("<i style=\"background:rgb({},{},{})\"></i>", c[0], c[1], c[2]);
    }
    return out + fmt::format("</div><div class=\"ends\"><span>0</span><span>{} mm and more</span></div></div></div></section>\n",
                             number(Unreached::full));
}

/// What each of several cuts loses to its bits.
std::string of_each_cut(const JobReport& report, const Crew& crew) {
    std::string out;
    for (const JobReport& cut : report.cuts) {
        const std::string lost = not_reached(cut) + page::tone_section(cut) + page::figure_section(cut, crew);
        if (!lost.empty()) out += fmt::format("<section class=\"cut\"><h2>{}</h2></section>", escaped(cut.name)) + lost;
    }
    return out;
}

std::string proved(const JobReport& report) {
    std::string out =
        "<section><h2>What was proved</h2><p>On the text of the programs themselves, with the exact shape of each bit:</p><ul "
        "class=\"checks\">";
    out += page::checks_list(report.proof.checks);
    out +=
        "</ul><h3>What the proof does not know</h3><ul>"
        "<li>How much the bit bends and runs out: it cuts a little beside its path, more in hard stock and with long, thin bits.</li>"
        "<li>Backlash and lost steps of your machine.</li>"
        "<li>A stock that is not flat, not level or not as thick as said: every tenth of a millimetre shows in the depth.</li>"
        "<li>Wood that moves when stock is taken off one side, that tears along its grain, or that holds a knot, a void or a nail.</li>"
        "<li>A bit that is blunt, or of another shape than said; clamps and what else stands in the way.</li></ul>";
    if (report.material.for_spindle && report.machine.spindle)
        out += "<p>So cut a trial piece on scrap first: a small, demanding part of the job.</p>";
    return out + "</section>\n";
}

std::string assumed(const JobReport& report) {
    std::string out = "<section><h2>What was assumed and reckoned</h2>";
    std::vector<std::string> sentences = report.assumed;
    if (!report.material.source.empty())
        sentences.push_back(
            fmt::format("Figures for {}: {}.", title_of(report.material.title, report.material.name), report.material.source));
    return out + list(sentences) + "</section>\n";
}

}  // namespace

std::string report_html(const JobReport& report, std::string_view preview, const Crew& crew, std::string_view on_piece) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\"/>"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\"/><title>{}</title><style>{}</style></head>\n<body><main>\n",
        escaped(report.name), page::style);
    out += head(report) + looks(report, preview, crew, on_piece);
    if (!report.cautions.empty()) out += "<section class=\"cautions\"><h2>Cautions</h2>" + list(report.cautions) + "</section>\n";
    out += set_up(report) + programs(report) + not_reached(report) + page::tone_section(report) + page::figure_section(report, crew) +
           of_each_cut(report, crew) + proved(report) + assumed(report);
    out +=
        fmt::format("<footer>Written by burin {}. The programs are cut at your own judgement and risk.</footer>\n</main></body></html>\n",
                    escaped(report.version));
    return out;
}

}  // namespace burin
