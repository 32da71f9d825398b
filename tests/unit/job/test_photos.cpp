/// Photos by their tones, from the picture to the proved programs. The tones are measured once more by what the model of the stock is left
/// with: the share of its cells that lie below the top. Sources: Murray–Davies 1936, IEC 61966-2-1, plane geometry; that 0.02 of the
/// surface is close enough is our own promise, no source.
#include <cmath>
#include <nlohmann/json.hpp>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/run.hpp"
#include "burin/proof/proof.hpp"
#include "check.hpp"
#include "finished.hpp"
#include "hill.hpp"

using namespace burin;
using namespace tried;

namespace {

/// A wedge of light in even steps, with one black and one white corner, as a file of its own.
struct Wedge {
    Hill hill;
    std::string path;
    explicit Wedge(const std::vector<double>& lights) : path((hill.folder / "wedge.png").string()) {
        const int side = 60, steps = static_cast<int>(lights.size());
        std::vector<std::uint16_t> grey;
        for (int j = 0; j < side; ++j)
            for (int i = 0; i < side * steps; ++i) {
                const double light = j < 4 && i < 4 ? 0 : j < 4 && i < 8 ? 1 : lights[static_cast<std::size_t>(i / side)];
                grey.push_back(coded(light));
            }
        std::ofstream(path, std::ios::binary) << write_png_grey16(grey, side * steps, side, 0, {});
    }
    [[nodiscard]] Job job(const std::string& more = "") const {
        return read_job("[[cut]]\nmake = \"screen\"\npicture = \"" + path + "\"\nlevels = [0, 100]\n" + more, "job.toml", "/");
    }
};

/// Share of cells below the top in a box of the stock, from surface.png.
double share_cut(const Finished& finished, const Box& box, const Point& stock) {
    const std::string& png = content(finished, "surface.png");
    const Picture picture = read_picture(std::as_bytes(std::span(png.data(), png.size())), "surface.png");
    const double cell = stock.x / picture.width;
    double cut = 0, all = 0;
    for (int j = 0; j < picture.height; ++j)
        for (int i = 0; i < picture.width; ++i) {
            const Point p{(i + 0.5) * cell, (picture.height - j - 0.5) * cell};
            if (!box.holds(p)) continue;
            const std::size_t at = static_cast<std::size_t>(j) * static_cast<std::size_t>(picture.width) + static_cast<std::size_t>(i);
            all += 1, cut += picture.samples[at] < 65535 ? 1 : 0;
        }
    return cut / all;
}

}  // namespace

TEST_CASE("a grey wedge comes out with its greys") {
    // 15 mm a step; covered is what is missing of the light (Murray–Davies 1936). At 30 degrees no line keeps step with the cells.
    const Wedge wedge({0.75, 0.5, 0.25});
    const Finished finished = made(wedge.job("width = 45\nangle = 30\npitch = 0.8\n"));
    const auto report = report_of(finished);
    CHECK(report["proof"]["tone"]["largest_difference"].get<double>() <= 0.02);
    CHECK(report["proof"]["tone"]["compared"].get<double>() >= 0.2);
    for (int k = 0; k < 3; ++k) {
        const double x = 5 + 15 * k + 7.5;
        CHECK(share_cut(finished, {{x - 4, 8.5}, {x + 4, 16.5}}, {55, 25}) == Approx(0.25 * (k + 1)).margin(0.02));
    }
}

TEST_CASE("a real picture is screened and proved in every pattern, and a material's curve is followed") {
    for (const char* pattern : {"lines", "crossed", "waves", "rings", "spiral"}) {
        CAPTURE(pattern);
        Job job = read_job(std::string("[[cut]]\nmake = \"screen\"\npicture = \"") + BURIN_SOURCE +
                               "/images/lighthouse.png\"\nwidth = 30\npitch = 0.6\npattern = \"" + pattern + "\"\n",
                           "job.toml", "/");
        const auto report = report_of(made(job));
        CHECK(report["proof"]["holds"].get<bool>());
        CHECK(report["proof"]["tone"]["largest_difference"].get<double>() <= 0.02);
    }
    // A material that is half dark when a quarter is covered: half of the light asks for a quarter.
    const Wedge wedge({0.5, 0.5});
    Job job = wedge.job("width = 30\nangle = 30\n");
    job.material_table = find_material(presets, "beech");
    job.material_table->groove_tone.points = {{0, 0}, {0.25, 0.5}, {1, 1}};
    CHECK(share_cut(made(job), {{10, 10}, {30, 15}}, {40, 25}) == Approx(0.25).margin(0.02));
}

