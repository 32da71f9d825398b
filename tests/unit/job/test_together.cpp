/// Several cuts: the order of their programs, the places they take, and that what was proved apart is proved together. Orders and
/// lengths are known on paper; the promises are those of the proof itself.
#include <nlohmann/json.hpp>

#include "../../../src/job/placing.hpp"
#include "../../../src/job/running_order.hpp"
#include "../../../src/job/spare.hpp"
#include "burin/base/error.hpp"
#include "burin/job/job_file.hpp"
#include "burin/job/manual.hpp"
#include "burin/job/options.hpp"
#include "burin/job/run.hpp"
#include "check.hpp"
#include "finished.hpp"

using namespace burin;
using namespace tried;

namespace {

Box square(double x, double y, double side) { return {{x, y}, {x + side, y + side}}; }

// A square pocketed by two bits, a ring line and a plate cut out: three bits, one of them for two cuts.
const std::string three = R"(
stock = "60x50x4"
[[cut]]
make = "cutout"
id = "plate"
shape = "rounded"
width = 44
height = 34
corner-radius = 5
bit = "flat:2.0"
[[cut]]
make = "pocket"
id = "square"
shape = "rectangle"
width = 16
height = 16
depth = 1
bit = ["flat:3.175", "flat:2.0"]
[[cut]]
make = "outline"
shape = "circle"
diameter = 26
depth = 0.5
bit = "vee:60:0.1:3.175"
)";

}  // namespace

TEST_CASE("bits are changed as seldom as can be, and what cuts loose comes last") {
    // Bits 0, 1, 2. Cut 0: 0 then 1. Cut 1: 1. Cut 2, loose: 0. Cut 3: 0 then 2.
    const std::vector<CutTasks> cuts{{{0, 1}, square(0, 0, 10), {}, false},
                                     {{1}, square(20, 0, 10), {}, false},
                                     {{0}, square(-5, -5, 60), {}, true},
                                     {{0, 2}, square(0, 20, 10), {}, false}};
    const auto order = running_order(cuts);
    // 0, then 1 and 2 in the order of their numbers, then 0 again for what cuts loose: no fewer will do.
    REQUIRE(order.size() == 4);
    CHECK(order[0].bit == 0);
    CHECK(order[0].parts.size() == 2);
    CHECK(order[1].bit == 1);
    CHECK(order[1].parts.size() == 2);
    CHECK(order[2].bit == 2);
    CHECK(order[3].parts == std::vector<CutPart>{{2, 0}});
    // Where the loose one's bit is the last anyway it shares its program, at the end.
    const auto shared = running_order({{{0}, square(0, 0, 50), {}, true}, {{1, 0}, square(10, 10, 5), {}, false}});
    REQUIRE(shared.size() == 2);
    CHECK(shared[1].parts == std::vector<CutPart>{{1, 1}, {0, 0}});
}

TEST_CASE("within a program inner cuts come before those round them, then the nearest") {
    const auto order = running_order({{{0}, square(0, 0, 50), {}, false},   // round the next two
                                      {{0}, square(30, 30, 5), {}, false},  // farther
                                      {{0}, square(5, 5, 5), {}, false}});
    REQUIRE(order.size() == 1);
    CHECK(order[0].parts == std::vector<CutPart>{{2, 0}, {1, 0}, {0, 0}});
}

TEST_CASE("many cuts of one kind are one program; many kinds still end") {
    std::vector<CutTasks> tags;
    for (int k = 0; k < 60; ++k) tags.push_back({{0, 1}, square(k * 10.0, 0, 8), {}, false});
    CHECK(running_order(tags).size() == 2);
    std::vector<CutTasks> mixed;  // 2^20 ways to interleave
    for (std::size_t k = 0; k < 20; ++k) mixed.push_back({{k, 20}, square(static_cast<double>(k) * 10, 0, 8), {}, false});
    CHECK(running_order(mixed).size() == 21);
}

