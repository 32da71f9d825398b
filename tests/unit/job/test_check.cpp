/// Programs that nobody here made: good ones pass, each dangerous one is told with its line. Words and arcs are NISTIR 6556's;
/// limits are the promises' own, no source.
#include <map>

#include "burin/base/error.hpp"
#include "burin/job/check.hpp"
#include "check.hpp"
#include "hill.hpp"

using namespace burin;

namespace {

const std::string head = "G21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\n";
const std::string tail = "G0 Z3\nM5\nM2\n";

Checked looked_at(const std::vector<std::string>& texts, const std::string& bit = "flat:3.175", const std::string& stock = "60x50x12",
                  bool results = false) {
    Job job;
    Cut& cut = job.cuts.emplace_back();
    if (!bit.empty()) cut.bits.emplace_back().use = bit;
    if (!stock.empty()) job.stock = stock;
    std::vector<CheckedFile> files;
    for (const std::string& text : texts) files.push_back({std::to_string(files.size() + 1) + ".nc", text});
    return check_programs(files, job, tried::presets, results, tried::crew_of(2));
}

bool told(const Checked& checked, const std::string& what) {
    return std::any_of(checked.findings.begin(), checked.findings.end(),
                       [&](const std::string& finding) { return finding.find(what) != std::string::npos; });
}

}  // namespace

TEST_CASE("a sound program of another hand passes, with arcs, inches and line numbers") {
    // A square of 20 mm, 0.5 mm deep, as plain lines; and a circle in inches by R and by I, J (NISTIR 6556).
    CHECK(looked_at({head + "G0 X10 Y10\nG1 Z-0.5 F100\nG1 X30 F300\nY30\nX10\nY10\n" + tail}).holds);
    CHECK(looked_at({"%\nN1 G20 G90\nN2 G0 Z0.12\nN3 M3 S9000\nN4 G4 P3\nN5 G0 X0.4 Y0.8\nN6 G1 Z-0.02 F4\nN7 G2 X1.2 Y0.8 I0.4 J0 "
                     "F12\nN8 G2 X0.4 Y0.8 R0.4\nN9 G0 Z0.12\nN10 M5\nN11 M30\n%\n"})
              .holds);
    // Holes by a cycle, pecked, and rapids slanted high above the stock, with tool words that change nothing.
    CHECK(looked_at({"G21 G90\nT1 M6\nM3 S10000\nG4 P3\nG43 H1\nG0 X10 Y10 Z5\nF60\nG99 G83 X10 Y10 Z-2 R1 Q0.5\nX20\nX30\nG80\nG0 X0 Y0 "
                     "Z20\nM5\nM30\n"})
              .holds);
    // Two programs on one stock: what the first has cleared the second may pass through quickly.
    const std::string groove = head + "G0 X10 Y10\nG1 Z-0.5 F100\nX30 F300\n" + tail;
    const std::string through = head + "G0 X10 Y10\nZ-0.4\nX30\n" + tail;
    CHECK(looked_at({groove, through}).holds);
    CHECK(told(looked_at({through, groove}), "1.nc, line 6"));
}

TEST_CASE("the page says of a program what the command says of it") {
    // R arcs and cycles are no plain words, and nothing against it; a word that nobody knows is.
    const auto refused = [](const Checked& checked) {
        REQUIRE(!checked.files.empty());
        return checked.files.front().content.find("Refused") != std::string::npos;
    };
    const std::string cut = "G0 X10 Y10\nG1 Z-0.5 F100\nG2 X20 Y10 R5 F300\n";
    const Checked sound = looked_at({head + cut + tail}, "flat:3.175", "60x50x12", true);
    for (const std::string& finding : sound.findings) UNSCOPED_INFO(finding);
    CHECK(sound.holds);
    CHECK_FALSE(refused(sound));
    const Checked unknown = looked_at({head + cut + "G187 P2\n" + tail}, "flat:3.175", "60x50x12", true);
    CHECK((!unknown.holds && refused(unknown)));
    const Checked running = looked_at({head + cut + "G0 Z3\nM2\n"}, "flat:3.175", "60x50x12", true);
    CHECK((!running.holds && refused(running)));
}

