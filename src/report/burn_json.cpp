// report.json of a job that burns: the same names, null for what only a bit has.

#include <algorithm>

#include "burin/report/burn_report.hpp"
#include "json_parts.hpp"

namespace burin {
namespace {

using namespace json_parts;

Json beam_json(const BurnReport& report) {
    const Laser& laser = *report.machine.laser;
    Json j;
    j["power_w"] = figure(laser.power_w);
    j["spot_mm"] = figure(laser.spot_mm);
    j["full_power_s"] = figure(laser.scale);
    j["power_mode"] = report.scaled ? "scaled" : "constant";
    j["line_spacing_mm"] = report.spacing > 0 ? figure(report.spacing) : Json(nullptr);
    j["run_up_mm"] = figure(report.run_up);
    j["line_up_mm"] = figure(report.line_up);
    j["air_assist"] = report.air;
    j["passes"] = report.passes;
    j["focus_step_mm"] = figure(report.focus_step);
    j["detail_mm"] = report.detail > 0 ? figure(report.detail) : Json(nullptr);
    j["how"] = report.how;
    return j;
}

Json program_json(const BurnReport& report, std::size_t k) {
    const BurnProgram& program = report.programs[k];
    const ProgramFigures& seen = report.proof.proof.programs[k];
    const BeamNumbers& beam = report.proof.programs[k];
    Json j;
    j["file"] = program.file;
    j["tool"] = "beam";
    j["purpose"] = program.border ? "border" : "burning";
    j["lines"] = seen.lines;
    j["bytes"] = seen.bytes;
    j["time_s"] = figure(seen.time_s);
    j["cut_length_mm"] = figure(beam.burnt_length);
    j["dark_length_mm"] = figure(beam.dark_length);
    j["rapid_length_mm"] = figure(seen.rapid_length);
    j["bounds"]["x"] = span(seen.lo.x, seen.hi.x);
    j["bounds"]["y"] = span(seen.lo.y, seen.hi.y);
    j["bounds"]["z"] = span(seen.lo.z, seen.hi.z);
    j["feed_mm_min"] = figure(program.feed);
    for (const char* of_a_bit : {"plunge_mm_min", "spindle_rpm", "chip_load_mm", "depth_per_pass_mm", "allowance_mm", "removed_mm3"})
        j[of_a_bit] = nullptr;
    j["most_s"] = figure(beam.most_power);
    j["energy_j"] = figure(beam.energy_j);
    j["fastest_feed_mm_min"] = figure(beam.pace.fastest_feed);
    j["slowest_share"] = figure(beam.pace.slowest_share);
    j["passes"] = passes_json(seen.passes);
    j["reasons"] = program.border ? std::vector<std::string>() : report.reasons;
    return j;
}

Json proof_json(const BurnReport& report) {
    const Proof& proof = report.proof.proof;
    Json j;
    j["holds"] = proof.holds;
    for (const char* of_a_bit : {"deepest_gouge_mm", "left_standing_mm", "left_standing_rms_mm", "over_line_mm", "short_of_line_mm",
                                 "most_taken_at_once_mm", "largest_section", "rapids_in_stock"})
        j[of_a_bit] = nullptr;
    j["worst_tone"] = report.detail > 0 ? figure(report.proof.worst_tone) : Json(nullptr);
    j["nets"] = nets_json(proof.nets);
    j["inside_travel"] = proof.inside_travel;
    j["checks"] = Json::array();
    for (const Check& check : proof.checks) j["checks"].push_back(check_json(check));
    return j;
}

}  // namespace

std::string burn_report_json(const BurnReport& report) {
    Json j;
    j["job"] = report.name;
    j["burin"] = report.version;
    j["command"] = "burn";
    j["trial"] = nullptr;
    j["picture"] = text_or_null(report.picture_name);
    j["machine"] = machine_json(report.machine);
    j["material"] = report.material.name;
    j["stock"] = stock_json(report.stock);
    j["zero"] = report.zero;
    j["depth_mm"] = nullptr;
    j["cell_mm"] = figure(report.proof.exposure.cell());
    j["lift_mm"] = nullptr;
    j["time_s"] = figure(report.time_s);
    j["beam"] = beam_json(report);
    j["programs"] = Json::array();
    for (std::size_t k = 0; k < std::min(report.programs.size(), report.proof.proof.programs.size()); ++k)
        j["programs"].push_back(program_json(report, k));
    j["proof"] = proof_json(report);
    j["figure"] = nullptr;
    j["cuts"] = Json::array();
    j["assumed"] = report.assumed;
    j["idle_bits"] = Json::array();
    j["warnings"] = report.warnings;
    j["cautions"] = report.cautions;
    return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace burin
