// The sheet of a job that burns. The order is that in which a person needs it: what will come out, what to watch, how to
// set up, what to run, what was proved, what was assumed. The exposure that the proof found in the programs' text goes through the
// material's curve, which gives the preview its darks. All text that comes from outside goes through ink::escaped.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/motion/timing.hpp"
#include "burin/report/burn_report.hpp"
#include "burin/report/report.hpp"
#include "coating_page.hpp"
#include "drawings.hpp"
#include "html_style.hpp"
#include "ink.hpp"
#include "page_parts.hpp"

namespace burin {
namespace {

using ink::escaped;
using ink::fact;
using ink::grouped;
using ink::number;
using page::list;

std::string head(const BurnReport& report) {
    std::string out = fmt::format("<header><p class=\"kind\">Burnt into {}</p><h1>{}</h1>\n<dl class=\"facts\">",
                                  escaped(page::material_words(report.material)), escaped(report.name));
    out += fact("Time on the machine", duration_text(report.time_s));
    out += fact("Programs, in running order", fmt::format("{}", report.programs.size()));
    out += fact("Stock", page::stock_words(report.stock));
    out += fact("Burnt on it", fmt::format("{} × {} mm", number(report.work.width()), number(report.work.height())));
    out += fact("Beam", fmt::format("{} W, spot {} mm", number(report.machine.laser->power_w), number(report.machine.laser->spot_mm)));
    out += "</dl>\n";
    out += page::verdict(report.proof.proof, "their light laid down on", "burn");
    return out + page::warnings_first(report.warnings) + "</header>\n";
}

std::string looks(const BurnReport& report, std::string_view preview, const Crew& crew) {
    const auto bytes = std::as_bytes(std::span(preview.data(), preview.size()));
    std::string out = "<section><h2>What it will look like</h2><div class=\"pair\"><figure class=\"main\">";
    out += page::image(page::small(read_picture(bytes, "preview.png"), 1400, crew), 87, "The finished piece as the programs burn it");
    out += fmt::format(
        "<figcaption>What the programs burn, {}: the light that their lines lay down, through {} and the size of the spot, in the tones of "
        "{}.</figcaption></figure>\n",
        escaped(report.how), report.material.burn_tone.empty() ? "a guess of how dark it burns" : "the material's curve",
        escaped(page::material_words(report.material)));
    return out + page::given_picture(report.picture, report.picture_name, crew) + "</div></section>\n";
}

std::string border_words(const BurnProgram& border) {
    if (border.most_s > 0)
        return fmt::format("at pilot power (S {}), which counts as a burning laser: eyewear on, enclosure shut", number(border.most_s));
    return "the beam dark";
}

std::string set_up(const BurnReport& report) {
    const Box& swept = report.swept;
    std::string out = "<section><h2>Set up</h2><div class=\"pair even\"><div><ol class=\"steps\">";
    const auto step = [&](std::string_view text) { out += fmt::format("<li>{}</li>", text); };
    step(fmt::format("<strong>Stock.</strong> {}{}. Lay it flat, on something that may be burnt and does not shine: no bare metal below.",
                     escaped(page::stock_words(report.stock)), report.stock.assumed ? " (assumed: you gave none; use at least this)" : ""));
    step(
        fmt::format("<strong>Hold it down</strong>, and keep the way free: the head runs within X{} to {} and Y{} to {} (dashed), which is "
                    "{} mm farther than what is burnt, to get to its speed before the beam is lit.",
                    number(swept.lo.x), number(swept.hi.x), number(swept.lo.y), number(swept.hi.y), number(report.run_up, 1)));
    step(
        "<strong>Before the laser gets power,</strong> for the border run too: eyewear rated for its wavelength on everybody in the room, "
        "enclosure shut, fumes drawn off, fire extinguisher in reach.");
    step(
        report.focus_step > 0 && report.passes > 1
            ? fmt::format(
                  "<strong>Focus.</strong> Set the beam's focus on the stock's top, as the laser's maker says, and Z0 there. The head "
                  "first rises to Z{}, and goes {} mm down after each of the {} passes: nothing below it may be in its way.",
                  number(report.safe_height), number(report.focus_step), report.passes)
            : std::string("<strong>Focus.</strong> Set the beam's focus on the stock's top, as the laser's maker says. The programs do not "
                          "move up or down."));
    step(fmt::format("<strong>Zero.</strong> X0 Y0 is {}, under the middle of the beam.",
                     escaped(page::zero_words(report.zero, report.stock))));
    for (std::size_t k = 0; k < report.programs.size(); ++k) {
        const BurnProgram& program = report.programs[k];
        const std::string time = duration_text(report.proof.proof.programs[k].time_s);
        if (program.border)
            step(fmt::format(
                "<strong>Run <span class=\"file\">{}</span></strong>, {}: it goes round what will be burnt, {}. See that it stays "
                "on the stock and clear of everything; if not, move the stock or the zero, and run it again.",
                escaped(program.file), time, border_words(program)));
        else
            step(fmt::format("<strong>Run <span class=\"file\">{}</span></strong>, {}. Stay with it, all the time.{}",
                             escaped(program.file), time, report.air ? " It switches the air on and off (M8, M9)." : ""));
    }
    step("<strong>Afterwards</strong> let the fumes clear, look for embers, and only then open up.");
    out += "</ol></div><div><figure>" + page::plan_drawing(report);
    out +=
        "<figcaption>From above, Y away from you. Hatched: what is burnt. Dashed: where the head goes. Quartered circle: "
        "zero.</figcaption></figure></div></div></section>\n";
    return out;
}

/// Means over two rows, falling off to both sides: what varies from row to row goes. A material's curve is measured on patches burnt in
/// rows, and speaks of such means.
Grid<float> averaged(const Grid<float>& light, double spacing, const Crew& crew) {
    const int reach = static_cast<int>(std::ceil(spacing / light.cell())) - 1;
    if (reach < 1) return light;
    std::vector<float> weights;
    float sum = 0;
    for (int k = -reach; k <= reach; ++k)
        weights.push_back(static_cast<float>(spacing / light.cell() - std::abs(k))), sum += weights.back();
    for (float& w : weights) w /= sum;
    auto across = light.like(0.0F), out = across;
    const auto pass = [&](const Grid<float>& from, Grid<float>& to, bool columns) {
        over_rows(crew, from.height(), 32, [&](int first, int last) {
            for (int j = first; j < last; ++j)
                for (int i = 0; i < from.width(); ++i)
                    for (int k = -reach; k <= reach; ++k) {
                        const int a = std::clamp(columns ? i : i + k, 0, from.width() - 1),
                                  b = std::clamp(columns ? j + k : j, 0, from.height() - 1);
                        to(i, j) += weights[static_cast<std::size_t>(k + reach)] * from(a, b);
                    }
        });
    };
    pass(light, across, false);
    pass(across, out, true);
    return out;
}

/// A laser head and its beam.
std::string head_drawing(std::string_view colour, bool lit) {
    return fmt::format(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"bit\" viewBox=\"0 0 40 84\" role=\"img\"><title>The laser head</title>"
        "<rect x=\"6\" y=\"2\" width=\"28\" height=\"40\" rx=\"2\" fill=\"#8a949b\"/><path d=\"M6 12H34M6 18H34M6 24H34M6 30H34\" "
        "stroke=\"#ccd3d8\" stroke-width=\"1.6\"/><path d=\"M14 42H26L23 50H17Z\" fill=\"#5d6b74\"/><path d=\"M17 50H23L20 78Z\" "
        "fill=\"{0}\" "
        "{1}/><path d=\"M2 78H38\" stroke=\"#7b6a48\" stroke-width=\"3\"/></svg>",
        colour, lit ? "" : "fill-opacity=\".12\" stroke=\"#8b8678\" stroke-width=\".6\" stroke-dasharray=\"2 2\"");
}

std::string program_card(const BurnReport& report, std::size_t k) {
    const BurnProgram& program = report.programs[k];
    const ProgramFigures& seen = report.proof.proof.programs[k];
    const BeamNumbers& beam = report.proof.programs[k];
    const auto cell = [](std::string_view name, const std::string& value) {
        return fmt::format("<div><dt>{}</dt><dd>{}</dd></div>", escaped(name), escaped(value));
    };
    std::string out = fmt::format(
        "<article class=\"program\" style=\"--c:{}\">{}<div><h3><span class=\"file\">{}</span></h3><p>{}</p>"
        "<dl class=\"grid\">",
        ink::program_colour(k), head_drawing(ink::program_colour(k), program.most_s > 0), escaped(program.file),
        program.border ? "border run, " + border_words(program) : "burning, " + escaped(report.how));
    out += cell("Time", duration_text(seen.time_s)) + cell("Feed", grouped(program.feed) + " mm/min");
    out += cell("Most power",
                beam.most_power > 0 ? fmt::format("S{} of {}", number(beam.most_power), number(report.full_s)) : std::string("dark"));
    if (!program.border) {
        out += cell("Power mode", report.scaled ? "scaled (M4)" : "constant (M3)");
        if (report.spacing > 0) out += cell("Rows apart", number(report.spacing, 3) + " mm");
        out += cell("Run-up", number(report.run_up) + " mm");
        if (report.line_up != 0) out += cell("Line-up", number(report.line_up, 3) + " mm");
        if (report.passes > 1) out += cell("Passes", fmt::format("{}", report.passes));
        out += cell("Lit way", number(beam.burnt_length / 1000, 1) + " m") + cell("Light", grouped(beam.energy_j) + " J");
        out += cell("Fastest feed", beam.pace.fastest_feed > 0 ? grouped(beam.pace.fastest_feed) + " mm/min" : std::string("any"));
    }
    out += cell("Dark way", number((beam.dark_length + seen.rapid_length) / 1000, 1) + " m") + cell("Lines", grouped(seen.lines));
    out += "</dl></div><div class=\"wide\">";
    if (!program.border && !report.reasons.empty())
        out += "<div class=\"why\"><p><strong>Why this feed</strong></p>" + list(report.reasons) + "</div>";
    return out + "</div></article>\n";
}

std::string proved(const BurnReport& report) {
    std::string out = "<section><h2>What was proved</h2><p>On the text of the programs themselves:</p><ul class=\"checks\">";
    out += page::checks_list(report.proof.proof.checks);
    out +=
        "</ul><h3>What the proof does not know</h3><ul>"
        "<li>How dark your piece really burns: grain, knots, moisture and colour change it, and so does every other board.</li>"
        "<li>The focus, the dirt on the lens, and how much of its light the laser still gives.</li>"
        "<li>Smoke that drifts over the piece and darkens or shades it; heat that spreads where much is burnt.</li>"
        "<li>Backlash and lost steps of your machine, and how late the beam follows: rows that run back may need a line-up.</li>"
        "<li>A stock that is not flat; what stands in the way.</li></ul>"
        "<p>So burn a test card, or a small part on scrap of the same board, first.</p>";
    return out + "</section>\n";
}

}  // namespace

Grid<float> burnt_darkness(const BurnReport& report, const Crew& crew) {
    const Grid<float> exposure = averaged(report.proof.exposure, report.spacing, crew);
    auto darkness = exposure.like(0.0F);
    const ToneCurve& curve = report.material.burn_tone;
    const auto most = static_cast<double>(*std::max_element(exposure.values().begin(), exposure.values().end()));
    over_rows(crew, exposure.height(), 64, [&](int first, int last) {
        for (int j = first; j < last; ++j)
            for (int i = 0; i < exposure.width(); ++i) {
                const auto e = static_cast<double>(exposure(i, j));
                darkness(i, j) = static_cast<float>(e <= 0 ? 0 : curve.empty() ? e / most : darkness_for(curve, e));
            }
    });
    return darkness;
}

std::string burn_preview_png(const BurnReport& report, const Crew& crew) {
    const Grid<float> darkness = burnt_darkness(report, crew);
    const Box& b = report.stock.bounds;
    const double cell = std::max(darkness.cell(), std::max(b.width(), b.height()) / 1500);
    const HeightMap flat(std::max(1, static_cast<int>(b.width() / cell + 0.999)), std::max(1, static_cast<int>(b.height() / cell + 0.999)),
                         cell, b.lo, 0.0F);
    return preview_png(flat, report.stock, report.material, crew, std::nullopt, &darkness);
}

std::string burn_report_html(const BurnReport& report, std::string_view preview, const Crew& crew) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\"/>"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\"/><title>{}</title><style>{}</style></head>\n<body><main>\n",
        escaped(report.name), page::style);
    out += head(report) + looks(report, preview, crew) + page::coating_section(report);
    out += "<section class=\"cautions\"><h2>Cautions</h2>" + list(report.cautions) + "</section>\n";
    out += set_up(report) + "<section><h2>Programs, in running order</h2>";
    for (std::size_t k = 0; k < report.programs.size(); ++k) out += program_card(report, k);
    out += page::machine_words(report.machine) + "</section>\n" + proved(report);
    std::vector<std::string> sentences = report.assumed;
    if (!report.material.source.empty())
        sentences.push_back(
            fmt::format("Figures for {}: {}.", page::title_of(report.material.title, report.material.name), report.material.source));
    out += "<section><h2>What was assumed and reckoned</h2>" + list(sentences) + "</section>\n";
    return out + fmt::format(
                     "<footer>Written by burin {}. The programs are run at your own judgement and risk.</footer>\n</main></body></html>\n",
                     escaped(report.version));
}

}  // namespace burin
