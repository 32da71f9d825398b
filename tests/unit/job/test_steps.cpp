/// Pockets in steps: every tone of grey its own floor. Volumes are known on paper (plane geometry).
#include <algorithm>
#include <charconv>
#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <numbers>

#include "burin/base/error.hpp"
#include "burin/job/run.hpp"
#include "burin/picture/picture.hpp"
#include "burin/proof/proof.hpp"
#include "burin/toolpath/figures.hpp"
#include "check.hpp"
#include "finished.hpp"

using namespace burin;
using namespace tried;

namespace {

/// Squares of four tones within each other, 10 pixels a mm: white, then 24, 16 and 8 mm of two greys and black.
struct Pyramid {
    std::filesystem::path folder, path;
    Pyramid() {
        std::string name = (std::filesystem::temp_directory_path() / "burin-steps-XXXXXX").string();
        folder = ::mkdtemp(name.data());
        path = folder / "pyramid.png";
        std::vector<std::uint16_t> grey;
        for (int j = 0; j < 300; ++j)
            for (int i = 0; i < 300; ++i) {
                const int out = std::max(std::abs(2 * i + 1 - 300), std::abs(2 * j + 1 - 300)) / 2;  // pixels from the middle
                grey.push_back(out < 40 ? 0 : out < 80 ? 21845 : out < 120 ? 43690 : 65535);
            }
        std::ofstream(path, std::ios::binary) << write_png_grey16(grey, 300, 300, 0, {});
    }
    ~Pyramid() { std::filesystem::remove_all(folder); }
    Pyramid(const Pyramid&) = delete;
    Pyramid& operator=(const Pyramid&) = delete;

    [[nodiscard]] Job job(const std::vector<const char*>& bits) const {
        Job job;
        job.cuts.emplace_back();
        Cut& cut = job.cuts[0];
        cut.make = "pocket";
        cut.picture = path.string();
        cut.width = 30;
        cut.depth = 3;
        cut.steps = 3;
        for (const char* bit : bits) cut.bits.emplace_back().use = bit;
        return job;
    }
};

}  // namespace

TEST_CASE("a pyramid of tones is cut in steps, from the top down") {
    const Pyramid pyramid;
    const Finished finished = run_job(pyramid.job({"flat:2.0"}), presets, {});
    const auto report = report_of(finished);
    CHECK(report["proof"]["holds"] == true);
    REQUIRE(report["cuts"].size() == 3);
    // Three floors 1 mm apart of 24, 16 and 8 mm square; a bit of radius 1 leaves (4 − π) mm² in the corners of each.
    const double corners = 4 - std::numbers::pi;
    CHECK(report["programs"][0]["removed_mm3"].get<double>() == Approx(24 * 24 + 16 * 16 + 8 * 8 - 3 * corners).epsilon(0.005));
    for (int k = 0; k < 3; ++k) {
        CHECK(report["cuts"][static_cast<std::size_t>(k)]["proof"]["over_line_mm"].get<double>() <= 0.03);
        CHECK(report["cuts"][static_cast<std::size_t>(k)]["proof"]["short_of_line_mm"].get<double>() <= 0.03);
    }
    const std::string& text = finished.files[0].content;
    CHECK(text.find("step 1)") < text.find("step 2)"));
    CHECK(text.find("step 2)") < text.find("step 3)"));
    CHECK(report["programs"][0]["bounds"]["z"][0].get<double>() == Approx(-3));
}

TEST_CASE("two bits share every step: all steps with the wider one, then the corners") {
    const Pyramid pyramid;
    const auto report = report_of(run_job(pyramid.job({"flat:3.175", "flat:1.0"}), presets, {}));
    REQUIRE(report["programs"].size() == 2);
    CHECK(report["programs"][0]["tool"] == "flat:3.175");
    CHECK(report["proof"]["holds"] == true);
}

TEST_CASE("steps want greys, and a bit that is long enough") {
    const Pyramid pyramid;
    Job job = pyramid.job({"flat:2.0"});
    job.cuts[0].part.emplace("ground");
    CHECK_THROWS_AS(run_job(job, presets, {}), Error);
    job = pyramid.job({"flat:0.6"});  // cuts on 2.4 mm of its length
    CHECK_THROWS_AS(run_job(job, presets, {}), Error);
    job = pyramid.job({"flat:2.0"});
    job.cuts[0].picture.reset();
    job.cuts[0].width.reset();
    job.cuts[0].text.emplace("letters");
    CHECK_THROWS_AS(run_job(job, presets, {}), Error);
}

namespace {

/// A pocket of 1 mm planned on a floor at −2, as a step is, and what is asked of it.
struct Lowered {
    FigureDesign design;
    std::string text;
    ProofTask task;

