#include <algorithm>
#include <array>
#include <cstdlib>
#include <fstream>

#include "check.hpp"
#include "made_up.hpp"
#include "tags.hpp"

using namespace burin;
using made_up::fault_in_tags;

namespace {

const made_up::Job& job() {
    static made_up::Job made;
    static const bool done = (made_up::fill(made), true);
    (void)done;
    return made;
}

/// Preview of the made-up job, once.
const std::string& preview() {
    static const std::string png = preview_png(job().report.proof.surface, job().report.stock, job().report.material, Crew{2, nullptr, {}});
    return png;
}

bool holds(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("The page is one well-formed file without outside references") {
    const Crew crew{2, nullptr, {}};
    const std::string page = report_html(job().report, preview(), crew);
    // Source: HTML Living Standard, 13.1 (tags, attributes, character references).
    CHECK(fault_in_tags(page).empty());
    CHECK(!fault_in_tags("<p><b>x</p></b>").empty());
    CHECK(!fault_in_tags("<p>a & b</p>").empty());
    // Source: the design of the project: one file, opens without a network.
    for (const char* reference : {"http:", "https:", "<script", "<link", "@import", "url(h", "src=\"/", "href="}) {
        // The namespace of SVG is a name, not an address that is fetched.
        std::string rest = page;
        for (std::size_t at; (at = rest.find("xmlns=\"http://www.w3.org/2000/svg\"")) != std::string::npos;) rest.erase(at, 34);
        INFO(reference);
        CHECK(!holds(rest, reference));
    }
    // Source: common practice, no source: a page that a phone on a slow line opens.
    CHECK(page.size() < 3'000'000);
    if (const char* folder = std::getenv("BURIN_LOOK")) {  // for looking at it
        const auto put = [&](const char* name, const std::string& text) {
            std::ofstream(std::string(folder) + "/" + name, std::ios::binary) << text;
        };
        put("report.html", page);
        put("report.json", report_json(job().report));
        put("preview.png", preview());
        put("surface.png", surface_png(job().report.proof.surface));
        put("paths.svg", paths_svg(job().report, job().tracks));
    }
}

TEST_CASE("The page tells all that a person at the machine needs") {
    const Crew crew{2, nullptr, {}};
    const std::string page = report_html(job().report, preview(), crew);
    // Source: the contract of report.html in the project's design.
    for (const char* part : {"What it will look like",
                             "1-rough.nc",
                             "2-finish.nc",
                             "1 h 21 min",
                             "24 min 42 s",
                             "56 min 31 s",
                             "lower left corner",
                             "touch off Z0",
                             "X2.5 Y2.5",
                             "What the bit cannot reach",
                             "flat and level within <strong>0.15 mm",
                             "What the proof does not know",
                             "Backlash",
                             "runs out",
                             "moves when stock is taken",
                             "Cautions",
                             "IARC group 1",
                             "only typical of such machines",
                             "Depth per pass",
                             "Hold it down",
                             "trial piece",
                             "lighthouse-depth.png",
                             "Before anything else"}) {
        INFO(part);
        CHECK(holds(page, part));
    }
}

TEST_CASE("A job that is refused, lifted, without a free spot or with one program says so") {
    const Crew crew{2, nullptr, {}};
    made_up::Job other;
    made_up::fill(other, 0.5);
    JobReport& r = other.report;
    r.touch.spot.reset();
    r.lift = 20;
    r.proof.holds = false;
    r.proof.checks[1].ok = false;
    r.machine.typical_dynamics = false;
    r.stock.assumed = true;
    std::string page = report_html(r, preview(), crew);
    // Source: the contract of report.html in the project's design.
    for (const char* part :
         {"do not cut", "dry run in the air", "set Z to -12 there", "class=\"no\"", "1 of 4 checks are broken", "assumed: you gave none"}) {
        INFO(part);
        CHECK(holds(page, part));
    }
    CHECK(!holds(page, "only typical of such machines"));
    CHECK(fault_in_tags(page).empty());
    // Deepest pass −3 in the made-up job, so lifted by 20 the tip stays at 17; the stock is drawn whole. Source: the promise
    // that a lifted text is the unlifted one with every height raised.
    CHECK(holds(page, "lowest point of the bit Z17<"));
    CHECK(!holds(page, "deepest cut Z"));
    CHECK(!holds(page, "Deepest cut"));
    r.programs.pop_back();
    r.proof.programs.resize(1);
    r.picture = nullptr;
    r.unreached.reset();
    page = report_html(r, preview(), crew);
    CHECK(fault_in_tags(page).empty());
    CHECK(!holds(page, "What the bit cannot reach"));
    CHECK(!holds(page, "Change to"));
}

TEST_CASE("Text from outside cannot become markup") {
    const std::string evil = "<script>alert('x')</script> & \"q\" \x01\xff\xed\xa0\x80";
    made_up::Job other;
    made_up::fill(other, 0.5);
    JobReport& r = other.report;
    r.name = r.picture_name = r.version = r.command = r.zero = evil;
    r.material.title = r.machine.title = r.material.source = evil;
    r.warnings = r.cautions = r.assumed = r.idle_bits = {evil};
    r.programs[0].file = r.programs[0].purpose = r.proof.programs[0].file = evil;
    r.programs[0].feeds.reasons = r.programs[0].feeds.warnings = {evil};
    r.proof.checks[0].name = r.proof.checks[0].detail = r.proof.checks[0].file = evil;
    BitSpec spec = r.programs[0].bit.spec();
    r.programs[0].bit = Bit(spec, evil);
    const Crew crew{1, nullptr, {}};
    // Source: HTML Living Standard 13.1.2 and 13.1.4; XML 1.0, 2.2 (characters).
    for (const std::string& text : {report_html(r, preview(), crew), paths_svg(r, other.tracks)}) {
        CHECK(fault_in_tags(text).empty());
        CHECK(!holds(text, "<script"));
        CHECK(holds(text, "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt; &amp; &quot;q&quot; "));
        CHECK(text.find('\x01') == std::string::npos);
        CHECK(text.find('\xff') == std::string::npos);
        CHECK(!holds(text, "\xed\xa0\x80"));
    }
}

TEST_CASE("The same bytes on any number of threads, and twice") {
    const JobReport& r = job().report;
    const Crew one{1, nullptr, {}}, three{3, nullptr, {}};
    // Source: promise 6 of the project: the same job gives the same bytes.
    CHECK(preview_png(r.proof.surface, r.stock, r.material, one) == preview());
    CHECK(preview_png(r.proof.surface, r.stock, r.material, three) == preview());
    CHECK(report_html(r, preview(), one) == report_html(r, preview(), three));
    CHECK(paths_svg(r, job().tracks) == paths_svg(r, job().tracks));
}

TEST_CASE("The tool's way is drawn to scale within its budget") {
    const std::string svg = paths_svg(job().report, job().tracks);
    // Source: SVG 1.1, 5.1 (width, height, viewBox), XML 1.0 (well-formed).
    CHECK(fault_in_tags(svg).empty());
    CHECK(holds(svg, "width=\"118mm\" height=\"103mm\" viewBox=\"-4 -89 118 103\""));
    CHECK(holds(svg, "stroke-dasharray"));
    CHECK(svg.size() < 3'000'000);

    // A single straight line of many short moves becomes one chord; a detour of 0.2 mm stays. Source: plane geometry.
    made_up::Job other;
    made_up::fill(other, 0.5);
    JobReport& r = other.report;
    r.programs.pop_back();
    r.proof.programs.resize(1);
    other.tracks.assign(1, {});
    Track& track = other.tracks[0];
    for (int k = 0; k <= 1000; ++k) track.moves.push_back({{10 + 0.05 * k, k == 500 ? 20.2 : 20.0, -1}, 500, 0, 0, MoveKind::feed, true});
    const std::string line = paths_svg(r, other.tracks);
    CHECK(holds(line, "M0 0l1000 2000 2495 0 5 20 5 -20 2495 0\n"));

    // Two million moves of noise still fit. Source: the contract of paths_svg (a few megabytes).
    unsigned state = 1;
    for (int k = 0; k < 2'000'000; ++k) {
        state = state * 1664525u + 1013904223u;  // Numerical Recipes' generator, seed 1
        track.moves.push_back({{(state >> 8) % 11000 / 100.0, (state >> 16) % 8500 / 100.0, -1.0 - (state >> 4) % 200 / 100.0},
                               500,
                               0,
                               0,
                               MoveKind::feed,
                               true});
    }
    CHECK(paths_svg(r, other.tracks).size() < 5'000'000);
}

TEST_CASE("The page asks for generic families of letters only") {
    // Source: CSS Fonts Module Level 4, 2.1.3, generic family names; that no other is named is our own rule.
    const std::string page = report_html(job().report, preview(), Crew{2, nullptr, {}});
    int families = 0;
    for (const std::string_view key : {"font-family:", "font-family=\"", "font:"})
        for (std::size_t at = page.find(key); at != std::string::npos; at = page.find(key, at + 1)) {
            const std::size_t from = at + key.size();
            std::string value = page.substr(from, page.find_first_of(";}\"", from) - from);
            if (key == "font:") value.erase(0, value.find(' ') + 1);  // its size comes first
            ++families;
            INFO(value);
            for (std::size_t k = 0; k <= value.size();) {
                const std::size_t comma = std::min(value.find(',', k), value.size());
                const std::string family = value.substr(k, comma - k);
                CHECK((family == "serif" || family == "sans-serif" || family == "system-ui" || family == "monospace"));
                k = comma + 1;
            }
        }
    CHECK(families > 4);
}
