// report.json of programs made of a program.
#include "burin/report/rework_report.hpp"
#include "json_parts.hpp"

namespace burin {
namespace {

using namespace json_parts;

Json program_json(const ReworkProgram& program, const ProgramFigures& seen, bool beam) {
    Json j;
    j["file"] = program.file;
    j["tool"] = program.tool;
    j["lines"] = seen.lines;
    j["bytes"] = seen.bytes;
    j["time_s"] = figure(seen.time_s);
    j["cut_length_mm"] = figure(seen.cut_length);
    j["rapid_length_mm"] = figure(seen.rapid_length);
    j["bounds"]["x"] = span(seen.lo.x, seen.hi.x);
    j["bounds"]["y"] = span(seen.lo.y, seen.hi.y);
    j["bounds"]["z"] = span(seen.lo.z, seen.hi.z);
    j["removed_mm3"] = beam ? Json(nullptr) : figure(seen.removed_mm3);
    j["begins"]["old_line"] = program.line;
    j["begins"]["old_time_s"] = figure(program.from_s);
    j["begins"]["at"] = triple({program.entry.x, program.entry.y, program.entry.z});
    j["begins"]["run_in_mm"] = figure(program.run_in);
    return j;
}

}  // namespace

std::string rework_json(const ReworkReport& report) {
    Json j;
    const bool beam = report.proof.beam;
    j["job"] = report.name;
    j["burin"] = report.version;
    j["command"] = report.command;
    j["machine"] = machine_json(report.machine);
    j["material"] = report.material.name;
    j["stock"] = stock_json(report.stock);
    j["zero"] = report.zero;
    j["old_program"]["file"] = report.old_file;
    j["old_program"]["lines"] = report.old_lines;
    j["old_program"]["time_s"] = figure(report.old_time_s);
    double time = 0;
    for (const ProgramFigures& figures : report.proof.programs) time += figures.time_s;
    j["time_s"] = figure(time);
    j["programs"] = Json::array();
    for (std::size_t k = 0; k < report.programs.size(); ++k)
        j["programs"].push_back(program_json(report.programs[k], report.proof.programs[k], beam));
    Json& proof = j["proof"];
    proof["holds"] = report.proof.holds;
    proof[beam ? "light_apart" : "surface_apart_mm"] = figure(report.most_apart);
    proof["most_taken_at_once_mm"] = beam ? Json(nullptr) : figure(report.proof.most_at_once);
    proof["largest_section"] = beam ? Json(nullptr) : figure(report.proof.largest_section);
    proof["rapids_in_stock"] = beam ? Json(nullptr) : Json(report.proof.rapids_in_stock);
    proof["inside_travel"] = report.proof.inside_travel;
    proof["checks"] = Json::array();
    for (const Check& check : report.proof.checks) proof["checks"].push_back(check_json(check));
    j["assumed"] = report.assumed;
    j["warnings"] = report.warnings;
    j["cautions"] = report.cautions;
    return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace burin
