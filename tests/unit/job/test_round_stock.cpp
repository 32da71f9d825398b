/// Round and oval stock: sizes that fit it, what sticks out of it, and what has no stock yet. Lengths are plane geometry, on paper.
#include <nlohmann/json.hpp>

#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/run.hpp"
#include "check.hpp"
#include "finished.hpp"
#include "hill.hpp"

using namespace burin;
using namespace tried;

namespace {

const std::string vee = "depth = 0.3\nbit = \"vee:60:0.1:3.175\"\n";

double stock_height(const nlohmann::json& report) { return report["stock"]["y"][1].get<double>() - report["stock"]["y"][0].get<double>(); }

/// How far from zero the programs' way comes along X or Y.
double farthest(const nlohmann::json& report) {
    double far = 0;
    for (const auto& program : report["programs"])
        for (const auto& range : {program["bounds"]["x"], program["bounds"]["y"]})
            far = std::max({far, std::abs(range[0].get<double>()), std::abs(range[1].get<double>())});
    return far;
}

}  // namespace

TEST_CASE("a design fits round stock by its own outline, not by the rectangle round it") {
    // A disc in a disc of 60 with a margin of 5 is 50 wide.
    const std::string disc = "[[cut]]\nmake = \"outline\"\nshape = \"circle\"\ndiameter = 7\nfit = 5\n" + vee;
    CHECK(farthest(report_of(made("stock = \"round:60x12\"\n" + disc))) == Approx(25).margin(0.02));
    // In an oval of 100 × 60 it is bounded by the short axis: 50 again.
    CHECK(farthest(report_of(made("stock = \"oval:100x60x12\"\n" + disc))) == Approx(25).margin(0.02));
    // Two discs side by side, 4 apart, in a disc of radius 25: the far points of both, which lie on the axis, touch it.
    CHECK(farthest(report_of(made("stock = \"round:60x12\"\n" + disc + "columns = 2\ngap = [4, 4]\n"))) == Approx(25).margin(0.02));
    // A hexagon's corners touch; turned or not, its circumscribed circle is the disc. Its diameter is that across corners.
    const std::string hexagon = "[[cut]]\nmake = \"outline\"\nshape = \"polygon\"\ncorners = 6\ndiameter = 3\nrotate = 11\nfit = 5\n" + vee;
    const auto report = report_of(made("stock = \"round:60x12\"\n" + hexagon));
    CHECK(report["figure"]["area_mm2"].get<double>() == Approx(3 * std::sqrt(3) / 2 * 25 * 25).epsilon(2e-3));
}

TEST_CASE("lettering and reliefs fit round stock") {
    const auto text = report_of(made("stock = \"round:60x12\"\n[[cut]]\nmake = \"stroke\"\ntext = \"LAMP\"\nfit = 5\n" + vee));
    CHECK(farthest(text) <= 25.01);
    CHECK(farthest(text) >= 20);  // four capitals are wider than high: it is their ends that touch
    // A square relief in a disc of 40 with a margin of 4: its diagonal is 32, its side 22.62.
    const Hill hill;
    Job job = hill.job();
    job.stock = "round:40x12";
    job.cuts[0].width.reset();
    job.cuts[0].fit = 4;
    const Finished finished = made(job);
    const auto file = std::find_if(finished.files.begin(), finished.files.end(), [](const auto& f) { return f.name == "job.toml"; });
    CHECK(read_job(file->content, "job.toml", "/").cuts[0].width == Approx(32 / std::sqrt(2)).margin(0.01));
    // The same job, read back, gives the same bytes.
    const Finished again = made(read_job(file->content, "job.toml", "/"));
    for (std::size_t k = 0; k < finished.files.size(); ++k) CHECK(finished.files[k].content == again.files[k].content);
}

TEST_CASE("a relief is proved on oval stock, and its report says so") {
    const Hill hill;
    Job job = hill.job(12);
    job.stock = "oval:30x20x12";
    const auto report = report_of(made(job));
    CHECK(report["stock"]["outline"] == "oval");
    CHECK(report["proof"]["deepest_gouge_mm"].get<double>() <= 0.02);
    for (const auto& check : report["proof"]["checks"]) CHECK(check["ok"].get<bool>());
}

TEST_CASE("what sticks out of round stock is refused before it is planned, with the place") {
    const std::string round = "stock = \"round:60x6\"\n[[cut]]\n";
    // A disc of 58 in one of 60: the middle of a 2 mm bit would run on a circle of 60.6 (allowance 0.3).
    for (const char* make : {"make = \"cutout\"\n", "make = \"outline\"\nside = \"outside\"\n"}) {
        const std::string fault = fault_of(round + make + "shape = \"circle\"\ndiameter = 58\n");
        CHECK(fault.find("no room to go round") != std::string::npos);
        CHECK(fault.find("round stock of 60 mm") != std::string::npos);
        CHECK(fault.find("--diameter") != std::string::npos);
    }
    CHECK(fault_of(round + "make = \"cutout\"\nshape = \"circle\"\ndiameter = 57\n").empty());
    // A square of 50 has corners 35.4 from its middle.
    for (const char* make : {"make = \"pocket\"\n", "make = \"outline\"\n", "make = \"incise\"\nbit = \"vee:60:0.1:3.175\"\n"}) {
        const std::string fault = fault_of(round + make + "shape = \"rectangle\"\nwidth = 50\nheight = 50\n");
        CHECK(fault.find("sticks out of the round stock of 60 mm at X") != std::string::npos);
    }
}

TEST_CASE("letters on an arc need no stock") {
    const std::string letters = "[[cut]]\nmake = \"stroke\"\ntext = \"KEEPER\"\narc = 30\ncap-height = 5\n" + vee;
    // Alone: the stock lies round the letters. With another cut: round the circle, whose centre is that of the other cut.
    const auto alone = report_of(made(letters));
    CHECK(stock_height(alone) < 40);
    const auto both = report_of(made("[[cut]]\nmake = \"outline\"\nshape = \"circle\"\ndiameter = 20\n" + vee + letters));
    CHECK(stock_height(both) > 70);
    const auto y = both["programs"][0]["bounds"]["y"];
    CHECK(y[1].get<double>() == Approx(stock_height(both) / 2 + 35).margin(0.6));
}
