/// Drawings through the whole pipeline in memory. No source: the contracts of run.hpp and job_file.hpp; figures that are known on
/// paper have their derivation beside them.
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/run.hpp"
#include "burin/program/rs274.hpp"
#include "check.hpp"
#include "finished.hpp"
#include "hill.hpp"

using namespace burin;
using namespace tried;

namespace {

/// A ring of ink, 24 mm across outside and 14 mm inside when the picture of 240 × 240 pixels is 30 mm wide, with its edge greyed
/// by how much of a pixel it covers.
struct Ring : Hill {
    static constexpr int pixels = 240;
    static constexpr double outer = 12, inner = 7;
    Ring() {
        std::vector<std::uint16_t> grey;
        for (int j = 0; j < pixels; ++j)
            for (int i = 0; i < pixels; ++i) {
                const double r = std::hypot(i + 0.5 - pixels / 2.0, j + 0.5 - pixels / 2.0);
                const double ink = std::clamp(outer * 8 - r + 0.5, 0.0, 1.0) * std::clamp(r - inner * 8 + 0.5, 0.0, 1.0);
                grey.push_back(static_cast<std::uint16_t>(std::lround(65535 * (1 - ink))));
            }
        std::ofstream(path, std::ios::binary) << write_png_grey16(grey, pixels, pixels, 0, {});
    }
    [[nodiscard]] Job job(const std::string& make) const {
        Job job;
        Cut& cut = job.cuts.emplace_back();
        cut.make = make;
        cut.picture = path.string();
        cut.width = 30;
        return job;
    }
};

double area_of(double outer, double inner) { return std::numbers::pi * (outer * outer - inner * inner); }

}  // namespace

TEST_CASE("every kind of figure runs to its files, the same on any number of threads and from its own job file", "[long]") {
    const Ring ring;
    for (const char* make : {"incise", "outline", "pocket", "stroke", "cutout"}) {
        INFO(make);
        Job job = ring.job(make);
        job.stock = "40x40x4";
        if (make == std::string("incise")) job.cuts[0].depth = 1;
        const Finished once = run_job(job, presets, {});
        CHECK(once.files.front().name == "1-cut.nc");
        const auto report = report_of(once);
        CHECK(report["command"] == make);
        CHECK(report["proof"]["holds"] == true);
        CHECK(report["proof"]["over_line_mm"].get<double>() <= 0.03);
        CHECK(report["proof"]["short_of_line_mm"].get<double>() <= 0.03);
        CHECK(plain_text_faults(read_program(content(once, "1-cut.nc"))).empty());
        same(once, run_job(job, presets, crew_of(3)));
        same(once, run_job(read_job(content(once, "job.toml"), "job.toml", "/elsewhere"), presets, crew_of(2)));
    }
}

TEST_CASE("what is taken away is the figure") {
    const Ring ring;
    const auto removed = [&](const std::string& make, const auto& change) {
        Job job = ring.job(make);
        job.stock = "40x40x4";
        job.cuts[0].depth = 1;
        change(job.cuts[0]);
        double sum = 0;
        const auto report = report_of(run_job(job, presets, {}));
        for (const auto& program : report["programs"]) sum += program["removed_mm3"].get<double>();
        return sum;
    };
    const double ring_area = area_of(Ring::outer, Ring::inner);
    // Floors 1 mm deep: areas are volumes. A flat bit of 2 mm reaches all of a ring 5 mm wide.
    CHECK(removed("pocket", [](Cut&) {}) == Approx(ring_area).epsilon(0.005));
    // The picture's square less the ring; its four corners keep (1 − π/4) r² with r = 1, plane geometry.
    CHECK(removed("pocket", [](Cut& cut) { cut.part = "ground"; }) == Approx(30 * 30 - ring_area - (4 - std::numbers::pi)).epsilon(0.005));
    // A slot 2 mm wide beside a circle of radius r: from r to r + 2; on it: from r − 1 to r + 1. Allowance 0: one pass as wide as the bit.
    const auto beside = [](const char* side) {
        return [side](Cut& cut) {
            cut.side = side;
            cut.allowance = 0;
        };
    };
    CHECK(removed("outline", beside("on")) == Approx(area_of(13, 11) + area_of(8, 6)).epsilon(0.01));
    CHECK(removed("outline", beside("outside")) == Approx(area_of(14, 12) + area_of(7, 5)).epsilon(0.01));
    CHECK(removed("outline", beside("inside")) == Approx(area_of(12, 10) + area_of(9, 7)).epsilon(0.01));
    // The stroke's middle is a circle of radius 9.5.
    CHECK(removed("stroke", [](Cut&) {}) == Approx(area_of(10.5, 8.5)).epsilon(0.01));
    // A vee of 60°, tip t 0.1, down to 1 mm between walls that rise outwards: the section of a trapezoid 5 mm wide at the top is
    // 5 − tan 30° for 1 mm of depth, all the way round at radius 9.5 (Pappus).
    CHECK(removed("incise", [](Cut& cut) { cut.invert = false; }) ==
          Approx(2 * std::numbers::pi * 9.5 * (5 - std::tan(std::numbers::pi / 6))).epsilon(0.01));
}

