/// Pockets in steps: every tone of grey its own floor. Volumes are known on paper (plane geometry).
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

using namespace burin;

namespace {

const PresetFolders presets{{BURIN_SOURCE "/presets"}};

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

nlohmann::json report_of(const Finished& finished) { return nlohmann::json::parse(finished.files.back().content); }

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

TEST_CASE("a step is proved from the floor that it begins on") {
    // A pocket of 1 mm planned on a floor at −2: with the top said to lie there it holds; a tenth higher or lower it does not.
    FigureDesign design;
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
    const WrittenProgram written = write_program(path, {});
    ProofTask task;
    task.figure = &design;
    task.machine = find_machine(presets, "desk-240x150");
    task.stock = make_stock(Outline::rectangle, 40, 30, 10, Anchor::lower_left);
    task.programs = {{.file = "1-cut.nc",
                      .text = written.text,
                      .bit = bit,
                      .feed = 400,
                      .plunge = 100,
                      .most_at_once = 0.5,
                      .spin_up_s = 3,
                      .pass_lines = {}}};
    task.top = -2;
    CHECK(prove(task, {}).holds);
    for (const double wrong : {-1.9, -2.1}) {
        task.top = wrong;
        CHECK_FALSE(prove(task, {}).holds);
    }
}
