// A stock that is not flat, from the probing program to the bent job: the controller's answers are played by the test.
#include <fmt/format.h>

#include <filesystem>
#include <fstream>

#include "burin/base/error.hpp"
#include "burin/job/level.hpp"
#include "burin/job/run.hpp"
#include "burin/program/rs274.hpp"
#include "check.hpp"
#include "finished.hpp"

using namespace burin;
namespace fs = std::filesystem;

namespace {

PresetFolders presets() { return {{fs::path(BURIN_SOURCE) / "presets"}}; }

std::string content(const Finished& finished, const std::string& name) {
    for (const OutputFile& file : finished.files)
        if (file.name == name) return file.content;
    return "";
}

Order order_for(const fs::path& folder) {
    Order order;
    order.job.stock = "60x40x10";
    order.job.material = "basswood";
    order.run.output = (folder / "out").string();
    order.job.cuts.emplace_back();
    return order;
}

/// What a controller answers to each probe of a text where the top is `top`.
std::string answers(const std::string& text, double (*top)(double, double)) {
    std::string log;
    double x = 0, y = 0;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = text.find('\n', at);
        const std::string line = text.substr(at, end - at);
        at = end + 1;
        if (const std::size_t k = line.find('X'); k != std::string::npos && line.front() == 'G') x = std::stod(line.substr(k + 1));
        if (const std::size_t k = line.find('Y'); k != std::string::npos && line.front() == 'G') y = std::stod(line.substr(k + 1));
        if (line.starts_with("G38.2")) log += fmt::format("[PRB:{:.3f},{:.3f},{:.3f}:1]\nok\n", x - 100, y - 80, top(x, y) - 20);
    }
    return log;
}

double tilted(double x, double y) { return 0.004 * x - 0.005 * y; }

std::string write(const fs::path& path, const std::string& text) {
    std::ofstream(path, std::ios::binary) << text;
    return path.string();
}

}  // namespace

TEST_CASE("A top is measured, and a job bent onto it", "[level]") {
    const fs::path folder = fs::temp_directory_path() / "burin-test-level";
    fs::create_directories(folder);
    Order level = order_for(folder);
    level.run.apart = 12;
    const Finished probing = make_level(level, presets(), Crew{});
    const std::string program = content(probing, "1-level.nc");
    REQUIRE(program.find("G38.2 Z-1.500 F60") != std::string::npos);
    REQUIRE(content(probing, "report.html").find("feeler") != std::string::npos);

    Job job;
    job.stock = "60x40x10";
    job.material = "basswood";
    Cut cut;
    cut.make = "outline";
    cut.shape = "rectangle";
    cut.width = 40, cut.height = 20, cut.depth = 0.4;
    cut.bits = {{.use = "vee:60:0.1:3.175", .bit = {}, .wishes = {}, .reckoned = {}}};
    job.cuts.push_back(cut);
    const Finished made = run_job(job, presets(), Crew{});

    Order bend = order_for(folder);
    bend.arguments = {write(folder / "1-cut.nc", content(made, "1-cut.nc"))};
    bend.run.points = write(folder / "log.txt", answers(program, tilted));
    CHECK_THROWS_WITH(make_bend(bend, presets(), Crew{}), ContainsSubstring("--zero-at"));
    bend.run.zero_at = "-100,-80,-20";
    const Finished bent = make_bend(bend, presets(), Crew{});
    const ReadProgram read = read_program(content(bent, "1-cut.nc"));
    REQUIRE(read.faults.empty());
    // A plane stays a plane: every cut of the groove's floor lies 0.4 mm under it.
    Point3 from;
    int floors = 0;
    for (const Move& move : read.track.moves) {
        if (move.kind == MoveKind::feed && distance(flat(from), flat(move.to)) > 5) {
            CHECK(move.to.z - tilted(move.to.x, move.to.y) == Approx(-0.4).margin(0.003));
            ++floors;
        }
        from = move.to;
    }
    CHECK(floors >= 4);
    CHECK(content(bent, "report.json").find("follows the measured top") != std::string::npos);
    CHECK(content(bent, "1-cut.nc").find("(Time ") == std::string::npos);
}

TEST_CASE("Points that cannot be the top of this stock are refused, and slips are told", "[level]") {
    const fs::path folder = fs::temp_directory_path() / "burin-test-level";
    fs::create_directories(folder);
    Order bend = order_for(folder);
    bend.arguments = {
        write(folder / "flat.nc",
              "(Bit ball:1.0)\nG21 G90 G17 G94 G54\nG0 Z3\nM3 S10000\nG4 P3\nG0 X10 Y10\nG0 Z0.5\nG1 Z-0.3 F100\nG1 X50 F300\n"
              "G0 Z3\nM5\nM2\n")};
    CHECK_THROWS_WITH(make_bend(bend, presets(), Crew{}), ContainsSubstring("--points"));
    bend.run.points = write(folder / "far.txt", "0 0 -20\n50 0 -20\n0 30 -20\n");
    CHECK_THROWS_WITH(make_bend(bend, presets(), Crew{}), ContainsSubstring("another zero"));
    std::string grid;
    for (int k = 0; k < 12; ++k) grid += fmt::format("{} {} {}\n", k % 4 * 18, k / 4 * 18, k == 6 ? 0.6 : 0.0);
    bend.run.points = write(folder / "slip.txt", grid);
    const Finished bent = make_bend(bend, presets(), Crew{});
    REQUIRE(bent.warnings.size() == 1);
    CHECK(bent.warnings.front().find("Line 7") != std::string::npos);
    bend.arguments = {write(folder / "steps.nc", "G21 G91\nG0 Z3\nM3 S1000\nG1 X1 F100\nM5\nM2\n")};
    bend.job.cuts.front().bits = {{.use = "ball:1.0", .bit = {}, .wishes = {}, .reckoned = {}}};
    CHECK_THROWS_AS(make_bend(bend, presets(), Crew{}), Error);
    fs::remove_all(folder);
}
