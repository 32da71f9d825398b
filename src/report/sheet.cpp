// The sheet of what serves at the machine. All text that comes from outside goes through ink::escaped.
#include "burin/report/sheet.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "burin/motion/timing.hpp"
#include "html_style.hpp"
#include "ink.hpp"
#include "json_parts.hpp"
#include "page_parts.hpp"

namespace burin {
namespace {

using ink::escaped;
using ink::grouped;
using ink::number;

/// Widths and places of the drawing, in its own units; y goes down there.
struct Frame {
    Box box;
    double scale = 1;
    static constexpr double margin = 26, most_width = 560, most_height = 480;
    [[nodiscard]] double x(double at) const { return margin + (at - box.lo.x) * scale; }
    [[nodiscard]] double y(double at) const { return margin + (box.hi.y - at) * scale; }
    [[nodiscard]] double width() const { return 2 * margin + box.width() * scale; }
    [[nodiscard]] double height() const { return 2 * margin + box.height() * scale; }
};

Frame frame_of(const SheetDrawing& drawing) {
    Box box = drawing.zero ? Box{} : Box{{1e9, 1e9}, {-1e9, -1e9}};
    const auto take = [&](const Point& p) {
        box.lo = {std::min(box.lo.x, p.x), std::min(box.lo.y, p.y)};
        box.hi = {std::max(box.hi.x, p.x), std::max(box.hi.y, p.y)};
    };
    for (const Point& p : drawing.outline) take(p);
    for (const auto* lines : {&drawing.ways, &drawing.walks})
        for (const auto& line : *lines)
            for (const Point& p : line) take(p);
    for (const SheetMark& mark : drawing.marks) take(mark.at);
    if (box.hi.x < box.lo.x) box = {};
    const double width = std::max(1.0, box.width()), height = std::max(1.0, box.height());
    return {box, std::min(Frame::most_width / width, Frame::most_height / height)};
}

std::string points_of(const Frame& frame, const std::vector<Point>& line) {
    std::string out;
    for (const Point& p : line) out += fmt::format("{}{},{}", out.empty() ? "" : " ", number(frame.x(p.x), 1), number(frame.y(p.y), 1));
    return out;
}

std::string zero_mark(const Frame& frame) {
    const std::string x = number(frame.x(0), 1), y = number(frame.y(0), 1);
    return fmt::format(
        "<g transform=\"translate({},{})\"><circle r=\"8\" fill=\"#fff\" stroke=\"#22303a\" stroke-width=\"1.4\"/><path d=\"M0 0V-8A8 8 0 "
        "0 1 "
        "8 0ZM0 0V8A8 8 0 0 1 -8 0Z\" fill=\"#22303a\"/></g><text x=\"{}\" y=\"{}\" font-size=\"13\">X0 Y0</text>",
        x, y, number(frame.x(0) + 11, 1), number(frame.y(0) + 20, 1));
}

std::string drawing_of(const SheetDrawing& drawing) {
    const Frame frame = frame_of(drawing);
    std::string out = fmt::format(
        "<figure><svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"{0}\" height=\"{1}\" role=\"img\" "
        "font-family=\"sans-serif\" fill=\"#22303a\"><title>{2}</title>",
        number(frame.width(), 0), number(frame.height(), 0), escaped(drawing.caption));
    if (!drawing.outline.empty())
        out += fmt::format("<polygon points=\"{}\" fill=\"#efe6d2\" stroke=\"#b9ab89\"/>", points_of(frame, drawing.outline));
    for (const auto& line : drawing.ways)
        out += fmt::format("<polyline points=\"{}\" fill=\"none\" stroke=\"#a4551e\" stroke-width=\"1.6\" stroke-linejoin=\"round\"/>",
                           points_of(frame, line));
    for (const auto& line : drawing.walks)
        out += fmt::format("<polyline points=\"{}\" fill=\"none\" stroke=\"#17506b\" stroke-width=\"1.8\" stroke-dasharray=\"7 5\"/>",
                           points_of(frame, line));
    if (drawing.zero) out += zero_mark(frame);
    for (const SheetMark& mark : drawing.marks) {
        const bool right = mark.at.x > (frame.box.lo.x + frame.box.hi.x) / 2;
        out += fmt::format(
            "<circle cx=\"{}\" cy=\"{}\" r=\"4\" fill=\"#c2452d\"/><text x=\"{}\" y=\"{}\" font-size=\"13\" text-anchor=\"{}\">{}</text>",
            number(frame.x(mark.at.x), 1), number(frame.y(mark.at.y), 1), number(frame.x(mark.at.x) + (right ? -8 : 8), 1),
            number(frame.y(mark.at.y) - 8, 1), right ? "end" : "start", escaped(mark.words));
    }
    return out + fmt::format("</svg><figcaption>{}</figcaption></figure>", escaped(drawing.caption));
}

std::string table_of(const SheetTable& table) {
    std::string out = fmt::format("<section><h2>{}</h2><table><thead><tr>", escaped(table.title));
    for (const auto& column : table.columns) out += "<th>" + escaped(column) + "</th>";
    out += "</tr></thead><tbody>";
    for (const auto& row : table.rows) {
        out += "<tr>";
        for (const auto& value : row) out += "<td>" + escaped(value) + "</td>";
        out += "</tr>";
    }
    return out + "</tbody></table></section>\n";
}

std::string verdict_of(const Sheet& sheet) {
    if (sheet.checks.empty()) return "";
    const auto kept = std::count_if(sheet.checks.begin(), sheet.checks.end(), [](const Check& c) { return c.ok; });
    const auto all = static_cast<std::ptrdiff_t>(sheet.checks.size());
    if (kept == all)
        return fmt::format(
            "<p class=\"verdict\"><strong>Proved.</strong> The written text was read back and followed: {} of {} checks hold.</p>\n", kept,
            all);
    return fmt::format("<p class=\"verdict no\"><strong>Refused: do not run it.</strong> {} of {} checks are broken.</p>\n", all - kept,
                       all);
}

std::string steps_of(const Sheet& sheet) {
    if (sheet.steps.empty() && !sheet.drawing) return "";
    std::string out = "<section><h2>What to do</h2>";
    if (sheet.drawing) out += "<div class=\"pair even\"><div>";
    out += "<ol class=\"steps\">";
    for (const SheetStep& step : sheet.steps) out += fmt::format("<li><strong>{}</strong> {}</li>", escaped(step.head), escaped(step.text));
    out += "</ol>";
    if (sheet.drawing) out += "</div><div>" + drawing_of(*sheet.drawing) + "</div></div>";
    return out + "</section>\n";
}

std::string programs_of(const Sheet& sheet) {
    if (sheet.programs.empty()) return "";
    SheetTable table{"Programs, in running order", {"Program", "What it does", "Time", "Lines"}, {}};
    for (std::size_t k = 0; k < sheet.programs.size() && k < sheet.measured.size(); ++k)
        table.rows.push_back(
            {sheet.programs[k].file, sheet.programs[k].purpose, duration_text(sheet.measured[k].time_s), grouped(sheet.measured[k].lines)});
    return table_of(table) + (sheet.times ? page::machine_words(sheet.machine) : "");
}

json_parts::Json program_json(const SheetProgram& program, const ProgramFigures& seen) {
    json_parts::Json j;
    j["file"] = program.file;
    j["purpose"] = program.purpose;
    j["lines"] = seen.lines;
    j["bytes"] = seen.bytes;
    j["time_s"] = json_parts::figure(seen.time_s);
    j["cut_length_mm"] = json_parts::figure(seen.cut_length);
    j["rapid_length_mm"] = json_parts::figure(seen.rapid_length);
    j["bounds"] = {{"x", json_parts::span(seen.lo.x, seen.hi.x)},
                   {"y", json_parts::span(seen.lo.y, seen.hi.y)},
                   {"z", json_parts::span(seen.lo.z, seen.hi.z)}};
    return j;
}

}  // namespace

std::string sheet_html(const Sheet& sheet) {
    std::string out = fmt::format(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"/><meta name=\"viewport\" content=\"width=device-width, "
        "initial-scale=1\"/><meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\"/><title>{0}</title><style>{1}</style></head>\n<body><main>\n<header><p class=\"kind\">{2}</p><h1>{0}</h1>\n",
        escaped(sheet.title), page::style, escaped(sheet.kind));
    if (!sheet.facts.empty()) {
        out += "<dl class=\"facts\">";
        for (const auto& [name, value] : sheet.facts) out += ink::fact(name, value);
        out += "</dl>\n";
    }
    out += verdict_of(sheet) + page::warnings_first(sheet.warnings) + "</header>\n";
    if (!sheet.cautions.empty()) out += "<section class=\"cautions\"><h2>Cautions</h2>" + page::list(sheet.cautions) + "</section>\n";
    out += steps_of(sheet);
    for (const SheetTable& table : sheet.tables) out += table_of(table);
    out += programs_of(sheet);
    if (!sheet.checks.empty()) {
        out += "<section><h2>What was proved</h2><p>On the text of the programs themselves:</p><ul class=\"checks\">" +
               page::checks_list(sheet.checks) + "</ul>";
        if (!sheet.unknown.empty()) out += "<h3>What the proof does not know</h3>" + page::list(sheet.unknown);
        out += "</section>\n";
    }
    if (!sheet.assumed.empty()) out += "<section><h2>What was assumed and reckoned</h2>" + page::list(sheet.assumed) + "</section>\n";
    return out + fmt::format("<footer>Written by burin {}. {}</footer>\n</main></body></html>\n", escaped(sheet.version),
                             sheet.programs.empty() ? "Use it at your own judgement and risk."
                                                    : "The programs are run at your own judgement and risk.");
}

std::string sheet_json(const Sheet& sheet) {
    json_parts::Json j;
    j["job"] = sheet.title;
    j["burin"] = sheet.version;
    j["command"] = sheet.command;
    j["machine"] = json_parts::machine_json(sheet.machine);
    double time = 0;
    for (const ProgramFigures& seen : sheet.measured) time += seen.time_s;
    j["time_s"] = json_parts::figure(time);
    for (const auto& [name, value] : sheet.figures)
        std::visit(
            [&, &key = name](const auto& v) {
                if constexpr (std::is_same_v<std::decay_t<decltype(v)>, double>)
                    j[key] = json_parts::figure(v);
                else
                    j[key] = v;
            },
            value);
    j["programs"] = json_parts::Json::array();
    for (std::size_t k = 0; k < sheet.programs.size() && k < sheet.measured.size(); ++k)
        j["programs"].push_back(program_json(sheet.programs[k], sheet.measured[k]));
    j["proof"] = {{"checks", json_parts::Json::array()}};
    for (const Check& check : sheet.checks) j["proof"]["checks"].push_back(json_parts::check_json(check));
    for (const SheetTable& table : sheet.tables) {
        json_parts::Json rows = json_parts::Json::array();
        for (const auto& row : table.rows) rows.push_back(row);
        j["tables"].push_back({{"title", table.title}, {"columns", table.columns}, {"rows", std::move(rows)}});
    }
    j["assumed"] = sheet.assumed;
    j["warnings"] = sheet.warnings;
    j["cautions"] = sheet.cautions;
    return j.dump(2, ' ', false, json_parts::Json::error_handler_t::replace) + "\n";
}

std::vector<std::string> still_cautions(const Machine& machine) {
    std::vector<std::string> cautions{
        "Local codes, the instructions of the machine's and the controller's makers and licensed practice come before anything on this "
        "sheet."};
    if (machine.spindle) {
        cautions.emplace_back(
            "The spindle stands still for this: unplug it or switch it off at its own switch before you reach in or fit anything to the "
            "bit.");
        cautions.emplace_back("Keep the emergency stop in reach, fingers out from under the bit, and watch every move.");
    }
    if (machine.laser)
        cautions.emplace_back(
            "A diode laser of class 4 (IEC 60825-1) may light by mistake, and its pilot beam counts as burning: eyewear rated for its "
            "wavelength, enclosed, nobody unprotected in the room, a fire extinguisher at hand, never unattended.");
    cautions.emplace_back("Mains and spindle wiring is work for a licensed person.");
    return cautions;
}

}  // namespace burin
