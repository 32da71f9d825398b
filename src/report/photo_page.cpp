/// Tones of a photo: the share that is covered, averaged over about what an eye takes in at arm's length, and words on what is lost.
#include "photo_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "burin/report/figure_report.hpp"
#include "burin/shape/filters.hpp"
#include "ink.hpp"
#include "pictures.hpp"

namespace burin::page {
namespace {

using ink::number;

constexpr int most_pixels = 560;

/// White bare, black covered, as the light that the surface sends back adds up.
std::string from_afar(const ToneFigures& tone, double window) {
    Grid<float> map = window_mean(window_mean(tone.coverage, window, {}), window, {});
    while (std::max(map.width(), map.height()) > most_pixels) map = halved(map, {});
    Rgb picture{map.width(), map.height(), {}};
    for (int j = map.height(); j-- > 0;)
        for (int i = 0; i < map.width(); ++i) {
            const double light = 1 - std::clamp(static_cast<double>(map(i, j)), 0.0, 1.0);
            const auto value = static_cast<std::uint8_t>(std::lround(255 * coded(light)));
            picture.samples.insert(picture.samples.end(), 3, value);
        }
    return fmt::format("<img width=\"{}\" height=\"{}\" alt=\"Shares covered, as seen from afar\" src=\"data:image/jpeg;base64,{}\"/>",
                       picture.width, picture.height, ink::base64(jpeg(picture, 85)));
}

std::string contrast_words(const JobReport& report) {
    if (report.figure->fill)
        return "<p>The preview shows what is cut filled or painted. Seal the stock before you fill it, and sand or plane the top "
               "afterwards.</p>";
    const auto contrast = groove_contrast(report.figure->design, report.programs.back().bit, report.material);
    if (!contrast) return "";
    const double by = contrast->top_lightness - contrast->lightness;
    const std::string seen = fmt::format(
        "A bare groove or dot of {} here has a lightness of L* {} beside {} of the top, reckoned from its shape "
        "and the material's typical colours.",
        report.material.title.empty() ? report.material.name : report.material.title, number(contrast->lightness, 0),
        number(contrast->top_lightness, 0));
    if (by < -2)
        return fmt::format(
            "<p><strong>{} What is cut comes out lighter than the top</strong>: cut the picture with --invert, or stain or paint "
            "the top first, or fill the grooves with colour (--fill).</p>",
            seen);
    if (by < 12)
        return fmt::format(
            "<p>{} That is little: the picture will be faint. Paint or stain the top and cut with --invert, or fill the "
            "grooves with colour (--fill).</p>",
            seen);
    return fmt::format("<p>{}</p>", seen);
}

}  // namespace

std::string tone_section(const JobReport& report) {
    if (!report.figure || !report.proof.tone || report.programs.empty()) return "";
    const ToneFigures& tone = *report.proof.tone;
    const double window = report.figure->design.tone ? report.figure->design.tone->window : 1;
    std::string out = "<section><h2>The tones</h2><div class=\"pair\"><figure class=\"main\">";
    out += from_afar(tone, window / 2) +
           "<figcaption>How much of the surface the programs cover, as seen from afar: white bare, black covered all over.</figcaption>"
           "</figure><div>";
    out += fmt::format(
        "<p>Between {} % and {} % covered, tones come out as the picture has them: measured on the programs, the largest "
        "difference is {} % of the surface, {} % on average.</p>",
        number(100 * tone.least, 0), number(100 * tone.most, 0), number(100 * tone.worst, 1), number(100 * tone.rms, 1));
    if (tone.too_light > 0.001)
        out += fmt::format("<p>{} % of the picture is lighter than that: it stays bare, or gets the shallowest of all.</p>",
                           number(100 * tone.too_light, 1));
    if (tone.too_dark > 0.001)
        out += fmt::format("<p>{} % of the picture is darker than can be shown, and comes out as one tone.</p>",
                           number(100 * tone.too_dark, 1));
    if (report.material.groove_tone.empty())
        out +=
            "<p>How dark a share covered looks on this material was not measured: it was taken as that share. A test card tells "
            "(<span class=\"file\">burin card</span>).</p>";
    out += contrast_words(report);
    const Bit& bit = report.programs.back().bit;
    if (const auto lost = width_lost(bit, 0.1))
        out += fmt::format(
            "<p>Where the stock lies 0.1 mm lower or higher than its zero, every groove or dot comes out {} mm narrower or wider, and "
            "the tone with it: face the stock, or keep it flat.</p>",
            number(*lost, 3));
    return out + "</div></div></section>\n";
}

}  // namespace burin::page