TEST_CASE("each danger is told with its line") {
    const std::map<std::string, std::pair<std::string, std::string>> dangers{
        {"rapid through stock", {"G0 X10 Y10\nZ-1\nX20\n", "line 6"}},
        {"plunge too fast", {"G0 X10 Y10\nG1 Z-0.5 F800\nX20 F300\n", "line 6"}},
        {"too deep at once", {"G0 X10 Y10\nG1 Z-9 F50\nX30 F300\n", "line 6"}},
        {"beyond the stock", {"G0 X10 Y10\nG1 Z-0.5 F100\nX90 F300\n", "line 7"}},
        {"beyond the travel", {"G0 X10 Y10\nX900\nX10\nG1 Z-0.5 F100\nX20 F300\n", "line 6"}},
        {"below the stock", {"G0 X10 Y10\nG1 Z-1 F50\nZ0\nZ-14 F50\nX11 F300\n", "line 8"}},
        {"a word that nobody knows", {"G0 X10 Y10\nG187 P2\nG1 Z-0.5 F100\nX20 F300\n", "line 6"}},
        {"home in the middle", {"G0 X10 Y10\nG28\nG1 Z-0.5 F100\nX20 F300\n", "line 6"}},
        {"a change of tools", {"G0 X10 Y10\nG1 Z-0.5 F100\nT2 M6\nX20 F300\n", "line 7"}},
        {"a probe with the spindle on", {"G0 X10 Y10\nG38.2 Z-1 F50\nG0 Z3\n", "line 6"}},
        {"aside from where a probe touched", {"M5\nG0 X10 Y10\nG38.2 Z-1 F50\nG0 X20\n", "line 8"}},
        {"a probe beyond the travel", {"M5\nG0 X10 Y10\nG38.2 Z-500 F50\nG0 Z3\n", "line 7"}},
        {"a lift beyond the travel", {"M5\nG0 X10 Y10\nG38.2 Z-1 F50\nG91\nG0 Z400\nG90\n", "line 9"}},
        {"a thread", {"G0 X10 Y10\nG84 X10 Y10 Z-1 R1 F50\n", "line 6"}},
        {"an arc that is none", {"G0 X10 Y10\nG1 Z-0.5 F100\nG2 X20 Y10 I9 J0 F300\n", "line 7"}},
    };
    for (const auto& [name, danger] : dangers) {
        CAPTURE(name);
        const Checked checked = looked_at({head + danger.first + tail});
        CHECK_FALSE(checked.holds);
        CHECK(told(checked, danger.second));
    }
    const std::string cut = "G0 X10 Y10\nG1 Z-0.5 F100\nX20 F300\n";
    CHECK(told(looked_at({"G21 G90\nG0 Z3\n" + cut + tail}), "spindle is off"));
    CHECK(told(looked_at({head + cut + "G0 Z3\nM2\n"}), "still turns"));
}

TEST_CASE("what is no program, and bits that do not fit, are told apart") {
    const auto fault = [](const std::vector<std::string>& texts, const std::string& bit) {
        try {
            (void)looked_at(texts, bit);
        } catch (const Error& error) {
            return error.fault();
        }
        return Fault::stopped;
    };
    const std::string good = head + "G0 X10 Y10\nG1 Z-0.5 F100\nX20 F300\n" + tail;
    CHECK(fault({""}, "flat:2.0") == Fault::input);
    CHECK(fault({std::string("\x89PNG\0\1\2", 7)}, "flat:2.0") == Fault::input);
    CHECK(fault({"Dear keeper,\nthe lamp is out.\n"}, "flat:2.0") == Fault::input);
    CHECK(fault({good}, "") == Fault::usage);
    CHECK(looked_at({"(Bit flat:3.175)\n" + good}, "").holds);
    // Without a stock one is assumed round what is cut.
    const Checked assumed = looked_at({good}, "flat:3.175", "");
    CHECK(assumed.holds);
    CHECK(
        std::any_of(assumed.remarks.begin(), assumed.remarks.end(), [](const auto& r) { return r.find("assumed") != std::string::npos; }));
}
