// choose.html: sets of bits beside each other, the sensible one first. All text that comes from outside goes through ink::escaped.
#include "burin/report/choice_page.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <span>
#include <tuple>

#include "burin/motion/timing.hpp"
#include "html_style.hpp"
#include "ink.hpp"
#include "page_parts.hpp"

namespace burin {
namespace {

using ink::escaped;
using ink::number;

constexpr int piece_width = 420;

constexpr std::string_view choice_style = R"css(
.sets{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,300px),1fr));gap:14px;padding:0;margin:1rem 0;list-style:none}
.sets>li{background:var(--card);border:1px solid var(--line);margin:0;padding:.7rem .8rem;min-width:0}
.sets>li.best,tr.best td{background:#eef5ef}
.sets>li.best{border:2px solid var(--good)}
.sets .looks{display:grid;grid-template-columns:1fr 1fr;gap:8px;margin:.4rem 0}
.sets .looks.one{grid-template-columns:1fr}
.sets .looks svg,.sets .looks img{width:100%;max-height:230px;object-fit:contain}
.sets p{margin:.15rem 0;font-size:.92rem}
.mark{color:var(--good);font-weight:600}
.go{font-family:monospace;background:#f1efe8;padding:.6rem .7rem;overflow-wrap:anywhere}
.answer{font-size:1.25rem;font-family:serif}
td.b{overflow-wrap:anywhere}
.meter{display:block;height:.45rem;background:var(--sea);min-width:1px;margin-top:.2rem}
.meter.lost{background:var(--bad)}
@media print{.sets{grid-template-columns:repeat(3,1fr);gap:8px}.sets>li{break-inside:avoid;padding:.3rem .4rem}tr{break-inside:avoid}}
)css";

std::string bits_words(const Choice& choice) { return escaped(fmt::format("{}", fmt::join(choice.bits, " + "))); }

std::string changes_words(int changes) {
    return changes == 0 ? "no change of bit" : fmt::format("{} change{} of bit", changes, changes == 1 ? "" : "s");
}

/// "worst 0.4 mm", "2 places too narrow".
std::string detail_words(const ChoiceLoss& loss) {
    if (loss.worst) return *loss.worst < 0.01 ? "nothing stays standing" : fmt::format("at worst {} mm stays", number(*loss.worst));
    if (loss.too_narrow > 0)
        return fmt::format("{} place{} too narrow, from {} mm on", loss.too_narrow, loss.too_narrow == 1 ? "" : "s",
                           number(loss.narrowest));
    if (loss.corners > 0) return fmt::format("only corners: {} stay round", loss.corners);
    return "gets everywhere";
}

std::string answer(const ChoicePage& page, const std::optional<std::size_t>& sensible) {
    if (!sensible)
        return "<p class=\"verdict no\"><strong>None of these sets can be cut.</strong> The reasons stand below; a larger piece, less "
               "depth "
               "or other bits may help.</p>\n";
    const Choice& chosen = page.choices[*sensible];
    return fmt::format(
        "<div class=\"verdict\"><p class=\"answer\">Take <strong>{}</strong>.</p><p>It takes {}</p><p>Go on with:</p><p "
        "class=\"go\">{}</p></div>\n",
        bits_words(chosen), escaped(choice_reason(page)), escaped(chosen.command));
}

std::string table_of(const ChoicePage& page, const std::vector<std::size_t>& order, const std::optional<std::size_t>& sensible) {
    double longest = 1, most = 1e-9;
    for (const Choice& choice : page.choices)
        if (choice.refused.empty()) longest = std::max(longest, choice.whole_time_s()), most = std::max(most, choice.loss.share);
    std::string out =
        "<section><h2>All sets at a glance</h2><table><thead><tr><th>Bits</th><th>Lost</th><th>Time in all</th></tr></thead><tbody>";
    for (const std::size_t k : order) {
        const Choice& choice = page.choices[k];
        if (!choice.refused.empty()) continue;
        out += fmt::format(
            "<tr{}><td class=\"b\">{}{}</td><td>{}<br/>{}<i class=\"meter lost\" style=\"width:{}%\"></i></td><td>{}<br/>{}<i "
            "class=\"meter\" style=\"width:{}%\"></i></td></tr>",
            sensible == k ? " class=\"best\"" : "", bits_words(choice), sensible == k ? "<br/><span class=\"mark\">sensible</span>" : "",
            loss_words(choice.loss), detail_words(choice.loss), number(100 * choice.loss.share / most, 1),
            duration_text(choice.whole_time_s()), changes_words(choice.changes), number(100 * choice.whole_time_s() / longest, 1));
    }
    return out + "</tbody></table></section>\n";
}

std::string card(const Choice& choice, bool best, const Crew& crew) {
    std::string piece;
    if (!choice.piece.empty()) {
        const auto bytes = std::as_bytes(std::span(choice.piece.data(), choice.piece.size()));
        piece = page::image(page::small(read_picture(bytes, "preview.png"), piece_width, crew), 80, "The finished piece, simulated");
    }
    return fmt::format(
        "<li{}><h3>{}</h3>{}<div class=\"looks{}\">{}{}</div><p><strong>Loses {}</strong>, {}.</p><p>Cutting {}, {}.</p><p>Goes {} mm "
        "deep.</p></li>\n",
        best ? " class=\"best\"" : "", bits_words(choice), best ? "<p class=\"mark\">the sensible one</p>" : "",
        piece.empty() ? " one" : "", piece, choice.loss.picture, loss_words(choice.loss), detail_words(choice.loss),
        duration_text(choice.time_s), changes_words(choice.changes), number(choice.depth));
}

std::string refused_of(const ChoicePage& page) {
    std::string items;
    for (const Choice& choice : page.choices)
        if (!choice.refused.empty()) items += fmt::format("<li><strong>{}</strong>: {}</li>", bits_words(choice), escaped(choice.refused));
    return items.empty() ? "" : "<section><h2>Cannot be cut</h2><ul>" + items + "</ul></section>\n";
}

std::string legend(const ChoicePage& page) {
    const bool relief = page.make == "relief";
    return fmt::format(
        "<p>{}</p>",
        relief ? fmt::format("Left: the piece as it comes out. Right: the design in grey; in colour what stays standing because the bit "
                             "does not get in, dark red at {} mm and more. \"Lost\" is the share of the carved area where more than {} mm "
                             "stays.",
                             number(Unreached::full), number(Unreached::threshold))
               : "Red: what of the figure no bit of the set can enter; rings: places that are too narrow, and not just corners. \"Lost\" "
                 "is their share of what should be cut.");
}

std::string rule_of() {
    return fmt::format(
        "<section><h2>How the sensible one is found</h2><p>From the quickest set on, a slower one is worth it where it wins back {} % of "
        "the area for each time that it takes twice as long. Sets that leave out more narrow places than the finest are not considered. "
        "{} minutes are counted for each change of bit, which is clamped and zeroed by hand (both figures: common practice, no source). Of "
        "equals it is the one with fewer bits, then the one that loses less. You may value time and detail otherwise: the table holds what "
        "you need.</p></section>\n",
        number(100 * worth_of_double_time), number(Choice::change_time_s / 60));
}

}  // namespace

