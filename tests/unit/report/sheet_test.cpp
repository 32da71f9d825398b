// The sheet of what serves at the machine: texts are texts, figures are figures (HTML Living Standard; RFC 8259).
#include "burin/report/sheet.hpp"

#include <nlohmann/json.hpp>

#include "check.hpp"

using namespace burin;

namespace {

Sheet filled() {
    const std::string sharp = "<b>&\"lamp\"";
    Sheet sheet;
    sheet.command = sheet.version = std::string("zero"), sheet.kind = sharp, sheet.title = sharp;
    sheet.machine.name = sharp;
    sheet.facts = {{sharp, sharp}};
    sheet.warnings = sheet.cautions = sheet.unknown = sheet.assumed = {sharp};
    sheet.steps = {{sharp, sharp}};
    sheet.drawing = SheetDrawing{{{0, 0}, {10, 0}, {10, 10}}, {{{0, 0}, {5, 5}}}, {{{0, 0}, {5, 5}}}, {{{3, 3}, sharp}}, true, sharp};
    sheet.tables = {{sharp, {sharp}, {{sharp}}}};
    sheet.programs = {{sharp, sharp}};
    sheet.measured.resize(1);
    sheet.measured.front().time_s = 61.5;
    sheet.checks = {{"keeps still", true, sharp, "1.nc", 0, {}}, {"no crash", false, sharp, "1.nc", 7, {}}};
    sheet.figures = {{"plate_mm", 15.2}, {"zero_by", std::string("G92")}, {"dark", true}, {"lost", 1.0 / 0.0}};
    return sheet;
}

}  // namespace

TEST_CASE("a sheet takes every text as text, and refers to nothing outside") {
    const std::string page = sheet_html(filled());
    CHECK(page.find("<b>") == std::string::npos);
    CHECK_THAT(page, ContainsSubstring("&lt;b&gt;&amp;&quot;lamp&quot;") && ContainsSubstring("Refused") && ContainsSubstring("1 min 2 s"));
    for (const char* outside : {"http://", "https://", "<script", "url("}) {
        std::size_t count = 0;
        for (std::size_t at = page.find(outside); at != std::string::npos; at = page.find(outside, at + 1)) ++count;
        CHECK(count == (std::string(outside) == "http://" ? 1 : 0));  // the name of SVG's own language
    }
    CHECK(sheet_html(Sheet{}).find("What to do") == std::string::npos);
}

TEST_CASE("a sheet's figures keep the names of the contract") {
    const auto j = nlohmann::json::parse(sheet_json(filled()));
    for (const char* name : {"job", "burin", "command", "machine", "time_s", "programs", "proof", "assumed", "warnings", "cautions"})
        CHECK(j.contains(name));
    CHECK((j["plate_mm"] == 15.2 && j["zero_by"] == "G92" && j["dark"] == true && j["lost"].is_null()));
    CHECK(j["time_s"] == 61.5);
    CHECK((j["proof"]["checks"][1]["ok"] == false && j["proof"]["checks"][1]["line"] == 7));
}
