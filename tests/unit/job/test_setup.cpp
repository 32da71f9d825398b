/// What is made for the time at the machine: machine, zero, pace, from their orders to their files. No source: the contract of setup.hpp.
#include <filesystem>
#include <fstream>

#include "burin/base/files.hpp"
#include "burin/job/setup.hpp"
#include "finished.hpp"

using namespace burin;
using namespace tried;

namespace {

namespace fs = std::filesystem;

class Folder {
public:
    Folder() : path_(fs::temp_directory_path() / "burin-setup") {
        fs::remove_all(path_);
        fs::create_directories(path_);
    }
    ~Folder() { fs::remove_all(path_); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
    [[nodiscard]] std::string put(const std::string& name, const std::string& text) const {
        std::ofstream(path_ / name, std::ios::binary) << text;
        return (path_ / name).string();
    }
    [[nodiscard]] std::string operator/(const std::string& name) const { return (path_ / name).string(); }

private:
    fs::path path_;
};

Order order_of(std::vector<std::string> arguments = {}) {
    Order order;
    order.arguments = std::move(arguments);
    order.job.cuts.emplace_back();
    return order;
}

const std::string cut = "G21 G90 G17 G94 G54\nG0 Z4.5\nM3 S10000\nG4 P3\nX10 Y10\nG1 Z-1 F100\nX60 F200\nY40\nX10 Y10\nG0 Z4.5\nM5\nM2\n";

}  // namespace

TEST_CASE("a list of settings becomes a file that a job can use") {
    const Folder folder;
    Order order = order_of({folder.put("tower.txt", "$110=2500\n$130=260\n$999=1\n")});
    const Finished made = make_machine_file(order, presets, {});
    const Machine machine = read_machine(content(made, "tower.toml"), "tower.toml");
    CHECK((machine.travel[0] == 260 && machine.rapid[0] == 2500 && machine.name == "tower"));
    CHECK_THAT(content(made, "tower.toml"),
               ContainsSubstring("# rapid x: 2500 mm/min ($110, line 1)") && ContainsSubstring("(as in 'desk-240x150'"));
    CHECK(report_of(made)["figures_from_list"] == 2);
    CHECK_THAT(content(made, "report.html"), ContainsSubstring("999"));
    same(made, make_machine_file(order, presets, crew_of(3)));
    // A file that somebody wrote by hand is left alone; one that this command wrote is not.
    order.run.output = folder / "";
    (void)folder.put("tower.toml", content(made, "tower.toml"));
    CHECK_NOTHROW(make_machine_file(order, presets, {}));
    (void)folder.put("tower.toml", "travel = [1, 2, 3]\n");
    CHECK_THAT(refusal_of([&] { (void)make_machine_file(order, presets, {}); }, Fault::output), ContainsSubstring("left alone"));
    order.run.controller = "numbered-setings";
    CHECK_THAT(refusal_of([&] { (void)make_machine_file(order, presets, {}); }, Fault::usage), ContainsSubstring("numbered-settings"));
    CHECK_THAT(refusal_of([&] { (void)make_machine_file(order_of({folder / "none.txt"}), presets, {}); }, Fault::input),
               ContainsSubstring("none.txt"));
}

TEST_CASE("zero by plate, corner plate and paper, for every way of setting it") {
    const Folder folder;
    const std::string desk = preset_text(presets, "desk-240x150");
    for (const char* by : {"G10 L20", "G10 L2", "G92"}) {
        const std::string machine = folder.put("desk.toml", "zero-by = \"" + std::string(by) + "\"\n" + desk);
        for (const char* corner : {"", "lower-left", "lower-right", "upper-left", "upper-right"}) {
            INFO(by << " " << corner);
            Order order = order_of();
            order.job.machine = machine;
            order.run.plate = 12.3;
            if (*corner != 0) order.run.plate_wall = 7.7, order.run.plate_width = 45, order.job.zero = corner;
            const Finished made = make_zero(order, presets, {});  // proved, or it throws
            CHECK_THAT(content(made, "1-zero.nc"), ContainsSubstring(by) && ContainsSubstring("G38.2"));
            CHECK(report_of(made)["zero_error_mm"].get<double>() <= 0.0005001);  // three decimals
            CHECK((made.warnings.size() == 1) == (std::string(by) == "G92"));
        }
        Order paper = order_of();
        paper.job.machine = machine;
        const Finished made = make_zero(paper, presets, {});
        CHECK((made.files.front().name == "1-zero.nc") == (std::string(by) != "G10 L2"));
    }
}

TEST_CASE("bits with a curve at their tip touch a corner plate with their full width") {
    Order order = order_of();
    order.run.plate = 12, order.run.plate_wall = 8, order.run.plate_width = 50;
    for (const char* bit : {"flat:1.0", "ball:3.175", "bull:3.175:0.5", "vee:60:0.1:3.175"}) {
        INFO(bit);
        order.job.cuts.front().bits = {BitUse{bit, {}, {}, {}}};
        CHECK_NOTHROW(make_zero(order, presets, {}));
    }
    order.run.plate = 3;
    CHECK_THAT(refusal_of([&] { (void)make_zero(order, presets, {}); }, Fault::refused), ContainsSubstring("upright sides"));
}

TEST_CASE("datum dots are drilled, proved and told of") {
    Order order = order_of();
    order.run.datum_dots = "4,4:96,76";
    order.job.stock = "100x80x12";
    const Finished made = make_zero(order, presets, {});
    CHECK_THAT(content(made, "2-dots.nc"), ContainsSubstring("X4 Y4") && ContainsSubstring("X96 Y76") && ContainsSubstring("Z-0.5"));
    CHECK(report_of(made)["programs"].size() == 2);
    CHECK_THAT(content(made, "report.html"), ContainsSubstring("power cut"));
    order.job.stock = "90x80x12";
    CHECK_THAT(refusal_of([&] { (void)make_zero(order, presets, {}); }, Fault::refused), ContainsSubstring("X 96"));
    order.job.stock = "round:120x12";
    order.run.datum_dots = "-50,0:50,0";
    CHECK_NOTHROW(make_zero(order, presets, {}));
}

TEST_CASE("wishes for a zero that do not fit together are told") {
    const auto told = [](auto&& wish, Fault fault) {
        Order order = order_of();
        wish(order);
        return refusal_of([&] { (void)make_zero(order, presets, {}); }, fault);
    };
    CHECK_THAT(told([](Order& o) { o.run.plate_wall = 8; }, Fault::usage), ContainsSubstring("--plate-width"));
    CHECK_THAT(told([](Order& o) { o.run.plate_wall = 8, o.run.plate_width = 40; }, Fault::usage), ContainsSubstring("--plate"));
    CHECK_THAT(told([](Order& o) { o.run.plate = 8, o.run.paper = 0.1; }, Fault::usage), ContainsSubstring("--paper"));
    CHECK_THAT(told([](Order& o) { o.run.probe_feed = 50; }, Fault::usage), ContainsSubstring("--probe-feed"));
    CHECK_THAT(told([](Order& o) { o.run.plate = 8, o.run.probe_feed = 20; }, Fault::usage), ContainsSubstring("--probe-slow"));
    CHECK_THAT(told([](Order& o) { o.run.plate = 8, o.run.plate_wall = 8, o.run.plate_width = 40, o.job.zero = "centre"; }, Fault::usage),
               ContainsSubstring("lower-left"));
    CHECK_THAT(
        told([](Order& o) { o.run.plate = 8, o.run.plate_wall = 8, o.run.plate_width = 40, o.job.stock = "round:90x12"; }, Fault::refused),
        ContainsSubstring("no corner"));
    CHECK_THAT(told([](Order& o) { o.job.machine = "laser-240x150"; }, Fault::refused), ContainsSubstring("beam"));
}

TEST_CASE("the outline of programs is walked at their own height, spindle off") {
    const Folder folder;
    Order order = order_of({folder.put("lid.nc", cut)});
    for (const char* by : {"box", "circle", "hull"}) {
        INFO(by);
        order.run.by = by;
        const Finished made = make_pace(order, presets, {});
        const std::string& text = content(made, "1-pace.nc");
        CHECK_THAT(text, ContainsSubstring("\nM5\nG0 Z4.5\n") && !ContainsSubstring("M3"));
        CHECK(report_of(made)["height_mm"] == 4.5);
        same(made, make_pace(order, presets, crew_of(4)));
    }
    CHECK(report_of(make_pace(order, presets, {}))["corners"] == 3);
    order.job.cuts.front().pilot = 1;
    CHECK_THAT(refusal_of([&] { (void)make_pace(order, presets, {}); }, Fault::usage), ContainsSubstring("--pilot"));
    order.job.cuts.front().pilot.reset();
    CHECK_THAT(refusal_of([&] { (void)make_pace(order_of({folder.put("letter.nc", "Dear keeper\n")}), presets, {}); }, Fault::input),
               ContainsSubstring("letter.nc"));
    CHECK_THAT(
        refusal_of([&] { (void)make_pace(order_of({folder.put("air.nc", "G21 G90\nG0 Z3\nX50\nM2\n")}), presets, {}); }, Fault::refused),
        ContainsSubstring("no outline"));
    CHECK_THAT(
        refusal_of([&] { (void)make_pace(order_of({folder.put("home.nc", "G21 G90\nG0 Z3\nG28\nM2\n")}), presets, {}); }, Fault::input),
        ContainsSubstring("line 3"));
    const std::string far = folder.put("far.nc", "G21 G90\nG0 Z3\nX0 Y0\nM3 S9000\nG1 Z-1 F50\nX400 F100\nG0 Z3\nM5\nM2\n");
    CHECK_THAT(refusal_of([&] { (void)make_pace(order_of({far}), presets, {}); }, Fault::refused), ContainsSubstring("travel"));
}

TEST_CASE("a beam's outline is walked dark, or with as much pilot power as the machine's file allows") {
    const Folder folder;
    const std::string burnt = "G21 G90 G17 G94 G54\nM5 S0\nM4 S0\nG0 X20 Y20\nG1 X30 Y40 F500 S300\nX20 Y60\nX20 Y20\nS0\nM5 S0\nM2\n";
    Order order = order_of({folder.put("burn.nc", burnt)});
    order.job.machine = "laser-240x150";
    CHECK_THAT(content(make_pace(order, presets, {}), "1-pace.nc"),
               !ContainsSubstring("S1") && ContainsSubstring("M4 S0") && !ContainsSubstring("Z"));
    std::string machine = preset_text(presets, "laser-240x150");
    const std::string key = "pilot = 0";
    const auto at = machine.find(key);
    REQUIRE(at != std::string::npos);
    order.job.machine = folder.put("pilot.toml", machine.replace(at, key.size(), "pilot = 10"));
    order.job.cuts.front().pilot = 1;  // per cent of 1000
    order.run.stop_at_corners = true;
    CHECK_THAT(content(make_pace(order, presets, {}), "1-pace.nc"), ContainsSubstring("S10"));
    order.job.cuts.front().pilot = 1.1;
    CHECK_THAT(refusal_of([&] { (void)make_pace(order, presets, {}); }, Fault::refused), ContainsSubstring("allows 10"));
}