std::string choice_html(const ChoicePage& page, const Crew& crew) {
    const auto sensible = sensible_of(page.choices);
    std::vector<std::size_t> order;
    for (std::size_t k = 0; k < page.choices.size(); ++k) order.push_back(k);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return std::tuple(sensible != a, page.choices[a].whole_time_s()) < std::tuple(sensible != b, page.choices[b].whole_time_s());
    });
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\"/><meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\"/><title>Bits for {0}</title><style>{1}{2}</style></head>\n<body><main>\n<header><p class=\"kind\">Which bits, "
        "for {3}</p><h1>{0}</h1><dl class=\"facts\">",
        escaped(page.name), page::style, choice_style, escaped(page.make));
    out += ink::fact("Size", fmt::format("{} × {} mm", number(page.size.x), number(page.size.y))) + ink::fact("Material", page.material) +
           ink::fact("Machine", page.machine.name) + ink::fact("Sets tried", fmt::format("{}", page.choices.size())) + "</dl>\n";
    out += answer(page, sensible) + "</header>\n" + table_of(page, order, sensible);
    out += "<section><h2>What each looks like</h2>" + legend(page) + "<ul class=\"sets\">\n";
    for (const std::size_t k : order)
        if (page.choices[k].refused.empty()) out += card(page.choices[k], sensible == k, crew);
    out += "</ul></section>\n" + refused_of(page) + rule_of();
    out +=
        "<section><h2>What was assumed and reckoned</h2>" + page::list(page.assumed) + page::machine_words(page.machine) + "</section>\n";
    return out + fmt::format(
                     "<footer>Each set was planned and proved on a model of the stock, and its programs were put away: nothing here is "
                     "to be run. What to watch when you cut, and the cautions, stand in the report of the job that you make. Local codes "
                     "and licensed practice come first. Written by burin {}.</footer>\n</main></body></html>\n",
                     escaped(page.version));
}

}  // namespace burin
