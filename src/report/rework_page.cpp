// The sheet of a program that goes on after a stop, and of the parts of a long one. First what to do before anything moves: the zero must
// be where it was. All text that comes from outside goes through ink::escaped.
#include <fmt/format.h>

#include <algorithm>
#include <span>

#include "burin/motion/timing.hpp"
#include "burin/report/report.hpp"
#include "burin/report/rework_report.hpp"
#include "html_style.hpp"
#include "ink.hpp"
#include "page_parts.hpp"

namespace burin {
namespace {

using ink::escaped;
using ink::fact;
using ink::grouped;
using ink::number;

std::string head(const ReworkReport& report) {
    const bool resumes = report.command == "resume";
    double time = 0;
    for (const ProgramFigures& figures : report.proof.programs) time += figures.time_s;
    std::string out = fmt::format("<header><p class=\"kind\">{}</p><h1>{}</h1>\n<dl class=\"facts\">",
                                  resumes ? "Going on after a stop" : "In parts", escaped(report.name));
    out += fact("Old program", report.old_file);
    out += fact(resumes ? "Time left" : "Time of all parts", duration_text(time));
    if (resumes && !report.programs.empty()) {
        out += fact("Begins at its line", fmt::format("{} of {}", report.programs.front().line, report.old_lines));
        out += fact("After", fmt::format("{} of {}", duration_text(report.programs.front().from_s), duration_text(report.old_time_s)));
        out += fact("Height there", fmt::format("Z{} mm", number(report.programs.front().entry.z)));
    } else {
        out += fact("Parts", fmt::format("{}", report.programs.size()));
    }
    out += fact("Stock", page::stock_words(report.stock)) + "</dl>\n";
    out += page::verdict(report.proof, "compared with the old program on", "run");
    return out + page::warnings_first(report.warnings) + "</header>\n";
}

/// "<strong>Zero.</strong> …": what stands before the first full stop is set off.
std::string steps(const std::vector<std::string>& sentences) {
    std::string out = "<section><h2>What to do</h2><ol class=\"steps\">";
    for (const std::string& sentence : sentences) {
        const std::size_t point = sentence.find(". ");
        const std::size_t end = point == std::string::npos ? 0 : point + 1;
        out += fmt::format("<li><strong>{}</strong>{}</li>", escaped(std::string_view(sentence).substr(0, end)),
                           escaped(std::string_view(sentence).substr(end)));
    }
    return out + "</ol></section>\n";
}

std::string pictures(const ReworkReport& report, std::string_view left, std::string_view finished, const Crew& crew) {
    const auto shown = [&](std::string_view png, const char* name, std::string_view words) {
        const auto bytes = std::as_bytes(std::span(png.data(), png.size()));
        return fmt::format("<figure class=\"main\">{}<figcaption>{}</figcaption></figure>",
                           page::image(page::small(read_picture(bytes, name), 900, crew), 87, words), words);
    };
    const bool resumes = report.command == "resume";
    std::string out = fmt::format("<section><h2>{}</h2><div class=\"pair even\">", resumes ? "Before and after" : "What comes out");
    if (!left.empty())
        out += shown(left, "left.png",
                     resumes ? "The stock as it was left, as far as it is surely cut. If yours looks different, do not run the program."
                             : "The stock after the first part.");
    out += shown(finished, "preview.png", "The piece when all is done: the same as the whole old program leaves it.");
    return out + "</div></section>\n";
}

std::string program_row(const ReworkProgram& program, const ProgramFigures& seen) {
    return fmt::format(
        "<tr><td class=\"file\">{}</td><td>{}</td><td class=\"n\">{}</td><td class=\"n\">{}</td><td>X{} Y{} Z{}</td><td "
        "class=\"n\">{}</td><td class=\"n\">{}</td></tr>",
        escaped(program.file), escaped(program.tool), duration_text(seen.time_s), program.line, number(program.entry.x),
        number(program.entry.y), number(program.entry.z), number(program.run_in), grouped(seen.lines));
}

std::string programs(const ReworkReport& report) {
    std::string out =
        "<section><h2>Programs, in running order</h2><table><tr><th>File</th><th>Tool</th><th class=\"n\">Time</th><th class=\"n\">From "
        "old line</th><th>Comes down at</th><th class=\"n\">Run-in, mm</th><th class=\"n\">Lines</th></tr>";
    for (std::size_t k = 0; k < report.programs.size(); ++k) out += program_row(report.programs[k], report.proof.programs[k]);
    return out + "</table>" + page::machine_words(report.machine) + "</section>\n";
}

std::string proved(const ReworkReport& report) {
    return "<section><h2>What was proved</h2><p>On the text of the new programs, on the stock as it was left:</p><ul class=\"checks\">" +
           page::checks_list(report.proof.checks) +
           "</ul><h3>What the proof does not know</h3><ul><li>Where your zero lies now, and whether the piece has moved since.</li>"
           "<li>What made the machine stop: steps that were lost before it, a bit that broke or slipped in the collet.</li>"
           "<li>Where exactly it was: the place that you gave counts.</li></ul></section>\n";
}

}  // namespace

std::string rework_html(const ReworkReport& report, std::string_view left, std::string_view finished, const Crew& crew) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\"/>"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\"/><title>{}</title><style>{}</style></head>\n<body><main>\n",
        escaped(report.name), page::style);
    out += head(report) + steps(report.steps) + pictures(report, left, finished, crew);
    out += "<section class=\"cautions\"><h2>Cautions</h2>" + page::list(report.cautions) + "</section>\n";
    out += programs(report) + proved(report);
    out += "<section><h2>What was assumed and reckoned</h2>" + page::list(report.assumed) + "</section>\n";
    return out + fmt::format(
                     "<footer>Written by burin {}. The programs are run at your own judgement and risk.</footer>\n</main></body></html>\n",
                     escaped(report.version));
}

}  // namespace burin
