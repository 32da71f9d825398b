/// A photo as dots and as one line, through the whole pipeline in memory. Sources: plane geometry (areas of discs, a vee's width at a
/// depth); no source: the contracts of run.hpp and job_file.hpp.
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>

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

/// A wedge from black at the left to white at the right with a white disc in it, 24 mm wide.
struct Wedge : Hill {
    static constexpr int width = 240, height = 160;
    Wedge() {
        std::vector<std::uint16_t> grey;
        for (int j = 0; j < height; ++j)
            for (int i = 0; i < width; ++i) {
                const double light = std::hypot(i - 100.0, j - 80.0) < 30 ? 1 : (i + 0.5) / width;
                grey.push_back(coded(light));
            }
        std::ofstream(path, std::ios::binary) << write_png_grey16(grey, width, height, 0, {});
    }
    [[nodiscard]] Job job() const {
        Job job;
        Cut& cut = job.cuts.emplace_back();
        cut.make = "stipple";
        cut.picture = path.string();
        cut.width = 24;
        return job;
    }
};

/// The places where the program goes down, with their lowest z.
std::vector<Point3> holes_of(const Finished& finished) {
    std::vector<Point3> holes;
    for (const Move& move : read_program(content(finished, "1-cut.nc")).track.moves) {
        if (move.to.z >= 0) continue;
        if (holes.empty() || flat(holes.back()) != flat(move.to)) holes.push_back(move.to);
        holes.back().z = std::min(holes.back().z, move.to.z);
    }
    return holes;
}

}  // namespace

TEST_CASE("a photo becomes dots whose areas are its tones, the same on any number of threads and from its own job file") {
    const Wedge wedge;
    for (const char* by : {"size", "number"}) {
        INFO(by);
        Job job = wedge.job();
        job.cuts[0].tone_by = by;
        const Finished once = run_job(job, presets, {});
        const auto report = report_of(once);
        CHECK(report["command"] == "stipple");
        CHECK(report["proof"]["holds"] == true);
        CHECK(report["proof"]["tone"]["largest_difference"].get<double>() <= 0.02);
        for (const int threads : by == std::string("size") ? std::vector{2, 3} : std::vector<int>{}) {
            const Finished again = threads == 2
                                       ? run_job(job, presets, crew_of(2))
                                       : run_job(read_job(content(once, "job.toml"), "job.toml", "/elsewhere"), presets, crew_of(3));
            CHECK((content(again, "1-cut.nc") == content(once, "1-cut.nc")));
            CHECK((content(again, "job.toml") == content(once, "job.toml")));
        }
        // A vee of 60 degrees with a tip of 0.1 mm makes dots of 0.1 + 2 d tan 30° (plane geometry).
        double area = 0;
        for (const Point3& hole : holes_of(once)) {
            const double d = 0.1 + 2 * -hole.z * std::tan(std::numbers::pi / 6);
            area += std::numbers::pi / 4 * d * d;
            CHECK(d <= 1.01);
        }
        // The wedge asks for half of 24 × 16 mm, less the disc of 3 mm at 1 − 0.4, and less what is darker than 80 %: a fifth of the width,
        // 0.1 on average. (Of the tones 1 % at either end count as the ends.)
        CHECK(area == Approx(24 * 16 * 0.5 - std::numbers::pi * 9 * (1 - 100.5 / 240) - 24 * 16 * 0.2 * 0.1).epsilon(0.03));
    }
}

TEST_CASE("a photo becomes one line, which is cut without a lift") {
    const Wedge wedge;
    Job job = wedge.job();
    job.cuts[0].one_line = true;
    const Finished once = run_job(job, presets, {});
    const auto report = report_of(once);
    CHECK(report["proof"]["holds"] == true);
    CHECK(report["proof"]["tone"]["largest_difference"].get<double>() <= 0.02);
    // Once down, once up: from the first move below the top to the last, nothing runs higher than the ramp's start.
    const std::vector<Move> moves = read_program(content(once, "1-cut.nc")).track.moves;
    const auto below = [](const Move& move) { return move.to.z < -0.01; };
    const auto first = std::find_if(moves.begin(), moves.end(), below);
    const auto last = std::find_if(moves.rbegin(), moves.rend(), below).base();
    CHECK(std::none_of(first, last, [](const Move& move) { return move.kind == MoveKind::rapid && move.to.z > 1; }));
    CHECK((content(run_job(read_job(content(once, "job.toml"), "job.toml", "/elsewhere"), presets, crew_of(2)), "1-cut.nc") ==
           content(once, "1-cut.nc")));
    job.cuts[0].hop = 1;
    CHECK(refusal_of(job, Fault::usage).find("--one-line") != std::string::npos);
}

TEST_CASE("too few dots make a lighter picture, which is told") {
    const Wedge wedge;
    Job job = wedge.job();
    job.cuts[0].dots = 80;
    const auto report = report_of(run_job(job, presets, {}));
    CHECK(report["proof"]["holds"] == true);
    CHECK(report["assumed"].dump().find("too few") != std::string::npos);
}

TEST_CASE("dots by other bits, and what cannot be") {
    const Wedge wedge;
    for (const char* bit : {"flat:0.8", "ball:1.0"}) {
        INFO(bit);
        Job job = wedge.job();
        job.cuts[0].bits.push_back({bit, {}, {}, {}});
        const auto report = report_of(run_job(job, presets, {}));
        CHECK(report["proof"]["holds"] == true);
    }
    Job job = wedge.job();
    job.cuts[0].bits.push_back({"flat:0.8", {}, {}, {}});
    job.cuts[0].tone_by = "size";
    CHECK(refusal_of(job, Fault::refused).find("as wide at its tip") != std::string::npos);
    job = wedge.job();
    job.cuts[0].most_dot = 5;
    CHECK(refusal_of(job, Fault::refused).find("--most-dot") != std::string::npos);
    job.cuts[0].most_dot = 0.5, job.cuts[0].least_dot = 0.6;
    CHECK(refusal_of(job, Fault::refused).find("--least-dot") != std::string::npos);
    job.cuts[0].least_dot = 0.1;
    CHECK(refusal_of(job, Fault::refused).find("tip") != std::string::npos);
    job.cuts[0].least_dot = 0.3, job.cuts[0].tone_by = "number";
    CHECK(refusal_of(job, Fault::usage).find("equal") != std::string::npos);
}