    Lowered() {
        design.traced = design.may = Region({{{10, 10}, {30, 10}, {30, 20}, {10, 20}}});
        design.floor = -1;
        const Bit bit = Bit::parse("flat:2.0");
        FigureOrder order;
        order.bits = {{bit, 400, 100, 0.5}};
        order.safe_height = 5;
        FigurePlan plan = plan_pocket(design, order, {});
        REQUIRE(plan.paths.size() == 1);
        Toolpath path = plan.paths[0].path;
        path.track.start.z -= 2;
        for (Move& move : path.track.moves) move.to.z -= 2;
        text = write_program(path, {}).text;
        task.figure = &design;
        task.machine = find_machine(presets, "desk-240x150");
        task.stock = make_stock(Outline::rectangle, 40, 30, 10, Anchor::lower_left);
        task.programs = {{.file = "1-cut.nc",
                          .text = text,
                          .bit = bit,
                          .feed = 400,
                          .plunge = 100,
                          .most_at_once = 0.5,
                          .spin_up_s = 3,
                          .pass_lines = {}}};
        task.top = -2;
    }
    Lowered(const Lowered&) = delete;
    Lowered& operator=(const Lowered&) = delete;
};

/// Names of the promises that are broken.
std::vector<std::string> broken(const ProofTask& task) {
    std::vector<std::string> names;
    for (const Check& check : prove(task, {}).checks)
        if (!check.ok) names.push_back(check.name);
    return names;
}
bool holds(const std::vector<std::string>& names, const std::string& name) {
    return std::find(names.begin(), names.end(), name) != names.end();
}

}  // namespace

// Sources: the promises that every job keeps.
TEST_CASE("a step is proved from the floor that it begins on") {
    Lowered lowered;
    CHECK(broken(lowered.task).empty());
    // With the top said to lie a tenth higher or lower it does not hold.
    for (const double wrong : {-1.9, -2.1}) {
        lowered.task.top = wrong;
        CHECK_FALSE(broken(lowered.task).empty());
    }
}

TEST_CASE("a step whose program is damaged is seen: one move too deep, its last level left out") {
    Lowered lowered;
    const std::size_t floor = lowered.text.find("Z-3\n");
    REQUIRE(floor != std::string::npos);
    const std::string& whole = lowered.text;
    const auto asked = [&](const std::string& text) {
        lowered.task.programs[0].text = text;
        return broken(lowered.task);
    };
    const std::size_t next = whole.find('\n', floor + 4);
    REQUIRE(whole.substr(floor + 4, next - floor - 4).find('Z') == std::string::npos);
    CHECK(holds(asked(whole.substr(0, next) + " Z-3.1" + whole.substr(next, whole.find('\n', next + 1) - next) + " Z-3" +
                      whole.substr(whole.find('\n', next + 1))),
                "nothing below the design"));
    // From the second level's beginning everything stays at the first: −2.5 in place of what is deeper.
    std::string shallow;
    for (std::size_t at = 0; at < whole.size();) {
        const std::size_t end = std::min(whole.find('\n', at), whole.size());
        const std::string line = whole.substr(at, end - at);
        const std::size_t z = line.find('Z');
        double height = 0;
        if (z != std::string::npos) std::from_chars(line.data() + z + 1, line.data() + line.size(), height);
        const bool deep = height < -2.5;
        shallow += deep ? line.substr(0, z) + "Z-2.5" + line.substr(std::min(line.size(), line.find(' ', z))) : line;
        shallow += '\n';
        at = end + 1;
    }
    CHECK(holds(asked(shallow), "nothing left standing"));
}

TEST_CASE("a step left out of the whole program is seen by the next one's bit") {
    const Pyramid pyramid;
    const Finished finished = run_job(pyramid.job({"flat:2.0"}), presets, {});
    const std::string& whole = finished.files[0].content;
    const std::size_t first = whole.find("(Cut 1, pocket, step 1)"), second = whole.find("(Cut 1, pocket, step 2)");
    REQUIRE(first != std::string::npos);
    REQUIRE(second != std::string::npos);
    ProofTask task;
    task.machine = find_machine(presets, "desk-240x150");
    task.stock = make_stock(Outline::rectangle, 40, 40, 12, Anchor::lower_left);
    task.programs = {{.file = "1-cut.nc",
                      .text = whole,
                      .bit = Bit::parse("flat:2.0"),
                      .feed = 1e4,
                      .plunge = 1e4,
                      .most_at_once = 1,
                      .spin_up_s = 0,
                      .pass_lines = {}}};
    CHECK(broken(task).empty());
    const std::string without = whole.substr(0, first) + "G0 Z3\n" + whole.substr(second);
    task.programs[0].text = without;
    CHECK(holds(broken(task), "nothing too much at once"));
}
