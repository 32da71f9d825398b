#include <nlohmann/json.hpp>

#include "burin/base/error.hpp"
#include "check.hpp"
#include "made_up.hpp"

using namespace burin;
using Json = nlohmann::ordered_json;

namespace {

std::vector<std::string> keys(const Json& j) {
    std::vector<std::string> names;
    for (const auto& [key, value] : j.items()) names.push_back(key);
    return names;
}

bool has_all(const Json& j, const std::vector<std::string>& names) {
    for (const auto& name : names)
        if (!j.contains(name)) {
            UNSCOPED_INFO("missing: " << name);
            return false;
        }
    return true;
}

}  // namespace

TEST_CASE("report.json keeps the names of its contract") {
    made_up::Job job;
    made_up::fill(job, 0.5);
    const Json j = Json::parse(report_json(job.report));
    // Source of all names: the contract of report.json in the project's design.
    CHECK(has_all(j, {"job", "burin", "machine", "material", "stock", "zero", "time_s", "programs", "proof", "warnings", "cautions"}));
    CHECK(has_all(j["machine"],
                  {"name", "travel_mm", "rapid_mm_min", "acceleration_mm_s2", "corner_tolerance_mm", "planned_moves", "lines_per_s"}));
    REQUIRE(j["programs"].size() == 2);
    for (const auto& program : j["programs"]) {
        CHECK(has_all(program,
                      {"file", "tool", "lines", "bytes", "time_s", "cut_length_mm", "rapid_length_mm", "bounds", "feed_mm_min",
                       "plunge_mm_min", "spindle_rpm", "chip_load_mm", "depth_per_pass_mm", "allowance_mm", "removed_mm3", "passes"}));
        CHECK(keys(program["bounds"]) == std::vector<std::string>{"x", "y", "z"});
        CHECK(program["bounds"]["x"].size() == 2);
        for (const auto& pass : program["passes"]) CHECK(has_all(pass, {"z_mm", "length_mm", "time_s"}));
    }
    CHECK(has_all(j["proof"], {"deepest_gouge_mm", "left_standing_mm", "left_standing_rms_mm", "over_line_mm", "short_of_line_mm",
                               "most_taken_at_once_mm", "largest_section", "rapids_in_stock", "inside_travel", "checks"}));
    for (const auto& check : j["proof"]["checks"]) CHECK(has_all(check, {"name", "ok", "detail", "line"}));

    CHECK(j["job"] == "Lighthouse for the museum's door");
    CHECK(j["material"] == "pine");
    CHECK(j["zero"] == "lower-left");
    CHECK(j["machine"]["travel_mm"] == Json::array({250.0, 160.0, 55.0}));
    CHECK(j["programs"][0]["tool"] == "flat:3.175");
    CHECK(j["programs"][1]["tool"] == "ball:1.0");
    CHECK(j["programs"][0]["time_s"] == 1482);
    CHECK(j["time_s"] == 4873);
    CHECK(j["proof"]["deepest_gouge_mm"] == 0.006);
    CHECK(j["proof"]["checks"][2]["line"] == 731);
}

TEST_CASE("What does not apply is null, never zero") {
    made_up::Job job;
    made_up::fill(job, 0.5);
    JobReport& r = job.report;
    // Source: the contract of report.json in the project's design.
    Json j = Json::parse(report_json(r));
    CHECK(j["proof"]["over_line_mm"].is_null());  // a relief has no line
    CHECK(j["proof"]["short_of_line_mm"].is_null());
    CHECK(j["proof"]["checks"][0]["line"].is_null());
    CHECK(j["machine"]["lines_per_s"] == 169);
    r.machine.lines_per_s = 0;
    r.unreached.reset();
    j = Json::parse(report_json(r));
    CHECK(j["machine"]["lines_per_s"].is_null());
    CHECK(j["proof"]["deepest_gouge_mm"].is_null());
    CHECK(j["proof"]["left_standing_mm"].is_null());
    CHECK(j["proof"]["left_standing_rms_mm"].is_null());
}

TEST_CASE("No text and no number breaks the JSON") {
    made_up::Job job;
    made_up::fill(job, 0.5);
    JobReport& r = job.report;
    r.name = "a \"b\" \\ \n \xff\xc0 \xc3\xa9";
    r.warnings = {std::string("\x01\0x", 3)};
    r.time_s = std::numeric_limits<double>::infinity();
    r.depth = std::nan("");
    // Source: RFC 8259 (strings are UTF-8, control characters escaped, no NaN or Infinity).
    const std::string text = report_json(r);
    const Json j = Json::parse(text);
    CHECK(j["time_s"].is_null());
    CHECK(j["depth_mm"].is_null());
    CHECK(j["job"].get<std::string>().find("a \"b\" \\ \n ") == 0);
    CHECK(j["job"].get<std::string>().find("\xc3\xa9") != std::string::npos);
    CHECK(text.back() == '\n');
}

TEST_CASE("Cautions fit the machine and the material") {
    const auto with = [](const std::vector<std::string>& cautions, const std::string& part) {
        return std::any_of(cautions.begin(), cautions.end(), [&](const std::string& c) { return c.find(part) != std::string::npos; });
    };
    // Source: the safety rules of the trade; IARC group 1 (wood dust); IEC 60825-1 (laser classes).
    const auto spindle = cautions_for(made_up::router(), made_up::pine());
    for (const char* part : {"Local codes", "licensed", "eye and hearing", "extraction", "No gloves", "Never reach in", "Unplug",
                             "emergency stop", "stay with the machine", "Clamp", "IARC group 1"}) {
        INFO(part);
        CHECK(with(spindle, part));
    }
    CHECK(!with(spindle, "laser"));

    Machine beam = made_up::router();
    beam.spindle.reset();
    beam.laser = Laser{};
    const auto laser = cautions_for(beam, made_up::pine());
    for (const char* part : {"Local codes",
                             "class 4",
                             "60825",
                             "pilot",
                             "eyewear",
                             "enclosed",
                             "fumes",
                             "fire extinguisher",
                             "unattended",
                             "PVC",
                             "hydrogen chloride",
                             "ABS",
                             "hydrogen cyanide",
                             "polycarbonate",
                             "PTFE",
                             "hydrogen fluoride",
                             "FR-4",
                             "carbon fibre",
                             "treated or painted wood",
                             "chromium",
                             "clear acrylic",
                             "HDPE",
                             "silica"}) {
        INFO(part);
        CHECK(with(laser, part));
    }
    CHECK(!with(laser, "gloves"));

    Material slate = made_up::pine();
    slate.cautions = {"Silica dust scars the lungs: respirator, and work wet."};
    CHECK(with(cautions_for(made_up::router(), slate), "respirator"));
    CHECK(!with(cautions_for(made_up::router(), slate), "IARC"));
}