TEST_CASE("three cuts share programs by bit, and the whole is proved and said") {
    const Finished finished = made(three);
    const auto report = report_of(finished);
    CHECK(report["proof"]["holds"] == true);
    // flat:3.175 roughs the square; the vee engraves; flat:2.0 clears its corners and, last, cuts the plate out.
    REQUIRE(report["programs"].size() == 3);
    CHECK(report["programs"][2]["tool"] == "flat:2.0");
    REQUIRE(report["cuts"].size() == 3);
    CHECK(report["cuts"][0]["files"] == nlohmann::json::array({report["programs"][2]["file"]}));
    double shares = 0;
    for (const auto& cut : report["cuts"]) shares += cut["time_s"].get<double>();
    CHECK(shares == Approx(report["time_s"].get<double>()).epsilon(1e-6));
    CHECK(report["proof"]["over_line_mm"].get<double>() <= 0.03);
    const std::string& last = finished.files[2].content;
    CHECK(last.find("(Cut 2, square)") < last.find("(Cut 1, plate)"));
    CHECK(last.find("(Cut 1, plate)") != std::string::npos);
    // The same bytes on any number of threads, and from the job file that was written.
    const Finished alone = made(three, 1);
    for (std::size_t k = 0; k < finished.files.size(); ++k) CHECK(alone.files[k].content == finished.files[k].content);
    const auto job = std::find_if(finished.files.begin(), finished.files.end(), [](const OutputFile& f) { return f.name == "job.toml"; });
    const Finished again = made(job->content);
    for (std::size_t k = 0; k < 4; ++k) CHECK(again.files[k].content == finished.files[k].content);
}

TEST_CASE("several cuts in one file, and lifted, are proved too") {
    const auto joined = report_of(made("one-file = true\n" + three));
    CHECK(joined["proof"]["holds"] == true);
    CHECK(joined["programs"][0]["file"] == joined["programs"][2]["file"]);
    CHECK(report_of(made("air = 10\n" + three))["proof"]["holds"] == true);
}

TEST_CASE("a cut that takes another's tabs is refused") {
    // Four tabs hold the plate at its sides; a deep pocket across the whole stock takes them.
    const std::string pocket = R"(
[[cut]]
make = "pocket"
shape = "rectangle"
width = 56
height = 46
depth = 3.8
bit = "flat:2.0"
)";
    CHECK(fault_of(three + pocket).find("tab of cut 1, plate") != std::string::npos);
}

TEST_CASE("aligned cuts lie where geometry says") {
    const std::string job = R"(
stock = "80x60x5"
[[cut]]
make = "outline"
id = "box"
shape = "rectangle"
width = 30
height = 10
at = [40, 40]
depth = 0.5
bit = "vee:60:0.1:3.175"
[[cut]]
make = "outline"
shape = "rectangle"
width = 20
height = 6
align = "below:box:4"
depth = 0.5
bit = "vee:60:0.1:3.175"
)";
    const auto report = report_of(made(job));
    // 40 − 10/2 − 4 − 6/2 = 28.
    CHECK(report["cuts"][1]["bounds"]["y"][0].get<double>() == Approx(25));
    CHECK(report["cuts"][1]["bounds"]["x"][1].get<double>() == Approx(50));
    CHECK(parse_alignment("left:a:b:2").of == "a:b");
    CHECK(parse_alignment("centre:a").gap == 0);
    for (const char* wrong : {"", "over:a", "above", "above:", "above:a:x"}) CHECK_THROWS_AS(parse_alignment(wrong), Error);
}

TEST_CASE("what lies on top spares what lies below") {
    const auto job = [](const char* below, const char* spare) {
        return std::string("stock = \"80x60x5\"\n[[cut]]\nmake = \"") + below + R"("
shape = "rectangle"
width = 40
height = 20
depth = 1
bit = "flat:2.0"
[[cut]]
make = "pocket"
shape = "circle"
diameter = 10
depth = 2
bit = "flat:2.0"
)" + spare;
    };
    const auto removed = [](const nlohmann::json& report) { return report["programs"][0]["removed_mm3"].get<double>(); };
    const double over = removed(report_of(made(job("pocket", ""))));
    const double spared = removed(report_of(made(job("pocket", "spare = true\nspare-margin = 2\n"))));
    // A ring of 10 to 14 mm diameter stays 1 mm high: π (7² − 5²) = 75.4 mm³; the rounded corners are the same in both.
    CHECK(over - spared == Approx(75.4).margin(1.0));
    CHECK(report_of(made(job("pocket", "")))["warnings"].dump().find("overlaps cut 1") != std::string::npos);
}

TEST_CASE("lines are interrupted where something lies on them") {
    DesignedFigure line;
    line.design.grooves.push_back({{{0, 0, -1}, {10, 0, -1}, {10, 10, -1}, {0, 10, -1}}, true});
    DesignedCut cut = std::move(line);
    spare(cut, Region({{{4, -1}, {6, -1}, {6, 1}, {4, 1}}}));
    const auto& grooves = std::get<DesignedFigure>(cut).design.grooves;
    // A closed line with one gap of 2 mm is one open line of 40 − 2.
    REQUIRE(grooves.size() == 1);
    CHECK_FALSE(grooves[0].closed);
    double length = 0;
    for (std::size_t k = 1; k < grooves[0].tip.size(); ++k) length += distance(grooves[0].tip[k - 1], grooves[0].tip[k]);
    CHECK(length == Approx(38));
    CHECK_THROWS_AS(spare(cut, Region({{{-5, -5}, {15, -5}, {15, 15}, {-5, 15}}})), Error);
}

