/// The whole pipeline in memory, and the answers it reckons. Figures of cells and stepovers: the rules in settle.hpp and
/// plane geometry as noted beside them.
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

#include "../../../src/job/programs.hpp"
#include "../../../src/job/settle.hpp"
#include "burin/base/error.hpp"
#include "burin/base/files.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/run.hpp"
#include "check.hpp"
#include "finished.hpp"
#include "hill.hpp"

using namespace burin;
using namespace tried;
namespace fs = std::filesystem;

namespace {

Fault fault_of(const Job& job) {
    try {
        (void)run_job(job, presets, {});
    } catch (const Error& error) {
        INFO(error.what());
        return error.fault();
    }
    return static_cast<Fault>(0);
}

/// As a person changes a job file.
void edit(std::string& text, const std::string& line, const std::string& by) {
    const std::size_t at = text.find(line);
    INFO(text);
    REQUIRE(at != std::string::npos);
    text.replace(at, line.size(), by);
}

}  // namespace

TEST_CASE("cells follow the finishing bit and the area") {
    // A fifth of the tip radius: 0.1 for a ball of 1.0; 0.05 for 0.5; taken down to 0.1 above that.
    CHECK(reckon_cell(Bit::parse("ball:1.0"), 100, 80) == 0.1);
    CHECK(reckon_cell(Bit::parse("ball:3.175"), 100, 80) == 0.1);
    CHECK(reckon_cell(Bit::parse("ball:0.5"), 100, 80) == 0.05);
    CHECK(reckon_cell(Bit::parse("ball:0.9"), 100, 80) == 0.05);
    CHECK(reckon_cell(Bit::parse("taper:0.25:10:3.175"), 60, 60) == 0.02);
    CHECK(reckon_cell(Bit::parse("flat:3.175"), 100, 80) == 0.04);  // its edge rides on slopes
    CHECK(reckon_cell(Bit::parse("flat:3.175"), 220, 220) == 0.1);  // 30 million cells of 0.04
    CHECK(reckon_cell(Bit::parse("ball:0.5"), 250, 250) == 0.1);    // 25 million cells of 0.05
    CHECK(reckon_cell(Bit::parse("ball:1.0"), 400, 400) == 0.1);    // 16 million exactly
    CHECK(reckon_cell(Bit::parse("ball:1.0"), 420, 420) == 0.1);    // never coarser than a wall may move
}

TEST_CASE("stepovers and what they leave") {
    CHECK(reckon_stepover(Bit::parse("ball:1.0")) == Approx(0.1));
    CHECK(scallop_of(Bit::parse("ball:1.0"), 0.1) == Approx(0.00251).margin(1e-5));    // plane geometry; Machinery's Handbook, milling
    CHECK(scallop_of(Bit::parse("ball:3.175"), 0.3) == Approx(0.00710).margin(1e-5));  // the same
    CHECK(scallop_of(Bit::parse("flat:3.175"), 0.3) == 0);
    // Between vee grooves s apart, tip t, a ridge of (s − t) / 2 / tan(θ/2) stays: plane geometry.
    const Bit vee = Bit::parse("vee:60:0.1:3.175");
    CHECK(scallop_of(vee, 0.2) == Approx(0.05 / std::tan(std::acos(-1.0) / 6)));
    CHECK(scallop_of(vee, reckon_stepover(vee)) <= 0.01);
    // Across a slope f the flat tip bridges s between two grooves whose sides rise by a = 60 degrees: at most 0.01 mm stays.
    for (double f = 0; f < 1.04; f += 0.01)
        CHECK(reckon_stepover(vee) * std::sin(std::acos(0.5) - f) * std::sin(f) / std::sin(std::acos(0.5)) <= 0.01);
}

