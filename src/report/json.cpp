// The report for programs: report.json. The names are a contract; new ones may come, none goes.
//
// Lengths mm, times s, feeds mm/min, speeds rpm. What does not apply is null, never zero. Keys stand in the order a
// person would read them. JSON: RFC 8259; text that is not UTF-8 is mended with U+FFFD, numbers that are not finite
// become null. Cost: nothing beside the job.

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <span>

#include "burin/report/report.hpp"
#include "json_parts.hpp"

namespace burin {
namespace {

using namespace json_parts;

/// `measured` is what the proof saw of this program; null: it saw nothing.
Json program_json(const ReportProgram& program, const ProgramFigures* measured) {
    Json j;
    j["file"] = program.file;
    j["tool"] = program.bit.name();
    j["tool_sizes"] = program.bit.sizes();
    j["purpose"] = program.purpose;
    j["lines"] = measured ? Json(measured->lines) : Json(nullptr);
    j["bytes"] = measured ? Json(measured->bytes) : Json(nullptr);
    j["time_s"] = measured ? figure(measured->time_s) : Json(nullptr);
    j["cut_length_mm"] = measured ? figure(measured->cut_length) : Json(nullptr);
    j["rapid_length_mm"] = measured ? figure(measured->rapid_length) : Json(nullptr);
    if (measured) {
        j["bounds"]["x"] = span(measured->lo.x, measured->hi.x);
        j["bounds"]["y"] = span(measured->lo.y, measured->hi.y);
        j["bounds"]["z"] = span(measured->lo.z, measured->hi.z);
    } else {
        j["bounds"] = nullptr;
    }
    j["feed_mm_min"] = figure(program.feeds.feed);
    j["plunge_mm_min"] = figure(program.feeds.plunge);
    j["spindle_rpm"] = figure(program.feeds.rpm);
    j["chip_load_mm"] = figure(program.feeds.chip_load);
    j["depth_per_pass_mm"] = figure(program.feeds.depth_per_pass);
    j["allowance_mm"] = figure(program.allowance);
    j["bend_mm"] = figure(program.feeds.bend_mm);
    j["removed_mm3"] = measured ? figure(measured->removed_mm3) : Json(nullptr);
    j["most_taken_at_once_mm"] = measured ? figure(measured->most_at_once) : Json(nullptr);
    j["largest_section"] = measured ? figure(measured->largest_section) : Json(nullptr);
    j["passes"] = measured ? passes_json(measured->passes) : Json::array();
    j["reasons"] = program.feeds.reasons;
    return j;
}

/// How well a photo's tones are met, and what cannot be shown; shares of the surface or of the picture.
Json tone_json(const Proof& proof) {
    if (!proof.tone) return nullptr;
    const ToneFigures& tone = *proof.tone;
    Json j;
    j["least_covered"] = figure(tone.least);
    j["most_covered"] = figure(tone.most);
    j["largest_difference"] = figure(tone.worst);
    j["difference_rms"] = figure(tone.rms);
    j["compared"] = figure(tone.judged);
    j["too_light"] = figure(tone.too_light);
    j["too_dark"] = figure(tone.too_dark);
    return j;
}

Json proof_json(const JobReport& report) {
    const Proof& proof = report.proof;
    const bool surface = report.unreached || report.figure || report.face || !report.cuts.empty();
    const auto line = [](const std::optional<double>& mm) { return mm ? figure(*mm) : Json(nullptr); };
    Json j;
    j["holds"] = proof.holds;
    j["deepest_gouge_mm"] = surface ? figure(proof.deepest_gouge) : Json(nullptr);
    j["left_standing_mm"] = surface ? figure(proof.left_standing) : Json(nullptr);
    j["left_standing_rms_mm"] = surface ? figure(proof.left_standing_rms) : Json(nullptr);
    j["over_line_mm"] = line(proof.over_line_mm);
    j["short_of_line_mm"] = line(proof.short_of_line_mm);
    j["tone"] = tone_json(proof);
    j["nets"] = nets_json(proof.nets);
    j["most_taken_at_once_mm"] = figure(proof.most_at_once);
    j["largest_section"] = figure(proof.largest_section);
    j["rapids_in_stock"] = proof.rapids_in_stock;
    j["inside_travel"] = proof.inside_travel;
    j["checks"] = Json::array();
    for (const auto& check : proof.checks) j["checks"].push_back(check_json(check));
    return j;
}

/// What became of a drawing; null for reliefs.
Json figure_json(const JobReport& report) {
    if (!report.figure || report.proof.tone) return nullptr;
    const FigureReport& f = *report.figure;
    std::vector<Bit> bits;
    for (const ReportProgram& program : report.programs) bits.push_back(program.bit);
    const FigureLosses losses = losses_of(f, bits, {});
    const auto maybe = [](const std::optional<double>& value) { return value ? figure(*value) : Json(nullptr); };
    Json j;
    j["figures"] = f.drawn.figures().size();
    j["area_mm2"] = figure(f.drawn.area());
    j["dropped"] = f.dropped.figures().size();
    j["dropped_mm2"] = figure(f.dropped.area());
    j["lost_mm2"] = figure(losses.area);
    j["too_narrow"] = Json::array();
    j["too_narrow_count"] = losses.thin.size();
    constexpr std::size_t most_places = 200;
    for (const ThinPlace& place : std::span(losses.thin).first(std::min(most_places, losses.thin.size()))) {
        Json p;
        p["x"] = figure(place.at.x), p["y"] = figure(place.at.y);
        p["width_mm"] = figure(place.width);
        p["area_mm2"] = figure(place.area);
        p["whole"] = place.whole;
        j["too_narrow"].push_back(std::move(p));
    }
    j["rounded_corners"] = losses.corners;
    j["bit_needs_mm"] = figure(losses.entering);
    j["width_lost_mm"] = bits.empty() ? Json(nullptr) : maybe(width_lost(bits.back(), 0.1));
    const auto contrast = bits.empty() ? std::nullopt : groove_contrast(f.design, bits.back(), report.material);
    j["groove_darker"] = contrast ? figure(contrast->darker()) : Json(nullptr);
    return j;
}

/// How the stock was levelled; null where it was not.
Json face_json(const JobReport& report) {
    if (!report.face) return nullptr;
    const FaceReport& f = *report.face;
    Json j;
    j["rise_mm"] = figure(f.rise);
    j["highest_mm"] = figure(f.highest);
    j["lowest_mm"] = figure(f.lowest);
    j["skim_mm"] = figure(f.skim);
    j["levels"] = f.levels;
    j["stepover_mm"] = figure(f.stepover);
    j["run_out_mm"] = figure(f.run_out);
    j["sweep"] = f.spiral ? "spiral" : "rows";
    j["spoilboard"] = f.spoilboard;
    return j;
}

/// One cut of several.
Json cut_json(const JobReport& cut) {
    Json j;
    j["name"] = cut.name;
    j["make"] = cut.command;
    j["source"] = text_or_null(cut.picture_name);
    j["files"] = cut.files;
    j["time_s"] = figure(cut.time_s);
    j["cut_length_mm"] = figure(cut.cut_length);
    j["depth_mm"] = figure(cut.depth);
    j["bounds"] = {{"x", {figure(cut.design_box.lo.x), figure(cut.design_box.hi.x)}},
                   {"y", {figure(cut.design_box.lo.y), figure(cut.design_box.hi.y)}}};
    Json proof = proof_json(cut);
    proof.erase("checks");
    j["proof"] = std::move(proof);
    j["figure"] = figure_json(cut);
    return j;
}

}  // namespace

std::string report_json(const JobReport& report) {
    Json j;
    j["job"] = report.name;
    j["burin"] = report.version;
    j["command"] = report.command;
    j["trial"] = text_or_null(report.trial);
    j["picture"] = text_or_null(report.picture_name);
    j["machine"] = machine_json(report.machine);
    j["material"] = report.material.name;
    j["stock"] = stock_json(report.stock);
    j["zero"] = report.zero;
    j["depth_mm"] = figure(report.depth);
    j["cell_mm"] = figure(report.cell);
    j["lift_mm"] = figure(report.lift);
    j["time_s"] = figure(report.time_s);
    j["programs"] = Json::array();
    for (std::size_t k = 0; k < report.programs.size(); ++k)
        j["programs"].push_back(program_json(report.programs[k], k < report.proof.programs.size() ? &report.proof.programs[k] : nullptr));
    j["proof"] = proof_json(report);
    j["figure"] = figure_json(report);
    j["face"] = face_json(report);
    j["cuts"] = Json::array();
    for (const JobReport& cut : report.cuts) j["cuts"].push_back(cut_json(cut));
    j["assumed"] = report.assumed;
    j["idle_bits"] = report.idle_bits;
    j["warnings"] = report.warnings;
    j["cautions"] = report.cautions;
    return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace burin