TEST_CASE("a piece that is cut out is held by its tabs") {
    const Ring ring;
    Job job = ring.job("cutout");
    job.stock = "40x40x4";
    job.cuts[0].breakthrough = 0.3;
    const auto lowest = [&](const Job& asked) {
        return report_of(run_job(asked, presets, {}))["programs"][0]["bounds"]["z"][0].get<double>();
    };
    CHECK(lowest(job) == Approx(-4.3));
    const auto volume = [&](const Job& asked) {
        return report_of(run_job(asked, presets, {}))["programs"][0]["removed_mm3"].get<double>();
    };
    Job loose = job;
    loose.cuts[0].tabs = 0;
    // Each of 4 + 3 tabs (the hole's line is 44 mm long) keeps its height of 1 mm over 4 mm of the slot, 2 mm and the allowance
    // wide, and what a round bit leaves beside it: at least 2 × 4 + (4 − π), at most some mm more where the bit ramps.
    const double kept = volume(loose) - volume(job);
    CHECK(kept > 7 * 8.8);
    CHECK(kept < 7 * 15);
    CHECK_THAT(content(run_job(job, presets, {}), "report.json"), ContainsSubstring("7 tabs hold"));
    job.cuts[0].tab_height = 4;
    CHECK_THAT(refusal_of(job, Fault::refused), ContainsSubstring("--tab-height"));
}

TEST_CASE("a trial of a figure, a dry run, two bits in one file, inches") {
    const Ring ring;
    Job job = ring.job("pocket");
    job.stock = "40x40x6";
    job.cuts[0].depth = 0.8;
    for (const char* use : {"flat:3.175", "flat:1.0"}) job.cuts[0].bits.emplace_back().use = use;
    job.trial = Point{10, 10};
    const Finished trial = run_job(job, presets, {});
    CHECK(report_of(trial)["trial"].is_string());
    CHECK(report_of(trial)["stock"]["x"][1] == 20);
    same(trial, run_job(read_job(content(trial, "job.toml"), "job.toml", "/"), presets, {}));
    job.trial.reset();
    job.air = 10;
    job.one_file = true;
    job.inch = true;
    const Finished joined = run_job(job, presets, {});
    REQUIRE(joined.files.front().name == "1-cut.nc");
    const ReadProgram read = read_program(joined.files.front().content);
    CHECK(read.inch);
    double low = 1e9;
    for (const Move& move : read.track.moves) low = std::min(low, move.to.z);
    CHECK(low == Approx(10 - 0.8).margin(0.01));
    same(joined, run_job(read_job(content(joined, "job.toml"), "job.toml", "/"), presets, crew_of(2)));
}

TEST_CASE("figures that cannot be cut are refused with what to do") {
    const Ring ring;
    Job job = ring.job("incise");
    job.cuts[0].bits.emplace_back().use = "flat:2.0";
    CHECK_THAT(refusal_of(job, Fault::refused), ContainsSubstring("'flat:2.0' is no vee bit"));
    job = ring.job("pocket");
    job.cuts[0].bits.emplace_back().use = "flat:6.0";
    CHECK_THAT(refusal_of(job, Fault::refused), ContainsSubstring("flat:6.0"));
    job = ring.job("pocket");
    job.cuts[0].depth = 13;
    CHECK_THAT(refusal_of(job, Fault::refused), ContainsSubstring("thickness"));
    job = ring.job("cutout");
    job.cuts[0].breakthrough = 50;
    CHECK_THAT(refusal_of(job, Fault::refused), ContainsSubstring("spoilboard"));
    job = ring.job("outline");
    job.cuts[0].allowance = 1.5;
    CHECK_THAT(refusal_of(job, Fault::refused), ContainsSubstring("--allowance"));
    job = ring.job("stroke");
    job.cuts[0].width.reset();
    CHECK_THAT(refusal_of(job, Fault::usage), ContainsSubstring("--width"));
    job = ring.job("stroke");
    job.cuts[0].width = 900;
    CHECK_THAT(refusal_of(job, Fault::refused), ContainsSubstring("larger than the machine"));
    job = ring.job("outline");
    std::ofstream(ring.path, std::ios::binary) << write_png_grey16(std::vector<std::uint16_t>(900, 65535), 30, 30, 0, {});
    CHECK_FALSE(refusal_of(job, Fault::refused).empty());
}