TEST_CASE("a job runs to its files, the same on any number of threads and from its own job file") {
    const Hill hill;
    const Finished once = run_job(hill.job(), presets, {});
    std::vector<std::string> names;
    for (const OutputFile& file : once.files) names.push_back(file.name);
    CHECK(names == std::vector<std::string>{"1-rough.nc", "2-finish.nc", "job.toml", "report.html", "preview.png", "surface.png",
                                            "paths.svg", "report.json"});
    same(once, run_job(hill.job(), presets, crew_of(3)));
    const Job again = read_job(content(once, "job.toml"), "job.toml", "/elsewhere");
    same(once, run_job(again, presets, crew_of(2)));

    const auto report = report_of(once);
    CHECK(report["programs"].size() == 2);
    CHECK(report["programs"][1]["tool"] == "ball:1.0");
    CHECK(report["proof"]["deepest_gouge_mm"].get<double>() <= 0.02);
    CHECK(report["proof"]["left_standing_mm"].get<double>() <= 0.0026 + 0.02);  // scallop of 0.1 with 1.0, and the promise

    SECTION("a value changed in the job file counts as the person's") {
        std::string text = content(once, "job.toml");
        edit(text, "\ncell = 0.1\n", "\ncell = 0.05\n");
        edit(text, "\nfeed = 300\n", "\nfeed = 123\n");  // the ball's
        const Finished other = run_job(read_job(text, "job.toml", "/"), presets, {});
        CHECK_THAT(content(other, "2-finish.nc"), ContainsSubstring("F123"));
        const Job back = read_job(content(other, "job.toml"), "job.toml", "/");
        const auto& reckoned = back.cuts[0].reckoned;
        CHECK(std::find(reckoned.begin(), reckoned.end(), "cell") == reckoned.end());
        CHECK(std::find(reckoned.begin(), reckoned.end(), "stepover") != reckoned.end());
    }
    SECTION("another picture under the same name is noticed") {
        std::ofstream(hill.path, std::ios::app) << "x";
        CHECK(fault_of(again) == Fault::input);
    }
}

TEST_CASE("what the program chose follows what is changed in its job file") {
    const Hill hill;
    const std::string written = content(run_job(hill.job(), presets, {}), "job.toml");
    const auto changed = [&](const std::string& line, const std::string& by) {
        std::string text = written;
        edit(text, line, by);
        return run_job(read_job(text, "job.toml", "/"), presets, {});
    };
    const auto job_of = [](const Finished& finished) { return read_job(content(finished, "job.toml"), "job.toml", "/"); };
    const auto listed = [](const std::vector<std::string>& names, const char* name) {
        return std::find(names.begin(), names.end(), name) != names.end();
    };
    SECTION("a scallop wins over the stepover that was reckoned without it") {
        // s = 2 sqrt(2 r h - h^2) with r 0.5 and h 0.01: 0.19900 (plane geometry; Machinery's Handbook, milling).
        const Job job = job_of(changed("\nstepover = 0.1\n", "\nstepover = 0.1\nscallop = 0.01\n"));
        CHECK(*job.cuts[0].stepover == Approx(0.1989).margin(1e-4));
    }
    SECTION("another width brings its own height and stock") {
        const Job job = job_of(changed("\nwidth = 14\n", "\nwidth = 11\n"));
        CHECK(job.stock == "21x21x12");  // 5 mm of margin on every side
        CHECK(job.cuts[0].height == 11);
        CHECK((job.cuts[0].at && *job.cuts[0].at == Point{10.5, 10.5}));
    }
    SECTION("the plunge follows a bit's own feed, a third of it in softwood (common practice, no source)") {
        const Finished other = changed("\nfeed = 300\n", "\nfeed = 150\n");
        CHECK(job_of(other).cuts[0].bits[1].wishes.plunge == 50);
        CHECK(content(other, "report.html").find("Plunge 50 mm/min: as asked for") == std::string::npos);
    }
    SECTION("a stepover that was changed stays") {
        const Job job = job_of(changed("\nstepover = 0.1\n", "\nstepover = 0.15\n"));
        CHECK(job.cuts[0].stepover == 0.15);
        CHECK_FALSE(listed(job.cuts[0].reckoned, "stepover"));
    }
    SECTION("another bit, its old sizes still below it") {
        const Job job = job_of(changed("\nuse = \"ball:1.0\"\n", "\nuse = \"ball:1.5\"\n"));
        CHECK(job.cuts[0].bits[1].bit->diameter() == 1.5);
        CHECK(job.cuts[0].stepover == 0.15);
    }
    SECTION("a material of another name") {
        const Job job = job_of(changed("\nname = \"pine\"\n", "\nname = \"my-pine\"\n"));
        CHECK(job.material == "my-pine");
        CHECK_FALSE(listed(job.reckoned, "material"));
        CHECK(listed(job.cuts[0].reckoned, "bit"));
    }
}