TEST_CASE("a groove cut too deep is seen by the tones too") {
    const Wedge wedge({0.6, 0.4});
    const Finished finished = made(wedge.job("width = 30\n"));
    std::string text = content(finished, "1-cut.nc");
    // Every cut a tenth of a millimetre deeper, as a tool set wrongly would: 0.115 mm wider at 60 degrees, a seventh of the pitch.
    std::string damaged;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = text.find('\n', at);
        std::string line = text.substr(at, end - at);
        if (const std::size_t z = line.find("Z-"); z != std::string::npos) {
            const std::size_t stop = line.find_first_not_of("-.0123456789", z + 1);
            const double value = std::stod(line.substr(z + 1, stop - z - 1)) - 0.1;
            line = line.substr(0, z) + "Z" + std::to_string(value).substr(0, 6) + (stop == std::string::npos ? "" : line.substr(stop));
        }
        damaged += line + "\n";
        at = end + 1;
    }
    FigureDesign design;  // the wanted tones alone, with the grooves that were planned
    Grid<float> coverage(300, 150, 0.1, {5, 5}, 0.4F);
    for (int j = 0; j < 150; ++j)
        for (int i = 150; i < 300; ++i) coverage(i, j) = 0.6F;
    design.grooves.push_back({{{5, 5, -0.3}, {35, 5, -0.3}}, false});
    design.tone = ToneDesign{std::move(coverage), 1.2, 0.2, 1};
    ProofTask task;
    task.figure = &design;
    task.machine = find_machine(presets, "desk-240x150");
    task.stock = make_stock(Outline::rectangle, 40, 25, 12, Anchor::lower_left);
    task.programs.push_back({"1-cut.nc", damaged, Bit::parse("vee:60:0.1:3.175"), 1000, 1000, 2, 3, {}});
    const auto tone_check = [&] {
        const Proof proof = prove(task, {});
        return *std::find_if(proof.checks.begin(), proof.checks.end(), [](const Check& c) { return c.name == "the tones of the picture"; });
    };
    const Check broken = tone_check();
    CHECK_FALSE(broken.ok);
    CHECK(broken.line > 0);
    task.programs[0].text = text;
    CHECK(tone_check().ok);
}

TEST_CASE("screens turn, repeat, fit and come back from their job file") {
    const Wedge wedge({0.7, 0.3});
    Job job = wedge.job("fit = 4\nrotate = 90\ncolumns = 2\ngap = [4, 4]\nangle = 20\n");
    job.stock = "60x50x12";
    const Finished finished = made(job);
    const auto report = report_of(finished);
    CHECK(report["proof"]["holds"].get<bool>());
    const Finished again = made(read_job(content(finished, "job.toml"), "job.toml", "/"), 1);
    for (std::size_t k = 0; k < finished.files.size(); ++k) CHECK(finished.files[k].content == again.files[k].content);
}

TEST_CASE("a trial piece of a photo is cut and proved") {
    const Wedge wedge({0.7, 0.3});
    Job job = wedge.job("width = 60\n");
    job.trial = Point{15, 12};
    const auto report = report_of(made(job));
    CHECK(report["proof"]["holds"].get<bool>());
    CHECK(report["stock"]["x"][1].get<double>() == Approx(25));
}

TEST_CASE("photos refuse what has no tones") {
    const auto fault = [](const std::string& cut) {
        try {
            (void)made(read_job("[[cut]]\nmake = \"screen\"\n" + cut, "job.toml", "/"));
        } catch (const Error& error) {
            return std::string(error.what());
        }
        return std::string();
    };
    CHECK(fault("width = 40\n").find("picture") != std::string::npos);
    CHECK(fault(std::string("picture = \"") + BURIN_SOURCE + "/images/lighthouse.png\"\nwidth = 40\nbit = \"flat:2.0\"\n").find("swell") !=
          std::string::npos);
    CHECK(fault(std::string("picture = \"") + BURIN_SOURCE + "/images/lighthouse.png\"\nwidth = 40\nlevels = [60, 20]\n").find("below") !=
          std::string::npos);
}