TEST_CASE("pictures are cut to their ink where that is asked for, whatever tells their size") {
    const Ring ring;
    Job job = ring.job("outline");
    job.cuts[0].trim = true;
    job.cuts[0].width = 24;
    const auto given = report_of(run_job(job, presets, {}));
    CHECK(given["stock"]["x"][1].get<double>() == Approx(34).margin(0.11));  // 5 mm of margin beside 24
    CHECK(given["stock"]["y"][1].get<double>() == Approx(34).margin(0.11));
    // The same picture that says itself to be 30 mm wide: the ink measures 24.
    std::vector<std::uint16_t> grey;
    for (int j = 0; j < 60; ++j)
        for (int i = 0; i < 60; ++i) grey.push_back(i >= 6 && i < 54 && j >= 16 && j < 44 ? 0 : 65535);
    std::ofstream(ring.path, std::ios::binary) << write_png_grey16(grey, 60, 60, 30, {});
    job.cuts[0].width.reset();
    const auto own = report_of(run_job(job, presets, {}));
    CHECK(own["stock"]["x"][1].get<double>() == Approx(34).margin(0.2));
    CHECK(own["stock"]["y"][1].get<double>() == Approx(24).margin(0.2));
}

TEST_CASE("job files make figures, and keys of another kind of job are told") {
    const std::string head = "[[cut]]\nmake = \"cutout\"\npicture = \"a.png\"\nwidth = 30\n";
    const Job job = read_job(head + "tabs = 3\ntab-width = 5\narcs = true\n", "x.toml", "/m");
    CHECK(job.cuts[0].make == "cutout");
    CHECK(job.cuts[0].tabs == 3);
    CHECK(job.cuts[0].arcs == true);
    CHECK(write_job(read_job(write_job(job), "x.toml", "/")) == write_job(job));
    const auto wrong = [&](const std::string& text) -> std::string {
        try {
            (void)read_job(text, "x.toml", "/m");
        } catch (const Error& error) {
            CHECK(error.fault() == Fault::usage);
            return error.what();
        }
        return "";
    };
    CHECK_THAT(wrong(head + "gamma = 2\n"), ContainsSubstring("line 5: cut.gamma") && ContainsSubstring("belongs to relief"));
    CHECK_THAT(wrong(head + "side = \"on\"\n"), ContainsSubstring("belongs to outline"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"pokcet\"\npicture = \"a\"\n"), ContainsSubstring("'pocket'"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"pocket\"\npicture = \"a\"\nfill = \"blue\"\n"), ContainsSubstring("line 4: cut.fill"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"pocket\"\npicture = \"a\"\nthreshold = \"1.5\"\n"), ContainsSubstring("line 4: cut.threshold"));
    CHECK_THAT(wrong("[[cut]]\nmake = \"list\"\npicture = \"a\"\n"), ContainsSubstring("cutout"));
    // What an earlier run chose for another kind of job means nothing, and nothing is said.
    CHECK(wrong(head + "gamma = 1\nreckoned = { gamma = 1 }\n").empty());
}

TEST_CASE("a written job of one kind becomes another by its word") {
    const Ring ring;
    Job job = ring.job("pocket");
    std::string text = content(run_job(job, presets, {}), "job.toml");
    const std::string old = "make = \"pocket\"";
    text.replace(text.find(old), old.size(), "make = \"incise\"");
    const Finished incised = run_job(read_job(text, "job.toml", "/"), presets, {});
    CHECK(report_of(incised)["programs"][0]["tool"] == "vee:60:0.1:3.175");
    same(incised, run_job(ring.job("incise"), presets, {}));
}