TEST_CASE("reckoned values are written in digits that a person would write") {
    const Hill hill;
    Job job = hill.job();
    job.cuts[0].bits.emplace_back().use = "ball:2.8";  // a tenth of it is 0.27999999999999997 to the processor
    CHECK_THAT(content(run_job(job, presets, {}), "job.toml"), ContainsSubstring("\nstepover = 0.28\n"));
}

TEST_CASE("what was not given is said") {
    const Hill hill;
    Job job = hill.job();
    job.cuts[0].heights.reset();
    const auto report = report_of(run_job(job, presets, {}));
    std::string assumed;
    for (const auto& sentence : report["assumed"]) assumed += sentence.get<std::string>() + '\n';
    for (const char* words : {"No kind of heights", "No levels", "No border", "No zero", "No safe height", "Paths are thinned", "No stock",
                              "No machine", "No material", "No bits", "cells of", "Roughing leaves", "grain is smoothed over 0.25 mm"}) {
        INFO(words << " in\n" << assumed);
        CHECK_THAT(assumed, ContainsSubstring(words));
    }
}

TEST_CASE("a trial is called one at the top of its report") {
    const Hill hill;
    Job job = hill.job(20);
    CHECK(content(run_job(job, presets, {}), "report.html").find("A trial piece, not") == std::string::npos);
    job.trial = Point{8, 6};
    const Finished finished = run_job(job, presets, {});
    const std::string& page = content(finished, "report.html");
    CHECK(page.find("A trial piece, not the whole job.") < page.find("<section"));
    CHECK(nlohmann::json::parse(content(finished, "report.json"))["trial"].is_string());
}

TEST_CASE("a finishing bit that cannot go straight down into closed pits is named, with what to do") {
    const Hill hill;
    Job job = hill.job(12);
    job.cuts[0].depth = 2;
    job.cuts[0].invert = false;
    BitUse& use = job.cuts[0].bits.emplace_back();
    use.use = "side-cutter";
    BitSpec spec = Bit::parse("flat:1.5").spec();
    spec.centre_cutting = false;
    use.bit = Bit(spec, "side-cutter");
    constexpr int pixels = 120;  // 0.1 mm each
    std::vector<std::uint16_t> grey(pixels * pixels, 65535);
    for (int j = 0; j < pixels; ++j)
        for (int i = 0; i < pixels; ++i)  // round holes, their rims stairs of a pixel each
            if (std::hypot(i - 40, j - 40) < 10 || std::hypot(i - 80, j - 80) < 30) grey[static_cast<std::size_t>(pixels * j + i)] = 0;
    std::ofstream(hill.path, std::ios::binary) << write_png_grey16(grey, pixels, pixels, 0, {});
    try {
        (void)run_job(job, presets, {});
        FAIL("it was proved");
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::refused);
        CHECK_THAT(error.what(), ContainsSubstring("'side-cutter' does not cut at its centre") && ContainsSubstring("centre-cutting bit"));
    }
}

TEST_CASE("one bit, one program") {
    const Hill hill;
    Job job = hill.job();
    job.cuts[0].bits.emplace_back().use = "ball:1.0";
    const Finished finished = run_job(job, presets, {});
    CHECK(finished.files[0].name == "1-cut.nc");
    CHECK(finished.files[1].name == "job.toml");
}