TEST_CASE("several cuts: what is wrong is said with the cut") {
    CHECK(fault_of(three + "[[cut]]\nmake = \"incise\"\ntext = \"a\"\nid = \"name\"\nfont = \"No such family\"\n").find("Cut 4, name: ") ==
          0);
    CHECK(fault_of("trial = \"10x10\"\n" + three).find("trial piece") != std::string::npos);
    CHECK(fault_of(R"(
[[cut]]
make = "incise"
text = "a"
align = "below:b"
)")
              .find("other cuts") != std::string::npos);
}

TEST_CASE("copies lie in rows and columns") {
    const auto report = report_of(made(R"(
[[cut]]
make = "pocket"
shape = "circle"
diameter = 8
depth = 1
columns = 3
rows = 2
gap = [4, 2]
bit = "flat:2.0"
)"));
    // Six discs of 8 mm: 6 π 16 = 301.6 mm³; 3 × 8 + 2 × 4 by 2 × 8 + 2.
    CHECK(report["programs"][0]["removed_mm3"].get<double>() == Approx(301.6).epsilon(0.01));
    CHECK(report["stock"].dump().find("42") != std::string::npos);
}

TEST_CASE("the job file to start from works as it is, and its comments tell every key") {
    const std::string starter = starter_job();
    const auto report = report_of(made(starter));
    CHECK(report["proof"]["holds"] == true);
    CHECK(report["cuts"].size() == 3);
    for (const Option& option : option_table())
        if (!std::holds_alternative<MemberOf<RunOptions>>(option.member)) {
            CAPTURE(option.name);
            CHECK(starter.find("\n# " + std::string(option.name) + " =") != std::string::npos);
        }
}

TEST_CASE("designs fit their stock") {
    const auto fit = [](const std::string& stock, const std::string& more) {
        return report_of(made("stock = \"" + stock +
                              "\"\n[[cut]]\nmake = \"outline\"\nshape = \"rectangle\"\nwidth = 3\nheight = 4\n"
                              "depth = 0.3\nbit = \"vee:60:0.1:3.175\"\n" +
                              more));
    };
    // 3 : 4 in 60 × 50 with a margin of 5: 40 high, 30 wide.
    auto report = fit("60x50x6", "fit = 5\n");
    CHECK(report["figure"]["area_mm2"].get<double>() == Approx(30 * 40).epsilon(1e-3));
    // On a disc of 60 with a margin of 5 the diagonal is 50: 30 × 40 again.
    report = fit("round:60x6", "fit = 5\n");
    CHECK(report["figure"]["area_mm2"].get<double>() == Approx(30 * 40).epsilon(1e-3));
    // Two columns 10 mm apart in 60 × 50, margin 5: 20 wide each, 26.67 high; the drawing is one of them.
    report = fit("60x50x6", "fit = 5\ncolumns = 2\ngap = [10, 10]\n");
    CHECK(report["figure"]["area_mm2"].get<double>() == Approx(20 * 80 / 3.0).epsilon(2e-3));
    // An ellipse of 100 × 50, margin 5: (x / 90)² + (y / 40)² = 1 with y = 4x / 3: x = 90 / √(1 + 9) = 28.46.
    report = fit("oval:100x50x6", "fit = 5\n");
    CHECK(report["figure"]["area_mm2"].get<double>() == Approx(90.0 * 90 / 10 * 4 / 3).epsilon(1e-3));
    CHECK(report["stock"]["outline"] == "oval");
    CHECK_THROWS_AS(fit("60x50x6", "fit = 26\n"), Error);
}

TEST_CASE("an oval stock has no corners") {
    // A bar of 70 × 30 fits an ellipse of 100 × 50 in its middle and not at its end, though it lies in the rectangle round it.
    const auto bar = [](const char* at) {
        return std::string(
                   "stock = \"oval:100x50x6\"\n[[cut]]\nmake = \"pocket\"\nshape = \"rectangle\"\nwidth = 70\nheight = 30\n"
                   "depth = 0.5\nbit = \"flat:2.0\"\n") +
               at;
    };
    CHECK(fault_of(bar("")).empty());
    CHECK_FALSE(fault_of(bar("at = [14, 9]\n")).empty());
}