TEST_CASE("dry runs, joined programs, inches and trials") {
    const Hill hill;
    Job job = hill.job(12);
    job.air = 20;
    job.one_file = true;
    job.inch = true;
    const Finished finished = run_job(job, presets, {});
    CHECK(finished.files[0].name == "1-cut.nc");
    const ReadProgram read = read_program(finished.files[0].content);
    CHECK(plain_text_faults(read).empty());
    CHECK(read.inch);
    double lowest = 1e9;
    for (const Move& move : read.track.moves) lowest = std::min(lowest, move.to.z);
    CHECK(lowest == Approx(20 - 1.2).margin(0.05));  // a cone: the ball does not reach its tip
    CHECK(std::count_if(read.track.events.begin(), read.track.events.end(),
                        [](const Event& event) { return event.kind == EventKind::pause; }) == 1);
    CHECK(nlohmann::json::parse(finished.files.back().content)["programs"].size() == 2);
    CHECK_THAT(content(finished, "report.html"), ContainsSubstring("stops here by itself (M0)") && ContainsSubstring("Let it go on:"));
    CHECK_THAT(content(finished, "report.json"), ContainsSubstring("a pause for every bit"));
    same(finished, run_job(read_job(content(finished, "job.toml"), "job.toml", "/"), presets, crew_of(2)));

    Job trial = hill.job(30);
    trial.trial = Point{8, 6};
    const Finished piece = run_job(trial, presets, {});
    const auto report = nlohmann::json::parse(piece.files.back().content);
    const auto bounds = report["programs"].back()["bounds"];
    CHECK(bounds["x"][1].get<double>() <= 5 + 8 + 0.1);  // 5 mm of margin, zero at the lower left
    CHECK(bounds["y"][1].get<double>() <= 5 + 6 + 0.1);
    same(piece, run_job(read_job(content(piece, "job.toml"), "job.toml", "/"), presets, {}));
    trial.trial_at = Point{500, 0};
    CHECK(fault_of(trial) == Fault::refused);
}

TEST_CASE("what conflicts is refused, what is missing is an input") {
    const Hill hill;
    const auto changed = [&](const auto& change) {
        Job job = hill.job();
        change(job, job.cuts[0]);
        return fault_of(job);
    };
    CHECK(changed([](Job& job, Cut& cut) { job.stock = "20x20x5", cut.depth = 5.1; }) == Fault::refused);
    CHECK(changed([](Job&, Cut& cut) { cut.depth = 12.5; }) == Fault::refused);  // the assumed stock is 12 mm thick
    CHECK(changed([](Job& job, Cut&) { job.stock = "13x20x12"; }) == Fault::refused);
    CHECK(changed([](Job&, Cut& cut) { cut.width = 5000; }) == Fault::refused);
    CHECK(changed([](Job& job, Cut& cut) { job.stock = "30x30x12", cut.at = Point{2, 2}; }) == Fault::refused);
    CHECK(changed([](Job& job, Cut&) { job.stock = "round:12x12"; }) == Fault::refused);
    CHECK(changed([](Job& job, Cut& cut) { job.stock = "round:17x12", cut.invert = false; }) == Fault::refused);  // corners beside it
    CHECK(changed([](Job&, Cut& cut) { cut.width = 2; }) == Fault::refused);                                      // 3.175 mm bit
    CHECK(changed([](Job& job, Cut&) { job.machine = "laser-240x150"; }) == Fault::refused);
    CHECK(changed([](Job& job, Cut&) { job.material = "leather"; }) == Fault::refused);
    CHECK(changed([](Job& job, Cut&) { job.safe_height = 300; }) == Fault::refused);
    CHECK(changed([](Job& job, Cut&) { job.material = "wallnut"; }) == Fault::usage);
    CHECK(changed([](Job& job, Cut&) { job.material = "none/oak.toml"; }) == Fault::input);
    CHECK(changed([](Job&, Cut& cut) { cut.width.reset(); }) == Fault::usage);     // the picture says no size
    CHECK(changed([](Job&, Cut& cut) { cut.at = Point{3, 3}; }) == Fault::usage);  // and no stock
    CHECK(changed([](Job&, Cut& cut) { cut.stepover = 0.1, cut.scallop = 0.01; }) == Fault::usage);
    CHECK(changed([](Job&, Cut& cut) { cut.stepover = 1.5; }) == Fault::refused);
    CHECK(changed([](Job&, Cut& cut) { cut.plunge = 801; }) == Fault::refused);     // the machine's Z runs at 800
    CHECK(changed([](Job&, Cut& cut) { cut.allowance = 1.6; }) == Fault::refused);  // half of 3.175 is less
    CHECK(changed([](Job& job, Cut& cut) { job.stock = "100x100x12", cut.cell = 0.005; }) == Fault::refused);
    CHECK(changed([](Job&, Cut& cut) { cut.picture = "/none/hill.png"; }) == Fault::input);
    std::atomic<bool> stop{true};
    Crew stopped = crew_of(2);
    stopped.stop = &stop;
    try {
        (void)run_job(hill.job(), presets, stopped);
        FAIL("it ran on");
    } catch (const Error& error) {
        CHECK(error.fault() == Fault::stopped);
    }
}
